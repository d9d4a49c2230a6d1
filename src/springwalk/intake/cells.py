"""Reading one cell: text to a number, a date, an id. Each raises ``UnreadableError`` with the rule and what to do."""

from __future__ import annotations

import math
import re
import time
import unicodedata
from datetime import date

from springwalk.errors import BadValue
from springwalk.units import quantity

_NUMBER = re.compile(r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]{1,3})?")
_THOUSANDS = re.compile(r"[-+]?[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]*)?")
_DECIMAL_COMMA = re.compile(r"[-+]?[0-9]+,[0-9]+")
_ISO_DAY = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")
_SLASHED_DAY = re.compile(r"[0-9]{1,4}[/.][0-9]{1,2}[/.][0-9]{1,4}")
_UNITS_OF = {"length_m": "m, cm, mm, in, ft", "area_ha": "ha, ac"}
LONGEST_NUMBER = 40
LONGEST_ID = 100


class UnreadableError(ValueError):
    """A cell that breaks a rule; carries the rule and what to do about it."""

    def __init__(self, rule: str, todo: str) -> None:
        self.rule, self.todo = rule, todo
        super().__init__(f"{rule}; {todo}")


def number(text: str) -> float:
    """A plain decimal number, ASCII digits and a point."""
    text = text.strip()
    if len(text) <= LONGEST_NUMBER and _NUMBER.fullmatch(text):
        value = float(text)
        if math.isfinite(value):
            return value
    _refuse_commas(text)
    raise UnreadableError("not a number", "write a plain number such as 12 or 4.5")


def _refuse_commas(text: str) -> None:
    if _THOUSANDS.fullmatch(text):
        raise UnreadableError("a number can't hold a thousands comma", f"write {text.replace(',', '')}")
    if _DECIMAL_COMMA.fullmatch(text):
        raise UnreadableError("a number needs a decimal point, not a comma", f"write {text.replace(',', '.')}")


def whole(text: str) -> int:
    """A whole number; ``3.0``, as some spreadsheets write it, is 3."""
    value = number(text)
    if value != int(value):
        raise UnreadableError("not a whole number", "write a count such as 3")
    return int(value)


def within(value: float, low: float, high: float) -> None:
    """Raise unless low <= value <= high."""
    if value < low:
        rule = "below zero" if low == 0 else f"below {low:g}"
        raise UnreadableError(rule, f"write a number from {low:g} to {high:g}")
    if value > high:
        raise UnreadableError(f"above {high:g}", f"write a number from {low:g} to {high:g}")


def measure(text: str, kind: str, bare_unit: str) -> float:
    """A length or area with or without a unit, as SI; a bare number is in ``bare_unit``."""
    text = text.strip()
    if len(text) <= LONGEST_NUMBER and _NUMBER.fullmatch(text):
        text = f"{number(text)!r}{bare_unit}"
    _refuse_commas(text)
    try:
        value = quantity(text[:200], kind, name="")
    except BadValue:
        value = math.nan
    if not math.isfinite(value):
        todo = f"write it like 12{bare_unit} (units: {_UNITS_OF[kind]}; none means {bare_unit})"
        raise UnreadableError("not a number with a unit of this kind", todo)
    return value


def day(text: str, form: str = "") -> date:
    """A date written 2016-04-30, or in the ``form`` season.toml names (as for ``time.strptime``)."""
    text = text.strip()
    match = _ISO_DAY.fullmatch(text)
    if match:
        try:
            return date(*(int(part) for part in match.groups()))
        except ValueError:
            raise UnreadableError("no such day in the calendar", "correct the date") from None
    if form:
        try:
            return date(*time.strptime(text[:60], form)[:3])
        except (ValueError, re.error, IndexError, OverflowError):
            raise UnreadableError(
                f"not a date of the form {form}", "write it in that form, or like 2016-04-30"
            ) from None
    if _SLASHED_DAY.fullmatch(text):
        raise UnreadableError(
            "day and month can't be told apart in this form",
            'write it like 2016-04-30, or give date_format = "%m/%d/%Y" in season.toml if month comes first',
        )
    raise UnreadableError("not a date", "write it like 2016-04-30")


def day_form(form: str) -> str:
    """Check that a date form reads back the days it writes; returns it."""
    for sample in (date(2016, 4, 30), date(1999, 11, 2)):
        try:
            back = date(*time.strptime(sample.strftime(form), form)[:3])
        except (ValueError, re.error, IndexError, OverflowError):
            back = None
        if back != sample:
            raise UnreadableError("not a form that holds year, month and day", 'write it like "%Y-%m-%d" or "%m/%d/%Y"')
    return form


def clean(text: str) -> str:
    """Text without odd control characters at its ends or inside; newlines and tabs may stay."""
    text = text.strip()
    if any(unicodedata.category(c) in ("Cc", "Cs") and c not in "\n\r\t" for c in text):
        raise UnreadableError("holds a character that can't be printed", "type the text again")
    return text


def identifier(text: str) -> str:
    """An id: one line, at most 100 characters, no ``/`` (it joins a field and its planting)."""
    text = clean(text)
    if "/" in text:
        raise UnreadableError("an id can't hold '/'", "use '-' instead")
    if len(text) > LONGEST_ID or any(c in text for c in "\n\r\t"):
        raise UnreadableError(f"an id is one line of at most {LONGEST_ID} characters", "write a shorter one")
    return text


def json_text(value: object) -> str:
    """A JSON value as the cell it would be in a CSV file."""
    if isinstance(value, str):
        return value
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    try:
        return str(value)
    except ValueError:  # an integer of thousands of digits
        return "a very long number"
