"""The degree-day calculator and the winter index: questions on heat that need no store."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, NoReturn, cast

from springwalk.engine.heat import CUTOFFS, NAMED, Cutoff, Method, Shape, degree_days
from springwalk.engine.winter_index import class_of, winter_sum_f
from springwalk.errors import BadFile, BadValue
from springwalk.tables import rows, sources
from springwalk.units import DDF_PER_DDC, c_to_f, f_to_c

if TYPE_CHECKING:
    from springwalk.intake import Fault
    from springwalk.records import Day

Unit = Literal["F", "C"]
Extremes = tuple[float | None, float | None]

COLDEST_C, HOTTEST_C = -60.0, 60.0
LONGEST_FILL_DAYS = 3
MOST_DAYS = 3700  # ten years: a slip in a year must not walk through centuries
_TIDY = 9  # decimals kept: what lies beyond is the rounding of °F to °C and back
_DEFAULTS_F = (50.0, 86.0)
_DEFAULTS_C = (10.0, 30.0)
_WINTER, _WINTER_SCHEME = "flea_beetle_index", "Ohio"
_TENTHS = "tenths C"


def heat_of_day(
    *,
    minimum: float,
    maximum: float,
    lower: float | None = None,
    upper: float | None = None,
    unit: str = "F",
    method: str | None = None,
    shape: str | None = None,
    cutoff: str | None = None,
    next_minimum: float | None = None,
    double: bool = False,
) -> dict[str, Any]:
    """Degree-days of one day from its extremes.

    Every temperature is in ``unit`` (F or C); thresholds not given are 50/86 °F or 10/30 °C. A named ``method``, or a
    ``shape`` with a ``cutoff`` (single sine, horizontal if nothing is said). Answers ``degree_days``, ``unit``
    ("°F·day" or "°C·day") and ``method``. Raises BadValue outside −60 … 60 °C, for swapped extremes and for a method
    that means nothing. Source: engine.heat.
    """
    chosen = method_of(method=method, shape=shape, cutoff=cutoff, lower=lower, upper=upper, unit=unit, double=double)
    next_c = None if next_minimum is None else _physical("next_min", next_minimum, unit)
    low_c, high_c = _physical("min", minimum, unit), _physical("max", maximum, unit)
    if low_c > high_c:
        raise BadValue("min", f"{minimum:g}", f"above max = {maximum:g}", "swap or correct the two", unit=f"°{unit}")
    if next_c is not None and next_c > high_c:
        told = f"above max = {maximum:g}"
        raise BadValue("next_min", f"{next_minimum:g}", told, "correct one of the two", unit=f"°{unit}")
    heat_ddc = float(degree_days(low_c, high_c, chosen, next_min_c=next_c))
    return {"degree_days": _heat_in(heat_ddc, unit), "unit": f"°{unit}·day", "method": _words(chosen, unit)}


def heat_sum(
    file: Path,
    *,
    start: date,
    end: date,
    unit: str = "F",
    method: str | None = None,
    shape: str | None = None,
    cutoff: str | None = None,
    lower: float | None = None,
    upper: float | None = None,
    double: bool = False,
    fill: bool = False,
    swap: bool = False,
    as_is: bool = False,
) -> dict[str, Any]:
    """Degree-days from ``start`` to ``end``, both counted, from a file of daily extremes.

    ``unit`` (F, C, or "tenths C" for a file in them) is that of the file, the thresholds and the answer. A day without
    both extremes (with ``double``: or the next minimum) is left out and counted in ``missing``; with ``fill``,
    gaps of up to 3 days are filled on a straight line and counted in ``filled``. ``days`` are the days in the sum,
    ``faults`` what was left out of the file or suspected in it; ``swap`` and ``as_is`` repair or confirm a suspected
    file. Raises BadValue for dates in the wrong order and where no day in the span can be counted, BadFile for a file
    that gives no day.
    """
    from springwalk.intake import Repair, read_weather

    file_unit, unit = unit, "C" if unit == _TENTHS else unit
    chosen = method_of(method=method, shape=shape, cutoff=cutoff, lower=lower, upper=upper, unit=unit, double=double)
    _check_span(start, end)
    read = read_weather(file, temperature_unit=file_unit, repair=Repair(swap=swap, as_is=as_is))
    faults = [fault for fault in read.faults if fault.severity != "note"]
    if faults and not read.days:
        _refuse_file(faults[0], len(faults))
    series = _extremes(read.days)
    filled = _fill(series, start, end + timedelta(days=1)) if fill else set()
    counted: list[tuple[float, float, float | None]] = []
    for today in _span(start, end):
        low, high = series.get(today, (None, None))
        following = series.get(today + timedelta(days=1), (None, None))[0]
        if low is None or high is None or low > high:  # a filled minimum can come out above the day's own maximum
            continue
        if following is not None or not double:
            counted.append((low, high, following))
    if not counted:
        raise BadValue(
            "from … to", f"{start} … {end}", f"{file.name} holds no whole day of it", "check the dates and the file"
        )
    lows, highs = [row[0] for row in counted], [row[1] for row in counted]
    # The next minimum can lie above this maximum where a warm front comes in; the day then ends at its maximum.
    following_c = [min(cast(float, row[2]), row[1]) for row in counted] if double else None
    total = float(degree_days(lows, highs, chosen, next_min_c=following_c).sum())
    return {
        "degree_days": _heat_in(total, unit),
        "unit": f"°{unit}·day",
        "method": _words(chosen, unit),
        "days": len(counted),
        "missing": (end - start).days + 1 - len(counted),
        "filled": sum(start <= d <= end for d in filled),
        "from": start.isoformat(),
        "to": end.isoformat(),
        "faults": [str(fault) for fault in faults],
    }


def wilt_index(*, mean_dec_c: float, mean_jan_c: float, mean_feb_c: float) -> dict[str, Any]:
    """Winter index for the corn flea beetle and Stewart's wilt from three monthly means in °C.

    ``sum_f`` is the sum of the means in °F; the class is by the breaks 90, 95 and 100 of Ohio State. It can be too low
    under snow, and says nothing of whether beetles carry the bacterium. Raises BadValue outside −60 … 60 °C.
    """
    for name, value in (("mean_dec", mean_dec_c), ("mean_jan", mean_jan_c), ("mean_feb", mean_feb_c)):
        _physical(name, float(c_to_f(value)), "F")
    classes = [row for row in rows(_WINTER) if row["scheme"] == _WINTER_SCHEME]
    sum_f = round(winter_sum_f(mean_dec_c, mean_jan_c, mean_feb_c), _TIDY)
    found = classes[class_of(sum_f, [float(row["low"]) for row in classes[1:]])]
    return {"sum_f": sum_f, "class": found["class"], "source": sources()[found["source"]].cite}


def method_of(
    *,
    method: str | None,
    shape: str | None,
    cutoff: str | None,
    lower: float | None,
    upper: float | None,
    unit: str,
    double: bool,
) -> Method:
    """The way to count heat that a person named, thresholds in ``unit``; raises BadValue for one that means nothing."""
    if unit not in ("F", "C"):
        raise BadValue("unit", unit, "not a unit of temperature", "use F or C")
    name = _one_name(method, shape, cutoff)
    defaults = _DEFAULTS_F if unit == "F" else _DEFAULTS_C
    low = defaults[0] if lower is None else lower
    high = defaults[1] if upper is None else upper
    base = NAMED[name]
    chosen_cutoff = cast(Cutoff, cutoff) if cutoff else base.cutoff
    lower_c = _physical("lower", low, unit)
    if name == "average" or (base.curved and chosen_cutoff == "none"):
        return replace(base, cutoff="none", lower_c=lower_c, upper_c=None, double=double)
    upper_c = _physical("upper", high, unit)
    if not lower_c < upper_c:
        raise BadValue(
            "upper", f"{high:g}", f"must be above lower = {low:g}", "correct one of the two", unit=f"°{unit}"
        )
    return replace(base, cutoff=chosen_cutoff, lower_c=lower_c, upper_c=upper_c, double=double)


def _one_name(method: str | None, shape: str | None, cutoff: str | None) -> Shape:
    """One name of a method from the three options, which must not contradict each other."""
    if method is not None and shape is not None:
        raise BadValue("method", method, f"cannot go with --shape {shape}", "give one of the two")
    if shape is not None and shape not in ("sine", "triangle"):
        raise BadValue("shape", shape, "not a course of the day", "use sine or triangle; for the rest, --method")
    name = method or shape or "sine"
    if name not in NAMED:
        raise BadValue("method", name, "no such way of counting heat", f"use one of {', '.join(NAMED)}")
    if cutoff is not None and cutoff not in CUTOFFS:
        raise BadValue("cutoff", cutoff, "no such cutoff", f"use one of {', '.join(CUTOFFS)}")
    if cutoff is not None and not NAMED[name].curved:
        raise BadValue("cutoff", cutoff, f"method {name} has no cutoff to choose", "leave --cutoff out")
    return cast(Shape, name)


def _physical(name: str, value: float, unit: str) -> float:
    """The temperature in °C; raises BadValue where it is no number or outside what air can be."""
    value_c = value if unit == "C" else f_to_c(value)
    if not math.isfinite(value) or not COLDEST_C <= value_c <= HOTTEST_C:
        limits = "−60 … 60 °C" if unit == "C" else "−76 … 140 °F"
        raise BadValue(name, f"{value:g}", f"outside {limits}", "check the number and --unit", unit=f"°{unit}")
    return float(value_c)


def _words(method: Method, unit: str) -> str:
    """The method in words with its thresholds in ``unit``."""

    def shown(value_c: float) -> str:
        return f"{round(value_c if unit == 'C' else float(c_to_f(value_c)), 2):g}"

    if method.upper_c is None:
        return f"{method.label}, above {shown(method.lower_c)} °{unit}"
    return f"{method.label}, {shown(method.lower_c)}–{shown(method.upper_c)} °{unit}"


def _heat_in(heat_ddc: float, unit: str) -> float:
    return round(heat_ddc if unit == "C" else heat_ddc * DDF_PER_DDC, _TIDY)


def _refuse_file(fault: Fault, faults: int) -> NoReturn:
    """Raise the first fault of a file that gave no day at all."""
    more = f" (and {faults - 1} faults more)" if faults > 1 else ""
    name, _, _ = str(fault).partition(" = ")
    raise BadFile(name, fault.value, fault.rule, fault.todo + more, unit=fault.unit)


def _check_span(start: date, end: date) -> None:
    if end < start:
        raise BadValue("to", end, f"before from = {start}", "swap the two dates")
    if (end - start).days >= MOST_DAYS:
        raise BadValue("to", end, f"more than {MOST_DAYS} days after from = {start}", "check the years")


def _span(start: date, end: date) -> list[date]:
    return [start + timedelta(days=k) for k in range((end - start).days + 1)]


def _extremes(days: Sequence[Day]) -> dict[date, Extremes]:
    """Minimum and maximum by date; refuses a file of more than one station."""
    stations = sorted({day.station for day in days})
    if len(stations) > 1:
        told = "a sum over more than one station means nothing"
        raise BadValue("stations", ", ".join(stations[:5]), told, "keep the rows of one station")
    return {day.date: (day.min_c, day.max_c) for day in days}


def _fill(series: dict[date, Extremes], start: date, end: date) -> set[date]:
    """Fill gaps of up to 3 days in place on a straight line between their neighbours; the dates that were filled."""
    filled: set[date] = set()
    for part in (0, 1):
        known = sorted(d for d, row in series.items() if row[part] is not None)
        for before, after in pairwise(known):
            gap = (after - before).days - 1
            if not 0 < gap <= LONGEST_FILL_DAYS:
                continue
            first, last = cast(float, series[before][part]), cast(float, series[after][part])
            for k in range(1, gap + 1):
                day = before + timedelta(days=k)
                if start <= day <= end:
                    row = list(series.get(day, (None, None)))
                    row[part] = first + (last - first) * k / (gap + 1)
                    series[day] = (row[0], row[1])
                    filled.add(day)
    return filled
