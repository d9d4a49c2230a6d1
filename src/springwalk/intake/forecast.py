"""Ensemble forecasts of a station: a file's members, checked like measured days, to one ``Forecast`` a day of issue."""

from __future__ import annotations

import re
import statistics
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

from springwalk.intake.days import ENOUGH_DAYS, Reading, day_of, once, to_c, unit_in_doubt
from springwalk.intake.faults import Fault, FaultList, FileRead, counted
from springwalk.intake.files import LIMIT_BYTES, read_bytes, read_text
from springwalk.intake.forecast_netcdf import is_netcdf, read_netcdf
from springwalk.intake.forecast_table import Member, RawForecast, read_forecast_table
from springwalk.intake.rawdays import RawDay
from springwalk.intake.repairs import Command, Repair
from springwalk.intake.short import Highs, unit_differs
from springwalk.intake.stations import RAIN_WITH, StationFiles
from springwalk.records import Day, Forecast

MOST_DAYS = 100
MOST_MEMBERS = 500
"""Longer and larger than any ensemble for a season's decisions; more is another kind of file."""
_DAY_IN_NAME = re.compile(r"(?<![0-9])(20[0-9]{2})[-_]?([01][0-9])[-_]?([0-3][0-9])(?![0-9])")
Days = dict[date, Day]


@dataclass(frozen=True)
class Asked:
    """What reading one forecast needs to know beside the file: its station's block, the day, and how to mend it."""

    block: StationFiles
    timezone: str
    today: date
    repair: Repair
    command: Command
    highs: Highs = ()
    """(date, maximum in °C) of the station's other days: a forecast in the wrong unit is far from them."""


def read_forecast(folder: Path, name: str, asked: Asked, *, limit_bytes: int = LIMIT_BYTES) -> FileRead:
    """One forecast file (CSV, or NetCDF with the extra ``forecast``) as records, one for each day of issue.

    Rows counted are days of members. A day of a member that is refused, or that the file does not have, is a hole
    (None) in its row of the record.
    """
    faults = FaultList(name)
    forecast, sha256 = _raw(folder / name, faults, asked, limit_bytes)
    records: list[Forecast] = []
    if forecast is not None and _fits(forecast, faults):
        unit = _unit(forecast, asked)
        for issued, members in _by_issue(forecast, name, faults).items():
            if not _to_come(issued, members, asked, faults) and not _in_doubt(members, unit, asked, faults):
                record = _record(issued, members, unit, forecast, name, asked, faults)
                records += [] if record is None else [record]
    # never complete: what an earlier forecast told is not missing from a later one
    return FileRead(name, sha256, tuple(records), (), faults.listed(), faults.rows, faults.left_out, complete=False)


def _raw(path: Path, faults: FaultList, asked: Asked, limit_bytes: int) -> tuple[RawForecast | None, str]:
    if is_netcdf(path.name):
        file = read_bytes(path, faults, limit_bytes=limit_bytes)
        station = asked.block.station
        return (None if file.data is None else read_netcdf(file.data, faults, station, asked.timezone)), file.sha256
    text = read_text(path, faults, limit_bytes=limit_bytes)
    if text.text is None:
        return None, text.sha256
    return read_forecast_table(text.text, faults, asked.block.columns, asked.block.date_form), text.sha256


def _fits(forecast: RawForecast, faults: FaultList) -> bool:
    """Whether there is something, and not more than an ensemble has."""
    if not forecast.members:
        if not any(fault.severity == "refused" for fault in faults.listed()):
            faults.note(0, "rows", 0, "no day in the file", "add days when there are some")
        return False
    if len({one.name for one in forecast.members}) > MOST_MEMBERS:
        rule = f"more than {MOST_MEMBERS} members"
        faults.not_read(0, "members", len(forecast.members), rule, "check the column of the members")
        return False
    return True


def _unit(forecast: RawForecast, asked: Asked) -> str:
    """The unit of the extremes: asked for, in the headings, told of this station's forecasts or its other files."""
    block = asked.block
    station = block.temperature_unit if block.temperature_unit != "tenths C" else ""
    return asked.repair.unit or forecast.temperature_unit or block.forecast_unit or station or "F"


def _by_issue(forecast: RawForecast, name: str, faults: FaultList) -> dict[date, list[Member]]:
    """Members by day of issue. Where the file does not tell it, its name or its first day does: that is said aloud."""
    given, by = forecast.issued, ""
    if given is None:
        given, by = _named_day(name), "the file's name"
    if given is None:
        days = [day.day for one in forecast.members for day in one.raw.days]
        given, by = (min(days) if days else None), "the first day in the file"
    if by and given is not None and any(one.issued is None for one in forecast.members):
        todo = "name it in a column issued, or in a first line: # issued: 2016-04-29"
        faults.note(0, "issued", given, f"taken from {by}", todo)
    found: dict[date, list[Member]] = {}
    for one in forecast.members:
        issued = one.issued or given
        if issued is not None:
            found.setdefault(issued, []).append(one)
    return found


