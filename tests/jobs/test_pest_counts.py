"""Counts of stand pests: the verdict, the look a count asks for, and what can still be done."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given, settings, strategies as st

from springwalk.jobs.pest_counts import counted, verdict_of
from springwalk.jobs.pest_tables import NOT_PLANTED, NOT_UP, pests, unit_of
from springwalk.jobs.results import Look
from springwalk.records.pests import PestCount
from tests.drawn import examples

TODAY = date(2016, 5, 17)


def count(pest: str, **told: Any) -> PestCount:
    """A count in the made-up field today, by one scout."""
    return PestCount(**{"field": "north", "date": TODAY, "pest": pest, "person": "Ada", **told})


def look_of(*counts: PestCount, **more: Any) -> Look:
    """The only look of some counts."""
    found = counted(counts, **{"today": TODAY, "stages": {None: 3}, **more})
    assert len(found) == 1
    return found[0]


def test_thirteen_bugs_are_at_the_threshold() -> None:
    """The rule and its source are named, what was counted carries its range, and treatment defers to the label."""
    look = look_of(count("stink bugs", unit="plants", looked=60, insects=13), state="North Carolina")
    facts = look.why[0].facts
    assert (look.code, look.closes, look.state) == ("pest_act", TODAY + timedelta(days=1), "due")
    assert look.key == "pest_act:north::2016-05-17:stink bug"
    assert (facts["name"], facts["verdict"], facts["unit"], facts["person"]) == ("stink bug", "act", "plants", "Ada")
    assert facts["rule"].startswith("13 or more bugs on 100 plants")
    assert facts["rule"].endswith("(North Carolina)")
    assert "NC State Extension" in facts["source"] == look.source
    assert look.mark == "published"
    assert facts["per_unit"].low < 13 / 60 < facts["per_unit"].high
    assert [reason.code for reason in look.can_do] == ["treat_by_label"]


def test_count_that_settles_nothing_asks_for_more() -> None:
    """Nine on a hundred is between the bounds: count more, within two days, and say what is still needed."""
    look = look_of(count("stink bug", looked=100, insects=9), state="NC")
    assert (look.code, look.closes) == ("pest_more", TODAY + timedelta(days=2))
    assert [reason.facts["need"] for reason in look.look_for] == ["keep_counting"]
    assert look.can_do == ()


def test_count_between_two_bounds_asks_for_more_of_the_same() -> None:
    """Indiana says one to two wireworms a bait station: at one and a half, read more stations."""
    look = look_of(count("wireworm", unit="baits", looked=10, insects=15), state="IN", stages={None: NOT_PLANTED})
    assert (look.code, look.look_for[0].facts["need"]) == ("pest_more", "keep_counting")
    assert [reason.code for reason in look.can_do] == ["none_rescue"]


def test_count_below_asks_for_nothing() -> None:
    """Five on a hundred needs no look, nor does a count dated after today, nor one of a pest not known."""
    assert counted([count("stink bug", looked=100, insects=5)], today=TODAY, state="NC", stages={None: 3}) == ()
    assert counted([count("stink bug", looked=60, insects=13)], today=TODAY - timedelta(days=1)) == ()
    assert counted([count("a beetle of some kind", looked=60, insects=13)], today=TODAY) == ()


def test_newest_count_replaces_the_older() -> None:
    """A second count answers the first: both may not stand on the sheet."""
    first = count("stink bug", looked=60, insects=13, date=TODAY - timedelta(days=2))
    assert counted([count("stink bug", looked=100, insects=2), first], today=TODAY, stages={None: 3}) == ()
    assert look_of(first, count("stink bug", looked=60, insects=14)).why[0].facts["insects"] == 14


def test_ended_look_is_gone_and_an_old_one_is_missed() -> None:
    """Someone said it was done; and a count of last week no longer speaks of today."""
    act = count("stink bug", looked=60, insects=13)
    assert counted([act], today=TODAY, done={"pest_act:north::2016-05-17:stink bug"}) == ()
    assert look_of(act, today=TODAY + timedelta(days=2)).state == "overdue"
    assert look_of(act, today=TODAY + timedelta(days=8)).state == "missed"


def test_wireworm_in_baits_before_and_after_planting() -> None:
    """Before planting the seed can be protected until that day; after it there is no rescue, said plainly."""
    baits = count("wireworm", unit="bait stations", looked=10, insects=12)
    ahead = look_of(baits, planted={None: TODAY + timedelta(days=9)}, stages={None: NOT_PLANTED})
    assert [reason.code for reason in ahead.can_do] == ["protect_at_planting", "none_rescue"]
    assert ahead.can_do[0].facts == {"until": TODAY + timedelta(days=9)}
    assert ahead.lapses == TODAY + timedelta(days=9)
    late = look_of(baits, planted={None: TODAY - timedelta(days=1)}, stages={None: NOT_UP})
    assert [reason.code for reason in late.can_do] == ["none_rescue"]
    today = look_of(baits, planted={None: TODAY}, stages={None: NOT_UP})
    assert today.can_do[0].facts == {"until": TODAY}
    untold = look_of(baits, stages={None: NOT_PLANTED})
    assert untold.can_do[0].facts == {"until": None}


def test_damage_without_live_larvae_is_left() -> None:
    """A quarter of the plants fed on is Missouri's bound; with no larva left, treating saves nothing."""
    fed = {"looked": 100, "units_with": 30}
    assert verdict_of(count("armyworm", insects=0, **fed), state="MO").verdict == "below"
    assert verdict_of(count("armyworm", insects=4, **fed), state="MO").verdict == "act"
    assert verdict_of(count("armyworm", **fed), state="MO").because == "find_live"


