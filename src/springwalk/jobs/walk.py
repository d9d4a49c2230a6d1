"""Keep a walk that was typed, and say what in it can't be right; and what a form needs to ask for one."""

from __future__ import annotations

import hashlib
import json
from datetime import date

from springwalk.errors import BadValue, NotFound
from springwalk.intake import did_you_mean, shown
from springwalk.jobs.enter import TYPED, enter
from springwalk.jobs.entered import Entered
from springwalk.jobs.placed import placed
from springwalk.jobs.results import Reason, Result
from springwalk.jobs.sheet import local_date
from springwalk.jobs.snapshot import season_of
from springwalk.jobs.walk_checks import Known, check_walks, row_key, walk_order
from springwalk.records import Planting, Stop, Walk, Zone
from springwalk.store import Reading, Store
from springwalk.store.entries import records

UNNAMED = "typed"
"""The id of a walk before it is kept; its own is made of what was told."""


class Walked(Result):
    """What keeping a walk did: its receipt, its id (by which it is corrected), and what is asked about it."""

    entered: Entered
    walk: str
    questions: tuple[Reason, ...]


class Part(Result):
    """A zone or planting that a form offers: its full id and what people call it."""

    id: str
    name: str


class MarkedRow(Result):
    """A marked row as it was counted last, to be counted again."""

    name: str
    walked: date
    planting: str | None
    stop: Stop


class WalkGround(Result):
    """What the forms for one field offer: its zones and plantings, and its marked rows in the order they were made."""

    field: str
    name: str
    today: date
    zones: tuple[Part, ...]
    plantings: tuple[Part, ...]
    rows: tuple[MarkedRow, ...]


def keep_walk(
    store: Store, told: Walk, *, person: str = "", device: str = TYPED, today: date | None = None, correct: str = ""
) -> Walked:
    """Keep a walk under an id made of all that was told of it; the same told twice changes nothing.

    Field, planting and zones may be named as people do. What contradicts itself is kept too, and comes back as
    questions. ``correct`` is the id of a typed walk that this one takes the place of. ``today`` None = the season's
    local date. Raises NotFound for a place or a walk to correct that is not there, BadValue for a day that can't be
    and for the words of a walk that was corrected since.
    """
    day = today or local_date(season_of(store))
    if not told.person:
        told = told.model_copy(update={"person": person})
    with store.reading() as read:
        record, _ = placed(read, told)
        assert isinstance(record, Walk)
        if correct:
            record = record.model_copy(update={"id": _typed_walk(read, correct, record.field).id})
        else:
            record = record.model_copy(update={"id": identity(record)})
            _check_not_corrected(read, record)
    entered = enter(store, record, person=person, device=device, today=day)
    return Walked(entered=entered, walk=record.id, questions=_asked(store, record))


def identity(walk: Walk) -> str:
    """The id of a typed walk: its date, and a digest of all that was told, its field, person and hour among it.

    Ids of places must be full ones. Parts of a record that are not told take no part, so that a later version of it
    gives the same id.
    """
    told = walk.model_dump(mode="json", exclude={"id"}, exclude_defaults=True)
    digest = hashlib.sha256(json.dumps(told, sort_keys=True).encode()).hexdigest()[:8]
    return f"{UNNAMED}-{walk.walked}-{digest}"


def walk_ground(store: Store, field: str, *, today: date | None = None) -> WalkGround:
    """What a form for a walk of ``field`` (id or name) offers; NotFound for a field that is not there."""
    with store.reading() as read:
        record, name = placed(read, Walk(id=UNNAMED, field=field, walked=date.min))
        ident = str(getattr(record, "field", field))
        zones = [one for one in records(read, Zone) if one.field == ident]
        plantings = [one for one in records(read, Planting) if one.field == ident]
        walks = [one for one in records(read, Walk) if one.field == ident]
    return WalkGround(
        field=ident, name=name, today=today or local_date(season_of(store)),
        zones=tuple(Part(id=one.id, name=one.name) for one in sorted(zones, key=lambda z: z.id)),
        plantings=tuple(Part(id=one.id, name=one.id.removeprefix(f"{ident}/")) for one in _in_order(plantings)),
        rows=marked_rows(walks),
    )  # fmt: skip


def typed_walk_of(store: Store, field: str, walk: str) -> Walk:
    """A walk that was typed for a field, to be corrected; NotFound, or BadValue for one of another field or a file."""
    with store.reading() as read:
        record, _ = placed(read, Walk(id=UNNAMED, field=field, walked=date.min))
        return _typed_walk(read, walk, str(getattr(record, "field", field)))


def marked_rows(walks: list[Walk]) -> tuple[MarkedRow, ...]:
    """Every marked row of one field's walks with its newest count."""
    rows: dict[tuple[str, str], MarkedRow] = {}
    for walk in sorted(walks, key=walk_order):
        for stop in walk.stops:
            if name := row_key(stop):
                key = (name, walk.planting or "")
                rows[key] = MarkedRow(name=stop.marked_row, walked=walk.walked, planting=walk.planting, stop=stop)
    return tuple(rows.values())


def _in_order(plantings: list[Planting]) -> list[Planting]:
    return sorted(plantings, key=lambda one: one.id)


def _typed_walk(read: Reading, walk: str, field: str) -> Walk:
    """The walk of an id that was typed in this field."""
    mine = {one.id: one for one in records(read, Walk) if one.id.startswith(f"{UNNAMED}-")}
    found = mine.get(walk.strip())
    if found is None:
        hint = did_you_mean(walk.strip(), [one.id for one in mine.values() if one.field == field])
        raise NotFound("walk", shown(walk), "no walk with this id was typed", hint or "tell it as a new walk")
    if found.field != field:
        rule = f"it is a walk of field {found.field!r}"
        raise BadValue("walk", shown(walk), rule, "name that field, or leave --correct out")
    return found


def _check_not_corrected(read: Reading, record: Walk) -> None:
    """Refuse the first words of a walk that was corrected since: they would take its correction back unsaid."""
    held = next((one for one in records(read, Walk) if one.id == record.id), None)
    if held is not None and held != record:
        rule = "told before in these words, and corrected since"
        raise BadValue("walk", record.id, rule, "add the hour or a note if it is another walk")


def _asked(store: Store, record: Walk) -> tuple[Reason, ...]:
    """What is asked about a walk beside the others of its field."""
    with store.reading() as read:
        walks = [one for one in records(read, Walk) if one.field == record.field]
        planted = {one.id: one.planted for one in records(read, Planting) if one.field == record.field}
    return next((one.questions for one in check_walks(walks, Known(planted)) if one.walk.id == record.id), ())
