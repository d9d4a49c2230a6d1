"""Larvae found: which are worth treating, what a search was worth, and whether they can be of this flight."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from springwalk.engine.belief_seen import WalkSeen
from springwalk.engine.found import as_far, cut_left, found_outlook, found_weight, power, treatable, weakness
from springwalk.engine.larvae import STAGES
from springwalk.jobs.params_advice import advice_params
from tests.advising import GRID

PARAMS = advice_params()
DUSK = WalkSeen(0, 0, larvae_found=0, plants_searched=50, hour=20, soil="moist")


@pytest.mark.parametrize(
    ("search", "worth"),
    [
        (None, 0),
        (DUSK, 0),
        (replace(DUSK, larvae_found=3, lengths_mm=(16.0, 30.0, 44.0)), 2),
        (replace(DUSK, larvae_found=2, instars=(6, 7)), 1),
        (replace(DUSK, larvae_found=2), 2),
    ],
)
def test_full_grown_larvae_are_not_worth_treating(search: WalkSeen | None, worth: int) -> None:
    """Past 1½ in. or the sixth instar they are nearly through; larvae nobody measured were alive and count."""
    assert treatable(search, PARAMS.found) == worth


@pytest.mark.parametrize(
    ("search", "why"),
    [
        (None, ("not searched",)),
        (replace(DUSK, plants_searched=None), ("not searched",)),
        (replace(DUSK, plants_searched=100), ()),
        (replace(DUSK, plants_searched=40), ()),
        (replace(DUSK, plants_searched=40, hour=12, soil="crusted"), ("by day", "hard soil")),
        (replace(DUSK, plants_searched=10, hour=12, soil="crusted"), ("by day", "hard soil", "few plants")),
        (replace(DUSK, plants_searched=10), ("few plants",)),
        (replace(DUSK, plants_searched=45, hour=None), ("hour not told",)),
    ],
)
def test_weak_searches_say_why(search: WalkSeen | None, why: tuple[str, ...]) -> None:
    """None found means little by day, under a crust, and round a handful of plants."""
    assert weakness(search, PARAMS.belief, PARAMS.found) == why


def test_even_a_good_search_may_find_none() -> None:
    """At 2 larvae per 100 and three in ten seen, 100 plants searched by day show none 55 % of the time (worked)."""
    by_day = replace(DUSK, plants_searched=100, hour=12)
    assert 1.0 - power(by_day, PARAMS.belief, PARAMS.found) == pytest.approx(np.exp(-0.6), abs=1e-9)


def test_larva_too_far_on_for_every_shift_is_not_of_this_flight() -> None:
    """The share of the brood as far as the larva, weighed over the clock; the furthest larva decides."""
    stages = np.zeros((2, len(STAGES)))
    stages[0, 1], stages[1, 1], stages[1, 2] = 1.0, 0.5, 0.5
    weight = np.array([0.6, 0.4])
    sizes = PARAMS.belief.sizes
    small, fourth, sixth = (as_far(replace(DUSK, lengths_mm=(x,)), stages, weight, sizes) for x in (5.0, 14.0, 37.0))
    assert small > 0.95
    assert fourth == pytest.approx(0.2, abs=0.05)
    assert sixth < 0.001
    assert as_far(replace(DUSK, lengths_mm=(5.0, 37.0)), stages, weight, sizes) == sixth
    assert as_far(DUSK, stages, weight, sizes) == as_far(None, stages, weight, sizes) == 1.0


def test_older_larvae_and_older_corn_leave_less_to_cut() -> None:
    """Fewer plants to come from a sixth instar than a fourth, and at four collars than at one."""
    young, old = cut_left(1.0, PARAMS), cut_left(4.0, PARAMS)
    assert young.tolist() == sorted(young, reverse=True)
    assert (old < young).all()
    assert 1.0 <= young[0] <= 4.5


def test_found_larvae_are_their_own_outlook() -> None:
    """Nothing cut before, everything within the days left to feed, in the stage that was seen."""
    view = found_outlook(replace(DUSK, lengths_mm=(37.0,)), 2.0, PARAMS, days=15)
    assert view.past.item() == 0.0
    assert view.ahead[0, 0, 0] == 0.0
    assert view.ahead[0, 0, -1] == pytest.approx(view.total.item())
    assert view.stages[0, 0].argmax() == STAGES.index("instar_6")


def test_more_found_in_fewer_plants_means_more_there() -> None:
    """Three in 40 plants tell of more than three in 200, and three of unknown plants of what is usual."""
    means = [
        float(GRID.lam @ found_weight(replace(DUSK, larvae_found=3, plants_searched=n), GRID.lam, PARAMS.belief)[:, 0])
        for n in (40, 200, None)
    ]
    assert means[0] > means[1]
    assert means[2] == pytest.approx(PARAMS.belief.other_per_100, rel=0.1)
    assert found_weight(DUSK, GRID.lam, PARAMS.belief)[0, 0] == 0.0
