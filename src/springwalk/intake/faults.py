"""Faults found in outside files, and what reading one file gives back."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Collection, Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from springwalk.errors import message
from springwalk.records import Day, Field, Planting, Recommendation, Record

Severity = Literal["refused", "suspected", "note"]

MOST_LISTED = 10_000
"""Faults listed for one file; beyond this a file is not a table, and a list of millions helps nobody."""
LONGEST_SHOWN = 80
MOST_COMPARED = 5_000


@dataclass(frozen=True)
class Fault:
    """One thing wrong (or worth knowing) in a file.

    ``row`` is the 1-based line of the file, 0 where a line says nothing (a whole file, an outline, a key of
    season.toml); then ``column`` names the place in words. ``refused``: left out. ``suspected``: held back
    until repaired or confirmed, unless the rule says it is kept. ``note``: kept, said aloud. ``rows`` is how many
    rows it speaks for; ``whole`` says that nothing of the file was read: a cause that others follow from.
    """

    file: str
    row: int
    column: str
    value: str
    rule: str
    todo: str
    severity: Severity
    unit: str = ""
    rows: int = 1
    whole: bool = False

    def __str__(self) -> str:
        """``file, row N, column C = value unit: rule; todo.``"""
        place = self.file
        if self.row:
            place += f", row {self.row}"
        if self.column:
            place += f", column {self.column}" if self.row else f", {self.column}"
        return message(place, self.value, self.rule, self.todo, unit=self.unit)


@dataclass(frozen=True)
class FileRead:
    """What one file gave: records and days that are good, and every fault. ``sha256`` is "" for a file not read.

    ``rows`` are the rows (outlines, stops, days) the file holds, ``left_out`` those of them that were refused.
    ``complete`` says that every row of it is among the records: only then can a thing be missing from it. ``lines``
    are the lines of catches, and ``untold`` what the file has no column for: names of a record's fields. Both are by
    natural key.
    """

    name: str
    sha256: str
    records: tuple[Record, ...]
    days: tuple[Day, ...]
    faults: tuple[Fault, ...]
    rows: int = 0
    left_out: int = 0
    complete: bool = True
    lines: Mapping[str, int] = field(default_factory=dict)
    untold: Mapping[str, frozenset[str]] = field(default_factory=dict)


def no_highs(_station: str) -> tuple[tuple[date, float], ...]:
    """Where nothing is held of any station."""
    return ()


@dataclass(frozen=True)
class Known:
    """What the store already holds, so that a folder with only new catches still resolves its ids.

    ``names`` maps field ids to their names and ``land`` to their records; ``plantings`` maps full ids
    (``field/planting``) to the records as they stand, ``planting_files`` to the file that told them last;
    ``zones`` holds full ids, ``lots`` ids of seed lots, ``recommendations`` the records by id;
    ``places`` are (latitude, longitude) of fields and stations, used to tell a swapped outline. ``highs`` gives the
    days (date, maximum in °C) of a station, asked only where a file is too short to check its unit by itself.
    """

    fields: frozenset[str] = frozenset()
    names: Mapping[str, str] = field(default_factory=dict)
    land: Mapping[str, Field] = field(default_factory=dict)
    plantings: Mapping[str, Planting] = field(default_factory=dict)
    planting_files: Mapping[str, str] = field(default_factory=dict)
    lots: frozenset[str] = frozenset()
    zones: frozenset[str] = frozenset()
    recommendations: Mapping[str, Recommendation] = field(default_factory=dict)
    traps: frozenset[str] = frozenset()
    places: tuple[tuple[float, float], ...] = ()
    highs: Callable[[str], Iterable[tuple[date, float]]] = no_highs


def counted(number: int, word: str) -> str:
    """The word for a number of things: day, days."""
    return word if number == 1 else f"{word}s"


def printable(text: str) -> str:
    """The text with every character that can't be printed on one line escaped."""
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in text)


def shown(value: object) -> str:
    """The value as it can be printed on one line: blank said, odd characters escaped, long text cut."""
    text = printable(str(value)[: LONGEST_SHOWN * 4])
    if not text.strip():
        return "(blank)"
    return text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 1] + "…"


