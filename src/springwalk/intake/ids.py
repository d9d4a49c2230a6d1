"""Which ids a row may speak of: those of the store, and those of the files read before it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable, Iterable, Mapping
from typing import TypeVar

from springwalk.intake.faults import FaultList, Known, counted, did_you_mean, some
from springwalk.intake.rows import Row
from springwalk.records import Field, Planting, Recommendation, Record

R = TypeVar("R", bound=Record)
ROWS_NAMED = 3


class Ids:
    """The ids known so far.

    ``left_out`` are fields whose outline is in the folder but was refused, ``unread`` outline files that failed as a
    whole or hold outlines without an id: a row that names an unknown field may mean one of those.
    """

    def __init__(self, known: Known, outline_files: Collection[str] = ()) -> None:
        self.fields: set[str] = set(known.fields)
        self.names: dict[str, str] = dict(known.names)
        self.folder_fields: set[str] = set()
        self.left_out: set[str] = set()
        self.outline_files = tuple(outline_files)
        self.unread: list[str] = []
        self._without_outline: dict[FaultList, list[tuple[int, str]]] = {}
        self.traps: set[str] = set(known.traps)
        self.folder_traps: set[str] = set()
        self.traps_left_out: dict[str, str] = {}
        """Traps of this folder that can't be used, each with the rule to say."""
        self.plantings: dict[str, Planting] = dict(known.plantings)
        self.planting_files: Mapping[str, str] = known.planting_files
        self.land: dict[str, Field] = dict(known.land)
        self.lots: set[str] = set(known.lots)
        self.recommendations: dict[str, Recommendation] = dict(known.recommendations)
        self._plantings_of: dict[str, list[str]] = {}
        self._zones_of: dict[str, list[str]] = {}
        self._folded: tuple[int, dict[str, list[str]]] = (-1, {})
        for full in known.plantings:
            self._add(self._plantings_of, full)
        for full in known.zones:
            self._add(self._zones_of, full)

    @staticmethod
    def _add(index: dict[str, list[str]], full: str) -> None:
        field, _, name = full.rpartition("/")
        names = index.setdefault(field, [])
        if name not in names:
            names.append(name)

    def add_field(self, name: str, told: str = "") -> None:
        """Make a field known whose outline this folder holds; ``told`` is what people call it."""
        self.fields.add(name)
        self.folder_fields.add(name)
        self.names[name] = told
        self._folded = (-1, {})

    def add_land(self, fields: Iterable[Field], *, grower_told: bool) -> None:
        """Keep the fields of this folder; where their file tells no growers, those held before stay."""
        for field in fields:
            held = self.land.get(field.id)
            grower = field.grower if grower_told or held is None else held.grower
            self.land[field.id] = field.model_copy(update={"grower": grower})

    @property
    def growers(self) -> list[str]:
        """Every grower of a field, once."""
        return list(dict.fromkeys(field.grower for field in self.land.values() if field.grower))

    def lot(self, row: Row, text: str, column: str = "lot") -> str:
        """The seed lot a planting speaks of, as its own table writes it; one that no table tells is noted."""
        if not text or not self.lots:
            return text
        name = same(text, self.lots)
        if name is None:
            hint = did_you_mean(text, self.lots)
            todo = f"{hint}? Correct it" if hint.startswith("did") else "add it to seed_lots.csv"
            row.note(column, text, "no seed lot has this id; it is kept as written", todo)
        return name or text

    def add_planting(self, planting: Planting) -> None:
        """Make a planting known."""
        self.plantings[planting.id] = planting
        self._add(self._plantings_of, planting.id)

    def add_zone(self, full: str) -> None:
        """Make a zone known by its full id."""
        self._add(self._zones_of, full)

    def plantings_of(self, field: str) -> list[str]:
        """Short names of a field's plantings."""
        return self._plantings_of.get(field, [])

    def only_planting(self, field: str) -> str:
        """The field's only planting, or ``1`` where it has none or several."""
        names = self.plantings_of(field)
        return names[0] if len(names) == 1 else "1"

    def field(self, row: Row, column: str = "field") -> str | None:
        """The id of the field a row speaks of by its id, in any case, or by its name where only one field has it."""
        text = row.id(column, needed=True)
        if text is None or text in self.fields:
            return text
        if text in self.left_out:
            row.refuse(column, "this field's outline was left out", "mend the outline first")
            return None
        meant = self._meant(text)
        if len(meant) == 1:
            return meant[0]
        if meant:
            row.refuse(column, f"{len(meant)} fields are called so ({some(meant)})", "write the id of the one meant")
        elif self.unread or not self.fields:
            row.bad = True
            row.faults.leave_out(row.line or row.place(column))
            self._without_outline.setdefault(row.faults, []).append((row.line, text))
        else:
            hint = did_you_mean(text, self.fields)
            row.refuse(column, "no field has this id or name", _todo(hint, f"add its outline to {self._outlines()}"))
        return None

    def has_field(self, text: str) -> bool:
        """Whether a field goes by this id or name, in any case."""
        return text in self.fields or bool(self._meant(text))

    def _meant(self, text: str) -> list[str]:
        """Ids of the fields that a text may mean: the id in another case goes before the name."""
        size, index = self._folded
        if size != len(self.fields):
            index = {}
            for name in sorted(self.fields):
                index.setdefault(f"id {name.casefold()}", []).append(name)
                index.setdefault(f"name {self.names.get(name, '').strip().casefold()}", []).append(name)
            self._folded = (len(self.fields), index)
        word = text.casefold()
        return index.get(f"id {word}") or index.get(f"name {word}") or []

    def _outlines(self) -> str:
        return some(self.outline_files or ("fields.geojson",))

    def tell_without_outline(self, faults: FaultList) -> None:
        """One fault for all rows of a file that name fields nobody has outlined; the cause lies in another file."""
        found = self._without_outline.pop(faults, [])
        if not found:
            return
        lines = [str(line) for line, _ in found if line]
        first = f" (first: {counted(len(lines), 'row')} {', '.join(lines[:ROWS_NAMED])})" if lines else ""
        rule = f"{len(found)} {counted(len(found), 'row')} {_verb(len(found))} fields that have no outline{first}"
        if self.unread:
            todo = f"the outlines in {some(self.unread)} were not read: correct those first"
        else:
            todo = f"there are no outlines yet: put them in {self._outlines()}"
        names = some(dict.fromkeys(name for _, name in found), ROWS_NAMED)
        faults.add("refused", 0, "field", names, rule, todo, rows=len(found))

    def trap(self, row: Row, column: str = "trap") -> str | None:
        """The trap a row speaks of."""
        text = row.id(column, needed=True)
        if text is None:
            return None
        meant = self.trap_called(text)
        if meant is not None:
            return meant
        if text in self.traps_left_out:
            if not row.bad:
                row.refuse(column, self.traps_left_out[text], "mend that row first")
            return None
        hint = did_you_mean(text, self.traps)
        todo = "add it to traps.csv, or give its kind, latitude and longitude in columns here"
        row.refuse(column, "no trap has this id", _todo(hint, todo))
        return None

    def trap_called(self, text: str) -> str | None:
        """The known trap of this id, in any case."""
        return None if text in self.traps_left_out else same(text, self.traps)

    def planting(self, row: Row, field: str, column: str = "planting") -> str | None:
        """Full id of the planting a row speaks of; None where the cell is blank (the whole field)."""
        return self._part(row, field, column, self.plantings_of(field), "planting", "plantings.csv")

    def zone(self, row: Row, field: str, column: str = "zone") -> str | None:
        """Full id of the zone a row speaks of; None where the cell is blank (the whole field)."""
        return self._part(row, field, column, self._zones_of.get(field, []), "zone", "zones.csv")

    @staticmethod
    def _part(row: Row, field: str, column: str, names: list[str], what: str, file: str) -> str | None:
        text = row.id(column)
        if text is None:
            return None
        name = same(text, names)
        if name is None:
            row.refuse(
                column, f"field {field!r} has no such {what}", _todo(did_you_mean(text, names), f"add it to {file}")
            )
            return None
        return f"{field}/{name}"


