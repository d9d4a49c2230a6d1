"""Enter one thing that was seen or done: a tap, rain, a pass, a count, the end of a look; and take it back again."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Literal

from springwalk.errors import BadValue, NotFound, SpringwalkError
from springwalk.intake import did_you_mean, shown
from springwalk.jobs.entered import Entered, Outcome
from springwalk.jobs.keep_out import PESTICIDE, opens_at
from springwalk.jobs.latest import latest_sheet
from springwalk.jobs.placed import check_day, check_texts, placed
from springwalk.jobs.results import Look, Reason
from springwalk.jobs.sheet import local_date
from springwalk.jobs.snapshot import season_of
from springwalk.jobs.typed import made
from springwalk.records import Done, Event, Field, Gauge, Pass, Planting, Recommendation, Record, Step, Walk
from springwalk.records.advice import FOUND
from springwalk.store import Entry, Reading, Store, Writing
from springwalk.store.entries import (
    append_raw,
    entry_of,
    heads,
    heads_of,
    history,
    kept_with,
    put_record,
    take_back,
    thing_of,
)
from springwalk.tables import number

TYPED, DESK = "typed", "desk"
"""The devices of what people enter one by one: on the command line, and in the browser."""
_KEPT = (Event, Gauge, Planting, Step)
"""Told again with less, these keep what was told before."""
_LOOK_OF: dict[str, tuple[str, ...]] = {
    "hail": ("hail",), "ponding": ("ponding",), "water gone": ("ponding",), "wind": ("wind",), "frost": ("frost",),
    "crust": ("crust",), "emerged": ("stand_count",), "baits set": ("baits",), "gauge": ("dig_cold", "crust"),
    "pest count": ("pest_act", "pest_more"), "insecticide": ("recheck",), "planting": ("spike_check",),
}  # fmt: skip
"""The looks that an entry can open, the first found is said."""


def enter(
    store: Store, record: Record, *, person: str = "", device: str = TYPED, today: date | None = None
) -> Entered:  # fmt: skip
    """Keep one record and return its receipt; the same told twice changes nothing.

    The record may name its field by id or name in any case, and its planting and zone by their short ids. An event,
    gauge or step told again with less keeps what was told before. ``person`` fills the record's own where that is
    blank. ``today`` None = the season's local date. Raises NotFound for a field, planting or zone that is not in the
    store, BadValue for a day after today or of another season and for text that is not one line, StoreError for a
    store that may only be read.
    """
    season = season_of(store)
    if "person" in type(record).model_fields and not getattr(record, "person", ""):
        record = record.model_copy(update={"person": person})
    check_texts(record)
    check_day(record, season, today or local_date(season))
    with store.reading() as read:
        record, name = placed(read, record)
    with store.writing() as write:
        record, held, put, entry = keep(write, record, device=device, person=person)
    return receipt_of(record, entry, put, name, held if put == "revised" else None)


def keep(
    write: Writing, record: Record, *, device: str, person: str
) -> tuple[Record, Record | None, Outcome, str | None]:
    """Write one record with what it does not tell taken from the one held.

    Returns the record as it is kept, the one held until now, what became of it, and the new entry's id (None where
    nothing was written).
    """
    held = _standing(write, thing_of(record))
    record = _with_kept(record, held)
    record = held if held is not None and _only_who(record, held) else record
    put = put_record(write, record, device=device, person=person)
    entry = None if put in ("same", "conflict") else history(write, thing_of(record))[-1].id
    return record, held, put, entry


def end_look(
    store: Store, look: str, *, outcome: Literal["done", "set aside"] = "done", note: str = "",
    on: date | None = None, person: str = "", device: str = TYPED, today: date | None = None,
) -> Entered:  # fmt: skip
    """Say that a look of the due list was made, or is set aside with a reason, and return the receipt.

    ``look`` is its key there; ``on`` None = ``today``, and that None = the season's local date. Raises NotFound for a
    key that no field of the sheet has and that was not ended before, BadValue for one set aside without a note.
    """
    if outcome == "set aside" and not note.strip():
        raise BadValue("note", "(blank)", "a look is set aside with a reason", "say why in a few words")
    day = today or local_date(season_of(store))
    field = _field_of_look(store, look.strip(), today)
    record = made(Done, look=look.strip(), field=field, on=on or day, outcome=outcome, person=person, note=note.strip())
    return enter(store, record, person=person, device=device, today=day)


def undo(store: Store, entry: str, *, person: str = "", device: str = TYPED) -> Entered:
    """Take an entry back by its id: what it stood in place of is brought back; nothing is ever deleted.

    A replant is taken back whole: its planting and the tear-up told with it; a check with the looks it ended.
    A walk may also be named by its own id. Raises NotFound for an id that the store does not hold, BadValue for an
    entry that was not typed here, was taken back already, or has been told otherwise since.
    """
    with store.writing() as write:
        found = entry_of(write, entry) or _of_walk(write, entry)
        if found is None:
            raise NotFound("entry", shown(entry), "the store holds no such entry", "copy it from the receipt")
        if found.device not in (TYPED, DESK) or found.record is None:
            rule = "not an entry that was typed by hand"
            raise BadValue("entry", shown(entry), rule, "correct the file it came from and take that in")
        if not _stands(write, found):
            rule = "taken back already, or told otherwise since"
            raise BadValue("entry", shown(entry), rule, "look at what is told now and enter what is right")
        told = [found, *(one for one in kept_with(write, found) if _paired(found, one) and _stands(write, one))]
        undone = [_undo(write, one, device=device, person=person) for one in told]
        name = _name(write, str(getattr(found.record, "field", "")))
    first = next((at for at, one in enumerate(told) if isinstance(one.record, Planting)), 0)
    torn = next((one.record for one in told if isinstance(one.record, Event)), None)
    looks = [one.record.look for one in told[1:] if isinstance(one.record, Done)]
    kept, before = undone[first]
    record, old = told[first].record, before.record if before is not None else None
    assert record is not None
    put: Outcome = "taken back" if before is None else "brought back"
    return receipt_of(record, kept.id, put, name, old, torn=torn, looks=looks)


def _undo(write: Writing, found: Entry, *, device: str, person: str) -> tuple[Entry, Entry | None]:
    """The entry that takes one back, and the one it brings back (None where there was none before)."""
    before = _before(write, found)
    if before is None:
        if found.record is not None:
            _check_unused(write, found.record)
        return take_back(write, found.thing, device=device, person=person), None
    kept = append_raw(
        write, before.kind, before.schema, before.body, thing=found.thing, parents=[found.id], device=device,
        person=person,
    )  # fmt: skip
    return kept, before


def _stands(read: Reading, found: Entry) -> bool:
    return [one.id for one in heads_of(read, found.thing)] == [found.id]


def _paired(found: Entry, other: Entry) -> bool:
    """Whether two entries of one action are one replant's planting and tear-up, or a check and the look it ended."""
    if isinstance(found.record, Step) and isinstance(other.record, Done):
        return found.record.what == "checked" and found.record.field == other.record.field
    pair = (found.record, other.record)
    planting = next((one for one in pair if isinstance(one, Planting)), None)
    torn = next((one for one in pair if isinstance(one, Event) and one.what == "torn up"), None)
    return planting is not None and torn is not None and planting.field == torn.field


