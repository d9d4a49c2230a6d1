"""A replant told in one action: both records, one receipt, one undo, and a sheet that follows the new corn."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from springwalk.errors import BadValue, NotFound, StoreError
from springwalk.jobs.enter import enter, look_after, undo
from springwalk.jobs.latest import latest_sheet
from springwalk.jobs.replanted import Replant, rate, replanted
from springwalk.jobs.results import Row
from springwalk.jobs.take_in import take_in
from springwalk.records import Event, Planting, Record
from springwalk.show.entry_words import receipt
from springwalk.store import Store, open_store
from springwalk.store.entries import append, heads
from tests.seasons import weather, write_season
from tests.stores import season_store

MAY_20, MAY_22, TODAY = date(2016, 5, 20), date(2016, 5, 22), date(2016, 5, 24)
NORTH = Replant(field="north", on=MAY_22, torn_up=MAY_20, hybrid="Invented 9", person="Ada")
ZONES = "field,zone,name,acres\nnorth,low,Low ground,12\n"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """The small season with a low corner in the north field."""
    days = {"zones.csv": ZONES, "weather/station.csv": weather(last=date(2016, 5, 23))}
    with open_store(season_store(tmp_path / "season.db", days)) as opened:
        yield opened


def records(store: Store, kind: type[Record], field: str = "north") -> list[Record]:
    """What stands now of a kind in a field."""
    with store.reading() as read:
        found = [entry.record for entry in heads(read, kind.kind)]
    return [one for one in found if one is not None and getattr(one, "field", "") == field]


def row(store: Store, today: date = TODAY) -> Row:
    """The north field on the sheet."""
    sheet = latest_sheet(store, today)
    return next(one for one in (*sheet.rows, *sheet.rest) if one.field == "north")


def torn(store: Store) -> list[Record]:
    """The tear-ups told of the north field."""
    return [one for one in records(store, Event) if isinstance(one, Event) and one.what == "torn up"]


def test_both_records_are_kept_with_one_receipt(store: Store) -> None:
    """The old stand torn up and the new planting under the field's next number; the receipt says both."""
    told = replanted(store, NORTH, today=TODAY)
    new = Planting(id="north/2", field="north", planted=MAY_22, hybrid="Invented 9")
    assert new in records(store, Planting)
    assert torn(store) == [Event(field="north", date=MAY_20, what="torn up", person="Ada")]
    assert (told.put, told.field) == ("new", "north")
    assert receipt(told) == (
        "Planting (Invented 9) on 22 May noted at The north field. The stand before it is told torn up on 20 May."
    )


def test_sheet_follows_the_new_corn(store: Store) -> None:
    """The corn starts again on the new day: its parts, its spike, and a look for the spike; the old one is gone."""
    before = row(store)
    assert [part.planted for part in before.parts] == [date(2016, 5, 5)] * 2
    told = replanted(store, NORTH, today=TODAY)
    after = row(store)
    assert {(part.planting, part.planted) for part in after.parts} == {("north/2", MAY_22)}
    spikes = [part.emergence.mid for part in after.parts if part.emergence and part.emergence.mid]
    assert spikes
    assert all(spike > date(2016, 5, 26) for spike in spikes)
    look = look_after(store, told, today=TODAY)
    assert look is not None
    assert (look.code, look.planting, look.state) == ("spike_check", "north/2", "coming")
    assert {one.planting for one in after.looks} == {"north/2"}
    due = row(store, date(2016, 5, 29))
    assert [one.planting for one in due.looks if one.code == "spike_check" and one.state == "due"] == ["north/2"]


def test_one_undo_takes_both_back(store: Store) -> None:
    """After it the old stand is there again, and the receipt can be asked for only once."""
    told = replanted(store, NORTH, today=TODAY)
    assert told.entry is not None
    back = undo(store, told.entry)
    assert receipt(back) == "Taken back: planting (Invented 9) on 22 May at The north field."
    assert torn(store) == []
    assert [one.id for one in records(store, Planting) if isinstance(one, Planting)] == ["north/1"]
    assert [part.planted for part in row(store).parts] == [date(2016, 5, 5)] * 2
    with pytest.raises(BadValue, match="taken back already"):
        undo(store, told.entry)
    again = replanted(store, NORTH, today=TODAY)
    assert again.put == "new"
    assert len(torn(store)) == 1


def test_told_twice_changes_nothing_and_more_is_added(store: Store) -> None:
    """The same words again write nothing; a rate typed later is added to what was told, and undone alone."""
    replanted(store, NORTH, today=TODAY)
    counter = store.counter
    assert replanted(store, replace(NORTH, hybrid=""), today=TODAY).put == "same"
    assert store.counter == counter
    more = replanted(store, replace(NORTH, hybrid="", seeds_per_ha=79_000.0), today=TODAY)
    assert (more.put, more.said.facts["hybrid"], more.said.facts["seeds_per_ha"]) == ("revised", "Invented 9", 79_000.0)
    assert more.entry is not None
    assert undo(store, more.entry).put == "brought back"
    assert len(torn(store)) == 1, "what an earlier action told stays"


def test_replanted_zone_leaves_the_rest(store: Store) -> None:
    """The 12 acres are the new planting's, the rest keeps its stand; both have their parts on the sheet."""
    told = replanted(store, replace(NORTH, zone="LOW"), today=TODAY)
    assert receipt(told).startswith("Planting (Invented 9) on 22 May noted at The north field, low.")
    found = {(part.planting, part.zone): part.area_ha for part in row(store).parts}
    assert set(found) == {("north/1", None), ("north/2", "Low ground")}
    assert found["north/2", "Low ground"] == pytest.approx(12 * 0.404686, rel=1e-4)


