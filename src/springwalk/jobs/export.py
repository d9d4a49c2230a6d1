"""Everything a store holds, written as a season folder that ``intake`` takes in again."""

from __future__ import annotations

import codecs
import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any, cast

from springwalk.errors import BadFile, OutsideSeason
from springwalk.intake.files import shown_path
from springwalk.jobs.export_answers import CODES, Words, looks_text, sheet_layer
from springwalk.jobs.export_check import Unsaid, read_back
from springwalk.jobs.export_files import (
    days_text,
    file_names,
    forecast_files,
    forecast_text,
    outlines_text,
    season_text,
)
from springwalk.jobs.export_rows import TABLES, tables
from springwalk.jobs.results import Sheet
from springwalk.jobs.sheet import sheet
from springwalk.jobs.snapshot import season_of
from springwalk.records import Field, Forecast, Record, Season, Station
from springwalk.store import Entry, Store
from springwalk.store.days import DayRow, days as stored_days
from springwalk.store.entries import heads

RAW = "not_understood.jsonl"
LOOKS, LAYER = "today/looks.csv", "today/sheet.geojson"
"""In a folder of their own: they are answers, and nothing that is taken in."""
NOT_UNDERSTOOD, TWO_VERSIONS, NOT_SAID = "not understood", "two versions", "not said exactly by the files"


@dataclass(frozen=True)
class Exported:
    """What an export wrote. ``raw`` counts the lines of not_understood.jsonl by why they are there.

    ``as_is`` are files whose numbers the intake will suspect, as it did before someone confirmed them. ``looks`` is
    how many looks are listed, None where the day asked for is not in the season.
    """

    folder: Path
    files: tuple[str, ...]
    records: int
    days: int
    raw: Mapping[str, int]
    as_is: tuple[str, ...]
    looks: int | None


@dataclass(frozen=True)
class _Held:
    """What the store holds: the newest version of each thing, its entries, and station days."""

    season: Season
    records: tuple[Record, ...]
    entries: Mapping[str, Entry]
    """The entry of each record, by natural key."""
    odd: tuple[tuple[str, Entry], ...]
    """Entries kept as they are, each with why."""
    days: Mapping[str, Sequence[DayRow]]


def export(store: Store, folder: Path, *, today: date | None = None, words: Words = CODES) -> Exported:
    """Write all that ``store`` holds into ``folder``, new or empty, and say what was written.

    Days are in °C and mm and every number is in full. What was written is read back: whatever the files don't give
    back exactly, is not understood, or has two versions is kept besides, as it is, in not_understood.jsonl. Of two
    versions the newest is in the files. Histories and who entered what are not exported: that is what a backup is
    for. ``today`` None = the season's local date. Raises BadFile for a folder that holds something or can't be
    written, OutsideSeason for a given day outside the season, StoreError for a store without a season.
    """
    season = season_of(store)
    answer = _sheet(store, today)
    held = _held(store, season)
    fields = [record for record in held.records if isinstance(record, Field)]
    made = _Folder(folder)
    try:
        made.write(_files(held))
        unsaid = read_back(folder, season.year, held.records, held.days)
        raw = _raw(held, unsaid)
        if raw:
            made.write({RAW: "".join(json.dumps(line, ensure_ascii=False) + "\n" for line in raw)})
        if answer is not None:
            made.write({LOOKS: looks_text(answer, words), LAYER: sheet_layer(answer, fields, words)})
    except OSError as error:
        made.take_away()
        rule = f"can't be written ({error.strerror or error})"
        raise BadFile("folder", shown_path(folder), rule, "choose a folder you may write in") from None
    except BaseException:
        made.take_away()
        raise
    looks = None if answer is None else sum(len(row.looks) for row in (*answer.rows, *answer.rest))
    number = sum(len(rows) for rows in held.days.values())
    counted = Counter(str(line["why"]) for line in raw)
    return Exported(folder, tuple(made.names), len(held.records), number, counted, unsaid.as_is, looks)


def _sheet(store: Store, today: date | None) -> Sheet | None:
    """The sheet of the day; None where nobody asked for a day and the season is over or not begun."""
    try:
        return sheet(store, today)
    except OutsideSeason:
        if today is not None:
            raise
        return None