class FaultList:
    """Collects the faults of one file in the order of its rows, and counts the rows it holds and leaves out."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.rows = 0
        self._faults: list[Fault] = []
        self._more = 0
        self._whole = False
        self._held_back = False
        self._out: set[Hashable] = set()
        self._out_together = 0
        self._said: set[Hashable] = set()

    def add(
        self, severity: Severity, row: int, column: str, value: object, rule: str, todo: str, *, unit: str = "",
        rows: int = 1, whole: bool = False,
    ) -> None:  # fmt: skip
        """List one fault."""
        if len(self._faults) >= MOST_LISTED:
            self._more += 1
            return
        told = shown(column) if column else ""
        rule, todo = printable(rule), printable(todo)
        self._faults.append(Fault(self.file, row, told, shown(value), rule, todo, severity, unit, rows, whole))

    def refused(
        self, row: int, column: str, value: object, rule: str, todo: str, *, unit: str = "", rows: int = 1,
        who: Hashable = None,
    ) -> None:  # fmt: skip
        """List something left out: ``rows`` rows at once, or the one that ``row`` or ``who`` names."""
        self.add("refused", row, column, value, rule, todo, unit=unit, rows=rows)
        if rows > 1:
            self._out_together += rows
        else:
            self.leave_out(who or row or column)

    def not_read(self, row: int, column: str, value: object, rule: str, todo: str, *, unit: str = "") -> None:
        """List why nothing of the whole file was read."""
        self._whole = True
        self.add("refused", row, column, value, rule, todo, unit=unit, whole=True)

    def leave_out(self, who: Hashable) -> None:
        """Count one row as left out, once however many faults it has."""
        self._out.add(who)

    def suspected(
        self, row: int, column: str, value: object, rule: str, todo: str, *, unit: str = "", rows: int = 1,
        kept: bool = False,
    ) -> None:  # fmt: skip
        """List a suspicion; what it is about is held back unless ``kept``."""
        self._held_back = self._held_back or not kept
        self.add("suspected", row, column, value, rule, todo, unit=unit, rows=rows)

    def first_time(self, what: Hashable) -> bool:
        """Whether this is said of the file for the first time."""
        fresh = what not in self._said
        self._said.add(what)
        return fresh

    def note(self, row: int, column: str, value: object, rule: str, todo: str, *, unit: str = "") -> None:
        """List something kept that a person should know."""
        self.add("note", row, column, value, rule, todo, unit=unit)

    @property
    def whole(self) -> bool:
        """Whether nothing of the file was read."""
        return self._whole

    def rows_out(self) -> list[int]:
        """Lines left out so far, in order; the heading's own is none of them."""
        return sorted(who for who in self._out if isinstance(who, int))

    @property
    def left_out(self) -> int:
        """How many rows were left out."""
        return self.rows if self._whole else len(self._out) + self._out_together

    @property
    def complete(self) -> bool:
        """Whether nothing of the file was refused or held back."""
        refused = any(fault.severity == "refused" for fault in self._faults)
        return not (refused or self._more or self._whole or self._held_back)

    @property
    def count(self) -> int:
        """How many faults were found so far."""
        return len(self._faults) + self._more

    def listed(self) -> tuple[Fault, ...]:
        """All faults, by row; faults of the whole file first."""
        faults = sorted(self._faults, key=lambda fault: fault.row)
        if self._more:
            rule = f"only the first {MOST_LISTED} are listed"
            faults.append(Fault(self.file, 0, "more faults", str(self._more), rule, "mend those first", "refused"))
        return tuple(faults)


CLOSE_HEADING = 0.75
"""How alike a heading must be to be suggested: "Trap type" is no misspelt "trap"."""


def did_you_mean(text: str, choices: Collection[str], *, closeness: float = 0.6) -> str:
    """``did you mean 'x'`` for a near miss, else the choices there are (at most eight), else ""."""
    if len(choices) <= MOST_COMPARED:
        by_folded = {choice.casefold(): choice for choice in choices}
        near = difflib.get_close_matches(text.casefold()[:100], list(by_folded), n=1, cutoff=closeness)
        if near:
            return f"did you mean {by_folded[near[0]]!r}"
    return f"there are: {some(sorted(choices))}" if choices else ""


def some(names: Iterable[str], most: int = 8) -> str:
    """The first few names, and how many more there are."""
    names = list(names)
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return ", ".join(shown(name) for name in names[:most]) + more
