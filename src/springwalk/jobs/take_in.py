"""Take a season folder into the store: one write transaction a file, and a receipt of what it did."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Protocol

from springwalk.errors import BadValue
from springwalk.intake import (
    Command,
    Fault,
    FileRead,
    Known,
    Repair,
    UnreadableError,
    as_repairs,
    did_you_mean,
    one_line,
    read_folder,
    shown,
)
from springwalk.jobs.capture_words import with_known_rules
from springwalk.jobs.held import (
    by_thing,
    conflicting,
    device_of,
    entry_words,
    file_of,
    merged,
    no_longer_told,
    overlapping,
    refused_to_take_back,
    things,
)
from springwalk.jobs.receipt import FileReceipt, Receipt, Revision, day_revision, record_revision
from springwalk.records import Field, Planting, Recommendation, Record, Season, Station
from springwalk.store import Entry, Reading, Store, Writing
from springwalk.store.days import days, put_days
from springwalk.store.entries import heads, put_record, records, take_back as take_entry_back, thing_of
from springwalk.store.files import put_file

Repairs = Mapping[str, Repair | str | Mapping[str, str]]


class Telling(Protocol):
    """Who is told of an intake while it goes on. Nothing told may raise: it would stop the intake half-way."""

    def files(self, names: Sequence[str]) -> None:
        """The files of the folder, all read; none is kept yet."""

    def kept(self, file: FileReceipt) -> None:
        """One file's receipt, as soon as the file is kept."""


@dataclass(frozen=True)
class _Work:
    """What taking one file in needs to know of the whole intake."""

    folder: Path
    person: str
    options: str
    repairs: Mapping[str, Repair]
    back: frozenset[str]
    told: frozenset[str]
    names: tuple[str, ...]

    def command(self, file: str) -> Command:
        """How to say a repair of one of the files."""
        return Command(self.folder, file, self.options)


def take_in(
    store: Store,
    folder: Path,
    *,
    today: date,
    person: str = "",
    repairs: Repairs | None = None,
    options: str = "",
    take_back: Collection[str] = (),
    telling: Telling | None = None,
) -> Receipt:
    """Take a season folder in and return its receipt; good rows are kept, every fault is listed.

    Each file is one write transaction: a killed intake leaves all or nothing of it, and ``telling`` hears of each file
    as soon as it is kept. The same folder twice changes nothing. A changed value is a revision. A blank erases, a
    column that the file does not have keeps what is held; of a station's days neither erases anything. What an
    earlier file of the same name gave and it no longer holds is listed and kept, unless the file is in ``take_back``.
    Rows dated after ``today`` are faults. ``repairs`` by file, as ``intake.parse_repairs`` gives them (as-is of a table
    settles things in conflict); ``options`` are words of the command line that a repair said in a fault must carry.
    Raises BadFile where the folder cannot be read, and BadValue where it is of another season than the store, for a
    ``person`` that is not one line of text, and for a ``take_back`` that no table of the folder is called.
    """
    _check_person(person)
    with store.reading() as read:
        counter = read.counter
        known = _known(read, store)
        held = _season(read)
    reads = list(read_folder(folder, today=today, known=known, repairs=repairs, options=options))
    reads = [with_known_rules(each) for each in reads[:1]] + reads[1:]
    _check_season(reads, held)
    _check_take_back(take_back, reads)
    names = tuple(each.name for each in reads)
    work = _Work(
        Path(folder), person, options, as_repairs(repairs), frozenset(take_back), things(reads), names
    )  # fmt: skip
    if telling is not None:
        telling.files(names)
    later = Counter(record.natural_key() for each in reads for record in each.records)
    receipts = []
    for each in reads:
        for record in each.records:
            later[record.natural_key()] -= 1
        records = _settled(each.records, later)
        receipts.append(_take_file(store, replace(each, records=records), work))
        if telling is not None:
            telling.kept(receipts[-1])
    return Receipt(tuple(receipts), changed=store.counter != counter)


def _take_file(store: Store, each: FileRead, work: _Work) -> FileReceipt:
    """Write one file in one transaction."""
    with store.writing() as write:
        faults = list(each.faults)
        gone = no_longer_told(write, each, work.told)
        taken_back: tuple[str, ...] = ()
        if each.name in work.back:
            taken_back, gone = _take_back(write, gone, each, work), []
            if not each.complete:
                faults.append(refused_to_take_back(each))
        told, revised = _put(write, each, work, faults)
        taken = put_days(write, each.days)
        revised += [day_revision(old, new) for old, new in taken.revised]
        if each.sha256:
            put_file(write, each.name, each.sha256)
    return FileReceipt(
        name=each.name,
        new=told["new"] + taken.new,
        same=told["same"] + taken.same,
        revised=tuple(revised),
        faults=tuple(faults),
        rows=each.rows,
        left_out=each.left_out,
        gone=tuple(entry_words(entry) for entry in gone),
        to_take_back=work.command(each.name).take_back() if gone else "",
        taken_back=taken_back,
    )


