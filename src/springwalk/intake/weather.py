"""Weather files: one file read alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from springwalk.errors import BadValue
from springwalk.intake import ghcn
from springwalk.intake.days import Reading, check_days, missing_days, tell_missing, tell_other_years
from springwalk.intake.faults import Fault, FaultList, counted
from springwalk.intake.files import IN_SEASON, LIMIT_BYTES, read_text
from springwalk.intake.rawdays import RawFile, read_plain
from springwalk.intake.repairs import NO_REPAIR, UNITS, Command, Repair
from springwalk.intake.short import tell_unchecked, too_short
from springwalk.intake.stations import RAIN_UNITS, RAIN_WITH
from springwalk.intake.tables import tells_separator
from springwalk.records import Day

FORMATS = ("auto", "plain", "ghcn-daily")


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
class Read:
    """One file on its way to a FileRead or a WeatherRead."""

    name: str
    faults: FaultList
    sha256: str = ""
    format: str = ""
    unit: str = ""
    station: str = ""
    days: dict[date, tuple[int, Day]] = field(default_factory=dict)
    short: bool = False
    """Whether the unit is told by nobody but season.toml or the usual, and the days are too few to check it."""
    max_heading: str = "max"
    unfound: Mapping[str, str] = field(default_factory=dict)
    """Headings told for this file that it does not have, by our names."""

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
    form = Form(format, temperature_unit, rain_unit, date_format, columns or {})
    read = read_file(path, path.name, form, station, year, today, repair, Command(None, path.name), limit_bytes)
    if year is not None and not any(day.year == year for day in read.days):
        tell_other_years(read.good(), year, read.faults)
    if read.short:
        tell_unchecked(read.unit, Command(None, path.name), read.faults)
    missing = missing_days(read.good(), year)
    tell_missing(missing, read.faults)
    return WeatherRead(
        read.name, read.sha256, read.good(), read.faults.listed(), missing, read.format, read.unit, read.station
    )


@dataclass(frozen=True)
class Form:
    """How a file is written, as far as it is told."""

    format: str
    temperature_unit: str | None
    rain_unit: str | None
    date_form: str
    columns: Mapping[str, str]


def read_file(
    path: Path, name: str, form: Form, station: str, year: int | None, today: date | None, repair: Repair,
    command: Command, limit_bytes: int,
) -> Read:  # fmt: skip
    """One file's days before other files of its station are looked at; what is wrong is in ``faults``."""
    read = Read(name, FaultList(name), station=station or path.stem)
    named = IN_SEASON if command.folder else "check --weather"
    file = read_text(path, read.faults, limit_bytes=limit_bytes, named=named)
    read.sha256 = file.sha256
    if file.text is None:
        return read
    read.format = _format(file.text) if form.format == "auto" else form.format
    raw = _raw(file.text, read, form, station)
    if raw is None:
        return read
    if not raw.days and not any(fault.severity == "refused" for fault in read.faults.listed()):
        read.faults.note(0, "rows", 0, "no day in the file", "add days when there are some")
    read.unfound = raw.unfound
    read.unit = _temperature_unit(raw, read, form, repair, command)
    if not read.unit:
        return read
    read.station = station or raw.station or path.stem
    rain_unit = _rain_unit(raw, read, form, repair, command)
    assumed = not form.rain_unit and not raw.rain_unit
    reading = Reading(read.unit, rain_unit, read.station, name, year, today, rain_assumed=assumed)
    read.days = check_days(raw, reading, repair, command, read.faults)
    if rain_unit == "tenths mm" and not repair.as_is:
        _hold_fractions(raw, read, command)
    settled = repair.unit or repair.as_is or raw.temperature_unit == read.unit
    read.short, read.max_heading = not settled and too_short(read.good()), raw.headings.get("max", "max")
    return read