def _named_day(name: str) -> date | None:
    match = _DAY_IN_NAME.search(Path(name).name)
    try:
        return None if match is None else date(*(int(part) for part in match.groups()))
    except ValueError:
        return None


def _to_come(issued: date, members: Sequence[Member], asked: Asked, faults: FaultList) -> bool:
    """Leave out a forecast made after today, and days before it was made."""
    days = sum(len(one.raw.days) for one in members)
    if issued > asked.today:
        rule, todo = f"issued after today ({asked.today}); it is left out", "correct the day of issue"
        faults.refused(0, "issued", issued, rule, todo, rows=days)
        return True
    early: list[RawDay] = []
    for one in members:
        early += [day for day in one.raw.days if day.day < issued - timedelta(days=1)]
        one.raw.days = [day for day in one.raw.days if day.day >= issued - timedelta(days=1)]
    if early:
        rule = f"before the forecast was issued ({issued}); left out"
        todo = "correct the dates or the day of issue"
        unit = counted(len(early), "row")
        faults.refused(early[0].row, "date", len(early), rule, todo, unit=unit, rows=len(early), who=(issued, "early"))
    return False


def _in_doubt(members: list[Member], unit: str, asked: Asked, faults: FaultList) -> bool:
    """Whether the file looks written in another unit: it is held back then, with its repair."""
    repair = asked.repair
    if repair.as_is or not any(one.raw.days for one in members):
        return False
    highs: dict[date, list[float]] = {}
    for one in members:
        for day in one.raw.days:
            if day.maximum is not None:
                highs.setdefault(day.day, []).append(day.maximum)
    raw, middles = members[0].raw, {day: statistics.median(values) for day, values in highs.items()}
    rows = [RawDay(0, day, value) for day, value in sorted(middles.items())]
    reading = Reading(unit, "", asked.block.station.id, faults.file)
    if len(rows) >= ENOUGH_DAYS:
        return unit_in_doubt(rows, raw, reading, asked.command, faults)
    if repair.unit or not rows:
        return False
    in_c = {day: to_c(value, unit) for day, value in sorted(middles.items())}
    heading = raw.headings.get("max", "max")
    return unit_differs(in_c, unit, heading, list(asked.highs), asked.command, faults)


def _record(
    issued: date, members: list[Member], unit: str, forecast: RawForecast, name: str, asked: Asked, faults: FaultList
) -> Forecast | None:
    """The forecast of one issue, its members in order of their number; None where nothing of it is left."""
    station = asked.block.station.id
    reading = Reading(unit, forecast.rain_unit or RAIN_WITH[unit], station, name)
    read: dict[str, Days] = {}
    for one in members:
        found = read.setdefault(one.name, {})
        for raw_day in once(one.raw.days, one.raw, faults):
            day = day_of(raw_day, one.raw, reading, asked.repair, asked.command, faults)
            if day is not None:
                found[day.date] = day
    told = sorted(day for days in read.values() for day in days)
    if not told:
        return None
    first, span = told[0], (told[-1] - told[0]).days + 1
    if span > MOST_DAYS:
        rule = f"reaches over {span} days, more than {MOST_DAYS}; it is left out"
        faults.refused(0, "date", f"{first} to {told[-1]}", rule, "correct the dates", rows=len(told))
        return None
    days = [first + timedelta(days=k) for k in range(span)]
    rows = [read[member] for member in sorted(read, key=_order) if read[member]]
    return Forecast(
        station=station, issued=issued, first=first, source=name,
        min_c=tuple(tuple(_get(row, day, "min_c") for day in days) for row in rows),
        max_c=tuple(tuple(_get(row, day, "max_c") for day in days) for row in rows),
        rain_mm=_rain(rows, days),
    )  # fmt: skip


def _rain(rows: list[Days], days: list[date]) -> tuple[tuple[float | None, ...], ...]:
    if all(day.rain_mm is None for row in rows for day in row.values()):
        return ()
    return tuple(tuple(_get(row, day, "rain_mm") for day in days) for row in rows)


def _get(row: Days, day: date, item: str) -> float | None:
    return getattr(row[day], item) if day in row else None


def _order(member: str) -> tuple[int, str]:
    return (int(member), "") if member.isdecimal() else (10**6, member)


def once_issued(read: FileRead, before: Sequence[FileRead]) -> FileRead:
    """A forecast file without what an earlier file of the same station tells too; that is refused."""
    told = {record.natural_key(): each.name for each in before for record in each.records}
    kept, faults = [], list(read.faults)
    for record in read.records:
        other = told.get(record.natural_key())
        if other is None:
            kept.append(record)
        else:
            rule = f"{other} tells a forecast of this station and day of issue too"
            place = record.natural_key().rpartition(":")[2]
            faults.append(Fault(read.name, 0, "issued", place, rule, "keep one of the two", "refused"))
    return replace(read, records=tuple(kept), faults=tuple(faults))
