"""season.toml: what the season is, which files hold it, and how they are written."""

from __future__ import annotations

import tomllib
import zoneinfo
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from springwalk.intake import cells
from springwalk.intake.cells import UnreadableError
from springwalk.intake.faults import FaultList
from springwalk.intake.money import read_money, read_team
from springwalk.intake.stations import StationFiles, read_station
from springwalk.intake.toml import Section
from springwalk.intake.words import COLUMN_OF, LISTS, folded
from springwalk.records import Season, Station

HEAT_METHODS = ("sine", "average", "86/50", "triangle", "clipped-mean")
TABLES = (
    "plantings", "zones", "events", "traps", "catches", "walks", "passes", "rain", "flight_reports", "progress",
    "seed_lots", "promises", "pest_counts", "done", "recommendations", "recommendation_steps",
)  # fmt: skip
"""Tables that are read where they are there; each is a CSV file of that name unless [files] says otherwise."""
DEFAULT_FIELDS = ("fields.geojson",)


@dataclass(frozen=True)
class SeasonFile:
    """season.toml as read: the season, CSV names by table, the user's headings, and the stations."""

    season: Season
    fields: tuple[str, ...] = DEFAULT_FIELDS
    tables: Mapping[str, str] = field(default_factory=dict)
    named: frozenset[str] = frozenset()
    """Files named in season.toml: these must be there; the defaults need not."""
    columns: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    words: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    """What the user's own words for values mean, by column."""
    date_form: str = ""
    stations: tuple[StationFiles, ...] = ()

    @property
    def weather(self) -> frozenset[str]:
        """Files named by any station."""
        return frozenset(name for station in self.stations for name in (*station.files, *station.forecasts))

    @property
    def station_records(self) -> tuple[Station, ...]:
        """The stations as records, each once."""
        return tuple(_one_station([block.station for block in blocks]) for blocks in self.files_by_station)

    @property
    def files_by_station(self) -> tuple[tuple[StationFiles, ...], ...]:
        """The blocks of each station: several where its files are written in several forms."""
        found: dict[str, list[StationFiles]] = {}
        for each in self.stations:
            found.setdefault(each.station.id, []).append(each)
        return tuple(tuple(blocks) for blocks in found.values())


def _one_station(blocks: Sequence[Station]) -> Station:
    """One record of a station from its blocks: what the first leaves out a later one may tell."""
    first = blocks[0]
    told = {
        "name": next((one.name for one in blocks if one.name != one.id), first.name),
        "elevation_m": next((one.elevation_m for one in blocks if one.elevation_m is not None), None),
        "attribution": next((one.attribution for one in blocks if one.attribution), ""),
    }
    return first.model_copy(update=told)


def read_season(text: str, faults: FaultList) -> SeasonFile | None:
    """season.toml's text as a SeasonFile; None where the season itself can't be told."""
    top = _parse(text, faults)
    if top is None:
        return None
    sections = Section(faults, "", top)
    sections.only("season", "files", "station", "columns", "values", "money", "team")
    told = sections.table("season")
    if told is None:
        faults.refused(0, "[season]", "", "is needed", "write name and year under [season]")
        return None
    season, date_form = _season(told)
    if season is None:
        return None
    money, team = read_money(sections.table("money")), read_team(sections.table("team"))
    season = season.model_copy(update={"money": money, "team": team})
    files = sections.table("files") or Section(faults, "files", {})
    fields, tables, named = _files(files)
    columns = _columns(sections.table("columns"))
    words = _words(sections.table("values"))
    stations = _stations(sections, date_form)
    named |= {name for one in stations for name in (*one.files, *one.forecasts)} | _files_named(top)
    return SeasonFile(season, fields, tables, frozenset(named), columns, words, date_form, stations)


def _parse(text: str, faults: FaultList) -> dict[str, Any] | None:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        faults.refused(0, "text", _bad_line(text, str(error)), f"not TOML: {error}", "mend that line")
    except (RecursionError, ValueError, OverflowError) as error:
        faults.refused(0, "text", "", f"not TOML: {type(error).__name__}", "start again from springwalk start FOLDER")
    return None


def _bad_line(text: str, told: str) -> str:
    _, _, tail = told.partition("(at line ")
    number = tail.partition(",")[0]
    lines = text.splitlines()
    return lines[int(number) - 1] if number.isdecimal() and 0 < int(number) <= len(lines) else "end of the file"


