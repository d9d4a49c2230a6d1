"""Entries: what was seen, typed or told. Append-only; a thing's state is its heads, the entries nobody replaced."""

from __future__ import annotations

import hashlib
import json
import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Any, Literal

from pydantic import ValidationError
from sqlalchemy import Select, delete, func, insert, select
from uuid6 import uuid7

from springwalk.errors import BadValue
from springwalk.records import ENTRY_KINDS, Record
from springwalk.store.core import Reading, Writing, instant
from springwalk.store.schema import entries, heads as heads_table, links

NAMESPACE = uuid.UUID("6f1c7a52-3f0e-5c0b-9d55-2f0a8f6f3b11")
"""Ours, fixed for good: the same natural key gives the same thing in every store."""

Put = Literal["new", "same", "revised"]

_COLUMNS = tuple(column.name for column in entries.c)
_SCHEMA_LIMIT = 2**31


@dataclass(frozen=True)
class Entry:
    """One version of a thing as it was received. Instants are UTC text; ``sent_at`` None = made on this machine."""

    seq: int
    id: str
    thing: str
    parents: tuple[str, ...]
    kind: str
    schema: int
    body: str
    sha256: str
    device: str
    person: str
    made_at: str
    sent_at: str | None
    received_at: str

    @cached_property
    def record(self) -> Record | None:
        """The body as a record; None when this program does not understand it."""
        made_by = ENTRY_KINDS.get(self.kind)
        if made_by is None or made_by.schema_version != self.schema:
            return None
        try:
            return made_by.model_validate_json(self.body)
        except ValidationError:
            return None

    @property
    def understood(self) -> bool:
        """Whether this program can read the body (a later one may: nothing about it is stored)."""
        return self.record is not None


def thing_of(record: Record) -> str:
    """The thing a record speaks of: a UUID made from its natural key."""
    return str(uuid.uuid5(NAMESPACE, record.natural_key()))


def record_of(entry: Entry) -> Record | None:
    """The record an entry holds; None when it is not understood."""
    return entry.record


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
    digest = _digest(body)
    known = None if id is None else entry_of(write, id)
    if known is not None and id is not None:
        if (known.kind, known.schema, known.sha256) == (kind, schema, digest):
            return known
        id = str(uuid.uuid5(NAMESPACE, f"{id}\n{kind}\n{schema}\n{digest}"))
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
        sha256=digest,
        device=device,
        person=person,
        made_at=write.now if made_at is None else instant(made_at, "made_at"),
        sent_at=None if sent_at is None else instant(sent_at, "sent_at"),
        received_at=write.now,
    )
    _check(entry)
    _insert(write, entry)
    return entry


def _check(entry: Entry) -> None:
    if entry.id in entry.parents:
        raise BadValue("parents", entry.id, "an entry cannot replace itself", "leave it out")
    if not -_SCHEMA_LIMIT <= entry.schema < _SCHEMA_LIMIT:
        raise BadValue("schema", entry.schema, "over 31 bits", "send the version of the record")
    for name in ("thing", "kind"):
        if not getattr(entry, name):
            raise BadValue(name, "''", "empty", "send a name")
    for name in ("id", "thing", "kind", "device", "person"):
        _utf8(getattr(entry, name), name)
    for parent in entry.parents:
        _utf8(parent, "parents")


def _digest(body: str) -> str:
    return hashlib.sha256(_utf8(body, "body")).hexdigest()


def _utf8(text: str, name: str) -> bytes:
    try:
        if "\x00" in text:
            raise ValueError("NUL")
        return text.encode("utf-8")
    except ValueError as error:
        raise BadValue(name, repr(text)[:60], "not text that can be kept", "send plain UTF-8 without NUL") from error


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
    write: Writing, record: Record, *, device: str = "", person: str = "", made_at: datetime | None = None
) -> Put:
    """Say what a thing is now, found by its natural key: "same" writes nothing, else one entry replaces all heads."""
    thing = thing_of(record)
    where = heads_table.c.thing == thing
    known = write.connection.execute(_with_head(entries.c.id, entries.c.schema, entries.c.sha256).where(where)).all()
    body = record.body()
    if len(known) == 1 and tuple(known[0][1:]) == (record.schema_version, _digest(body)):
        return "same"
    append_raw(
        write, record.kind, record.schema_version, body, thing=thing, parents=[row[0] for row in known],
        device=device, person=person, made_at=made_at,
    )  # fmt: skip
    return "revised" if known else "new"


def entry_of(read: Reading, id: str) -> Entry | None:
    """The entry with this id; None where there is none."""
    found = _entries(read, select(entries).where(entries.c.id == id))
    return found[0] if found else None


def heads(read: Reading, kind: str | None = None) -> list[Entry]:
    """The current entries of a kind (None = all), by thing; a thing in conflict has several."""
    query = _with_head(entries)
    found = _entries(read, query if kind is None else query.where(entries.c.kind == kind))
    return sorted(found, key=lambda entry: (entry.thing, entry.id))


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


def _with_head(*columns: Any) -> Select[Any]:
    return select(*columns).select_from(heads_table).join(entries, entries.c.id == heads_table.c.entry)


def _entries(read: Reading, query: Select[Any]) -> list[Entry]:
    rows: Sequence[Any] = read.connection.execute(query).mappings().all()
    return [Entry(**{**row, "parents": tuple(json.loads(row["parents"]))}) for row in rows]
