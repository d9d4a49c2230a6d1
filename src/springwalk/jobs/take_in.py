"""Take a season folder into the store: one write transaction a file, and a receipt of what it did."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

from springwalk.errors import BadValue
from springwalk.intake import FileRead, Known, Repair, read_folder
from springwalk.jobs.receipt import FileReceipt, Receipt, Revision, day_revision, record_revision
from springwalk.records import Field, Planting, Record, Season, Station
from springwalk.store import Entry, Reading, Store
from springwalk.store.days import put_days
from springwalk.store.entries import heads, put_record, thing_of
from springwalk.store.files import put_file

Repairs = Mapping[str, Repair | str | Mapping[str, str]]


def take_in(store: Store, folder: Path, *, today: date, person: str = "", repairs: Repairs | None = None) -> Receipt:
    """Take a season folder in and return its receipt; good rows are kept, every fault is listed.

    Each file is one write transaction: a killed intake leaves all or nothing of it. The same folder twice changes
    nothing. A changed value is a revision; a blank never erases a value held. Rows dated after ``today`` are faults.
    ``repairs`` by file, as ``intake.parse_repairs`` gives them. Raises BadFile where the folder cannot be read, and
    BadValue where it is of another season than the store.
    """
    with store.reading() as read:
        counter = read.counter
        known = _known(read)
        held = _season(read)
    reads = list(read_folder(folder, today=today, known=known, repairs=repairs))
    _check_season(reads, held)
    later = Counter(record.natural_key() for each in reads for record in each.records)
    receipts = []
    for each in reads:
        for record in each.records:
            later[record.natural_key()] -= 1
        records = _settled(each.records, later)
        receipts.append(_take_file(store, replace(each, records=records), person))
    return Receipt(tuple(receipts), changed=store.counter != counter)


def _take_file(store: Store, each: FileRead, person: str) -> FileReceipt:
    """Write one file in one transaction."""
    with store.writing() as write:
        told: Counter[str] = Counter()
        revised: list[Revision] = []
        before = _before(write, each.records)
        for record in each.records:
            outcome = put_record(write, record, device="intake", person=person)
            told[outcome] += 1
            if outcome == "revised":
                old = before.get(thing_of(record))
                revised.append(record_revision(None if old is None else old.record, record))
        taken = put_days(write, each.days)
        revised += [day_revision(old, new) for old, new in taken.revised]
        if each.sha256:
            put_file(write, each.name, each.sha256)
    return FileReceipt(
        name=each.name,
        new=told["new"] + taken.new,
        same=told["same"] + taken.same,
        revised=tuple(revised),
        faults=each.faults,
    )


def _before(read: Reading, records: Sequence[Record]) -> dict[str, Entry]:
    """The current entries of the kinds a file holds, by thing."""
    kinds = sorted({record.kind for record in records})
    return {entry.thing: entry for kind in kinds for entry in heads(read, kind)}


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


def _known(read: Reading) -> Known:
    """What the store holds, for a folder that speaks of it."""
    by_kind: dict[str, list[Record]] = {}
    for kind in ("field", "planting", "zone", "trap", "station"):
        by_kind[kind] = [entry.record for entry in heads(read, kind) if entry.record is not None]
    places = [
        (r.latitude, r.longitude) for r in by_kind["field"] + by_kind["station"] if isinstance(r, Field | Station)
    ]
    return Known(
        fields=_ids(by_kind["field"]),
        plantings={record.id: record for record in by_kind["planting"] if isinstance(record, Planting)},
        zones=_ids(by_kind["zone"]),
        traps=_ids(by_kind["trap"]),
        places=tuple(places),
    )


def _ids(records: Sequence[Record]) -> frozenset[str]:
    return frozenset(str(getattr(record, "id", "")) for record in records)


def _season(read: Reading) -> Season | None:
    found = [entry.record for entry in heads(read, "season") if isinstance(entry.record, Season)]
    return found[0] if found else None


def _check_season(reads: Sequence[FileRead], held: Season | None) -> None:
    """One store holds one season: refuse a folder of another year."""
    for each in reads:
        for record in each.records:
            if isinstance(record, Season) and held is not None and record.year != held.year:
                told = f"this store holds the season {held.year}"
                raise BadValue("year", record.year, told, "give the new season a store of its own: --store FILE")
