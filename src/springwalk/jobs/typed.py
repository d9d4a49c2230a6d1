"""What people type by hand to values: hours, rain, a time of day, a heading, a date, a word of a list."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from datetime import date, time
from typing import Any, TypeVar

from pydantic import ValidationError

from springwalk.errors import BadValue
from springwalk.intake import did_you_mean, shown
from springwalk.records import Record
from springwalk.units import quantity

R = TypeVar("R", bound=Record)
_HOURS = re.compile(r"(\d{1,6}(?:\.\d{1,3})?)\s*(h|hours?|d|days?)?", re.ASCII | re.IGNORECASE)
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})\s*(am|pm)?", re.ASCII | re.IGNORECASE)
_DEGREES = re.compile(r"\d{1,3}(?:\.\d{1,3})?", re.ASCII)
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_COMPASS = {name: 45.0 * k for k, name in enumerate(("N", "NE", "E", "SE", "S", "SW", "W", "NW"))}
HOURS_A_DAY = 24.0
MOST_RAIN_MM = 500.0
MM_PER_M = 1000.0


def hours(text: str, *, name: str = "hours") -> float | None:
    """Hours of ``6``, ``6h`` or ``2d``; None for a blank. BadValue for anything else."""
    if not text.strip():
        return None
    match = _HOURS.fullmatch(text.strip())
    if match is None:
        raise BadValue(name, shown(text), "not a number of hours", "write it like 6, 6h or 2d")
    per = HOURS_A_DAY if (match[2] or "h").casefold().startswith("d") else 1.0
    return float(match[1]) * per


def rain_mm(text: str, *, name: str = "rain") -> float:
    """Rain in mm of ``1.3in``, ``33mm`` or a bare number of inches, 0 … 500 mm. BadValue for anything else."""
    try:
        value_mm = quantity(text[:60], "length_m", name=name) * MM_PER_M
    except BadValue:
        raise BadValue(name, shown(text), "not an amount of rain", "write it like 1.3in or 33mm") from None
    if not math.isfinite(value_mm) or not 0 <= value_mm <= MOST_RAIN_MM:
        raise BadValue(name, shown(text), "outside 0 … 20 in. (500 mm)", "write it like 1.3in or 33mm")
    return float(value_mm)


def clock(text: str, *, name: str = "at") -> time | None:
    """The time of day of ``14:30`` or ``2:30pm``; None for a blank. BadValue for anything else."""
    if not text.strip():
        return None
    match = _CLOCK.fullmatch(text.strip())
    if match is not None:
        hour, minute, half = int(match[1]), int(match[2]), (match[3] or "").casefold()
        if half and 1 <= hour <= 12:
            hour, half = hour % 12 + (12 if half == "pm" else 0), ""
        if not half and hour <= 23 and minute <= 59:
            return time(hour, minute)
    raise BadValue(name, shown(text), "not a time of day", "write it like 14:30 or 2:30pm")


def heading(text: str, *, name: str = "direction") -> float | None:
    """A heading in degrees (0 = north, 90 = east) of ``90`` or ``E``; None for a blank. BadValue for anything else."""
    word = text.strip().upper()
    if not word:
        return None
    if word in _COMPASS:
        return _COMPASS[word]
    if _DEGREES.fullmatch(word) and float(word) <= 360:
        return float(word) % 360
    raise BadValue(name, shown(text), "not a heading", "write degrees like 90, or N, NE, E, SE, S, SW, W, NW")


def day(text: str, *, name: str = "date") -> date | None:
    """The date of ``2016-05-17``; None for a blank. BadValue for anything else."""
    if not text.strip():
        return None
    try:
        if _DATE.fullmatch(text.strip()):
            return date.fromisoformat(text.strip())
    except ValueError:
        pass
    raise BadValue(name, shown(text), "not a date", "write it like 2016-05-17")


def one_of(text: str, words: Sequence[str], *, name: str) -> str:
    """The word of the list, in any case and with hyphens for spaces. BadValue names the nearest or all."""
    asked = " ".join(text.replace("-", " ").casefold().split())
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