def _held(store: Store, season: Season) -> _Held:
    with store.reading() as read:
        entries, days = heads(read), stored_days(read)
    things = Counter(entry.thing for entry in entries)
    odd = [(TWO_VERSIONS if things[one.thing] > 1 else NOT_UNDERSTOOD, one) for one in entries
           if not one.understood or things[one.thing] > 1]  # fmt: skip
    newest: dict[str, Entry] = {}
    for entry in sorted(entries, key=lambda one: one.seq):
        if entry.record is not None:
            newest[entry.thing] = entry
    found = {cast("Record", entry.record).natural_key(): entry for entry in newest.values()}
    records = [cast("Record", entry.record) for entry in newest.values()]
    return _Held(season, tuple(records), found, tuple(odd), days)


def _files(held: _Held) -> dict[str, str]:
    """The files of the folder, name → text."""
    stations = sorted((one for one in held.records if isinstance(one, Station)), key=lambda one: one.id)
    weather = file_names((one.id for one in stations), "weather")
    found = tables(held.records)
    taken = [*TABLES, *weather.values(), LOOKS]
    forecasts = forecast_files((one for one in held.records if isinstance(one, Forecast)), taken)
    by_station = {station: list(files) for station, files in forecasts.items()}
    top = {"season.toml": season_text(held.season, stations, weather, by_station)}
    fields = [record for record in held.records if isinstance(record, Field)]
    if fields:
        top["fields.geojson"] = outlines_text(fields)
    for station in stations:
        found[weather[station.id]] = days_text(held.days.get(station.id, ()))
        found |= {name: forecast_text(listed) for name, listed in forecasts.get(station.id, {}).items()}
    return top | found


def _raw(held: _Held, unsaid: Unsaid) -> list[dict[str, Any]]:
    """The lines of not_understood.jsonl: entries with their exact text, then days."""
    lines = [_raw_entry(why, entry) for why, entry in held.odd]
    torn = {entry.thing for _, entry in held.odd}
    for key in sorted(unsaid.records):
        if held.entries[key].thing not in torn:
            lines.append(_raw_entry(NOT_SAID, held.entries[key]))
    names = ("date", "min_c", "max_c", "rain_mm")
    for station, rows in held.days.items():
        for row in rows:
            if (station, row[0]) in unsaid.days:
                told = dict(zip(names, row, strict=True))
                lines.append({"why": NOT_SAID, "kind": "day", "station": station, **told})
    return lines


def _raw_entry(why: str, entry: Entry) -> dict[str, Any]:
    names = ("kind", "schema", "thing", "id", "parents", "device", "person", "made_at", "body")
    return {"why": why, **{name: getattr(entry, name) for name in names}}


class _Folder:
    """The folder while it is written: what was made is taken away again where not all of it can be."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.names = folder, list[str]()
        self._made: list[Path] = []
        todo = "name a new folder, or an empty one"
        try:
            if folder.exists() and not folder.is_dir():
                raise BadFile("folder", shown_path(folder), "something else is there, not a folder", todo)
            if folder.is_dir() and any(folder.iterdir()):
                raise BadFile(
                    "folder", shown_path(folder), "there is something in it, and nothing is written over", todo
                )
        except (OSError, ValueError) as error:
            rule = f"can't be read ({getattr(error, 'strerror', None) or error})"
            raise BadFile("folder", shown_path(folder), rule, todo) from None

    def write(self, files: Mapping[str, str]) -> None:
        """Write files by name. Tables begin with the mark by which spreadsheets know UTF-8; the intake passes over it.
        Raises OSError, also where another program has put a file there meanwhile.
        """
        for name, text in files.items():
            path = self.folder / name
            self._make(path.parent)
            mark = codecs.BOM_UTF8 if name.endswith(".csv") else b""
            with path.open("xb") as out:
                self._made.append(path)
                out.write(mark + text.encode("utf-8"))
            self.names.append(name)

    def take_away(self) -> None:
        """Take away files and folders made here, the last first; what can't be taken away stays."""
        for path in reversed(self._made):
            with suppress(OSError):
                path.rmdir() if path.is_dir() else path.unlink()

    def _make(self, folder: Path) -> None:
        for place in reversed(_missing(folder)):
            place.mkdir()
            self._made.append(place)


def _missing(folder: Path) -> list[Path]:
    return [place for place in _up(folder) if not place.is_dir()]


def _up(folder: Path) -> Iterable[Path]:
    return (folder, *folder.parents)
