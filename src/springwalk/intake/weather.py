"""Weather files: one file read alone, and all files of a station together."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from springwalk.errors import BadValue
from springwalk.intake import ghcn
from springwalk.intake.days import Reading, check_days, missing_days, ranges, tell_missing
from springwalk.intake.faults import Fault, FaultList, FileRead, counted, some
from springwalk.intake.files import LIMIT_BYTES, read_text
from springwalk.intake.rawdays import RawFile, read_plain
from springwalk.intake.repairs import NO_REPAIR, UNITS, Command, Repair
from springwalk.intake.stations import RAIN_UNITS, RAIN_WITH, StationFiles
from springwalk.records import Day

FORMATS = ("auto", "plain", "ghcn-daily")

ITEMS = ("min_c", "max_c", "rain_mm")


@dataclass(frozen=True)
class WeatherRead:
    """One weather file as read: days in date order (°C, mm), faults, and dates without both extremes.

    ``format`` is what the file was taken for, ``temperature_unit`` the unit its numbers were read in.
    """

    name: str
    sha256: str
    days: tuple[Day, ...]
    faults: tuple[Fault, ...]
    missing: tuple[date, ...]
    format: str
    temperature_unit: str
    station: str


@dataclass
class _Read:
    """One file on its way to a FileRead."""

    name: str
    faults: FaultList
    sha256: str = ""
    format: str = ""
    unit: str = ""
    station: str = ""
    days: dict[date, tuple[int, Day]] = field(default_factory=dict)

    def good(self) -> tuple[Day, ...]:
        return tuple(day for _, day in self.days.values())


def read_weather(
    path: Path,
    *,
    format: str = "auto",
    temperature_unit: str | None = None,
    rain_unit: str | None = None,
    date_format: str = "",
    columns: Mapping[str, str] | None = None,
    station: str = "",
    year: int | None = None,
    today: date | None = None,
    repair: Repair = NO_REPAIR,
    limit_bytes: int = LIMIT_BYTES,
) -> WeatherRead:
    """One weather file read alone: its days in °C and mm, its faults, its missing days.

    ``format`` auto tells GHCN-Daily (wide or long) from a plain table. Without ``temperature_unit`` the headings'
    unit counts, else tenths C for GHCN-Daily and F for a plain table; rain follows (in, mm, tenths mm). A file whose
    unit is in doubt gives no days. Raises BadValue for an option off its list; all else is listed as faults.
    """
    for name, value, choices in (
        ("format", format, FORMATS),
        ("temperature unit", temperature_unit, UNITS),
        ("rain unit", rain_unit, RAIN_UNITS),
    ):
        if value is not None and value not in choices:
            raise BadValue(name, value, "not on the list", f"use one of: {', '.join(choices)}")
    form = _Form(format, temperature_unit, rain_unit, date_format, columns or {})
    read = _read(path, path.name, form, station, year, today, repair, Command(None, path.name), limit_bytes)
    missing = missing_days(read.good(), year)
    tell_missing(missing, read.faults)
    return WeatherRead(
        read.name, read.sha256, read.good(), read.faults.listed(), missing, read.format, read.unit, read.station
    )


@dataclass(frozen=True)
class _Form:
    """How a file is written, as far as it is told."""

    format: str
    temperature_unit: str | None
    rain_unit: str | None
    date_form: str
    columns: Mapping[str, str]


def _read(
    path: Path, name: str, form: _Form, station: str, year: int | None, today: date | None, repair: Repair,
    command: Command, limit_bytes: int,
) -> _Read:  # fmt: skip
    read = _Read(name, FaultList(name), station=station or path.stem)
    file = read_text(path, read.faults, limit_bytes=limit_bytes)
    read.sha256 = file.sha256
    if file.text is None:
        return read
    read.format = _format(file.text) if form.format == "auto" else form.format
    raw = _raw(file.text, read, form, station)
    if raw is None:
        return read
    if not raw.days and not any(fault.severity == "refused" for fault in read.faults.listed()):
        read.faults.note(0, "rows", 0, "no day in the file", "add days when there are some")
    if not _units(raw, read, form, repair):
        return read
    read.station = station or raw.station or path.stem
    rain_unit = form.rain_unit or raw.rain_unit or RAIN_WITH[read.unit]
    reading = Reading(read.unit, rain_unit, read.station, name, year, today)
    read.days = check_days(raw, reading, repair, command, read.faults)
    return read


def _format(text: str) -> str:
    return "ghcn-daily" if ghcn.looks_long(text) or ghcn.looks_wide(text) else "plain"


def _raw(text: str, read: _Read, form: _Form, station: str) -> RawFile | None:
    if read.format == "plain":
        return read_plain(text, read.faults, form.columns, form.date_form)
    if ghcn.looks_long(text):
        return ghcn.read_long(text, read.faults, station)
    return ghcn.read_wide(text, read.faults, station, form.date_form)


def _units(raw: RawFile, read: _Read, form: _Form, repair: Repair) -> bool:
    """Settle the temperature unit; False where heading and season.toml differ and no repair decides."""
    told, headed = form.temperature_unit, raw.temperature_unit
    if told and headed and told != headed and not repair.unit:
        rule = f"the heading says {headed}, but the file is to be read in {told}"
        read.faults.refused(
            0, raw.headings["max"], headed, rule, f'give temperature_unit = "{headed}", or correct the heading'
        )
        return False
    usual = "tenths C" if read.format == "ghcn-daily" else "F"
    read.unit = repair.unit or told or headed or usual
    return True


def read_station_files(
    folder: Path,
    blocks: Sequence[StationFiles],
    *,
    year: int,
    today: date,
    repairs: Mapping[str, Repair],
    limit_bytes: int,
) -> list[FileRead]:
    """All files of one station, from all its blocks.

    Rain may come from one file and extremes from another: they meet by day. A value told by two files counts once
    where they agree; where they differ the day is refused in both.
    """
    reads = []
    for told in blocks:
        form = _Form(told.format, told.temperature_unit, told.rain_unit, told.date_form, told.columns)
        for name in told.files:
            repair, command = repairs.get(name, NO_REPAIR), Command(folder, name)
            reads.append(_read(folder / name, name, form, told.station.id, year, today, repair, command, limit_bytes))
    _merge(reads)
    if reads:
        missing = missing_days((day for read in reads for day in read.good()), year)
        tell_missing(missing, reads[-1].faults)
    return [FileRead(read.name, read.sha256, (), read.good(), read.faults.listed()) for read in reads]


def _merge(reads: Iterable[_Read]) -> None:
    first: dict[tuple[date, str], _Read] = {}
    for read in reads:
        same = []
        for day, (_, told) in list(read.days.items()):
            given = {item: value for item in ITEMS if (value := getattr(told, item)) is not None}
            others = {item: first.setdefault((day, item), read) for item in given}
            differing = [
                other
                for item, other in others.items()
                if other is not read and (day not in other.days or getattr(other.days[day][1], item) != given[item])
            ]
            if differing:
                _refuse_both(day, differing[0], read)
            elif all(other is not read for other in others.values()):
                same.append(day)
                del read.days[day]
        if same:
            rule = f"also in another file of the station, with the same values: {some(ranges(same))}"
            read.faults.note(0, "date", len(same), rule, "nothing; they count once", unit=counted(len(same), "day"))


def _refuse_both(day: date, one: _Read, other: _Read) -> None:
    for here, there in ((one, other), (other, one)):
        if day in here.days:
            row, _ = here.days.pop(day)
            rule = f"told with different values in {there.name}"
            here.faults.refused(row, "date", day, rule, "keep the right one, delete the other")
