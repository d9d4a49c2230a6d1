"""One row of a table (or one object inside an outline): typed cells, with every fault of the row listed."""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, TypeVar

from pydantic import ValidationError

from springwalk.intake import cells
from springwalk.intake.cells import UnreadableError
from springwalk.intake.faults import FaultList, did_you_mean, shown
from springwalk.intake.words import BUILT_IN, SECTION_OF, UNSAID, folded
from springwalk.records import Record

T = TypeVar("T")
R = TypeVar("R", bound=Record)


@dataclass(frozen=True)
class Ways:
    """How a season's cells are written: dates in ``form`` ("" = ISO only), and the user's own ``words`` by column.

    A season begins with the fall before: from 1 July of the year before ``year`` to its end, and up to ``today``.
    """

    year: int
    today: date
    form: str = ""
    words: Mapping[str, Mapping[str, str]] = field(default_factory=dict)

    def check(self, value: date) -> None:
        """Raise for a day after today or of another season."""
        if value > self.today:
            raise UnreadableError(f"after today ({self.today})", "write the day it was seen")
        self.check_season(value)

    def check_season(self, value: date) -> None:
        """Raise for a day of another season."""
        first, last = date(self.year - 1, 7, 1), date(self.year, 12, 31)
        if not first <= value <= last:
            rule = f"outside the season {self.year} ({first} to {last})"
            raise UnreadableError(rule, "correct the date, or take it in with its own season")


