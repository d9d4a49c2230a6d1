"""Reading one cell of what was done: a time of day, hours, a heading, rain, how often. Raise ``UnreadableError``."""

from __future__ import annotations

import re
from datetime import time

from springwalk.intake import cells
from springwalk.intake.cells import UnreadableError

_CLOCK = re.compile(r"([0-9]{1,2})[:.]([0-9]{2})(?:[:.][0-9]{2})?\s*(?:([ap])\.?m?\.?)?", re.IGNORECASE)
_HALF = re.compile(r"([0-9]{1,2})\s*([ap])\.?m\.?", re.IGNORECASE)
_FOUR = re.compile(r"([0-9]{2})([0-9]{2})(?:\s*h(?:ours?|rs?)?)?", re.IGNORECASE)
_HOURS = re.compile(r"([0-9]+(?:\.[0-9]+)?|\.[0-9]+)\s*-?\s*(h(?:(?:ou)?rs?\.?)?|d(?:ays?)?)?", re.IGNORECASE)
_EVERY = re.compile(r"(?:every\s+)?([0-9]{1,3})\s*(d(?:ays?)?|w(?:eeks?)?)?", re.IGNORECASE)
_EVERY_WORDS = {
    "daily": 1, "every day": 1, "every other day": 2, "twice a week": 3, "weekly": 7, "every week": 7, "a week": 7,
    "week": 7, "every other week": 14, "fortnightly": 14, "two weeks": 14, "every two weeks": 14,
}  # fmt: skip
_POINTS = (
    "n", "nne", "ne", "ene", "e", "ese", "se", "sse", "s", "ssw", "sw", "wsw", "w", "wnw", "nw", "nnw",
)  # fmt: skip
_PARTS = (("north", "n"), ("south", "s"), ("east", "e"), ("west", "w"))
_DEGREES = re.compile(r"([0-9]{1,3}(?:\.[0-9]+)?)\s*(?:°|deg(?:rees?)?)?", re.IGNORECASE)
HOURS_A_DAY = 24.0
DAYS_A_WEEK = 7
MOST_ENTRY_HOURS = 2160.0
MOST_HOURS = 2000.0
MOST_EVERY_DAYS = 60
MM_PER_M = 1000.0
MOST_RAIN_MM = 500.0
TRACE = ("t", "trace", "tr")
DASHES = frozenset("-–—−")


def is_dash(text: str) -> bool:
    """Whether a cell holds only dashes, as people draw where there is nothing to write."""
    return bool(text.strip()) and set(text.strip()) <= DASHES


def clock(text: str) -> time:
    """A time of day: ``14:30``, ``2:30 pm``, ``2 pm``, ``1430``. A bare number may be morning or evening: refused."""
    text = text.strip()[:20]
    match, half = _CLOCK.fullmatch(text), _HALF.fullmatch(text)
    if match:
        hour, minute, part = int(match[1]), int(match[2]), (match[3] or "").casefold()
    elif half:
        hour, minute, part = int(half[1]), 0, half[2].casefold()
    elif four := _FOUR.fullmatch(text):
        hour, minute, part = int(four[1]), int(four[2]), ""
    else:
        raise UnreadableError("not a time of day", "write it like 14:30 or 2:30 pm")
    if part and 1 <= hour <= 12:
        hour = hour % 12 + (12 if part == "p" else 0)
    elif part or hour > 23:
        raise UnreadableError("not a time of day", "write it like 14:30 or 2:30 pm")
    if minute > 59:
        raise UnreadableError("not a time of day", "write it like 14:30 or 2:30 pm")
    return time(hour, minute)


def hours(text: str, most: float = MOST_HOURS) -> float:
    """Hours from 0 to ``most``: ``24``, ``24 h``, ``2 days``; a bare number is hours."""
    match = _HOURS.fullmatch(text.strip()[:40])
    if match is None:
        raise UnreadableError("not a number of hours", "write it like 24, 24 h or 2 days")
    value = float(match[1]) * (HOURS_A_DAY if (match[2] or "h").casefold().startswith("d") else 1.0)
    cells.within(value, 0, most)
    return value


def entry_hours(text: str) -> float:
    """An entry interval in hours."""
    return hours(text, MOST_ENTRY_HOURS)


def heading(text: str) -> float:
    """A heading in degrees, 0 = north, 90 = east: ``90``, ``E``, ``north east``; of two ways (``E-W``) the first."""
    word = text.strip().casefold()[:40]
    match = _DEGREES.fullmatch(word)
    if match and float(match[1]) <= 360:
        return float(match[1]) % 360
    for name, letter in _PARTS:
        word = word.replace(name, letter)
    ways = [part.replace(" ", "").replace(".", "") for part in re.split(r"\s*(?:/|-| to )\s*", word)]
    if len(ways) <= 2 and all(way in _POINTS for way in ways):
        found = [_POINTS.index(way) * 22.5 for way in ways]
        if len(found) == 1 or abs(found[0] - found[1]) == 180:
            return found[0]
        if len(found) == 2 and len(ways[0]) == len(ways[1]) == 1 and "".join(ways) in _POINTS:
            return _POINTS.index("".join(ways)) * 22.5  # north-east
    raise UnreadableError("not a direction", "write degrees (90), or N, NE, E, SE, S, SW, W, NW, or N-S, E-W")


def rain_mm(text: str) -> float:
    """Rain in mm, 0 to 500: a bare number is inches; ``1.3in``, ``33 mm``, ``3.3 cm``; ``T`` is a trace, 0."""
    text = text.strip().rstrip(".").strip()
    if text.casefold() in TRACE:
        return 0.0
    text = text.removesuffix('"').removesuffix("ches") if text.casefold().endswith("inches") else text.removesuffix('"')
    text = text.strip().removesuffix("ch") if text.casefold().endswith("inch") else text.strip()
    value_mm = _in_mm(text, "in")
    if value_mm < 0:
        raise UnreadableError("below zero", "write how much rain fell, such as 1.3 (inches) or 33 mm")
    if value_mm > MOST_RAIN_MM:
        raise UnreadableError("above 20 in. (500 mm) in a day", "if it is mm, write mm behind it: 33 mm")
    return value_mm


def _in_mm(text: str, bare_unit: str) -> float:
    """A length in mm. What is written in mm is taken as it is: by way of metres its last digit would change."""
    length_m = cells.measure(text, "length_m", bare_unit)
    digits = text.strip().removesuffix("mm")
    if digits != text.strip() or (bare_unit == "mm" and not text.strip()[-1:].isalpha()):
        return float(digits)
    return length_m * MM_PER_M


def length_mm(text: str) -> float:
    """A length in mm, above 0 and at most 80: a bare number is mm; ``0.5in``."""
    value_mm = _in_mm(text, "mm")
    if not 0 < value_mm <= 80:
        raise UnreadableError("not above 0 and at most 80 mm", "write the length in mm, such as 12")
    return value_mm


def every_days(text: str) -> int:
    """How often in days, 1 to 60: ``7``, ``7 days``, ``2 weeks``, ``weekly``."""
    word = " ".join(text.casefold().replace("-", " ").split())
    days = _EVERY_WORDS.get(word)
    if days is None:
        match = _EVERY.fullmatch(word[:40])
        if match is None:
            raise UnreadableError("not a number of days", "write it like 7, 7 days or weekly")
        days = int(match[1]) * (DAYS_A_WEEK if (match[2] or "d").startswith("w") else 1)
    cells.within(days, 1, MOST_EVERY_DAYS)
    return days