def _season(told: Section) -> tuple[Season | None, str]:
    told.only(
        "name", "year", "timezone", "state", "heat_method", "capture_rule", "first_day", "last_day", "date_format"
    )
    name, year = told.text("name", needed=True), told.whole("year", 1950, 2100, needed=True)
    timezone = told.read("timezone", _timezone) or "America/Chicago"
    method = told.choice("heat_method", HEAT_METHODS) or "sine"
    form = told.read("date_format", cells.day_form) or ""
    first, last = told.day("first_day"), told.day("last_day")
    state, rule = told.text("state"), told.text("capture_rule")
    if told.bad or year is None:
        return None, form
    for key, day in (("first_day", first), ("last_day", last)):
        if day is not None and day.year != year:
            told.refuse(key, day, f"outside the season's year {year}", "correct it")
    if (first or date(year, 3, 1)) >= (last or date(year, 7, 15)):
        told.refuse("last_day", last or f"{year}-07-15", "not after first_day", "correct one of the two")
    if told.bad:
        return None, form
    season = Season(
        name=name, year=year, timezone=timezone, state=state, heat_method=method, capture_rule=rule,
        first_day=first, last_day=last,
    )  # fmt: skip
    return season, form


def _timezone(text: str) -> str:
    try:
        zoneinfo.ZoneInfo(text)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
        raise UnreadableError("no such time zone", "write a name such as America/Chicago") from None
    return text


def _files(told: Section) -> tuple[tuple[str, ...], dict[str, str], set[str]]:
    told.only("fields", *TABLES)
    fields = told.paths("fields")
    tables = {table: f"{table}.csv" for table in TABLES}
    named = set(fields)
    for table in TABLES:
        paths = told.paths(table)
        if len(paths) > 1:
            told.refuse(table, ", ".join(paths), "one file, not a list", "put the rows in one file")
        elif paths:
            tables[table] = paths[0]
            named.add(paths[0])
    return fields or DEFAULT_FIELDS, tables, named


def _columns(told: Section | None) -> dict[str, dict[str, str]]:
    if told is None:
        return {}
    told.only("fields", *TABLES)
    found = {}
    for table in ("fields", *TABLES):
        section = told.table(table)
        if section is not None:
            found[table] = {key: heading for key in section.values if (heading := section.text(key))}
    return found


def _words(told: Section | None) -> dict[str, dict[str, str]]:
    """[values]: the user's word = ours, by the column it stands in."""
    if told is None:
        return {}
    told.only(*LISTS)
    found = {}
    for name, choices in LISTS.items():
        section = told.table(name)
        if section is not None:
            found[COLUMN_OF[name]] = {
                folded(word): ours for word in section.values if (ours := section.choice(word, choices)) is not None
            }
    return found


def _files_named(top: Mapping[str, object]) -> set[str]:
    """Weather files named by any station, also by one that could not be read: they were not forgotten."""
    stations = top.get("station", [])
    listed_stations = [each for each in stations if isinstance(each, dict)] if isinstance(stations, list) else []
    told = [each.get(key) for each in listed_stations for key in ("file", "forecast")]
    listed = [name for each in told for name in (each if isinstance(each, list) else [each])]
    return {name for name in listed if isinstance(name, str)}


def _stations(top: Section, date_form: str) -> tuple[StationFiles, ...]:
    told = top.values.get("station", [])
    if not isinstance(told, list) or not all(isinstance(each, dict) for each in told):
        top.refuse("station", told, "not a list of stations", "write each station under its own [[station]]")
        return ()
    found: list[StationFiles] = []
    facts: dict[str, dict[str, object]] = {}
    for at, values in enumerate(told, start=1):
        section = Section(top.faults, f"station {at}", values)
        station = read_station(section, date_form)
        if station is None:
            continue
        here, name = _facts(station.station, section), station.station.id
        before = facts.setdefault(name, {})
        differing = [what for what, value in here.items() if before.get(what, value) != value]
        if differing:
            (what, verb) = (differing[0], "is at" if differing[0] == "place" else "has")
            rule, todo = f"a station of this id {verb} another {what}", f"give each its own id, or correct the {what}"
            section.refuse("id", name, rule, todo)
            continue
        before |= here
        found.append(station)
    return tuple(found)


def _facts(station: Station, told: Section) -> dict[str, object]:
    """What a block tells of its station; a later block may leave name and elevation out."""
    facts: dict[str, object] = {"place": (station.latitude, station.longitude)}
    if told.text("name"):
        facts["name"] = station.name
    if station.elevation_m is not None:
        facts["elevation"] = station.elevation_m
    return facts