def _take_back(write: Writing, gone: Sequence[Entry], each: FileRead, work: _Work) -> tuple[str, ...]:
    """Take back what the file no longer holds, and say what."""
    for entry in gone:
        take_entry_back(write, entry.thing, device=device_of(each.name), person=work.person)
    return tuple(entry_words(entry) for entry in gone)


def _put(
    write: Writing, each: FileRead, work: _Work, faults: list[Fault]
) -> tuple[Counter[str], list[Revision]]:  # fmt: skip
    """Put the file's records; what contradicts the store is held back and listed in ``faults``."""
    told: Counter[str] = Counter()
    revised: list[Revision] = []
    as_is = work.repairs.get(each.name, Repair()).as_is
    before = by_thing(write, each.records)
    doubled = overlapping(write, each, work.told, work.command, work.names)
    for record in each.records:
        key = record.natural_key()
        if key in doubled:
            faults.append(doubled[key])
            continue
        held = before.get(thing_of(record), [])
        record = merged(held, record, each.untold.get(key, ()))
        outcome = put_record(write, record, device=device_of(each.name), person=work.person, settle=as_is)
        told[outcome] += 1
        if outcome == "revised":
            revised.append(record_revision(held[-1].record if held else None, record))
        elif outcome == "conflict":
            faults.append(conflicting(each, record, work.command(each.name)))
    return told, revised


def _settled(records: Sequence[Record], later: Mapping[str, int]) -> tuple[Record, ...]:
    """Records that nothing later in this intake replaces (an event ``planted`` dates a planting of the file before).

    Writing both would revise the thing back and forth each time the folder is taken in.
    """
    last: dict[str, Record] = {}
    for record in records:
        key = record.natural_key()
        if later[key] == 0:
            last.pop(key, None)
            last[key] = record
    return tuple(last.values())


def _known(read: Reading, store: Store) -> Known:
    """What the store holds, for a folder that speaks of it."""
    by_kind: dict[str, list[Record]] = {}
    devices: dict[str, str] = {}
    for kind in ("field", "planting", "zone", "trap", "station", "seed lot", "recommendation"):
        entries = [entry for entry in heads(read, kind) if entry.record is not None]
        by_kind[kind] = [entry.record for entry in entries if entry.record is not None]
        devices |= {str(getattr(one.record, "id", "")): file_of(one.device) for one in entries if kind == "planting"}
    places = [
        (r.latitude, r.longitude) for r in by_kind["field"] + by_kind["station"] if isinstance(r, Field | Station)
    ]
    return Known(
        fields=_ids(by_kind["field"]),
        names={record.id: record.name for record in by_kind["field"] if isinstance(record, Field)},
        land={record.id: record for record in by_kind["field"] if isinstance(record, Field)},
        plantings={record.id: record for record in by_kind["planting"] if isinstance(record, Planting)},
        planting_files=devices,
        zones=_ids(by_kind["zone"]),
        lots=_ids(by_kind["seed lot"]),
        recommendations={one.id: one for one in by_kind["recommendation"] if isinstance(one, Recommendation)},
        traps=_ids(by_kind["trap"]),
        places=tuple(places),
        highs=lambda station: _highs(store, station),
    )


def _highs(store: Store, station: str) -> list[tuple[date, float]]:
    """Days of a station and their maxima in °C."""
    with store.reading() as read:
        rows = days(read, station).get(station, [])
    return [(date.fromisoformat(day), high) for day, _, high, _ in rows if high is not None]


def _ids(records: Sequence[Record]) -> frozenset[str]:
    return frozenset(str(getattr(record, "id", "")) for record in records)


def _season(read: Reading) -> Season | None:
    found = records(read, Season)
    return found[0] if found else None


def _check_person(person: str) -> None:
    try:
        one_line(person)
    except UnreadableError as error:
        raise BadValue("person", shown(person), error.rule, error.todo) from None


def _check_take_back(names: Collection[str], reads: Sequence[FileRead]) -> None:
    """Refuse to take back from what is no table of this folder, before anything is written."""
    weather = [each.name for each in reads if each.days and not each.records]
    tables = [each.name for each in reads if each.name not in weather]
    for name in names:
        if name in weather:
            rule, todo = "days of weather are not taken back", "correct their values in the file"
            raise BadValue("take-back", shown(name), rule, todo)
        if name not in tables:
            hint = did_you_mean(name, tables)
            raise BadValue("take-back", shown(name), "no file of this name was read", hint or "check the name")


def _check_season(reads: Sequence[FileRead], held: Season | None) -> None:
    """One store holds one season: refuse a folder of another year."""
    for each in reads:
        for record in each.records:
            if isinstance(record, Season) and held is not None and record.year != held.year:
                told = f"this store holds the season {held.year}"
                raise BadValue("year", record.year, told, "give the new season a store of its own: --store FILE")