class Row:
    """Cells by our column names. A reading method gives None for a blank cell, and for a bad one also sets ``bad``.

    ``who`` tells rows apart where there is no line; ``shifted`` cells stand under wrong headings and are not read.
    """

    def __init__(
        self,
        faults: FaultList,
        line: int,
        values: Mapping[str, str],
        ways: Ways,
        *,
        headings: Mapping[str, str] | None = None,
        prefix: str = "",
        who: Hashable = None,
    ) -> None:
        self.faults, self.line, self.values, self.ways = faults, line, values, ways
        self._headings, self._prefix, self._who = headings or {}, prefix, who
        self.bad = self.shifted = False

    def place(self, column: str) -> str:
        """The column as the file names it."""
        return f"{self._prefix}{self._headings.get(column, column)}"

    def refuse(self, column: str, rule: str, todo: str, *, value: object = None, unit: str = "") -> None:
        """List the row as left out."""
        self.bad = True
        told = self.values.get(column, "") if value is None else value
        self.faults.refused(self.line, self.place(column), told, rule, todo, unit=unit, who=self._who or self._prefix)

    def hold_back(self, column: str, value: object, rule: str, todo: str, *, unit: str = "") -> None:
        """List the row as suspected and left out until a person repairs or confirms it."""
        self.bad = True
        self.faults.suspected(self.line, self.place(column), value, rule, todo, unit=unit)
        self.faults.leave_out(self.line or self._who or self._prefix)

    def note(self, column: str, value: object, rule: str, todo: str, *, unit: str = "") -> None:
        """List something about a row that is kept."""
        self.faults.note(self.line, self.place(column), value, rule, todo, unit=unit)

    def read(self, column: str, reader: Callable[[str], T], *, needed: bool = False) -> T | None:
        """One cell through ``reader``; None where it is blank or bad."""
        text = self.values.get(column, "").strip()
        if self.shifted:
            return None
        if not text:
            if needed:
                self.refuse(column, "is needed", "fill it in")
            return None
        try:
            return reader(text)
        except UnreadableError as error:
            self.refuse(column, error.rule, error.todo)
            return None

    def text(self, column: str) -> str:
        """Free text on one line, "" where blank."""
        return self.read(column, cells.one_line) or ""

    def note_text(self, column: str = "note") -> str:
        """Free text that may run over several lines, "" where blank."""
        return self.read(column, cells.lines) or ""

    def id(self, column: str, *, needed: bool = False) -> str | None:
        """An id."""
        return self.read(column, cells.identifier, needed=needed)

    def number(self, column: str, low: float, high: float, *, needed: bool = False) -> float | None:
        """A number from low to high."""

        def reader(text: str) -> float:
            value = cells.number(text)
            cells.within(value, low, high)
            return value

        return self.read(column, reader, needed=needed)

    def whole(self, column: str, low: int, high: int, *, needed: bool = False) -> int | None:
        """A whole number from low to high."""

        def reader(text: str) -> int:
            value = cells.whole(text)
            cells.within(value, low, high)
            return value

        return self.read(column, reader, needed=needed)

    def measure(self, column: str, kind: str, bare_unit: str, *, needed: bool = False) -> float | None:
        """A length (m) or area (ha) above zero."""

        def reader(text: str) -> float:
            value = cells.measure(text, kind, bare_unit)
            if value <= 0:
                raise UnreadableError("not above zero", "correct it")
            return value

        return self.read(column, reader, needed=needed)

    def day(self, column: str, *, needed: bool = False) -> date | None:
        """A date of the season, not after today."""

        def reader(text: str) -> date:
            value = cells.day(text, self.ways.form)
            self.ways.check(value)
            return value

        return self.read(column, reader, needed=needed)

    def coming_day(self, column: str) -> date | None:
        """A date of the season that may lie after today: what is planned, not what was seen."""

        def reader(text: str) -> date:
            value = cells.day(text, self.ways.form)
            self.ways.check_season(value)
            return value

        return self.read(column, reader)

    def choice(self, column: str, choices: Collection[str], *, needed: bool = False) -> str | None:
        """One of a fixed list, whatever the case it is typed in; or a word that means one of them."""

        def reader(text: str) -> str:
            found = self._meant(column, text, choices)
            if found is None:
                raise UnreadableError("not on the list", _choices(column, folded(text), choices))
            return found

        return self.read(column, reader, needed=needed)

    def word(self, column: str, choices: Collection[str], text: str | None = None) -> str | None:
        """Like ``choice`` of the cell (or of a part of it), but a word not on the list is noted and not read."""
        told = (self.text(column) if text is None else text).strip()
        found = self._meant(column, told, choices) if told else None
        if told and found is None:
            self.note(column, told, "not on the list; it is not read", _choices(column, folded(told), choices))
        return found

    def _meant(self, column: str, text: str, choices: Collection[str]) -> str | None:
        """A word of the list, the user's own, or one that plainly means one of the list; else None."""
        word = folded(text)
        if word in choices:
            return word
        mine = self.ways.words.get(column, {}).get(word)
        if mine is not None:
            return mine
        ours = BUILT_IN.get(column, {}).get(word)
        if ours is not None:
            self._tell_word(column, text, ours)
        return ours

    def _tell_word(self, column: str, text: str, ours: str) -> None:
        """Say once a file how a word not on the list was read."""
        if column in SECTION_OF and column not in UNSAID and self.faults.first_time((column, folded(text))):
            todo = f"nothing, or say what it means under [values.{SECTION_OF[column]}] in season.toml"
            self.note(column, text, f"read as {ours!r}", todo)


def _choices(column: str, word: str, choices: Collection[str]) -> str:
    """What to do about a word that is not on the list."""
    near, listed = did_you_mean(word, choices), ", ".join(choices)
    todo = f"{near}? (One of: {listed})" if near.startswith("did") else f"write one of: {listed}"
    section = SECTION_OF.get(column)
    return f"{todo}; or say what your word means under [values.{section}] in season.toml" if section else todo


def make(row: Row, model: type[R], **values: Any) -> R | None:
    """The record, or None with the rules it breaks listed: the last guard behind the checks above."""
    try:
        return model(**values)
    except ValidationError as error:
        for one in error.errors(include_url=False, include_context=False):
            column = ".".join(str(part) for part in one["loc"])
            row.refuse(column, shown(one["msg"]), "correct it", value=one.get("input", ""))
        return None
