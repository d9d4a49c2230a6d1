"""Which ids a row may speak of: those of the store, and those of the files read before it."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping
from typing import TypeVar

from springwalk.intake.faults import Known, did_you_mean
from springwalk.intake.rows import Row
from springwalk.records import Planting, Record

R = TypeVar("R", bound=Record)


class Ids:
    """The ids known so far. ``left_out`` are fields whose outline is in the folder but was refused."""

    def __init__(self, known: Known) -> None:
        self.fields: set[str] = set(known.fields)
        self.folder_fields: set[str] = set()
        self.left_out: set[str] = set()
        self.traps: set[str] = set(known.traps)
        self.traps_left_out: set[str] = set()
        self.plantings: dict[str, Planting] = dict(known.plantings)
        self._plantings_of: dict[str, list[str]] = {}
        self._zones_of: dict[str, list[str]] = {}
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

    def add_field(self, name: str) -> None:
        """Make a field known whose outline this folder holds."""
        self.fields.add(name)
        self.folder_fields.add(name)

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
        """The field a row speaks of."""
        text = row.id(column, needed=True)
        if text is None or text in self.fields:
            return text
        if text in self.left_out:
            row.refuse(column, "this field's outline was left out", "mend the outline first")
            return None
        hint = did_you_mean(text, self.fields)
        row.refuse(column, "no field has this id", _todo(hint, "add its outline to fields.geojson"))
        return None

    def trap(self, row: Row, column: str = "trap") -> str | None:
        """The trap a row speaks of."""
        text = row.id(column, needed=True)
        if text is None or text in self.traps:
            return text
        if text in self.traps_left_out:
            row.refuse(column, "this trap's row in traps.csv was left out", "mend that row first")
            return None
        hint = did_you_mean(text, self.traps)
        row.refuse(column, "no trap has this id", _todo(hint, "add it to traps.csv"))
        return None

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
        if text not in names:
            row.refuse(
                column, f"field {field!r} has no such {what}", _todo(did_you_mean(text, names), f"add it to {file}")
            )
            return None
        return f"{field}/{text}"


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
