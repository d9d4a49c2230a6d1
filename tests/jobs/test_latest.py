"""Kept answers: the same as fresh ones, and never stale."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from springwalk.jobs import latest
from springwalk.jobs.field import field
from springwalk.jobs.sheet import sheet
from springwalk.records import Planting
from springwalk.show.as_json import dumps, sheet as sheet_json
from springwalk.store import Store, open_store
from springwalk.store.entries import put_record
from tests import seasons
from tests.jobs.made import event
from tests.stores import season_store

TODAY = seasons.TODAY


@pytest.fixture
def store(tmp_path: Path) -> Store:
    """A store with the small invented season."""
    return open_store(season_store(tmp_path / "season.db", today=date(2016, 6, 30)))


def test_a_kept_sheet_is_the_fresh_one(store: Store) -> None:
    """What a page shows from the kept answer is to the byte what the command prints."""
    first, second = latest.latest_sheet(store, TODAY), latest.latest_sheet(store, TODAY)
    assert first == second
    assert dumps(sheet_json(second)) == dumps(sheet_json(sheet(store, TODAY)))


def test_keeping_an_answer_is_no_change(store: Store) -> None:
    """A kept answer must not make itself stale, nor look like a new record."""
    before = store.counter
    latest.latest_sheet(store, TODAY)
    assert store.counter == before


def test_a_new_record_makes_a_new_answer(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """After an entry the old answer is not shown again; without one it is not made again."""
    old = latest.latest_sheet(store, TODAY)
    name = old.rows[0].field if old.rows else old.rest[0].field
    with store.writing() as write:
        put_record(write, event(name, 3, 20, "tilled"))
    new = latest.latest_sheet(store, TODAY)
    assert new.model_dump_json() == sheet(store, TODAY).model_dump_json()
    assert new.model_dump_json() != old.model_dump_json()

    def never(*_: object, **__: object) -> None:
        raise AssertionError("made again")

    monkeypatch.setattr(latest.sheet_job, "sheet", never)
    latest.latest_sheet(store, TODAY)


def test_a_field_page_is_kept_too(store: Store) -> None:
    """A field's page and its figure ask twice; the second time is a look-up."""
    name = sorted(r.field for r in (*sheet(store, TODAY).rows, *sheet(store, TODAY).rest))[0]
    kept = latest.latest_field(store, name, today=TODAY)
    assert latest.latest_field(store, name, today=TODAY) == kept
    assert kept.row.field == field(store, name, today=TODAY).row.field


def test_a_page_with_unknown_corn_is_kept_and_comes_back(store: Store) -> None:
    """No planting date means no collars (NaN); a kept page must bring that back, not break."""
    rows = (*sheet(store, TODAY).rows, *sheet(store, TODAY).rest)
    name = next(r.field for r in rows if r.last_walk is None)
    with store.writing() as write:
        put_record(write, Planting(id=f"{name}/1", field=name, planted=None))
    for _ in range(2):
        page = latest.latest_field(store, name, today=TODAY)
        assert page.row.parts[0].collars is None
        assert page.series is not None
