"""A season folder, file by file: season.toml, land, moths, walks, weather."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from itertools import chain
from pathlib import Path

from springwalk.intake.faults import FaultList, FileRead, Known, did_you_mean
from springwalk.intake.files import LIMIT_BYTES, NOT_READ, FileText, check_folder, read_text
from springwalk.intake.geometry import Position
from springwalk.intake.ids import Ids
from springwalk.intake.land import (
    EVENT_COLUMNS,
    PLANTING_COLUMNS,
    ZONE_COLUMNS,
    Planted,
    read_events,
    read_plantings,
    read_zones,
    settle_planted,
)
from springwalk.intake.moths import CATCH_COLUMNS, TRAP_COLUMNS, read_catches, read_log_traps, read_traps
from springwalk.intake.outlines import read_outlines
from springwalk.intake.properties import FIELD_COLUMNS
from springwalk.intake.repairs import NO_REPAIR, Command, Repair, as_repairs, unfit_repair, unused_repair
from springwalk.intake.rows import Row, Ways
from springwalk.intake.season import SeasonFile, read_season
from springwalk.intake.start import as_started
from springwalk.intake.station_files import read_station_files
from springwalk.intake.tables import Columns, read_table
from springwalk.intake.untold import PART_OF, untold
from springwalk.intake.walks import WALK_COLUMNS, read_walks
from springwalk.records import Field, Planting, Record, Zone

SEASON_FILE = "season.toml"
KINDS = {
    "plantings": ("planting",), "zones": ("zone",), "events": ("event",), "traps": ("trap",),
    "catches": ("trap", "catch"), "walks": ("walk",),
}  # fmt: skip
"""The kinds of record that each table tells."""


@dataclass
class _Open:
    """One file on its way to a FileRead."""

    name: str
    faults: FaultList
    file: FileText = NOT_READ
    records: list[Record] = field(default_factory=list)
    absent: dict[str, frozenset[str]] = field(default_factory=dict)
    """Columns the file does not have, by kind of record."""
    dated: set[str] = field(default_factory=set)
    """Plantings whose date was told by an event."""
    lines: dict[str, int] = field(default_factory=dict)

    def done(self, ids: Ids | None = None) -> FileRead:
        if ids is not None:
            ids.tell_without_outline(self.faults)
        faults = self.faults
        return FileRead(
            self.name,
            self.file.sha256,
            tuple(self.records),
            (),
            faults.listed(),
            faults.rows,
            faults.left_out,
            faults.complete,
            self.lines,
            untold(self.records, self.absent, self.dated),
        )


@dataclass
class _Folder:
    """What every step needs."""

    path: Path
    season: SeasonFile
    ways: Ways
    ids: Ids
    places: list[Position]
    repairs: Mapping[str, Repair]
    options: str
    limit_bytes: int

    def open(self, name: str) -> _Open | None:
        """A file that is there, or named in season.toml."""
        if name not in self.season.named and not (self.path / name).exists():
            return None
        opened = _Open(name, FaultList(name))
        opened.file = read_text(self.path / name, opened.faults, limit_bytes=self.limit_bytes)
        return opened

    def table(self, table: str, columns: Columns) -> tuple[_Open | None, Iterable[Row]]:
        """One of the CSV files and its rows."""
        opened = self.open(self.season.tables.get(table, f"{table}.csv"))
        if opened is None or opened.file.text is None:
            return opened, ()
        told = Columns(columns.needed, columns.optional, self.renamed(table, columns, opened.faults))
        rows = read_table(opened.file.text, told, self.ways, opened.faults)
        first = next(rows, None)
        if first is None:
            return opened, ()
        opened.absent = dict.fromkeys(KINDS[table], frozenset(columns.all) - first.values.keys())
        return opened, chain([first], rows)

    def renamed(self, table: str, columns: Columns, faults: FaultList) -> dict[str, str]:
        """The user's own headings of a table, by ours."""
        renamed = dict(self.season.columns.get(table, {}))
        for ours in [name for name in renamed if name not in columns.all]:
            hint = did_you_mean(ours, columns.all)
            rule = f"[columns.{table}] in season.toml names a column not known here"
            faults.refused(
                0,
                f"columns.{table}.{ours}",
                renamed.pop(ours),
                rule,
                f"{hint}? Correct it" if hint.startswith("did") else hint,
            )
        return renamed


