"""The land of a season folder: seed lots, outlines, plantings, zones, events and planting progress."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from springwalk.intake.faults import FileRead
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
from springwalk.intake.opened import Opened, Work
from springwalk.intake.outlines import read_outlines
from springwalk.intake.progress import PROGRESS_COLUMNS, read_progress, settle_progress
from springwalk.intake.properties import FIELD_COLUMNS
from springwalk.intake.repairs import NO_REPAIR
from springwalk.intake.rows import Row
from springwalk.intake.seeds import LOT_COLUMNS, read_lots
from springwalk.intake.untold import PART_OF
from springwalk.records import Field, Planting, Record, Zone


def read_land(work: Work) -> Iterator[FileRead]:
    """Outlines, plantings, zones, events, progress: read together, as an event or a first day's planting dates a
    planting of another file. Seed lots come first: plantings name them.
    """
    opened, rows = work.table("seed_lots", LOT_COLUMNS)
    if opened is not None:
        opened.records += read_lots(rows, work.ids)
        yield opened.done(work.ids)
    opened_files: list[Opened] = []
    inside_events: list[tuple[Row, str]] = []
    for name in work.season.fields:
        opened = work.open(name)
        if opened is None:
            continue
        opened_files.append(opened)
        inside_events += _outlines(work, opened)
    told: list[Record] = [record for opened in opened_files for record in opened.records]
    work.places += [(record.latitude, record.longitude) for record in told if isinstance(record, Field)]
    zoned, rows = work.table("zones", ZONE_COLUMNS)  # before the plantings, which name them
    if zoned is not None:
        zones = {record.id: record for record in told if isinstance(record, Zone)}
        zoned.records += read_zones(rows, work.ids, zones)
    opened, rows = work.table("plantings", PLANTING_COLUMNS)
    if opened is not None:
        earlier = {record.id: record for record in told if isinstance(record, Planting)}
        opened.records += read_plantings(rows, work.ids, earlier)
        opened_files.append(opened)
    if zoned is not None:
        opened_files.append(zoned)
    _events(work, inside_events, opened_files)
    _progress(work, opened_files)
    for opened in opened_files:
        yield opened.done(work.ids)


def _outlines(work: Work, opened: Opened) -> list[tuple[Row, str]]:
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
            command=work.command(opened.name),
            renamed=work.renamed("fields", FIELD_COLUMNS, opened.faults),
        )
        opened.records += [*outlines.fields, *outlines.plantings, *outlines.zones]
        opened.absent = {kind: frozenset(PART_OF[kind]) - told for kind, told in outlines.told.items()}
        work.ids.add_land(outlines.fields, grower_told="grower" in outlines.told.get("field", ()))
        events, nameless = outlines.events, outlines.nameless
    if nameless or opened.faults.whole:
        work.ids.unread.append(opened.name)
    return events


def _events(work: Work, inside: list[tuple[Row, str]], opened_files: list[Opened]) -> None:
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


def _progress(work: Work, opened_files: list[Opened]) -> None:
    """progress.csv. Its first day dates a planting that nothing else dates; one not told elsewhere is told here."""
    opened, rows = work.table("progress", PROGRESS_COLUMNS)
    if opened is None:
        return
    as_is, command = work.as_is(opened.name), work.command(opened.name)
    days = read_progress(rows, work.ids, as_is=as_is, command=command)
    opened.records += [day for _, day in days]
    told = {record.id for each in opened_files for record in each.records if isinstance(record, Planting)}
    for planting in settle_progress(days, work.ids, told):
        if not _replace(opened_files, planting):
            opened.records.append(planting)
            opened.dated.add(planting.natural_key())
    opened_files.append(opened)


def _replace(opened_files: Iterable[Opened], planting: Planting) -> bool:
    for opened in opened_files:
        for at, record in enumerate(opened.records):
            if isinstance(record, Planting) and record.id == planting.id:
                opened.records[at] = planting
                opened.dated.add(planting.natural_key())
                return True
    return False
