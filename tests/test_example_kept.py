"""The example season as a person kept it: what was done, what it is taken in as, and the mornings it gives."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from datetime import date, datetime, timedelta
from functools import cache

import pytest

from springwalk.jobs.receipt import Receipt
from springwalk.jobs.results import Sheet
from springwalk.jobs.sheet import sheet
from springwalk.jobs.take_in import take_in
from springwalk.store import Store, open_store
from tests.test_example_season import SEASON, rows

LATER = ("2016-05-17", "2016-05-19", "2016-06-02")
PRESSING = ("due", "last day", "overdue")
LOOSE_ENDS = (
    ("pump-green", "spike_check"), ("nine-rye", "spike_check"), ("pump-long", "stand_count"),
    ("hollin-hill", "stand_count"), ("hollin-rye", "stand_count"), ("nine-low", "stand_count"),
    ("lark-north", "stand_count"), ("lark-north", "promise"), ("nine-low", "ponding"), ("lark-low", "frost"),
    ("quill-rye", "pest_act"),
)  # fmt: skip
"""What README.md says is left for the morning of 17 May: field and look."""


def test_every_lot_in_use_is_tested_and_one_is_weak() -> None:
    """A planting whose lot is unknown is noted at intake; the weak one has a field to show it."""
    tested = {r["lot"]: float(r["cold"]) for r in rows("invented_seed_lots.csv")}
    assert set(tested) == {r["lot"] for r in rows("invented_plantings.csv")}
    assert [lot for lot, cold in tested.items() if cold < 80] == ["H2"]
    assert tested["H2"] == 71


def test_lots_and_plantings_tell_one_hybrid() -> None:
    """A lot of seed is of one hybrid, whoever planted it."""
    hybrid = {r["lot"]: r["hybrid"] for r in rows("invented_seed_lots.csv")}
    assert all(hybrid[r["lot"]] == r["hybrid"] for r in rows("invented_plantings.csv"))


def test_no_product_is_named() -> None:
    """Entry intervals are typed from a label in hand; none may look like one we ship for a product."""
    products = {r["product"] for r in rows("invented_passes.csv")}
    assert products == {"", "burndown, see label", "residual, see label", "insecticide, see label"}
    sprayed = [r for r in rows("invented_passes.csv") if r["pass"] in ("herbicide", "insecticide")]
    assert all(r["at"] and r["entry_hours"] in ("12", "24") for r in sprayed)


def test_nobody_is_in_two_fields_at_one_hour() -> None:
    """Two scouts kept the season; more walks than they could make would not be believed."""
    at: dict[tuple[str, str, str], set[str]] = defaultdict(set)
    for r in rows("invented_walks.csv"):
        at[r["date"], r["person"], r["hour"]].add(r["walk"])
    assert [(key, walks) for key, walks in at.items() if len(walks) > 1] == []


def test_nobody_walks_inside_an_entry_interval() -> None:
    """The example must not show anyone doing what the keep-out lock is there to prevent."""
    for done in rows("invented_passes.csv"):
        if not done["entry_hours"]:
            continue
        begins = datetime.fromisoformat(f"{done['date']}T{done['at']}")
        ends = begins + timedelta(hours=float(done["entry_hours"]))
        for walk in rows("invented_walks.csv"):
            at = datetime.fromisoformat(walk["date"]) + timedelta(hours=int(walk["hour"]))
            assert walk["field"] != done["field"] or not begins <= at < ends, walk


def test_burndowns_agree_with_the_cover_that_was_killed() -> None:
    """A herbicide pass that kills a cover is told twice, with one date: a slip would move the larvae."""
    killed = {(r["field"], r["date"]) for r in rows("invented_events.csv") if r["event"] == "cover killed"}
    burned = [r for r in rows("invented_passes.csv") if r["product"] == "burndown, see label"]
    assert len(burned) >= 8
    assert all((r["field"], r["date"]) in killed for r in burned)


def test_progress_adds_up_to_the_plantings() -> None:
    """Acres day by day come to the acres of each planting, and begin on its day."""
    days: dict[tuple[str, str], list[tuple[str, float]]] = defaultdict(list)
    for r in rows("invented_progress.csv"):
        days[r["field"], r["planting"]].append((r["date"], float(r["acres"])))
    for r in rows("invented_plantings.csv"):
        if told := days.pop((r["field"], r["planting"]), None):
            assert min(told)[0] == r["planted"]
            assert not r["acres"] or sum(acres for _, acres in told) == pytest.approx(float(r["acres"]), rel=0.02)
    assert not days


@pytest.fixture(scope="module")
def taken(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Store, Receipt]]:
    """The shipped folder in a store, with its receipt."""
    with open_store(str(tmp_path_factory.mktemp("example") / "season.db"), create=True) as store:
        yield store, take_in(store, SEASON, today=date(2016, 12, 31), person="test")


@pytest.fixture(scope="module")
def on(taken: tuple[Store, Receipt]) -> Callable[[str], Sheet]:
    """The sheet of a morning, made once for all tests here."""
    return cache(lambda day: sheet(taken[0], date.fromisoformat(day)))


def keys(made: Sheet) -> set[str]:
    """The keys of every look of a sheet."""
    return {look.key for row in (*made.rows, *made.rest) for look in row.looks}


def test_it_is_taken_in_whole(taken: tuple[Store, Receipt]) -> None:
    """The first thing anyone sees is the demo: no row of it may be left out or suspected."""
    _, receipt = taken
    assert receipt.left_out == 0
    assert receipt.suspected == 0
    assert receipt.refused == 0


@pytest.mark.slow
def test_the_demo_morning_is_a_day_that_two_people_can_walk(on: Callable[[str], Sheet]) -> None:
    """8 to 14 fields, and on them the loose ends that README.md tells."""
    made = on("2016-05-17")
    walked = {
        row.field: {look.code for look in row.looks if look.alone and look.state in PRESSING}
        for row in made.rows
        if row.walk_today
    }
    assert 8 <= len(walked) <= 14
    for field, code in LOOSE_ENDS:
        assert code in walked[field], field
    held = {row.field: row.keep_out for row in (*made.rows, *made.rest) if row.keep_out}
    assert list(held) == ["pump-west"]


@pytest.mark.slow
def test_each_done_row_ended_a_look_that_was_there(on: Callable[[str], Sheet]) -> None:
    """A key with a slip ends nothing, and the look would stand on the due list for good."""
    done = {r["look"]: r["on"] for r in rows("invented_done.csv")}
    listed = {day: keys(on(day)) for day in ("2016-04-29", "2016-05-06", "2016-05-08", "2016-05-15", *LATER)}
    for key, ended in done.items():
        assert any(key in listed[day] for day in listed if day < ended), key
    last = max(listed)
    assert last >= max(done.values())
    assert not listed[last] & set(done)


@pytest.mark.slow
@pytest.mark.parametrize("day", ["2016-04-29", "2016-05-08", "2016-05-19", "2016-06-02"])
def test_little_is_overdue_on_other_mornings(on: Callable[[str], Sheet], day: str) -> None:
    """Who looks at another morning of the example sees a season that was kept, not a heap of missed looks."""
    made = on(day)
    late = [
        look.key for row in (*made.rows, *made.rest) for look in row.looks if look.alone and look.state == "overdue"
    ]
    assert len(late) <= 2, late
    assert len([row for row in made.rows if row.walk_today]) <= 16
