"""Checking weather days: unit, bounds, swapped extremes, doubled and missing dates."""

from __future__ import annotations

import statistics
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from springwalk.intake.faults import FaultList, counted, some
from springwalk.intake.rawdays import RawDay, RawFile
from springwalk.intake.repairs import UNITS, Command, Repair
from springwalk.records import Day
from springwalk.units import MM_PER_IN, f_to_c

COLDEST_C, HOTTEST_C = -60.0, 60.0
MOST_RAIN_MM = 2000.0  # more than has been measured anywhere in one day
ENOUGH_DAYS = 10
SPRING_MONTHS = (4, 5, 6)
PLAUSIBLE_SPRING_C = (10.0, 38.0)
"""Median daytime maximum of April to June where corn is grown (assumption, wide on purpose). Written in °F, °C and
tenths °C the three ranges hardly overlap, so a file read in the wrong unit shows."""
PLAUSIBLE_MARCH_C = (-5.0, 28.0)
"""The same for March, used where the file has too few days of April to June."""
MOST_RANGES = 12
RAIN_WORDS = {"in": "inches", "mm": "mm", "tenths mm": "tenths of mm"}


@dataclass(frozen=True)
class Reading:
    """How a file's numbers are to be read and whose days they are."""

    temperature_unit: str
    rain_unit: str
    station: str
    source: str
    year: int | None = None
    today: date | None = None
    rain_assumed: bool = False
    """Whether nobody told the rain's unit, so that it goes with the temperature unit."""


def to_c(value: float, unit: str) -> float:
    """A temperature in one of the file units as °C."""
    if unit == "F":
        return float(f_to_c(value))
    return value / 10.0 if unit == "tenths C" else value


def to_mm(value: float, unit: str) -> float:
    """Rain in one of the file units as mm."""
    if unit == "in":
        return value * MM_PER_IN
    return value / 10.0 if unit == "tenths mm" else value


def check_days(
    raw: RawFile, reading: Reading, repair: Repair, command: Command, faults: FaultList
) -> dict[date, tuple[int, Day]]:
    """Good days by date, each with its row. Days whose unit is in doubt are all held back."""
    rows = _of_the_season(raw.days, reading, faults)
    if not repair.as_is and unit_in_doubt(rows, raw, reading, command, faults):
        return {}
    found: dict[date, tuple[int, Day]] = {}
    for one in once(rows, raw, faults):
        day = day_of(one, raw, reading, repair, command, faults)
        if day is not None:
            found[day.date] = (one.row, day)
    if repair.unit:
        _tell_repaired(repair.unit, raw, reading, faults)
    return dict(sorted(found.items()))


def _tell_repaired(unit: str, raw: RawFile, reading: Reading, faults: FaultList) -> None:
    rule, todo = "temperatures were read in this unit, as told", "write it in season.toml too"
    if reading.rain_assumed and any(one.rain is not None for one in raw.days):
        rule += f"; the rain is still read in {RAIN_WORDS[reading.rain_unit]}"
        units = f'temperature_unit = "{unit}" and rain_unit = "{reading.rain_unit}"'
        todo = f"write {units}, or its right unit, in season.toml"
    faults.note(0, "unit", unit, rule, todo)


def _of_the_season(rows: Iterable[RawDay], reading: Reading, faults: FaultList) -> list[RawDay]:
    """Days up to today and the end of the season's year; earlier years stay, they are the station's past."""
    rows = list(rows)
    late = [one for one in rows if reading.today is not None and one.day > reading.today]
    if late:
        rule = f"after today ({reading.today}): {_span([one.day for one in late])}; these rows are left out"
        faults.refused(
            late[0].row, "date", len(late), rule, "keep only days that were measured", unit=counted(len(late), "day"),
            rows=len(late),
        )  # fmt: skip
    rows = [one for one in rows if reading.today is None or one.day <= reading.today]
    later = [one for one in rows if reading.year is not None and one.day.year > reading.year]
    if later:
        rule = f"later than the season's year {reading.year}: {_span([one.day for one in later])}; left out"
        faults.refused(
            later[0].row, "date", len(later), rule, "name another file for this season",
            unit=counted(len(later), "day"), rows=len(later),
        )  # fmt: skip
    return [one for one in rows if reading.year is None or one.day.year <= reading.year]


def tell_other_years(days: Iterable[Day], year: int, faults: FaultList) -> None:
    """Note that none of a file's days is of the season's year."""
    number = len(list(days))
    if number:
        rule = f"none of the season's year {year}; they are kept as the station's past"
        faults.note(0, "date", number, rule, "name a file with this year's days too", unit=counted(number, "day"))


def _span(days: list[date]) -> str:
    return f"{min(days)} to {max(days)}"


