"""What is typed in one by one: told twice is told once, on every kind of store."""

from __future__ import annotations

from datetime import date

import pytest

from springwalk.jobs.enter import enter, undo
from springwalk.records import Done, Event, Gauge, Pass, PestCount, Record, Season
from springwalk.store import Store
from springwalk.store.entries import put_record
from tests.contract.made_up import advised, field, records_of, told

TODAY = date(2026, 5, 20)
ENTRIES = (
    Event(field="f1", date=TODAY, what="hail"),
    Gauge(field="f1", date=TODAY, rain_mm=33.0, hard=True),
    Gauge(date=TODAY, rain_mm=33.0),
    Pass(field="f1", date=TODAY, what="insecticide", entry_hours=24.0),
    PestCount(field="f1", date=TODAY, pest="slug", looked=20, insects=1),
    Done(look="hail:f1::2026-05-10", field="f1", on=TODAY),
    advised(),
    told(),
)


@pytest.mark.parametrize("record", ENTRIES, ids=lambda record: record.natural_key())
def test_the_same_entry_twice_is_once(store: Store, record: Record) -> None:
    """A button pressed twice, or a command run again, changes nothing."""
    with store.writing() as write:
        put_record(write, Season(name="Made up", year=2026))
        put_record(write, field())
    assert enter(store, record, person="Ada", today=TODAY).put == "new"
    counter, held = store.counter, records_of(store)
    assert enter(store, record, person="Ada", today=TODAY).put == "same"
    assert (store.counter, records_of(store)) == (counter, held)


@pytest.mark.parametrize("record", ENTRIES, ids=lambda record: record.natural_key())
def test_undo_leaves_what_was_there(store: Store, record: Record) -> None:
    """Entered and undone, the store says what it said before."""
    with store.writing() as write:
        put_record(write, Season(name="Made up", year=2026))
        put_record(write, field())
    before = records_of(store)
    told = enter(store, record, today=TODAY)
    assert told.entry is not None
    undo(store, told.entry)
    assert records_of(store) == before