def test_interplanted_corn_stands_beside_the_old(store: Store) -> None:
    """Where the old plants stay nothing is torn up, and both stands are followed."""
    told = replanted(store, replace(NORTH, torn_up=None), today=TODAY)
    assert torn(store) == []
    assert told.said.facts["torn_up"] is None
    assert {part.planting for part in row(store).parts} == {"north/1", "north/2"}


def test_replanted_planting_hands_on_its_acres(tmp_path: Path) -> None:
    """Two plantings of 20 and 40 acres: the one that takes the place of the first has its 20."""
    plantings = "field,planting,planted,acres\nnorth,1,2016-05-05,20\nnorth,2,2016-05-07,40\n"
    folder = write_season(tmp_path / "farm", {"plantings.csv": plantings})
    with open_store(str(tmp_path / "season.db"), create=True) as opened:
        take_in(opened, folder, today=TODAY)
        replanted(opened, replace(NORTH, planting="1"), today=TODAY)
        new = next(one for one in records(opened, Planting) if isinstance(one, Planting) and one.planted == MAY_22)
        assert (new.id, new.area_ha) == ("north/3", pytest.approx(20 * 0.404686, rel=1e-4))
        assert {part.planting for part in row(opened).parts} == {"north/2", "north/3"}


def test_tear_up_undone_alone_where_the_planting_was_told_otherwise(store: Store) -> None:
    """What was told otherwise since is left alone; the rest of the action goes back."""
    told = replanted(store, NORTH, today=TODAY)
    enter(store, Planting(id="north/2", field="north", planted=MAY_22, hybrid="Other"), today=TODAY)
    with store.reading() as read:
        (event,) = [e for e in heads(read, Event.kind) if isinstance(e.record, Event) and e.record.what == "torn up"]
    assert told.entry is not None
    with pytest.raises(BadValue, match="told otherwise since"):
        undo(store, told.entry)
    assert undo(store, event.id).put == "taken back"
    assert torn(store) == []


@pytest.mark.parametrize(
    ("change", "kind", "told"),
    [
        ({"field": "nrth"}, NotFound, "field = nrth: no such field in this store; did you mean 'north'."),
        ({"zone": "high"}, NotFound, "zone = high: field 'north' has no such zone; there are: low."),
        ({"planting": "7"}, NotFound, "planting = 7: field 'north' has no such planting; there are: 1."),
        ({"on": date(2016, 5, 25)}, BadValue, "date = 2016-05-25: after today (2016-05-24);"),
        (
            {"torn_up": date(2016, 5, 23)}, BadValue,
            "torn-up = 2016-05-23: after the replanting (2016-05-22); correct one of the two.",
        ),
        (
            {"torn_up": date(2016, 5, 5)}, BadValue,
            "date = 2016-05-05: not after the stand there was planted (2016-05-05); correct the date, or name the "
            "planting that was replanted.",
        ),
        (
            {"on": date(2016, 5, 5), "torn_up": date(2016, 5, 5)}, BadValue,
            "date = 2016-05-05: the stand there was planted that day; give the day of the replant.",
        ),
        ({"hybrid": "A\nB"}, BadValue, "hybrid = A\\nB: holds a line break; write it on one line."),
        ({"seeds_per_ha": -1.0}, BadValue, "seeds_per_ha = -1.0: input should be greater than 0; correct it."),
    ],
)  # fmt: skip
def test_slips_are_refused_and_nothing_is_written(
    store: Store, change: dict[str, object], kind: type[Exception], told: str
) -> None:
    """Half a replant would leave bare ground, or two stands, on the sheet."""
    counter = store.counter
    with pytest.raises(kind) as error:
        replanted(store, replace(NORTH, **change), today=TODAY)  # type: ignore[arg-type]
    assert str(error.value).startswith(told)
    assert store.counter == counter


def test_planting_torn_up_before_is_not_replanted_again(store: Store) -> None:
    """The second replant is of the second stand."""
    replanted(store, NORTH, today=TODAY)
    again = replace(NORTH, planting="1", on=TODAY, torn_up=TODAY)
    with pytest.raises(BadValue, match="planting = 1: this planting does not stand there any more; name the one"):
        replanted(store, again, today=TODAY)
    assert replanted(store, replace(again, planting=""), today=TODAY).put == "new"
    assert {part.planting for part in row(store).parts} == {"north/3"}


def test_two_versions_stop_all_of_it(store: Store) -> None:
    """A tear-up of which two versions are held can't be told anew, and then the planting is not kept either."""
    one, other = (Event(field="north", date=MAY_20, what="torn up", note=note) for note in ("a", "b"))
    with store.writing() as write:
        append(write, one)
        append(write, other)
    counter = store.counter
    with pytest.raises(BadValue, match="two versions of the planting or of its tear-up are held; settle those first"):
        replanted(store, NORTH, today=TODAY)
    assert store.counter == counter


def test_store_that_may_only_be_read_says_so(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """A replant that is not kept must not look kept."""
    monkeypatch.setattr(store, "_read_only", True)
    with pytest.raises(StoreError, match="may only be read"):
        replanted(store, NORTH, today=TODAY)


def test_rate_is_read_as_in_the_season_folder() -> None:
    """32,000 seeds an acre are 79,074 a hectare; a comma is refused as there."""
    assert rate("32000") == pytest.approx(79_073.8, abs=0.1)
    assert rate("79000/ha") == 79_000.0
    assert rate(" ") is None
    with pytest.raises(BadValue, match="rate = 32,000: a number can't hold a thousands comma; write 32000"):
        rate("32,000")
