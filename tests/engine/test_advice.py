"""Advice: the same five per cent can mean opposite things, and nothing is sprayed on no larvae."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from springwalk.engine import belief
from springwalk.engine.advice import advise
from springwalk.engine.losses import Plants, break_even_cuts, outlook
from springwalk.engine.state_rule import Counted
from springwalk.jobs.params_advice import advice_params, state_rules
from springwalk.units import ACRES_PER_HA
from tests.advising import (
    GREEN,
    GRID,
    MAY_22,
    MAY_24,
    USUAL,
    advise_known,
    advise_walked,
    facts,
    flagged,
    known,
    lincoln,
    per_acre,
)  # fmt: skip
from tests.lincoln import day

V2 = Plants(collars=2.4, collars_seen=True, soil="moist")
V4 = Plants(collars=4.3, collars_seen=True, soil="moist", loss_per_cut=0.6)


def test_going_on_with_small_larvae_is_treated() -> None:
    """2 cut of 100 flagged plants on 22 May and 5 on the 24th, larvae ½–¾ in.: most of the cutting is still to come."""
    walks = [
        flagged(MAY_22, [1, 0, 1, 0, 0], [0] * 5),
        flagged(MAY_24, [1, 0, 1, 0, 1], [1, 0, 1, 0, 0], larvae_found=4, plants_searched=40, hour=20, soil="moist",
                lengths_mm=(13.0, 15.0, 17.0, 19.0)),
    ]  # fmt: skip
    seen = Counted(cut=5.0, live_larvae=True, larvae_per_100=10.0, larva_mm=16.0, collars=2.4)
    said = advise_walked(walks, seen, V2, state="Pennsylvania", today=MAY_24)
    assert (said.verdict, said.days, said.reasons) == ("spray", 0, ())
    assert said.at_stake > 0.0
    assert said.beside is not None
    assert (said.beside.says.says, said.beside.agrees) == ("treat", True)


def test_over_and_no_larvae_is_left_and_looked_at_once_more() -> None:
    """5 and 5 of the same plants, stubs old, none found at dusk in moist soil: done with, or as good as."""
    old = [2, 0, 1, 1, 1]
    walks = [
        flagged(MAY_22, [0] * 5, old),
        flagged(MAY_24, [0] * 5, old, larvae_found=0, plants_searched=40, hour=20, soil="moist"),
    ]
    said = advise_walked(walks, Counted(cut=5.0, collars=2.4), V2, state="Pennsylvania", today=MAY_24, fresh=False)
    assert (said.verdict, said.days) == ("come back", 3)
    assert said.reasons == ("no live larvae", "nothing fresh")
    # The printed 3 % at V2 is passed and asks for no larvae: the two differ, and it is said why.
    assert said.beside is not None
    assert (said.beside.says.says, said.beside.agrees) == ("treat", False)
    assert said.beside.why == "look first"


def test_fresh_cuts_without_larvae_after_a_noon_search_say_look_again() -> None:
    """6 of 200 fresh, none in 10 plants at noon under a crust: the search says nothing, so dusk or tomorrow decides."""
    stops = tuple(belief.StopSeen(20, fresh, 0) for fresh in (1, 0, 2, 0, 0, 1, 0, 2, 0, 0))
    walk = belief.WalkSeen(GREEN, MAY_24, stops, plants_searched=10, hour=12, soil="crusted")
    said = advise_walked(
        [walk], Counted(cut=3.0, collars=2.4), replace(V2, soil="crusted"), state="Kentucky", today=MAY_24
    )
    assert (said.verdict, said.days) == ("look again", 0)
    assert said.reasons == ("no live larvae", "by day", "hard soil", "few plants")
    assert said.looks[0].kind == "larva search"
    assert said.looks[0].value > 0.0
    assert not said.treats
    assert said.beside is not None
    assert (said.beside.says.says, said.beside.agrees) == ("wait", True)


def test_good_search_without_larvae_still_forbids_spraying() -> None:
    """However many cuts: no live larvae, no treatment; after a good search the next one is tomorrow."""
    search = belief.WalkSeen(0, 0, plants_searched=100, hour=22, soil="moist")
    said = advise_known(20.0, known(4.0), facts(V2, search=search))
    assert said.options[0].kind == "spray"
    assert (said.verdict, said.days, said.reasons) == ("look again", 1, ("no live larvae",))


def test_larvae_past_full_size_are_no_reason_to_treat() -> None:
    """Larvae of 1¾ in. are through: they are alive and still not worth a pass."""
    large = belief.WalkSeen(0, 0, larvae_found=2, plants_searched=60, hour=20, soil="moist", lengths_mm=(44.0, 45.0))
    assert advise_known(20.0, known(4.0), facts(V2, search=large)).verdict == "look again"


def test_inch_larvae_at_200_degree_days_are_not_from_this_flight() -> None:
    """No larva hatched from the only flight can be 1 in. long at 200 °F·day, whatever the spread of the clock."""
    at_200 = day(5, 14)
    hazard = lincoln(today=at_200)
    search = belief.WalkSeen(
        GREEN, at_200, larvae_found=3, plants_searched=40, hour=20, soil="moist", lengths_mm=(25.4,) * 3
    )
    prior = belief.believe([], hazard, np.full(4, 0.3), GRID, advice_params().belief).weight[GREEN]
    given = facts(replace(V2, collars=0.5), search=search)
    view = outlook(hazard, GREEN, at_200)
    said = advise(prior, GRID.lam, view, given, advice_params())
    assert said.as_far < 0.01
    assert "not from this flight" in said.reasons
    # The advice rests on what was found: 3 in 40 searched plants of young corn are worth a pass.
    assert said.verdict == "spray"
    small = replace(given, search=replace(search, lengths_mm=(6.0,) * 3))
    assert "not from this flight" not in advise(prior, GRID.lam, view, small, advice_params()).reasons


@pytest.mark.parametrize(
    ("left_per_larva", "pass_in_days", "verdict"),
    [(1.0, None, "leave"), (1.0, 0, "ride along"), (4.0, None, "spray")],
)
def test_riding_along_halves_the_break_even(left_per_larva: float, pass_in_days: int | None, verdict: str) -> None:
    """Sixth instars at 2 per 100 cut 2 more plants at V4 ($9.72 saved): not for $16, yes for $7; at V1 they cut 8.

    Plants left per larva from the gauge card (memory): 1 at four collars, 4 at one.
    """
    given = facts(V4, kill=0.9, pass_in_days=pass_in_days)
    assert advise_known(2.0, known(left_per_larva), given).verdict == verdict


@pytest.mark.parametrize("loss", [0.3, 0.5, 0.8, 1.0])
@pytest.mark.parametrize("kill", [0.5, 0.9])
def test_advice_flips_at_the_break_even(loss: float, kill: float) -> None:
    """A hair under the break-even is left, a hair over it is sprayed."""
    level = break_even_cuts(USUAL.own_pass, USUAL.value, loss, kill)
    given = facts(replace(V2, loss_per_cut=loss), kill=kill)
    for nudge, verdict in ((0.999, "leave"), (1.001, "spray")):
        # Few enough that no plant is met twice: one larva, and its load is the cuts to come.
        load = _load_for(level * nudge, kill)
        assert advise_known(load, known(1.0), given).verdict == verdict


def _load_for(saved_cuts: float, kill: float) -> float:
    """Load whose treatment saves kill × so many cuts per 100, every plant cut once (solved by halving)."""
    low, high = 0.0, 200.0
    for _ in range(200):
        middle = (low + high) / 2.0
        saved = 100.0 * (np.exp(-(1 - kill) * middle / 100.0) - np.exp(-middle / 100.0))
        low, high = (middle, high) if saved < kill * saved_cuts else (low, middle)
    return high


def test_lag_to_the_sprayer_costs_what_is_cut_meanwhile() -> None:
    """Two plants cut before the sprayer comes are lost in any case: $800 of saving falls to half."""
    now = advise_known(10.0, known(4.0), facts(V4, kill=1.0, spray_in_days=(0, 2)))
    tonight, later = (next(o for o in now.options if o.kind == "spray" and o.days == d) for d in (0, 2))
    lost = USUAL.value * 0.6 * (1.0 - np.exp(-10.0 * 2.0 / 100.0))
    assert later.expected - tonight.expected == pytest.approx(lost)


def test_odds_bad_tenth_and_order_belong_together() -> None:
    """Options come least loss first, odds of the sure ones add to 1, and the bad tenth is worse than the mean."""
    hazard = lincoln(today=MAY_24)
    weight = belief.believe([], hazard, np.full(4, 0.3), GRID, advice_params().belief).weight[GREEN]
    said = advise(weight, GRID.lam, outlook(hazard, GREEN, MAY_24), facts(V2, pass_in_days=1), advice_params())
    losses = [option.expected for option in said.options]
    assert losses == sorted(losses)
    assert sum(o.odds_best for o in said.options if o.odds_best is not None) == pytest.approx(1.0)
    assert {o.kind for o in said.options if o.odds_best is None} == {"come back"}
    assert all(o.bad_tenth > o.expected for o in said.options)


def test_more_money_at_stake_never_turns_spraying_into_leaving() -> None:
    """Dearer corn can only bring a treatment nearer."""
    verdicts = [
        advise_known(3.0, known(2.0), facts(V4, kill=0.9, money=per_acre(value, 16.0))).verdict
        for value in np.linspace(100.0, 2000.0, 20).tolist()
    ]
    assert verdicts == sorted(verdicts)  # "leave" before "spray"
    assert set(verdicts) == {"leave", "spray"}


def test_rule_of_the_state_and_a_cheap_pass_differ_aloud() -> None:
    """Where a pass goes anyway we treat below the printed per cent, and say that it is the cheap pass."""
    given = facts(V4, kill=0.9, pass_in_days=0, state="Pennsylvania", look_in_days=())
    given = replace(given, counted=Counted(cut=3.0, collars=4.3))
    said = advise(np.ones((1, 1)), np.array([2.0]), known(1.0), given, advice_params(), rules=state_rules())
    assert said.verdict == "ride along"
    assert said.beside is not None
    assert (said.beside.says.says, said.beside.agrees, said.beside.why) == ("wait", False, "cheap pass")


def test_nothing_ahead_costs_nothing() -> None:
    """A field the brood has left is left, with no money lost and no look worth anything."""
    said = advise_known(20.0, known(0.0, past=4.0, stage=5), facts(V2))
    assert (said.verdict, said.lost_if_left, said.cuts_ahead) == ("leave", 0.0, (0.0, 0.0, 0.0))
    assert max(look.value for look in said.looks) == pytest.approx(0.0, abs=1e-9)
    assert said.at_stake == pytest.approx(-16.0 * ACRES_PER_HA)
