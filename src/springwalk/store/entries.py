"""Entries: what was seen, typed or told. Append-only; a thing's state is its heads, the entries nobody replaced."""

from __future__ import annotations

import json
import uuid
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any, Literal, TypeVar

from sqlalchemy import Select, delete, func, insert, select
from uuid6 import uuid7

from springwalk.errors import NotFound
from springwalk.records import Record
from springwalk.store.core import Reading, Writing, instant
from springwalk.store.entry import TAKEN_BACK, Entry, check, digest
from springwalk.store.schema import entries, heads as heads_table, links

NAMESPACE = uuid.UUID("6f1c7a52-3f0e-5c0b-9d55-2f0a8f6f3b11")
"""Ours, fixed for good: the same natural key gives the same thing in every store."""

R = TypeVar("R", bound=Record)
Put = Literal["new", "same", "revised", "conflict"]

_COLUMNS = tuple(column.name for column in entries.c)


def thing_of(record: Record) -> str:
    """The thing a record speaks of: a UUID made from its natural key."""
    return str(uuid.uuid5(NAMESPACE, record.natural_key()))


def record_of(entry: Entry) -> Record | None:
    """The record an entry holds; None when it is not understood."""
    return entry.record


def records(read: Reading, kind: type[R]) -> list[R]:
    """The records of a kind that stand, those not understood left out; both where two versions are held."""
    return [entry.record for entry in heads(read, kind.kind) if isinstance(entry.record, kind)]


def append(
    write: Writing,
    record: Record,
    *,
    thing: str | None = None,
    parents: Iterable[str] = (),
    id: str | None = None,
    device: str = "",
    person: str = "",
    made_at: datetime | None = None,
    sent_at: datetime | None = None,
) -> Entry:
    """Add a record as a new entry that replaces ``parents``; like ``append_raw`` with the record's own text.

    ``thing`` None = the thing its natural key names.
    """
    return append_raw(
        write, record.kind, record.schema_version, record.body(), thing=thing or thing_of(record), parents=parents,
        id=id, device=device, person=person, made_at=made_at, sent_at=sent_at,
    )  # fmt: skip


def append_raw(
    write: Writing,
    kind: str,
    schema: int,
    body: str,
    *,
    thing: str,
    parents: Iterable[str] = (),
    id: str | None = None,
    device: str = "",
    person: str = "",
    made_at: datetime | None = None,
    sent_at: datetime | None = None,
) -> Entry:
    """Add any text as an entry, understood or not, and return the entry now stored.

    ``id`` None = a new UUIDv7; ``made_at`` None = now. The same id with the same text again changes nothing and
    returns the first. The same id with *other* text is kept too, under an id made from both, so it shows as a
    conflict and is never lost. Raises BadValue for text that no database keeps (lone surrogates, NUL), an empty
    ``thing`` or ``kind``, a ``schema`` over 31 bits, or an entry that names itself as parent.
    """
    sha256 = digest(body)
    known = None if id is None else entry_of(write, id)
    if known is not None and id is not None:
        if (known.kind, known.schema, known.sha256) == (kind, schema, sha256):
            return known
        id = str(uuid.uuid5(NAMESPACE, f"{id}\n{kind}\n{schema}\n{sha256}"))
        if (again := entry_of(write, id)) is not None:
            return again
    entry = Entry(
        seq=write.next_seq(),
        id=id or str(uuid7()),
        thing=thing,
        parents=tuple(sorted(set(parents))),
        kind=kind,
        schema=schema,
        body=body,
        sha256=sha256,
        device=device,
        person=person,
        made_at=write.now if made_at is None else instant(made_at, "made_at"),
        sent_at=None if sent_at is None else instant(sent_at, "sent_at"),
        received_at=write.now,
    )
    check(entry)
    _insert(write, entry)
    return entry


def _insert(write: Writing, entry: Entry) -> None:
    """Write the entry, its links and the change of heads."""
    run = write.connection.execute
    run(insert(entries).values(**row_of(entry)))
    if entry.parents:
        run(insert(links), [{"parent": parent, "child": entry.id} for parent in entry.parents])
        run(delete(heads_table).where(heads_table.c.entry.in_(entry.parents)))
    replaced_already = run(select(links.c.child).where(links.c.parent == entry.id).limit(1)).first()
    if replaced_already is None:  # a phone may send the newer version first
        run(insert(heads_table).values(thing=entry.thing, entry=entry.id))


