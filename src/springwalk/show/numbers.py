"""The only maker of shown numbers: value, range, unit and basis to text in US customary units.

Templates print nothing else: their ``finalize`` is :func:`only_shown`, which raises on a bare number or date.
"""

from __future__ import annotations

import math
from datetime import date, datetime
from typing import Any

from springwalk.jobs.results import DateRange, Range
from springwalk.units import ACRES_PER_HA, DDF_PER_DDC, MM_PER_IN, c_to_f

BASES = ("observed", "published", "trade", "memory", "assumption")
"""Where a number comes from: seen by someone, or one of the four kinds of source."""

MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_SMALL = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip
_THIN = "–"


class Shown(str):
    """Text of a number or date that is ready to be read; plain text, so templates still escape it."""

    __slots__ = ("basis",)
    basis: str

    def __new__(cls, text: str, basis: str = "") -> Shown:
        """Make shown text; ``basis`` is one of BASES or "" where the page says it elsewhere."""
        if basis and basis not in BASES:
            raise ValueError(f"basis = {basis}: not a known basis; use one of: {', '.join(BASES)}.")
        made = super().__new__(cls, text)
        made.basis = basis
        return made

    def with_basis(self) -> Shown:
        """The same text with its basis said after it, where it has one."""
        return Shown(f"{self} ({self.basis})", self.basis) if self.basis else self


def only_shown(value: Any) -> Any:
    """Let text through and raise TypeError on anything else, a bare number or date first of all.

    The ``finalize`` of every template; what could make text of a number inside one (``~``, ``%``, filters) is kept out
    of templates by a test.
    """
    if value is not None and not isinstance(value, str):
        kind = type(value).__name__
        raise TypeError(
            f"template value = {value!r} {kind}: a bare number or date cannot be printed; use show.numbers."
        )
    return "" if value is None else value


def _decimals(largest: float) -> int:
    """Decimals that suit a number of this size: two below 1, one below 10, none above."""
    size = abs(largest)
    return 2 if size < 0.995 else 1 if size < 9.95 else 0


def _plain(value: float, decimals: int) -> str:
    """A number with a true minus sign and commas in thousands."""
    text = f"{value:,.{decimals}f}"
    if float(text.replace(",", "")) == 0:
        text = text.replace("-", "")
    return text.replace("-", "−")


def number(value: float, unit: str, *, basis: str = "", decimals: int | None = None) -> Shown:
    """One number with its unit, such as ``266 °F·day``; a missing value (NaN) reads "not known"."""
    if not math.isfinite(value):
        return Shown("not known", basis)
    places = _decimals(value) if decimals is None else decimals
    return Shown(f"{_plain(value, places)} {unit}".strip(), basis)


def estimate(value: Range, unit: str, *, basis: str = "", decimals: int | None = None) -> Shown:
    """An estimate with its 10–90 % range, such as ``2.1 (1.6–3.0) per 100 plants``; NaN reads "not known"."""
    if not all(math.isfinite(x) for x in (value.low, value.mid, value.high)):
        return Shown("not known", basis)
    if value.mid < 0.005 and value.high < 0.045 and value.low >= 0 and decimals is None:
        return Shown(f"under {max(0.01, math.ceil(value.high * 100 - 1e-9) / 100):.2f} {unit}".strip(), basis)
    places = _decimals(value.mid) if decimals is None else decimals
    low, mid, high = (_plain(x, places) for x in (value.low, value.mid, value.high))
    spread = f" ({low}{_THIN}{high})" if low != high else ""
    return Shown(f"{mid}{spread} {unit}".strip(), basis)


def per_100(value: Range, *, basis: str = "assumption") -> Shown:
    """Plants per 100 plants: ``2.1 (1.6–3.0) per 100 plants``."""
    return estimate(value, "per 100 plants", basis=basis)


def share(value: Range | float, *, basis: str = "") -> Shown:
    """A share between 0 and 1 as percent: ``38 % (24–55)`` or ``38 %``."""
    if isinstance(value, Range):
        low, mid, high = (_plain(100 * x, 0) for x in (value.low, value.mid, value.high))
        spread = f" ({low}{_THIN}{high})" if low != high else ""
        return Shown(f"{mid} %{spread}", basis)
    return Shown(f"{_plain(100 * value, 0)} %", basis)


def heat(heat_ddc: float | None, *, basis: str = "") -> Shown:
    """Heat in °C·day shown as ``266 °F·day``; None reads "not known"."""
    if heat_ddc is None or not math.isfinite(heat_ddc):
        return Shown("not known", basis)
    return Shown(f"{_plain(heat_ddc * DDF_PER_DDC, 0)} °F·day", basis)