def look_after(store: Store, entered: Entered, *, today: date | None = None) -> Look | None:
    """The look that an entry opened or moved, read from the new sheet; None where there is none or no sheet."""
    codes = _LOOK_OF.get(str(entered.said.facts.get("what", "")), _LOOK_OF.get(_kind_of(entered), ()))
    if not codes or entered.put not in ("new", "revised", "same"):
        return None
    try:
        sheet = latest_sheet(store, today)
    except SpringwalkError:
        return None  # the entry is kept all the same; the sheet says itself why it can't be made
    mine = [look for row in (*sheet.rows, *sheet.rest) if row.field == entered.field for look in row.looks]
    open_ones = [look for look in mine if look.code in codes and look.state in ("coming", "due", "last day")]
    day = str(entered.said.facts.get("date", ""))
    return min(open_ones, key=lambda look: (not look.key.endswith(f":{day}"), codes.index(look.code), look.opens),
               default=None)  # fmt: skip


def _kind_of(entered: Entered) -> str:
    return entered.said.code.removeprefix("entered_").replace("_", " ")


def receipt_of(
    record: Record,
    entry: str | None,
    put: Outcome,
    name: str,
    before: Record | None,
    *,
    torn: Event | None = None,
    looks: Sequence[str] = (),
    look_opens: date | None = None,
) -> Entered:
    """The receipt of a record that stands in place of ``before``; ``torn`` is the tear-up told with a planting.

    ``looks`` are keys of looks ended with a check, ``look_opens`` the day from which one is still to be made.
    """
    said = _said(record, torn)
    if isinstance(record, Step) and record.what == "checked":
        said = Reason(code=said.code, facts={**said.facts, "looks_done": tuple(looks), "look_opens": look_opens})
    return Entered(
        key=record.natural_key(), entry=entry, put=put, field=str(getattr(record, "field", "")), name=name,
        said=said, before=_said(before) if before is not None else None,
    )  # fmt: skip


