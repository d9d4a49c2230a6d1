"""Typed reading of one section of season.toml, with every fault listed."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from datetime import date, datetime
from typing import Any, TypeVar

from springwalk.intake import cells
from springwalk.intake.cells import UnreadableError
from springwalk.intake.faults import FaultList, did_you_mean
from springwalk.intake.files import inside

T = TypeVar("T")


class Section:
    """The keys of one section. A method gives None or "" for a key not there, and sets ``bad`` for a wrong one."""

    def __init__(self, faults: FaultList, name: str, values: Mapping[str, Any]) -> None:
        self.faults, self.name, self.values = faults, name, values
        self.bad = False

    def refuse(self, key: str, value: object, rule: str, todo: str) -> None:
        """List a key as wrong."""
        self.bad = True
        self.faults.refused(0, f"{self.name}.{key}" if self.name else key, value, rule, todo)

    def only(self, *keys: str) -> None:
        """List every key that is none of these. The section is not marked bad: the key is just not read."""
        for key in self.values:
            if key not in keys:
                hint = did_you_mean(key, keys)
                todo = f"{hint}? Correct it" if hint.startswith("did") else f"{hint}; take it out"
                place = f"{self.name}.{key}" if self.name else key
                self.faults.refused(0, place, self.values[key], "no such key; it is not read", todo)

    def table(self, key: str) -> Section | None:
        """A section inside this one."""
        value = self.values.get(key)
        if value is None:
            return None
        if not isinstance(value, dict):
            self.refuse(key, value, "not a section", f"write it as [{key}] with keys below it")
            return None
        return Section(self.faults, f"{self.name}.{key}" if self.name else key, value)

    def text(self, key: str, *, needed: bool = False) -> str:
        """Text on one line, "" where not there."""
        return self.read(key, cells.one_line, needed=needed) or ""

    def read(self, key: str, reader: Callable[[str], T], *, needed: bool = False) -> T | None:
        """A text key through ``reader``."""
        value = self.values.get(key)
        if value is not None and not isinstance(value, str):
            self.refuse(key, value, "not text", f'write it in quotes: {key} = "…"')
            return None
        if value is None or not value.strip():
            if needed:
                self.refuse(key, "", "is needed", "fill it in")
            return None
        try:
            return reader(value)
        except UnreadableError as error:
            self.refuse(key, value, error.rule, error.todo)
            return None

    def choice(self, key: str, choices: Collection[str]) -> str | None:
        """One of a fixed list."""

        def reader(text: str) -> str:
            if text not in choices:
                raise UnreadableError("not on the list", f"write one of: {', '.join(choices)}")
            return text

        return self.read(key, reader)

    def whole(self, key: str, low: int, high: int, *, needed: bool = False) -> int | None:
        """A whole number from low to high."""
        value = self.number(key, low, high, needed=needed)
        if value is not None and not isinstance(value, int):
            self.refuse(key, value, "not a whole number", f"write {key} = {low}, say")
            return None
        return value

    def number(self, key: str, low: float, high: float, *, needed: bool = False) -> float | None:
        """A number from low to high."""
        value = self.values.get(key)
        if value is None:
            if needed:
                self.refuse(key, "", "is needed", "fill it in")
            return None
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.refuse(key, value, "not a number", "write a number without quotes")
            return None
        if not low <= value <= high:
            self.refuse(key, _short(value), f"not from {low:g} to {high:g}", "correct it")
            return None
        return value

    def day(self, key: str) -> date | None:
        """A date, as TOML writes it or as text."""
        value = self.values.get(key)
        if isinstance(value, date) and not isinstance(value, datetime):
            return value
        return self.read(key, cells.day)

    def paths(self, key: str) -> tuple[str, ...]:
        """File names inside the folder: one text or a list of texts."""
        value = self.values.get(key)
        if value is None:
            return ()
        names = value if isinstance(value, list) else [value]
        if not all(isinstance(name, str) for name in names):
            self.refuse(key, value, "not a file name", 'write it in quotes, or as a list: ["a.csv", "b.csv"]')
            return ()
        good = [name for name in names if inside(name)]
        for name in names:
            if name not in good:
                self.refuse(
                    key, name, "not a path inside the folder", "put the file in the folder and name it from there"
                )
        return tuple(dict.fromkeys(good))


def _short(value: float) -> str:
    try:
        return str(value)[:40]
    except ValueError:  # an integer of thousands of digits
        return "a very long number"