def unit_in_doubt(rows: list[RawDay], raw: RawFile, reading: Reading, command: Command, faults: FaultList) -> bool:
    """Whether spring's maxima are no temperatures of corn country in this unit, but are in another; listed if so."""
    for months, words, band in (
        (SPRING_MONTHS, "April to June", PLAUSIBLE_SPRING_C),
        ((3,), "March", PLAUSIBLE_MARCH_C),
    ):
        values = [one.maximum for one in rows if one.day.month in months and one.maximum is not None]
        if len(values) < ENOUGH_DAYS:
            continue
        median = statistics.median(values)
        unit = reading.temperature_unit
        better = [other for other in UNITS if other != unit and band[0] <= to_c(median, other) <= band[1]]
        if band[0] <= to_c(median, unit) <= band[1] or not better:
            return False
        rule = (
            f"the median of {words} would be {to_c(median, unit):.1f} °C; read as {better[0]} it is "
            f"{to_c(median, better[0]):.1f} °C; all {len(rows)} days are held back"
        )
        todo = f"if the unit is {better[0]}: {command.unit(better[0])}; if it is right: {command.plain('as-is')}"
        faults.suspected(
            0, f"median {raw.headings.get('max', 'max')}", f"{median:g}", rule, todo, unit=unit, rows=len(rows)
        )
        return True
    return False


def once(rows: list[RawDay], raw: RawFile, faults: FaultList) -> list[RawDay]:
    """Every date once: a copy is noted, a date told with different values is refused in all its rows."""
    groups: dict[date, list[RawDay]] = {}
    for one in rows:
        groups.setdefault(one.day, []).append(one)
    kept = []
    column = raw.headings.get("date", "date")
    for day, group in groups.items():
        same = all(one.values == group[0].values for one in group)
        if same:
            kept.append(group[0])
        for one in group[1:] if same else group:
            rows_told = some([str(other.row) for other in group if other is not one])
            if same:
                faults.note(
                    one.row,
                    column,
                    day,
                    f"told twice, with the same values (also in row {rows_told})",
                    "delete one of the two",
                )
            else:
                rule = f"told twice with different values (also in row {rows_told})"
                faults.refused(one.row, column, day, rule, "keep the right one, delete the other", who=one.who)
    return kept


def day_of(
    one: RawDay, raw: RawFile, reading: Reading, repair: Repair, command: Command, faults: FaultList
) -> Day | None:
    """One day in °C and mm; None, with its faults listed, where a value is out of bounds or extremes are exchanged."""
    unit = reading.temperature_unit
    bad = False
    for ours, value in (("max", one.maximum), ("min", one.minimum)):
        if value is not None and not COLDEST_C <= to_c(value, unit) <= HOTTEST_C:
            rule = f"outside ±60 °C ({to_c(value, unit):.1f} °C)"
            column, todo = raw.headings.get(ours, ours), "correct or blank it"
            faults.refused(one.row, column, f"{value:g}", rule, todo, unit=unit, who=one.who)
            bad = True
    rain_mm = None if one.rain is None else to_mm(one.rain, reading.rain_unit)
    if rain_mm is not None and not 0 <= rain_mm <= MOST_RAIN_MM:
        rule = "rain can't be below zero" if rain_mm < 0 else f"above {MOST_RAIN_MM:g} mm in one day"
        faults.refused(
            one.row,
            raw.headings.get("rain", "rain"),
            f"{one.rain:g}",
            rule,
            "correct or blank it",
            unit=reading.rain_unit,
            who=one.who,
        )
        bad = True
    maximum, minimum = one.maximum, one.minimum
    if not bad and maximum is not None and minimum is not None and minimum > maximum:
        told, column = f"min {minimum:g} > max {maximum:g}", raw.headings.get("min", "min")
        if repair.swap:
            faults.note(one.row, column, told, "the two were exchanged, as told", "mend the file too", unit=unit)
            maximum, minimum = minimum, maximum
        else:
            rule, todo = "the two look exchanged; the day is left out", f"correct it, or if so: {command.plain('swap')}"
            faults.suspected(one.row, column, told, rule, todo, unit=unit)
            bad = True
    if bad or one.values == (None, None, None):
        return None
    return Day(
        station=reading.station,
        date=one.day,
        min_c=None if minimum is None else to_c(minimum, unit),
        max_c=None if maximum is None else to_c(maximum, unit),
        rain_mm=rain_mm,
        source=reading.source,
    )


def missing_days(days: Iterable[Day], year: int | None) -> tuple[date, ...]:
    """Dates between the first and the last day (of ``year``, if given) that lack a maximum or a minimum."""
    listed = [day for day in days if year is None or day.date.year == year]
    if not listed:
        return ()
    whole = {day.date for day in listed if day.min_c is not None and day.max_c is not None}
    first, last = min(day.date for day in listed), max(day.date for day in listed)
    every = (first + timedelta(days=k) for k in range((last - first).days + 1))
    return tuple(day for day in every if day not in whole)


def ranges(days: Iterable[date]) -> list[str]:
    """Runs of days as text: ``2016-05-03 to 2016-05-05``."""
    runs: list[list[date]] = []
    for day in sorted(days):
        if runs and day - runs[-1][-1] == timedelta(days=1):
            runs[-1].append(day)
        else:
            runs.append([day])
    return [f"{run[0]} to {run[-1]}" if len(run) > 1 else f"{run[0]}" for run in runs]


def tell_missing(missing: tuple[date, ...], faults: FaultList) -> None:
    """One note that counts the missing days and names their runs."""
    if missing:
        rule = f"no maximum or no minimum: {some(ranges(missing), MOST_RANGES)}"
        todo = "add them if they can be had; up to 3 days in a row are filled, longer gaps stop the heat count"
        faults.note(0, "missing", len(missing), rule, todo, unit=counted(len(missing), "day"))
