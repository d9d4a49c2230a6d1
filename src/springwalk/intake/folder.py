"""A season folder, file by file: season.toml, land, moths, walks and what else was seen and done, weather."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path

from springwalk.intake.faults import FaultList, FileRead, Known, did_you_mean
from springwalk.intake.files import LIMIT_BYTES, check_folder, read_text
from springwalk.intake.folder_land import read_land
from springwalk.intake.folder_seen import read_seen
from springwalk.intake.ids import Ids
from springwalk.intake.opened import Opened, Work
from springwalk.intake.repairs import Repair, as_repairs, unfit_repair, unused_repair
from springwalk.intake.rows import Ways
from springwalk.intake.season import SeasonFile, read_season
from springwalk.intake.start import as_started
from springwalk.intake.station_files import read_station_files

SEASON_FILE = "season.toml"


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
    first = Opened(SEASON_FILE, FaultList(SEASON_FILE))
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
    weather = season.weather
    _tell_unused(repairs, [*season.fields, *weather], [*season.tables.values(), SEASON_FILE], first.faults)
    _tell_unread(path, season, weather, first.faults)
    yield first.done()
    ways = Ways(season.season.year, today, season.date_form, season.words)
    places = [(station.latitude, station.longitude) for station in season.station_records] + list(known.places)
    work = Work(path, season, ways, Ids(known, season.fields), places, repairs, options, limit_bytes)
    yield from read_land(work)
    yield from read_seen(work)
    for told in season.files_by_station:
        yield from read_station_files(
            path, told, year=season.season.year, today=today, repairs=repairs, options=options, limit_bytes=limit_bytes,
            highs=known.highs, timezone=season.season.timezone,
        )  # fmt: skip


def _tell_unused(repairs: Mapping[str, Repair], repairable: list[str], tables: list[str], faults: FaultList) -> None:
    for name, repair in repairs.items():
        if name in tables and unfit_repair(repair):
            faults.refused(0, "repair", name, "only as-is can be asked of this file", "correct the file itself")
        elif name not in [*repairable, *tables]:
            rule, todo = unused_repair(name, [*repairable, *tables])
            faults.refused(0, "repair", name, rule, f"{todo}? Correct it" if todo.startswith("did") else todo)


def _tell_unread(path: Path, season: SeasonFile, weather: frozenset[str], faults: FaultList) -> None:
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