def same(text: str, names: Collection[str]) -> str | None:
    """The name as it is known: the same letters, else the only one that differs in case alone."""
    if text in names:
        return text
    found = [name for name in names if name.casefold() == text.casefold()]
    return found[0] if len(found) == 1 else None


def _verb(number: int) -> str:
    return "names" if number == 1 else "name"


def _todo(hint: str, otherwise: str) -> str:
    if hint.startswith("did"):
        return f"{hint}? Correct it, or {otherwise}"
    return f"{otherwise} ({hint})" if hint else otherwise


def settle(
    found: Iterable[tuple[Row, R]],
    column: str,
    key: Callable[[R], Hashable],
    earlier: Mapping[str, R] | None = None,
) -> list[tuple[Row, R]]:
    """Of rows with the same key keep one where all agree (the others are noted), none where they differ.

    ``earlier`` are records of files read before: a row that agrees with one is noted, one that differs is refused.
    """
    groups: dict[Hashable, list[tuple[Row, R]]] = {}
    for row, record in found:
        groups.setdefault(key(record), []).append((row, record))
    kept = []
    for name, group in groups.items():
        first = group[0][1]
        before = (earlier or {}).get(str(name))
        if all(record == first for _, record in group) and before in (None, first):
            if before is None:
                kept.append(group[0])
            for row, _ in group[1:] if before is None else group:
                row.note(
                    column, row.values.get(column, ""), "told twice, with the same values", "delete one of the two"
                )
            continue
        for row, _ in group:
            others = [str(other.line) for other, _ in group if other is not row and other.line]
            where = f"also in row {', '.join(others[:6])}" if others else "also told elsewhere"
            row.refuse(column, f"told twice with different values ({where})", "keep the right one, delete the other")
    return kept