def test_found_without_a_rule_or_a_rescue_is_said() -> None:
    """Maggots in the skips have no published count: no verdict is made up, and no rescue is said."""
    look = look_of(count("seedcorn maggot", looked=20, insects=11, units_with=7), stages={None: 0})
    assert look.code == "pest_more"
    assert (look.why[0].facts["verdict"], look.why[0].facts["rule"]) == ("none", "")
    assert [reason.code for reason in look.can_do] == ["none_rescue"]
    assert look.look_for[0].facts["need"] == "count_stand"
    none_found = count("seedcorn maggot", looked=20, insects=0, units_with=0)
    assert counted([none_found], today=TODAY, stages={None: 0}) == ()


def test_slugs_at_the_threshold_get_no_insecticide() -> None:
    """Boards over the count: bait by its label is all there is."""
    look = look_of(count("slugs", unit="boards", looked=5, insects=12), state="DE", stages={None: NOT_PLANTED})
    assert look.code == "pest_act"
    assert [reason.code for reason in look.can_do] == ["bait_only"]


def test_unit_not_told_is_the_usual_one_of_the_stage() -> None:
    """A count without a unit is read as the pest's own for that stage, never as another."""
    assert verdict_of(count("wireworm", looked=10, insects=10), state="IL", stage=NOT_PLANTED).verdict == "act"
    assert verdict_of(count("wireworm", looked=10, insects=10), state="IL", stage=2).verdict == "none"


def test_grubs_of_fall_have_the_rule_of_fall() -> None:
    """Virginia's bound is 1.6 a sample in fall and 1.04 in spring, as some die over winter."""
    square = {"unit": "8-inch squares", "looked": 10, "insects": 12}
    assert verdict_of(count("white grub", date=date(2015, 10, 5), **square), state="VA").verdict == "below"
    assert verdict_of(count("white grub", date=date(2016, 4, 5), **square), state="VA").verdict == "act"


def test_more_with_any_than_looked_at_asks_for_that_count() -> None:
    """A slip in one count may not break a morning's sheet, nor make a verdict."""
    look = look_of(count("stalk borer", looked=20, insects=3, units_with=21), state="DE")
    assert look.look_for[0].facts["need"] == "count_units"
    assert look.why[0].facts["share"] is None


@pytest.mark.parametrize(
    ("word", "unit"),
    [
        ("plants", "plant"), ("Bait stations", "bait station"), ("baits", "bait station"), ("shingles", "board"),
        ("square feet", "square foot"), ("sq ft", "square foot"), ("seedlings", "plant"), ("rows", "row"),
    ],
)  # fmt: skip
def test_units_in_people_s_words(word: str, unit: str) -> None:
    """Plural and usual words mean the tables' unit; another word stays itself and fits no rule."""
    assert unit_of(word) == unit


@settings(derandomize=True, deadline=None, max_examples=examples(150))
@given(
    pest=st.sampled_from([*pests(), "a beetle of some kind"]),
    unit=st.sampled_from(["", "plants", "board", "square foot", "8-inch square", "row of nothing"]),
    looked=st.integers(1, 500),
    insects=st.none() | st.integers(0, 2000),
    units_with=st.none() | st.integers(0, 600),
    length=st.none() | st.floats(0.5, 80),
    stage=st.none() | st.integers(-2, 8),
    state=st.sampled_from(["", "IA", "Ohio", "WI", "nowhere"]),
)
def test_any_count_makes_at_most_one_whole_look(
    pest: str, unit: str, looked: int, insects: int | None, units_with: int | None, length: float | None,
    stage: int | None, state: str,
) -> None:  # fmt: skip
    """No record that can be kept may break a morning's sheet, and an act never rests on a rule not in use."""
    made = count(pest, unit=unit, looked=looked, insects=insects, units_with=units_with, length_mm=length)
    found = counted([made], today=TODAY, state=state, stages={} if stage is None else {None: stage})
    assert len(found) <= 1
    for look in found:
        assert Look.model_validate_json(look.model_dump_json()).model_dump_json() == look.model_dump_json()
        assert look.opens <= look.closes <= look.lapses
        if look.code == "pest_act":
            assert look.mark == "published"
            assert look.source
            assert look.can_do
        else:
            assert look.look_for