def _said(record: Record, torn: Event | None = None) -> Reason:
    """A record as a reason; of a pass also when the field opens, or how long it is held until that is typed."""
    facts = dict(record.model_dump(exclude={"shown", "said", "text"} if isinstance(record, Recommendation) else None))
    if isinstance(record, Pass):
        held = record.entry_hours is None and record.what in PESTICIDE
        facts["opens"] = opens_at(record)
        facts["held_hours"] = number("looks", "hold_untold").value if held else None
    if isinstance(record, Planting):
        facts |= {"date": record.planted, "torn_up": torn.date if torn is not None else None}
    return Reason(code=f"entered_{record.kind.replace(' ', '_')}", facts=facts)


def _standing(read: Reading, thing: str) -> Record | None:
    """The record a thing has now; None where there is none, or two."""
    found = [entry.record for entry in heads_of(read, thing) if not entry.taken_back]
    return found[0] if len(found) == 1 else None


def _only_who(record: Record, held: Record) -> bool:
    """Whether a second person tells the very same: the first teller stays named."""
    who = {"person": getattr(held, "person", ""), "note": getattr(held, "note", "")}
    mine = {name: value for name, value in who.items() if name in type(record).model_fields}
    return (
        type(record) is type(held)
        and getattr(record, "note", "") in ("", who["note"])
        and (record.model_copy(update=mine) == held)
    )


def _with_kept(record: Record, held: Record | None) -> Record:
    """The record with what it does not tell taken from the one held."""
    if not isinstance(record, _KEPT) or type(held) is not type(record):
        return record
    blank = (None, "")
    if isinstance(record, Gauge) and isinstance(held, Gauge) and record.rain_mm != held.rain_mm:
        return record  # another amount is another reading: what was said of the first says nothing of it
    if isinstance(record, Step) and isinstance(held, Step) and (record.what != held.what or record.what in FOUND):
        return record  # another answer, or another count
    kept = {
        name: getattr(held, name)
        for name in type(record).model_fields
        if getattr(record, name) in blank and getattr(held, name) not in blank
    }
    return record.model_copy(update=kept)


def _of_walk(read: Reading, walk: str) -> Entry | None:
    """The newest entry of the walk with this id."""
    found = [one for one in heads(read, Walk.kind) if isinstance(one.record, Walk) and one.record.id == walk]
    return found[0] if found else None


def _before(read: Reading, entry: Entry) -> Entry | None:
    """The one version an entry stands in place of; None where it was the first, or several were."""
    found = [entry_of(read, parent) for parent in entry.parents]
    known = [one for one in found if one is not None and not one.taken_back]
    return known[0] if len(known) == 1 and known[0].understood else None


def _check_unused(read: Reading, record: Record) -> None:
    """Refuse to take a recommendation back while steps of its chain are kept."""
    if not isinstance(record, Recommendation):
        return
    steps = [one.record for one in heads(read, Step.kind)]
    if any(isinstance(one, Step) and one.recommendation == record.id for one in steps):
        rule = "steps of this recommendation are kept"
        raise BadValue("entry", shown(record.id), rule, "take those back first: springwalk recommendations")


def _name(read: Reading, field: str) -> str:
    found = (entry.record for entry in heads(read, Field.kind))
    return next((one.name for one in found if isinstance(one, Field) and one.id == field), field)


def _field_of_look(store: Store, look: str, today: date | None) -> str:
    """The field of a look: from the sheet, else from where it was ended before (an ended look leaves the sheet)."""
    sheet = latest_sheet(store, today)
    fields = {one.key: row.field for row in (*sheet.rows, *sheet.rest) for one in row.looks}
    if look in fields:
        return fields[look]
    with store.reading() as read:
        ended = [entry.record for entry in heads(read, Done.kind)]
    for one in ended:
        if isinstance(one, Done) and one.look == look:
            return one.field
    near = did_you_mean(look, list(fields)) if look else ""
    todo = near if near.startswith("did") else "copy a key from the list: springwalk due"
    raise NotFound("look", shown(look), "no field has this look", todo)
