"""One entry: its parts, how its text is read, and what no store keeps."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import cached_property

from pydantic import ValidationError

from springwalk.errors import BadValue
from springwalk.records import ENTRY_KINDS, Record

TAKEN_BACK = (0, '{"taken_back":true}')
"""Schema and body of an entry that takes a thing back; records count their schemas from 1."""

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
    def taken_back(self) -> bool:
        """Whether this entry says that the thing is not there, or never was."""
        return (self.schema, self.body) == TAKEN_BACK

    @property
    def understood(self) -> bool:
        """Whether this program can read the body (a later one may: nothing about it is stored)."""
        return self.taken_back or self.record is not None


def check(entry: Entry) -> None:
    """Raise BadValue for an entry that no store keeps."""
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


def digest(body: str) -> str:
    """The hex sha256 of an entry's text; BadValue for text that no database keeps."""
    return hashlib.sha256(_utf8(body, "body")).hexdigest()


def _utf8(text: str, name: str) -> bytes:
    try:
        if "\x00" in text:
            raise ValueError("NUL")
        return text.encode("utf-8")
    except ValueError as error:
        raise BadValue(name, repr(text)[:60], "not text that can be kept", "send plain UTF-8 without NUL") from error
