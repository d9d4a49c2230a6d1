"""A check after a treatment ends the look that asked for it: both are kept in one transaction, and undone together."""

from __future__ import annotations

from datetime import date

from springwalk.errors import SpringwalkError
from springwalk.jobs.enter import keep, receipt_of
from springwalk.jobs.entered import Entered
from springwalk.jobs.latest import latest_sheet
from springwalk.jobs.placed import placed
from springwalk.jobs.results import Look
from springwalk.jobs.typed import made
from springwalk.records import Done, Step
from springwalk.store import Store

LOOK = "recheck"
"""The code of the look after a treatment."""


def keep_check(store: Store, told: Step, *, person: str, device: str, today: date) -> Entered:
    """Keep a step ``checked`` and the end of the field's looks after a treatment that are open on its day.

    The step must be filled and checked. Its receipt has the ended looks' keys as ``looks_done`` and, where one opens
    only later and so stays on the list, that day as ``look_opens``. Raises what ``enter`` raises.
    """
    with store.reading() as read:
        step, name = placed(read, told if told.person else told.model_copy(update={"person": person}))
    assert isinstance(step, Step)
    found = _looks(store, step, today)
    ends = [one for one in found if one.opens <= step.date]
    with store.writing() as write:
        record, held, put, entry = keep(write, step, device=device, person=person)
        if put not in ("new", "revised"):
            ends = []
        for one in ends:
            done = made(Done, look=one.key, field=step.field, on=step.date, outcome="done", person=step.person)
            keep(write, done, device=device, person=person)
    later = min((one.opens for one in found if one.opens > step.date), default=None)
    before = held if put == "revised" else None
    return receipt_of(record, entry, put, name, before, looks=[one.key for one in ends], look_opens=later)


def _looks(store: Store, step: Step, today: date) -> list[Look]:
    """Looks of the sheet that ask for a check after a treatment of the step's day or before it."""
    try:
        sheet = latest_sheet(store, today)
    except SpringwalkError:
        return []  # the step is kept all the same; the sheet says itself why it can't be made
    looks = [one for row in (*sheet.rows, *sheet.rest) if row.field == step.field for one in row.looks]
    return [one for one in looks if one.code == LOOK and str(one.why[0].facts["date"]) <= str(step.date)]
