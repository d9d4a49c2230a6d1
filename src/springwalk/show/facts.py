"""Facts of a reason as words: ground, dates, shares, odds."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import Any

from springwalk.jobs.results import DateRange, Range
from springwalk.show import numbers as n

FALL = 8
"""From this month on a day is one of the fall before the season, and its year is said."""

Facts = Mapping[str, Any]
Say = str | Callable[[Facts], str]

COVER = {
    "black": "black soil",
    "residue": "old residue with nothing green",
    "clean": "clean ground",
    "few weeds": "a few green weeds",
    "some weeds": "some green weeds",
    "many weeds": "many green weeds",
    "dense": "dense green cover",
}


def instar_words(instar: str | int | None) -> str:
    """An instar as words: ``4`` and ``instar_4`` both read "instar 4"; None reads "an instar not known"."""
    if instar is None:
        return "an instar not known"
    text = str(instar).replace("_", " ").removeprefix("instars ").removeprefix("instar ").replace(" ", "–")
    return f"instars {text}" if "–" in text else f"instar {text}"


def cover_words(facts: Facts) -> str:
    """The ground as a phrase that can open a sentence."""
    told = str(facts.get("cover", "green cover"))
    words = COVER.get(told, told)
    return words[:1].upper() + words[1:]


def when_words(value: Any) -> str:
    """A date fact as text, whether it is a date, ISO text, an estimated date, or its fields."""
    if isinstance(value, str):
        value = date.fromisoformat(value)
    if value is None:
        return "a day nobody told"
    if isinstance(value, Mapping):
        value = DateRange.model_validate(dict(value))
    if isinstance(value, date) and value.month >= FALL:
        return f"{n.day(value)} {value.year}"
    return n.dates(value)


def day_of(value: Any) -> date:
    """A date fact as a date, whether it is one or ISO text."""
    return date.fromisoformat(value) if isinstance(value, str) else value


def moment_words(value: Any) -> str:
    """A local time fact as text, whether it is one or ISO text: ``Sunday 8 May, 14:30``."""
    return str(n.moment(datetime.fromisoformat(value) if isinstance(value, str) else value))


def upper_first(text: str) -> str:
    """Text that opens a sentence."""
    return text[:1].upper() + text[1:]


def flight(facts: Facts) -> str:
    """`` of 13 April`` where the flight is told."""
    return f" of {when_words(facts['flight'])}" if facts.get("flight") else ""


def amount(value: Any) -> Range | float:
    """A number fact as a Range or a float."""
    if isinstance(value, Mapping):
        return Range.model_validate(dict(value))
    return value if isinstance(value, Range) else float(value)


def share_words(value: Any) -> str:
    """A share fact as percent, with its range where it has one."""
    return n.share(amount(value))


def odds(value: Any) -> str:
    """A chance as whole chances in 100, never 0 or 100."""
    chances = min(99, max(1, round(100 * float(value))))
    return f"{chances} {'chance' if chances == 1 else 'chances'} in 100"


def cut(value: Any) -> str:
    """A fact of cut plants per 100."""
    plants = amount(value)
    return n.per_100(plants if isinstance(plants, Range) else Range(low=plants, mid=plants, high=plants))
