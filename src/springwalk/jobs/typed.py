"""What people type by hand to values: hours, rain, a time of day, a heading, a date, a word of a list.

Amounts are read by the readers of the season's files, so that what a file may say can also be typed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, time
from typing import Any, TypeVar

from pydantic import ValidationError

from springwalk.errors import BadValue
from springwalk.intake import UnreadableError, cells, did_you_mean, shown, work_cells
from springwalk.intake.words import BUILT_IN
from springwalk.records import Record

R = TypeVar("R", bound=Record)
T = TypeVar("T")


def hours(text: str, *, name: str = "hours") -> float | None:
    """Hours of ``6``, ``6 h`` or ``2 days``, 0 … 2160; None for a blank. BadValue for anything else.

    2160 is the longest interval any record holds; a record with a lower bound refuses the rest itself.
    """
    return _read(work_cells.entry_hours, text, name) if text.strip() else None


def rain_mm(text: str, *, name: str = "rain") -> float:
    """Rain in mm of ``1.3in``, ``33 mm``, ``T`` or a bare number of inches, 0 … 500 mm. BadValue for anything else."""
    return _read(work_cells.rain_mm, text, name)


def clock(text: str, *, name: str = "at") -> time | None:
    """The time of day of ``14:30``, ``1430``, ``2:30 pm`` or ``2pm``; None for a blank. BadValue for anything else."""
    return _read(work_cells.clock, text, name) if text.strip() else None


def heading(text: str, *, name: str = "direction") -> float | None:
    """Degrees (0 = north, 90 = east) of ``90``, ``E``, ``north east``, ``E-W``; None for a blank; else BadValue."""
    return _read(work_cells.heading, text, name) if text.strip() else None


def day(text: str, *, name: str = "date") -> date | None:
    """The date of ``2016-05-17``; None for a blank. BadValue for anything else."""
    if not text.strip():
        return None
    try:
        return cells.day(text)
    except UnreadableError as error:  # a file may name its form of dates; what is typed has one form
        raise BadValue(name, shown(text), error.rule, "write it like 2016-05-17") from None


def days(text: str, *, name: str = "days") -> int | None:
    """Whole days of ``3``, 0 … 30; None for a blank. BadValue for anything else."""
    if not text.strip():
        return None
    if not text.strip().isdecimal() or int(text) > 30:
        raise BadValue(name, shown(text), "not a whole number of days from 0 to 30", "write it like 3")
    return int(text)


def place(text: str, *, name: str = "place") -> tuple[float, float] | None:
    """Latitude and longitude of ``40.8,-96.7`` in degrees; None for a blank. BadValue for anything else."""
    if not text.strip():
        return None
    try:
        latitude, longitude = (float(part) for part in text.split(","))
    except ValueError:
        raise BadValue(name, shown(text), "not a place", "write latitude and longitude, like 40.8,-96.7") from None
    if not (-90.0 <= latitude <= 90.0 and -180.0 <= longitude <= 180.0):
        raise BadValue(name, shown(text), "not on the earth", "write latitude first, like 40.8,-96.7")
    return latitude, longitude


def _read(read: Callable[[str], T], text: str, name: str) -> T:
    """What a reader makes of a text; what it cannot read is said in the error form under ``name``."""
    try:
        return read(text)
    except UnreadableError as error:
        raise BadValue(name, shown(text), error.rule, error.todo) from None


SYNONYMS = (BUILT_IN["event"], BUILT_IN["pass"])
"""Other words for events and passes, as the tables of the season's folder know them."""


def one_of(text: str, words: Sequence[str], *, name: str) -> str:
    """The word of the list, in any case and with hyphens for spaces, or by another word the files know for it.

    BadValue names the nearest or all.
    """
    asked = " ".join(text.replace("-", " ").casefold().split())
    asked = next((known[asked] for known in SYNONYMS if known.get(asked) in words), asked)
    if asked in words:
        return asked
    near = did_you_mean(asked, words)
    todo = f"{near}? (One of: {', '.join(words)})" if near.startswith("did") else f"write one of: {', '.join(words)}"
    raise BadValue(name, shown(text), "not one of the words known here", todo)


def made(model: type[R], **values: Any) -> R:
    """The record of some values; BadValue with the first rule they break."""
    try:
        return model(**values)
    except ValidationError as error:
        first = error.errors(include_url=False, include_context=False)[0]
        place = ".".join(str(part) for part in first["loc"]) or model.kind
        rule = first["msg"][:1].lower() + first["msg"][1:]
        raise BadValue(place, shown(first.get("input", "")), rule, "correct it") from None
