"""Tell a replant in one action: the old stand torn up and the new planting, one receipt, one undo for both."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from springwalk.errors import BadValue
from springwalk.intake import UnreadableError, shown
from springwalk.intake.land import seeds_per_ha
from springwalk.jobs.enter import TYPED, keep, receipt_of
from springwalk.jobs.entered import Entered, Outcome
from springwalk.jobs.placed import check_day, check_texts, placed
from springwalk.jobs.sheet import local_date
from springwalk.jobs.snapshot import season_of
from springwalk.jobs.stands import standing
from springwalk.jobs.typed import made
from springwalk.records import Event, Planting
from springwalk.store import Reading, Store
from springwalk.store.entries import records


@dataclass(frozen=True)
class Replant:
    """A replant as it is told. ``planting`` and ``zone`` name what was replanted; blank = all of the field.

    ``on`` is the day of planting, ``torn_up`` the day the old stand was taken out; None = the old plants stay.
    """

    field: str
    on: date
    torn_up: date | None
    zone: str = ""
    planting: str = ""
    seeds_per_ha: float | None = None
    hybrid: str = ""
    person: str = ""
    note: str = ""


def replanted(store: Store, told: Replant, *, device: str = TYPED, today: date | None = None) -> Entered:
    """Keep a replant and return its one receipt; the same told twice changes nothing.

    ``today`` None = the season's local date. Raises NotFound for a field, planting or zone that is not in the store,
    BadValue for days that cannot be, for a planting that does not stand there, and where two versions of one of the two
    records are held (nothing is written then), StoreError for a store that may only be read.
    """
    season = season_of(store)
    day = today or local_date(season)
    torn = made(
        Event, field=told.field, date=told.torn_up or told.on, what="torn up", zone=told.zone or None,
        planting=told.planting or None, person=told.person, note=told.note,
    )  # fmt: skip
    for one in (torn, torn.model_copy(update={"date": told.on})):
        check_texts(one)
        check_day(one, season, day)
    if torn.date > told.on:
        raise BadValue("torn-up", torn.date, f"after the replanting ({told.on})", "correct one of the two")
    with store.writing() as write:
        found, name = placed(write, torn)
        assert isinstance(found, Event)
        planting = _planting(write, told, found)
        check_texts(planting)
        kept = [keep(write, planting, device=device, person=told.person)]
        if told.torn_up is not None:
            kept.append(keep(write, found, device=device, person=told.person))
        if any(put == "conflict" for _, _, put, _ in kept):
            rule = "two versions of the planting or of its tear-up are held"
            raise BadValue("replant", name, rule, "settle those first: nothing was written")
    record, held, put, _ = kept[0]
    entry = next((entry for *_, entry in kept if entry is not None), None)
    return receipt_of(
        record, entry, _put([put for _, _, put, _ in kept]), name, held if put == "revised" else None,
        torn=found if told.torn_up is not None else None,
    )  # fmt: skip


def rate(text: str) -> float | None:
    """Seeds per ha of ``32000`` (per acre) or ``79000/ha``; None for a blank. Raises BadValue for anything else."""
    if not text.strip():
        return None
    try:
        return seeds_per_ha(text)
    except UnreadableError as error:
        raise BadValue("rate", shown(text), error.rule, error.todo) from None


def _put(puts: list[Outcome]) -> Outcome:
    """What became of both together."""
    if "new" in puts and puts[0] != "same":
        return "new" if puts[0] == "new" else "revised"
    return next((put for put in puts if put != "same"), "same")


def _planting(read: Reading, told: Replant, torn: Event) -> Planting:
    """The new planting: the one told for that day and part already, else the field's next number."""
    plantings = records(read, Planting)
    mine = [one for one in plantings if one.field == torn.field]
    events = records(read, Event)
    before = [e for e in events if e.field == torn.field and e.natural_key() != torn.natural_key()]
    again = next((one for one in mine if one.planted == told.on and one.zone == torn.zone), None)
    old = [one for one in standing(mine, before, torn.zone) if again is None or one.id != again.id]
    old = [one for one in old if torn.planting in (None, one.id)]
    if again is not None and not old and torn.natural_key() not in (one.natural_key() for one in events):
        raise BadValue("date", told.on, "the stand there was planted that day", "give the day of the replant")
    _check_old(told, torn, old)
    taken = {one.id for one in mine}
    number = next(n for n in range(1, len(mine) + 2) if f"{torn.field}/{n}" not in taken)
    named = len(old) == 1 and torn.zone is None and torn.planting is not None
    return made(
        Planting, id=again.id if again else f"{torn.field}/{number}", field=torn.field, planted=told.on,
        hybrid=told.hybrid, seeds_per_ha=told.seeds_per_ha, zone=torn.zone, area_ha=old[0].area_ha if named else None,
    )  # fmt: skip


def _check_old(told: Replant, torn: Event, old: list[Planting]) -> None:
    """What is replanted must have stood there: a slip in a name or a day would leave two stands on one ground."""
    if torn.planting is not None and not old:
        rule = "this planting does not stand there any more"
        raise BadValue("planting", shown(told.planting), rule, "name the one that was replanted")
    late = [one.planted for one in old if one.planted is not None and one.planted >= torn.date]
    if late:
        rule = f"not after the stand there was planted ({min(late)})"
        raise BadValue("date", torn.date, rule, "correct the date, or name the planting that was replanted")