def read_folder(
    folder: Path,
    *,
    today: date,
    known: Known | None = None,
    repairs: Mapping[str, Repair | str | Mapping[str, str]] | None = None,
    options: str = "",
    limit_bytes: int = LIMIT_BYTES,
) -> Iterator[FileRead]:
    """Every file of a season folder as a FileRead, season.toml first, then land, moths, walks and weather.

    ``known`` is what the store holds already; ``repairs`` are by file name as in season.toml; ``options`` are words of
    the command line that a repair said in a fault must carry. Raises BadFile where the
    folder is not there and BadValue for a repair of no known form; all else is listed as faults. Where season.toml
    can't be read nothing else is.
    """
    folder = Path(folder)
    check_folder(folder)
    return _files(folder, today, known or Known(), as_repairs(repairs), options, limit_bytes)


def _files(
    path: Path, today: date, known: Known, repairs: Mapping[str, Repair], options: str, limit_bytes: int
) -> Iterator[FileRead]:
    first = _Open(SEASON_FILE, FaultList(SEASON_FILE))
    if (path / SEASON_FILE).exists():
        first.file = read_text(path / SEASON_FILE, first.faults, limit_bytes=limit_bytes)
    else:
        todo = "write one, or begin with springwalk start FOLDER"
        first.faults.refused(0, "", SEASON_FILE, "there is no such file in the folder", todo)
    season = None if first.file.text is None else read_season(first.file.text, first.faults)
    if season is None:
        yield first.done()
        return
    first.records = [season.season, *season.station_records]
    first.faults.rows = len(first.records)
    weather = {name for station in season.stations for name in station.files}
    _tell_unused(repairs, [*season.fields, *weather], [*season.tables.values(), SEASON_FILE], first.faults)
    _tell_unread(path, season, weather, first.faults)
    yield first.done()
    ways = Ways(season.season.year, today, season.date_form, season.words)
    places = [(station.latitude, station.longitude) for station in season.station_records] + list(known.places)
    work = _Folder(path, season, ways, Ids(known, season.fields), places, repairs, options, limit_bytes)
    yield from _land(work)
    yield from _moths(work)
    opened, rows = work.table("walks", WALK_COLUMNS)
    if opened is not None:
        opened.records += read_walks(rows, work.ids)
        yield opened.done(work.ids)
    for told in season.files_by_station:
        yield from read_station_files(
            path, told, year=season.season.year, today=today, repairs=repairs, options=options, limit_bytes=limit_bytes,
            highs=known.highs,
        )  # fmt: skip


def _land(work: _Folder) -> Iterator[FileRead]:
    """Outlines, plantings, zones, events: read together, as an event ``planted`` dates a planting of another file."""
    opened_files: list[_Open] = []
    inside_events: list[tuple[Row, str]] = []
    for name in work.season.fields:
        opened = work.open(name)
        if opened is None:
            continue
        opened_files.append(opened)
        inside_events += _outlines(work, opened)
    told: list[Record] = [record for opened in opened_files for record in opened.records]
    work.places += [(record.latitude, record.longitude) for record in told if isinstance(record, Field)]
    opened, rows = work.table("plantings", PLANTING_COLUMNS)
    if opened is not None:
        earlier = {record.id: record for record in told if isinstance(record, Planting)}
        opened.records += read_plantings(rows, work.ids, earlier)
        opened_files.append(opened)
    opened, rows = work.table("zones", ZONE_COLUMNS)
    if opened is not None:
        zones = {record.id: record for record in told if isinstance(record, Zone)}
        opened.records += read_zones(rows, work.ids, zones)
        opened_files.append(opened)
    _events(work, inside_events, opened_files)
    for opened in opened_files:
        yield opened.done(work.ids)