def area(area_ha: float, *, basis: str = "") -> Shown:
    """An area in hectares shown as ``78.4 acres``."""
    acres = area_ha * ACRES_PER_HA
    return Shown(f"{_plain(acres, 1 if acres < 99.95 else 0)} acres", basis)


def rain(value_mm: Range | float, *, basis: str = "") -> Shown:
    """Water in mm shown as ``1.3 in.``, or ``0.20 (0.15–0.25) in.`` for an estimate."""
    if isinstance(value_mm, Range):
        inches = Range(**{name: getattr(value_mm, name) / MM_PER_IN for name in ("low", "mid", "high")})
        return estimate(inches, "in.", basis=basis, decimals=_decimals(inches.mid))
    return number(value_mm / MM_PER_IN, "in.", basis=basis)


def temperature(value_c: Range | float, *, basis: str = "") -> Shown:
    """A temperature in °C shown as ``43 °F``, or ``46 (43–49) °F`` for an estimate."""
    if isinstance(value_c, Range):
        degrees = Range(**{name: float(c_to_f(getattr(value_c, name))) for name in ("low", "mid", "high")})
        return estimate(degrees, "°F", basis=basis, decimals=0)
    return number(float(c_to_f(value_c)), "°F", basis=basis, decimals=0)


def percent(value_pct: float, *, basis: str = "") -> Shown:
    """A number already in percent: ``71 %``."""
    return number(value_pct, "%", basis=basis, decimals=0)


def collars(value: Range | float, *, basis: str = "") -> Shown:
    """Leaf collars: ``2.6 (2.2–3.1) leaf collars``; a count seen: ``3 leaf collars``."""
    if isinstance(value, Range):
        return estimate(value, "leaf collars", basis=basis, decimals=1)
    whole = float(value).is_integer()
    unit = "leaf collar" if value == 1 else "leaf collars"
    return Shown(f"{_plain(value, 0 if whole else 1)} {unit}", basis)


def count(value: int, one: str, many: str = "", *, words: bool = True) -> Shown:
    """A count with its noun: ``no larvae``, ``one larva``, ``five fields``, ``19 fields``."""
    noun = one if value == 1 else (many or one + "s")
    said = _SMALL[value] if words and 0 <= value < len(_SMALL) else _plain(value, 0)
    return Shown(f"{said} {noun}")


def hours(value: float) -> Shown:
    """An interval as typed: ``24 hours``, ``1 hour``, ``12.5 hours``; never rounded, since people wait by it."""
    return Shown(f"{value:g} {'hour' if value == 1 else 'hours'}")


def day(value: date | None) -> Shown:
    """A date: ``22 May``; None reads "no date"."""
    return Shown("no date" if value is None else f"{value.day} {MONTHS[value.month - 1]}")


def weekday(value: date) -> Shown:
    """A date with its weekday: ``Tuesday 17 May``."""
    return Shown(f"{_WEEKDAYS[value.weekday()]} {day(value)}")


def moment(value: datetime) -> Shown:
    """A local time with its day: ``Sunday 8 May, 14:30``."""
    return Shown(f"{weekday(value.date())}, {value:%H:%M}")


def full_day(value: date) -> Shown:
    """A date with its year: ``17 May 2016``."""
    return Shown(f"{day(value)} {value.year}")


def span(first: date, last: date) -> Shown:
    """Two dates: ``19–26 May``, ``28 May–3 June`` or one day alone."""
    if first == last:
        return day(first)
    start = str(first.day) if first.month == last.month else day(first)
    return Shown(f"{start}{_THIN}{day(last)}")


def dates(value: DateRange | date | None, *, basis: str = "") -> Shown:
    """An estimated date with its 10–90 % range: ``22 May (19–26)``, ``30 May (26 May–4 June)``.

    A median that is not reached reads "not this season"; an open late end is said in words.
    """
    if value is None:
        return Shown("not known", basis)
    if isinstance(value, date):
        return Shown(day(value), basis)
    if value.mid is None:
        early = f" (at the earliest {day(value.early)})" if value.early else ""
        return Shown(f"not this season{early}", basis)
    return Shown(f"{day(value.mid)}{_spread(value)}", basis)


def _spread(value: DateRange) -> str:
    """The range in parentheses after a median that is reached."""
    early, mid, late = value.early, value.mid, value.late
    if early is None and late is None:
        return ""
    if late is None:
        return f" ({day(early)} or later, perhaps not this season)"
    if early is None:
        return f" (up to {day(late)})"
    if early == late:
        return ""
    if early.month == late.month and mid is not None and mid.month == late.month:
        return f" ({early.day}{_THIN}{late.day})"
    return f" ({span(early, late)})"


def ago(days: int) -> Shown:
    """Days back in words: ``today``, ``yesterday``, ``three days ago``."""
    if days <= 0:
        return Shown("today")
    return Shown("yesterday") if days == 1 else Shown(f"{count(days, 'day')} ago")
