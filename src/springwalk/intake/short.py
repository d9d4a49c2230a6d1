"""Weather files too short to check their unit by themselves: held against the station's other days."""

from __future__ import annotations

import statistics
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date

from springwalk.intake.days import ENOUGH_DAYS, SPRING_MONTHS, to_c
from springwalk.intake.faults import FaultList, counted
from springwalk.intake.repairs import UNITS, Command
from springwalk.records import Day
from springwalk.units import c_to_f

MOST_APART_C = 15.0
"""Medians of maxima of one station at one time of year differ less than this (assumption); a wrong unit, by more."""
NEAR_DAYS = 15
LEAP_YEAR = 366

Highs = Iterable[tuple[date, float]]
Ask = Callable[[str], Highs]


def too_short(days: Iterable[Day]) -> bool:
    """Whether a file has maxima, but too few of April to June and of March for its unit to show."""
    months = [day.date.month for day in days if day.max_c is not None]
    spring = sum(month in SPRING_MONTHS for month in months)
    return bool(months) and spring < ENOUGH_DAYS and months.count(3) < ENOUGH_DAYS


def unit_differs(
    days: Mapping[date, float], unit: str, heading: str, others: Highs, command: Command, faults: FaultList
) -> bool:
    """Whether a short file's maxima (°C by date) are far from those of other days at its time of year; listed if so.

    Where there are no others the file is kept, and a note says that its unit could not be checked.
    """
    near = {(day.timetuple().tm_yday + k) % LEAP_YEAR for day in days for k in range(-NEAR_DAYS, NEAR_DAYS + 1)}
    found = [high for day, high in others if day not in days and day.timetuple().tm_yday % LEAP_YEAR in near]
    if not found:
        tell_unchecked(unit, command, faults)
        return False
    mine_c, other_c = statistics.median(days.values()), statistics.median(found)
    if abs(mine_c - other_c) <= MOST_APART_C:
        return False
    written = _written(mine_c, unit)
    better = [one for one in UNITS if one != unit and abs(to_c(written, one) - other_c) <= MOST_APART_C]
    rule = f"the median would be {mine_c:.1f} °C; the station's other days at this time of year have {other_c:.1f} °C"
    if better:
        rule += f"; read as {better[0]} it is {to_c(written, better[0]):.1f} °C"
    rule += f"; all {len(days)} {counted(len(days), 'day')} held back"
    units = "".join(f"if the unit is {one}: {command.unit(one)}; " for one in better[:1])
    todo = f"{units}if it is right: {command.plain('as-is')}"
    faults.suspected(0, f"median {heading}", f"{written:.4g}", rule, todo, unit=unit, rows=len(days))
    return True


def tell_unchecked(unit: str, command: Command, faults: FaultList) -> None:
    """Note that nothing tells whether a file's unit is right."""
    where = "--unit" if command.folder is None else "temperature_unit in season.toml"
    faults.note(0, "unit", unit, f"too few days to check the unit ({unit} taken)", f"give {where} if it is another")


def _written(value_c: float, unit: str) -> float:
    """A temperature in °C as the file writes it."""
    if unit == "F":
        return float(c_to_f(value_c))
    return value_c * 10.0 if unit == "tenths C" else value_c


def highs_of(days: Sequence[Day]) -> dict[date, float]:
    """The maxima of days that have one, in °C."""
    return {day.date: day.max_c for day in days if day.max_c is not None}