def put_record(
    write: Writing,
    record: Record,
    *,
    device: str = "",
    person: str = "",
    made_at: datetime | None = None,
    settle: bool = False,
) -> Put:
    """Say what a thing is now, found by its natural key; one new entry replaces its head.

    "same" = the store says so already; "new" also for a thing that was taken back. Of a thing in conflict the record
    is "same" when it is one of the sides, else "conflict"; both write nothing. ``settle`` ends the conflict: the
    record then replaces all heads ("revised").
    """
    thing = thing_of(record)
    known = heads_of(write, thing)
    body = record.body()
    # By content: a record that has gained a part since says the same while that part is not told.
    says_so = any(
        (head.schema, head.sha256) == (record.schema_version, digest(body)) or head.record == record for head in known
    )
    standing = [head for head in known if not head.taken_back]
    torn = len(known) > 1 and bool(standing)
    if says_so and not (torn and settle):
        return "same"
    if torn and not settle:
        return "conflict"
    append_raw(
        write, record.kind, record.schema_version, body, thing=thing, parents=[head.id for head in known],
        device=device, person=person, made_at=made_at,
    )  # fmt: skip
    return "revised" if standing else "new"


def take_back(write: Writing, what: str | Record, *, device: str = "", person: str = "") -> Entry:
    """Say that a thing (its name, or a record of it) is not there: a new entry in place of all its heads.

    Nothing is deleted: ``history`` still shows every version, and putting the record again brings the thing back.
    A thing taken back already is left as it is. Raises NotFound for one that was never told.
    """
    thing = what if isinstance(what, str) else thing_of(what)
    known = heads_of(write, thing)
    if not known:
        raise NotFound("thing", thing, "the store holds nothing of it", "check its name")
    if len(known) == 1 and known[0].taken_back:
        return known[0]
    schema, body = TAKEN_BACK
    parents = [head.id for head in known]
    return append_raw(write, known[0].kind, schema, body, thing=thing, parents=parents, device=device, person=person)


def entry_of(read: Reading, id: str) -> Entry | None:
    """The entry with this id; None where there is none."""
    found = _entries(read, select(entries).where(entries.c.id == id))
    return found[0] if found else None


def kept_with(read: Reading, entry: Entry) -> list[Entry]:
    """The other entries that one device had kept in the same transaction, in the order they were received."""
    c = entries.c
    same = (c.received_at == entry.received_at) & (c.device == entry.device) & (c.id != entry.id)
    return _entries(read, select(entries).where(same).order_by(c.seq))


def heads(read: Reading, kind: str | None = None, *, with_taken_back: bool = False) -> list[Entry]:
    """The current entries of a kind (None = all), by thing; a thing in conflict has several.

    Things that were taken back are left out, unless ``with_taken_back``.
    """
    query = _with_head(entries)
    found = _by_thing(_entries(read, query if kind is None else query.where(entries.c.kind == kind)))
    return [entry for entry in found if with_taken_back or not entry.taken_back]


def given_by(read: Reading, device: str) -> list[Entry]:
    """The current entries that came from ``device``, by thing: what it said and nobody has said otherwise since."""
    found = _by_thing(_entries(read, _with_head(entries).where(entries.c.device == device)))
    return [entry for entry in found if not entry.taken_back]


def history(read: Reading, thing: str) -> list[Entry]:
    """All entries of a thing in the order they were received."""
    return _entries(read, select(entries).where(entries.c.thing == thing).order_by(entries.c.seq))


def conflicts(read: Reading) -> dict[str, list[Entry]]:
    """Things with more than one head, each with its heads; ordered by thing."""
    torn = select(heads_table.c.thing).group_by(heads_table.c.thing).having(func.count() > 1)
    found: dict[str, list[Entry]] = {}
    for entry in _entries(read, _with_head(entries).where(heads_table.c.thing.in_(torn))):
        found.setdefault(entry.thing, []).append(entry)
    return {thing: sorted(found[thing], key=lambda entry: entry.id) for thing in sorted(found)}


def not_understood(read: Reading) -> list[Entry]:
    """The heads this program cannot read, by thing: to be shown, never dropped."""
    return [entry for entry in heads(read) if not entry.understood]


def row_of(entry: Entry) -> dict[str, Any]:
    """The entry as a row of the table."""
    row = {name: getattr(entry, name) for name in _COLUMNS}
    return {**row, "parents": json.dumps(entry.parents)}


def heads_of(read: Reading, thing: str) -> list[Entry]:
    """The current versions of one thing, taken back or not: none, one, or several in conflict."""
    return _by_thing(_entries(read, _with_head(entries).where(heads_table.c.thing == thing)))


def _by_thing(found: list[Entry]) -> list[Entry]:
    return sorted(found, key=lambda entry: (entry.thing, entry.id))


def _with_head(*columns: Any) -> Select[Any]:
    return select(*columns).select_from(heads_table).join(entries, entries.c.id == heads_table.c.entry)


def _entries(read: Reading, query: Select[Any]) -> list[Entry]:
    rows: Sequence[Any] = read.connection.execute(query).mappings().all()
    return [Entry(**{**row, "parents": tuple(json.loads(row["parents"]))}) for row in rows]
