"""Stand pests of one planting: what is watched for, and fly peaks near planting."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from springwalk.jobs.pest_tables import NOT_PLANTED, NOT_UP
from springwalk.jobs.pests import Here, fly_risk, stage_of, told_risks, watch
from springwalk.jobs.results import DateRange, Range
from springwalk.records.places import Event
from springwalk.records.work import Pass

TODAY = date(2016, 5, 17)
PLANTED = date(2016, 4, 25)
PEAKS = tuple(
    DateRange(early=day - timedelta(days=3), mid=day, late=day + timedelta(days=3))
    for day in (date(2016, 4, 20), date(2016, 6, 1))
)


def at(collars: float) -> Range:
    """Corn of a stage, with its range."""
    return Range(low=collars - 0.3, mid=collars, high=collars + 0.3)


def told(what: Any, day: date) -> Event:
    """An event of the made-up field."""
    return Event(field="north", date=day, what=what)


def passed(what: Any, day: date) -> Pass:
    """A pass over the made-up field."""
    return Pass(field="north", date=day, what=what)


def names(here: Here, **more: Any) -> list[str]:
    """Pests watched for, in order."""
    return [reason.facts["name"] for reason in watch(here, today=TODAY, **more)]


def test_nothing_told_watches_for_nothing() -> None:
    """A sheet that lists pests everywhere is read nowhere."""
    assert watch(Here(PLANTED, at(3)), today=TODAY) == ()


def test_told_risk_names_its_pest_with_all_that_is_needed() -> None:
    """Where, unit, how many, the count that means act and whether a rescue exists stand in one reason."""
    found = watch(Here(PLANTED, at(3), history=("wheat edge",)), today=TODAY, state="NC")
    assert [reason.code for reason in found] == ["watch_pest", "watch_pest"]
    by_name = {reason.facts["name"]: reason.facts for reason in found}
    assert by_name["stink bug"] == {
        "pest": "stink bug", "name": "stink bug", "where": "borders and waterways", "unit": "plants", "looks": 100,
        "act": "13 bugs on 100 plants (North Carolina)", "rescue": "yes", "because": ("wheat edge",),
    }  # fmt: skip


def test_at_most_three_the_most_told_first() -> None:
    """More than three is no list for a row of a sheet; the one with most told against it leads."""
    history = ("sod before", "wireworms before", "grubs before", "slugs before", "grassy weeds", "low wet ground")
    found = names(Here(PLANTED, at(1), history=history))
    assert len(found) == 3
    assert found[0] == "wireworm"


@pytest.mark.parametrize(
    ("collars", "crop", "expected"),
    [
        (2.9, "soybean", False),
        (3.0, "Soybeans", True),
        (6.5, "soy", True),
        (7.0, "soybean", False),
        (4.0, "corn", False),
    ],
)
def test_stage_and_crop_before_decide_on_colaspis(collars: float, crop: str, expected: bool) -> None:
    """From three to six collars after soybean or clover (Illinois 1998), and at no other time."""
    assert ("grape colaspis" in names(Here(PLANTED, at(collars), previous_crop=crop))) is expected


def test_before_planting_it_is_baits_and_after_it_digging() -> None:
    """The way to count wireworm changes with planting; so does what can be done."""
    before = watch(Here(None, history=("wireworms before",)), today=TODAY, state="Illinois")[0].facts
    after = watch(Here(PLANTED, history=("wireworms before",)), today=TODAY)[0].facts
    assert (before["unit"], before["looks"], before["act"]) == ("bait stations", 10, "1 a bait station (Illinois)")
    assert (after["unit"], after["act"], after["rescue"]) == ("seed places", "", "no")


def test_stalk_borer_comes_by_its_clock() -> None:
    """Near the move to corn it is named without a told risk; far from it not even with one."""
    near = DateRange(early=date(2016, 5, 18), mid=date(2016, 5, 22), late=date(2016, 5, 27))
    far = DateRange(early=date(2016, 6, 18), mid=date(2016, 6, 22), late=date(2016, 6, 27))
    assert names(Here(PLANTED, at(3), borer_move=near)) == ["stalk borer"]
    assert "stalk borer" not in names(Here(PLANTED, at(3), history=("grass edge",), borer_move=far))
    assert names(Here(PLANTED, at(3), history=("grass edge",), borer_move=near))[0] == "stalk borer"


def test_hard_winter_takes_flea_beetle_off() -> None:
    """After a hard winter few beetles live; where nobody worked it out, a told risk still names them."""
    grassy = ("grass edge",)
    assert "corn flea beetle" in names(Here(PLANTED, at(2), mild_winter=True))
    assert "corn flea beetle" in names(Here(PLANTED, at(1), history=grassy))
    assert "corn flea beetle" not in names(Here(PLANTED, at(1), history=grassy, mild_winter=False))


@pytest.mark.parametrize(
    ("events", "passes", "risks"),
    [
        ((told("tilled", PLANTED - timedelta(14)),), (), {"fresh tillage"}),
        ((told("tilled", PLANTED - timedelta(15)),), (), set()),
        ((told("cover killed", PLANTED + timedelta(2)),), (), {"killed cover"}),
        ((told("cover killed", TODAY + timedelta(1)),), (), set()),
        ((), (passed("manure", PLANTED - timedelta(60)),), {"manure"}),
        ((), (passed("manure", PLANTED - timedelta(61)),), set()),
        ((), (passed("herbicide", PLANTED),), set()),
    ],
)
def test_fresh_work_is_a_risk(events: tuple[Event, ...], passes: tuple[Pass, ...], risks: set[str]) -> None:
    """Tillage, a killed cover and manure draw pests while they are fresh; last fall's don't."""
    assert told_risks((), "corn", events, passes, planted=PLANTED, today=TODAY) == risks


@pytest.mark.parametrize(
    ("planted", "peak"),
    [
        (date(2016, 4, 9), None), (date(2016, 4, 10), 1), (date(2016, 4, 27), 1), (date(2016, 4, 28), None),
        (date(2016, 5, 22), 2), (None, None),
    ],
)  # fmt: skip
def test_planting_near_a_peak_of_flies(planted: date | None, peak: int | None) -> None:
    """From ten days before a peak's median to seven after is near; the reason carries the peak's range."""
    made = fly_risk(Here(planted, history=("manure",), peaks=PEAKS), today=date(2016, 6, 1))
    assert (made.facts["n"] if made else None) == peak
    if made:
        assert made.facts == {"n": peak, "peak": PEAKS[made.facts["n"] - 1], "planted": planted, "risk": "manure"}


def test_flies_without_anything_that_draws_them() -> None:
    """Near a peak with nothing told that draws flies there is no reason to dig, nor where peaks are not known."""
    assert fly_risk(Here(PLANTED, peaks=PEAKS), today=TODAY) is None
    assert fly_risk(Here(PLANTED, history=("manure",)), today=TODAY) is None
    open_peak = (DateRange(early=None, mid=None, late=None),)
    assert fly_risk(Here(PLANTED, history=("manure",), peaks=open_peak), today=TODAY) is None


@pytest.mark.parametrize(
    ("planted", "collars", "stage"),
    [
        (None, None, NOT_PLANTED),
        (TODAY + timedelta(days=1), None, NOT_PLANTED),
        (TODAY, None, NOT_UP),
        (PLANTED, at(2.9), 2),
        (PLANTED, at(-0.4), 0),
        (PLANTED, at(float("nan")), NOT_UP),
    ],
)
def test_stage_of_a_planting(planted: date | None, collars: Range | None, stage: int) -> None:
    """Whole collars decide which rules and ways to count fit."""
    assert stage_of(planted, collars, TODAY) == stage