def _format(text: str) -> str:
    told = _without_separator(text)
    fits = (ghcn.looks_long, ghcn.looks_wide, ghcn.looks_fixed)
    return "ghcn-daily" if any(fit(told) for fit in fits) else "plain"


def _without_separator(text: str) -> str:
    first, _, rest = text.lstrip().partition("\n")
    return rest if tells_separator(first) else text


def _raw(text: str, read: Read, form: Form, station: str) -> RawFile | None:
    if read.format == "plain":
        return read_plain(text, read.faults, form.columns, form.date_form)
    if ghcn.looks_long(_without_separator(text)):
        return ghcn.read_long(text, read.faults, station)
    if ghcn.looks_fixed(text):
        return ghcn.read_fixed(text, read.faults, station)
    return ghcn.read_wide(text, read.faults, station, form.date_form)


def _temperature_unit(raw: RawFile, read: Read, form: Form, repair: Repair, command: Command) -> str:
    """The unit of the extremes, "" where heading and what is told differ and no repair decides."""
    told, headed = form.temperature_unit, raw.temperature_unit
    if told and headed and told != headed and not repair.unit and not repair.as_is:
        rule = f"the heading says {headed}, but the file is to be read in {told}; "
        rule += f"{len(raw.days)} {counted(len(raw.days), 'day')} held back"
        todo = f"if {headed} is right: {command.unit(headed)}; if {told} is right: {command.plain('as-is')}"
        read.faults.suspected(0, raw.headings.get("max", "max"), headed, rule, todo, rows=max(len(raw.days), 1))
        return ""
    return repair.unit or _unit_told(raw, read, form)


def _unit_told(raw: RawFile, read: Read, form: Form) -> str:
    """The unit of the extremes before any repair."""
    return form.temperature_unit or raw.temperature_unit or ("tenths C" if read.format == "ghcn-daily" else "F")


def _rain_unit(raw: RawFile, read: Read, form: Form, repair: Repair, command: Command) -> str:
    """The unit of the rain. Where heading and what is told differ the rain is held back, the extremes are kept.

    A repair speaks of temperatures: it leaves the rain in the unit it was in, unless its numbers can't be in that.
    """
    told, headed = form.rain_unit, raw.rain_unit
    if told and headed and told != headed and not repair.as_is:
        rule = f"the heading says {headed}, but rain is to be read in {told}; the rain of the file is held back"
        todo = f'give rain_unit = "{headed}", or none where files differ; if {told} is right: {command.plain("as-is")}'
        rainy = [one for one in raw.days if one.rain is not None]
        for one in rainy:
            one.rain = None
        read.faults.suspected(0, raw.headings.get("rain", "rain"), headed, rule, todo, rows=max(len(rainy), 1))
    unit = told or headed or RAIN_WITH[_unit_told(raw, read, form)]
    if unit == "tenths mm" and _fractions(raw) and repair.unit in ("F", "C") and not told and not headed:
        return RAIN_WITH[repair.unit]
    return unit


def _fractions(raw: RawFile) -> bool:
    """Whether any rain is no whole number: tenths of mm always are."""
    return any(one.rain is not None and one.rain % 1 for one in raw.days)


def _hold_fractions(raw: RawFile, read: Read, command: Command) -> None:
    """Hold back the rain of days read in tenths of mm where the numbers are no such tenths."""
    rainy = [day for day, (_, told) in read.days.items() if told.rain_mm is not None]
    if not rainy or not _fractions(raw):
        return
    rule = "tenths of mm are whole numbers, and these are not; the rain of the file is held back"
    todo = f'give rain_unit = "in" or "mm"; if it is right: {command.plain("as-is")}'
    heading = raw.headings.get("rain", "rain")
    read.faults.suspected(0, heading, "tenths mm", rule, todo, rows=len(rainy))
    for day in rainy:
        row, told = read.days[day]
        read.days[day] = (row, told.model_copy(update={"rain_mm": None}))
        if told.min_c is None and told.max_c is None:
            del read.days[day]
