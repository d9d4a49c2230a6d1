"""Reading one cell: text to a number, a date, an id. Each raises ``UnreadableError`` with the rule and what to do."""

from __future__ import annotations

import math
import re
import time
from datetime import date

from springwalk.errors import BadValue
from springwalk.intake.faults import printable
from springwalk.units import quantity

_NUMBER = re.compile(r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]{1,3})?")
_THOUSANDS = re.compile(r"[-+]?[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]*)?")
_DECIMAL_COMMA = re.compile(r"[-+]?[0-9]+,[0-9]+")
_ISO_DAY = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")
_SLASHED_DAY = re.compile(r"[0-9]{1,4}[/.][0-9]{1,2}[/.][0-9]{1,4}")
_TIME_AFTER = re.compile(r"(?<=[0-9])(?:T| +)[0-9]{1,2}:[0-9]{2}(?::[0-9]{2}(?:\.[0-9]+)?)?(?: ?[AaPp][Mm])?Z?$")
_TALLY = re.compile(r"[|/\\ ]{1,40}|[Il|/\\]{2,40}|I|l")
_HOUR = re.compile(r"([0-9]{1,2})(?:[:.h]([0-9]{2})?)?\s*(?:([ap])\.?m?\.?)?", re.IGNORECASE)
_STAGE = re.compile(r"v\s*-?([0-9]+(?:\.[0-9]+)?)", re.IGNORECASE)
_STAGES = re.compile(r"v?\s*[0-9e.]+\s*(?:-|–|/|to)\s*v?\s*[0-9.]+", re.IGNORECASE)
_UNITS_OF = {"length_m": "m, cm, mm, in, ft", "area_ha": "ha, ac"}
LONGEST_NUMBER = 40
LONGEST_ID = 100
MOST_SEARCHED = 100_000


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
    if _TALLY.fullmatch(text):
        raise UnreadableError("tally marks, not a number", "count them and write the number")
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
    """A date written 2016-04-30, or in the ``form`` season.toml names (as for ``time.strptime``).

    A time of day after it is passed over, unless the form itself holds one.
    """
    text = text.strip()[:60]
    if "%H" not in form and "%I" not in form:
        text = _TIME_AFTER.sub("", text)
    match = _ISO_DAY.fullmatch(text)
    if match:
        try:
            return date(*(int(part) for part in match.groups()))
        except ValueError:
            raise UnreadableError("no such day in the calendar", "correct the date") from None
    if form:
        try:
            return date(*time.strptime(text, form)[:3])
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


def hour(text: str) -> int:
    """The hour of a day, 0–23: ``8``, ``8 am``, ``5 pm``, ``17:30``."""
    match = _HOUR.fullmatch(text.strip()[:20])
    value, minute = (int(match[1]), int(match[2] or 0)) if match else (number(text), 0)
    half = (match[3] or "").casefold() if match else ""
    todo = "write it like 8, 17:30 or 5 pm"
    if value != int(value) or minute > 59 or (half and not 1 <= value <= 12):
        raise UnreadableError("not an hour of the day", todo)
    within(value, 0, 23)
    return int(value) % 12 + (12 if half == "p" else 0) if half else int(value)


def collars(text: str) -> tuple[float, bool]:
    """Leaf collars from 0 to 20, and whether they were told as a V stage (``V2``; ``VE`` is 0): that is by collar."""
    match = _STAGE.fullmatch(text.strip()[:20])
    staged = match is not None or text.strip().casefold() == "ve"
    if match is None and _STAGES.fullmatch(text.strip()[:20]):
        raise UnreadableError("two stages, not one", "write the stage of a usual plant, such as V2 or 2.5")
    value = float(match[1]) if match else 0.0 if staged else number(text)
    within(value, 0, 20)
    return value, staged


def searched(text: str) -> int:
    """How many plants were searched for larvae."""
    if text.strip().casefold() in ("yes", "no", "y", "n", "true", "false"):
        raise UnreadableError(
            "a number of plants is meant, not yes or no", "write how many plants were searched for larvae, or blank it"
        )
    value = whole(text)
    within(value, 0, MOST_SEARCHED)
    return value


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


def one_line(text: str) -> str:
    """Text of printable characters on one line: what turns the direction of writing or hides is refused too."""
    return _printed(text.strip(), "")


def lines(text: str) -> str:
    """A note: like ``one_line``, but it may run over several lines."""
    return _printed(text.strip(), "\n\r\t")


def _printed(text: str, allowed: str) -> str:
    odd = next((c for c in text if not c.isprintable() and c not in allowed), None)
    if odd is None:
        return text
    if odd in "\n\r":
        raise UnreadableError("holds a line break", "write it on one line")
    raise UnreadableError(f"holds a character that can't be printed ({printable(odd)})", "type the text again")


def identifier(text: str) -> str:
    """An id: one line, at most 100 characters, no ``/`` (it joins a field and its planting)."""
    text = one_line(text)
    if "/" in text:
        raise UnreadableError("an id can't hold '/'", "use '-' instead")
    if len(text) > LONGEST_ID:
        raise UnreadableError(f"an id has at most {LONGEST_ID} characters", "write a shorter one")
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