def _outlines(work: _Folder, opened: _Open) -> list[tuple[Row, str]]:
    """Read one outline file; returns the events told inside its outlines."""
    events: list[tuple[Row, str]] = []
    nameless = 0
    if opened.file.text is not None:
        outlines = read_outlines(
            opened.file.text,
            opened.faults,
            ways=work.ways,
            ids=work.ids,
            places=work.places,
            repair=work.repairs.get(opened.name, NO_REPAIR),
            command=Command(work.path, opened.name, work.options),
            renamed=work.renamed("fields", FIELD_COLUMNS, opened.faults),
        )
        opened.records += [*outlines.fields, *outlines.plantings, *outlines.zones]
        opened.absent = {kind: frozenset(PART_OF[kind]) - told for kind, told in outlines.told.items()}
        events, nameless = outlines.events, outlines.nameless
    if nameless or opened.faults.whole:
        work.ids.unread.append(opened.name)
    return events


def _events(work: _Folder, inside: list[tuple[Row, str]], opened_files: list[_Open]) -> None:
    """Events of outlines and of events.csv. A planting dated by one is changed where it was told, else told here."""
    planted: list[Planted] = []
    by_list = {id(opened.faults): opened for opened in opened_files}
    for row, place in inside:
        events, dated = read_events([(row, place)], work.ids)
        by_list[id(row.faults)].records += events
        planted += dated
    opened, rows = work.table("events", EVENT_COLUMNS)
    if opened is not None:
        pairs = [(row, name) for row in rows if (name := work.ids.field(row)) is not None]
        events, dated = read_events(pairs, work.ids)
        opened.records += events
        planted += dated
        opened_files.append(opened)
        by_list[id(opened.faults)] = opened
    for full, planting in settle_planted(planted, work.ids).items():
        if not _replace(opened_files, planting):
            row = next(one.row for one in planted if one.planting == full)
            by_list[id(row.faults)].records.append(planting)
            by_list[id(row.faults)].dated.add(planting.natural_key())


def _replace(opened_files: Iterable[_Open], planting: Planting) -> bool:
    for opened in opened_files:
        for at, record in enumerate(opened.records):
            if isinstance(record, Planting) and record.id == planting.id:
                opened.records[at] = planting
                opened.dated.add(planting.natural_key())
                return True
    return False


def _moths(work: _Folder) -> Iterator[FileRead]:
    opened, rows = work.table("traps", TRAP_COLUMNS)
    if opened is not None:
        opened.records += read_traps(rows, work.ids, work.places)
        yield opened.done()
    opened, rows = work.table("catches", CATCH_COLUMNS)
    if opened is not None:
        log = list(rows)
        traps, catches = read_log_traps(log, work.ids, work.places), read_catches(log, work.ids)
        opened.records += [*traps, *(catch for _, catch in catches)]
        opened.lines = {catch.natural_key(): line for line, catch in catches}
        yield opened.done()


def _tell_unused(repairs: Mapping[str, Repair], repairable: list[str], tables: list[str], faults: FaultList) -> None:
    for name, repair in repairs.items():
        if name in tables and unfit_repair(repair):
            faults.refused(0, "repair", name, "only as-is can be asked of this file", "correct the file itself")
        elif name not in [*repairable, *tables]:
            rule, todo = unused_repair(name, [*repairable, *tables])
            faults.refused(0, "repair", name, rule, f"{todo}? Correct it" if todo.startswith("did") else todo)


def _tell_unread(path: Path, season: SeasonFile, weather: set[str], faults: FaultList) -> None:
    """Note CSV and GeoJSON files beside season.toml that nothing reads: often a misspelt name."""
    read = {*season.fields, *season.tables.values(), *weather, *season.named}
    for found in sorted(path.iterdir()):
        if found.suffix.lower() not in (".csv", ".geojson") or not found.is_file() or as_started(found):
            continue
        if found.name not in read:
            hint = did_you_mean(found.name, read)
            todo = (
                f"{hint}? Correct it" if hint.startswith("did") else "name it in season.toml if it is meant to be read"
            )
            faults.note(0, "file", found.name, "nothing reads this file", todo)
