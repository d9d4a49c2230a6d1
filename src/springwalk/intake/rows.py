"""One row of a table (or one object inside an outline): typed cells, with every fault of the row listed."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, TypeVar

from pydantic import ValidationError

from springwalk.intake import cells
from springwalk.intake.cells import UnreadableError
from springwalk.intake.faults import FaultList, did_you_mean, shown
from springwalk.records import Record

T = TypeVar("T")
R = TypeVar("R", bound=Record)


@dataclass(frozen=True)
class Days:
    """Which dates a file may hold; ``form`` as season.toml says ("" = ISO only).

    A season begins with the fall before: from 1 July of the year before ``year`` to its end, and up to ``today``.
    """

    year: int
    today: date
    form: str = ""

    def check(self, value: date) -> None:
        """Raise for a day after today or of another season."""
        if value > self.today:
            raise UnreadableError(f"after today ({self.today})", "write the day it was seen")
        first, last = date(self.year - 1, 7, 1), date(self.year, 12, 31)
        if not first <= value <= last:
            rule = f"outside the season {self.year} ({first} to {last})"
            raise UnreadableError(rule, "correct the date, or take it in with its own season")


class Row:
    """Cells by our column names. A reading method gives None for a blank cell, and for a bad one also sets ``bad``."""

    def __init__(
        self,
        faults: FaultList,
        line: int,
        values: Mapping[str, str],
        days: Days,
        *,
        headings: Mapping[str, str] | None = None,
        prefix: str = "",
    ) -> None:
        self.faults, self.line, self.values, self.days = faults, line, values, days
        self._headings, self._prefix = headings or {}, prefix
        self.bad = False

    def place(self, column: str) -> str:
        """The column as the file names it."""
        return f"{self._prefix}{self._headings.get(column, column)}"

    def refuse(self, column: str, rule: str, todo: str, *, value: object = None, unit: str = "") -> None:
        """List the row as left out."""
        self.bad = True
        told = self.values.get(column, "") if value is None else value
        self.faults.refused(self.line, self.place(column), told, rule, todo, unit=unit)

    def note(self, column: str, value: object, rule: str, todo: str, *, unit: str = "") -> None:
        """List something about a row that is kept."""
        self.faults.note(self.line, self.place(column), value, rule, todo, unit=unit)

    def read(self, column: str, reader: Callable[[str], T], *, needed: bool = False) -> T | None:
        """One cell through ``reader``; None where it is blank or bad."""
        text = self.values.get(column, "").strip()
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
        """Free text, "" where blank."""
        return self.read(column, cells.clean) or ""

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
            value = cells.day(text, self.days.form)
            self.days.check(value)
            return value

        return self.read(column, reader, needed=needed)

    def choice(self, column: str, choices: Collection[str], *, needed: bool = False) -> str | None:
        """One of a fixed list, whatever the case it is typed in."""

        def reader(text: str) -> str:
            folded = " ".join(text.casefold().split())
            if folded not in choices:
                listed = ", ".join(choices)
                near = did_you_mean(folded, choices)
                todo = f"{near}? (One of: {listed})" if near.startswith("did") else f"write one of: {listed}"
                raise UnreadableError("not on the list", todo)
            return folded

        return self.read(column, reader, needed=needed)


def make(row: Row, model: type[R], **values: Any) -> R | None:
    """The record, or None with the rules it breaks listed: the last guard behind the checks above."""
    try:
        return model(**values)
    except ValidationError as error:
        for one in error.errors(include_url=False, include_context=False):
            column = ".".join(str(part) for part in one["loc"])
            row.refuse(column, shown(one["msg"]), "correct it", value=one.get("input", ""))
        return None
