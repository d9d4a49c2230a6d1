"""Belief as a whole: what a walk can and can't tell, what is marked, and whether belief is as sure as it may be."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from benchmarks.calibration import inside, make_world, places
from springwalk.engine.belief import StopSeen, area_mean, believe, contradictions, make_grid, season_patches
from springwalk.errors import BadValue
from tests.engine.belief_made import BEFORE, EARLY, EXPECTED, GRID, LATE, MIDDLE, PARAMS, counted, lincoln, walk
from tests.lincoln import day


def of(*walks) -> object:  # type: ignore[no-untyped-def]
    """Belief of the four fields."""
    return believe(walks, lincoln(), EXPECTED, GRID, PARAMS)


def test_none_of_100_before_cutting_leaves_belief_as_it_was() -> None:
    """A clean count before cutting can start says nothing, of this field or of any other."""
    walked, nothing = of(walk(BEFORE, counted(0, 0, 0, 0, 0))), of()
    assert walked.weight == pytest.approx(nothing.weight, abs=1e-6)
    later = of(walk(MIDDLE, counted(0, 0, 0, 0, 0)))
    assert later.any_larvae[1] < nothing.any_larvae[1] - 0.1


def test_many_early_cuts_mean_earlier_as_much_as_more() -> None:
    """Early, load and earliness trade off: a clear negative correlation, gone once the brood is through."""
    early = of(walk(EARLY, counted(2, 1, 2, 0, 1)))
    assert early.more_or_earlier[1] < -0.3
    assert early.mean_shift_ddc[1] < -5.0
    late = of(walk(day(6, 25), tuple(StopSeen(20, 0, c) for c in (2, 1, 2, 0, 1))))
    assert late.more_or_earlier[1] > early.more_or_earlier[1] + 0.1


def test_black_ground_starts_low_but_not_at_nothing() -> None:
    """Ground that was black under the flight has little chance of larvae; dense cover has the most."""
    chance = of().any_larvae
    assert 0.01 < chance[0] < 0.06
    assert chance[1] > chance[2] > chance[0]


def test_a_field_without_eggs_whose_plants_are_cut() -> None:
    """What was told of its ground may be wrong: cuts raise the belief there, less than in a field that was green."""
    cuts = tuple(StopSeen(20, cut_fresh=c // 2, cut_old=c - c // 2) for c in (1, 2, 0, 1, 3))
    belief, green = of(walk(MIDDLE, cuts, unit=0)), of(walk(MIDDLE, cuts, unit=1))
    assert np.isfinite(belief.weight).all()
    assert of().any_larvae[0] < 0.1
    assert 0.5 < belief.any_larvae[0] < green.any_larvae[1]
    assert belief.mean_load[0] < green.mean_load[1]


def test_cutting_far_before_its_time_is_a_message() -> None:
    """Many old cuts days before any brood of this flight can cut push the weight to the edge of the clock."""
    stops = tuple(StopSeen(20, 0, 4) for _ in range(5))
    assert of(walk(day(5, 17), stops)).edge[1, 0] > 0.2
    assert of(walk(MIDDLE, stops)).edge[1].max() < 0.01


def test_order_of_walks_never_matters() -> None:
    """Walks of several fields, in any order, make the same belief of all."""
    walks = [
        walk(EARLY, counted(1, 0, leaf=1)), walk(MIDDLE, counted(0, 0), unit=2, plants_searched=20, larvae_found=1),
        walk(LATE, counted(3, 0)), walk(EARLY, counted(0, 0, leaf=0), unit=3),
    ]  # fmt: skip
    assert of(*walks[::-1]).weight == pytest.approx(of(*walks).weight, abs=1e-12)


def test_stop_that_contradicts_itself_is_marked_and_left_out() -> None:
    """More plants cut than places is a slip of the thumb: told with its stop, never raised, never believed."""
    odd = walk(MIDDLE, (StopSeen(20, 15, 9), *counted(0, 1)))
    assert contradictions(odd) == ("stop 1: more plants in a state than places",)
    belief = of(odd)
    assert belief.marked == ((1, "stop 1: more plants in a state than places"),)
    assert belief.weight == pytest.approx(of(walk(MIDDLE, counted(0, 1))).weight)
    assert contradictions(walk(MIDDLE, counted(0, 1))) == ()


def test_marginals_are_of_the_weight() -> None:
    """Weights add to 1 and the short answers follow from them."""
    belief = of(walk(MIDDLE, counted(1, 0, 2)))
    assert belief.weight.sum(axis=(1, 2)) == pytest.approx(np.ones(4))
    assert belief.load[1] @ GRID.lam == pytest.approx(belief.mean_load[1])
    assert belief.any_larvae[1] == pytest.approx(1.0 - belief.load[1, 0])
    assert belief.season_weight.shape == (9, 6, 7)


def test_field_is_the_area_weighted_mean_of_its_zones() -> None:
    """A wet corner of 2 ha in a field of 30 is a fifteenth of the field."""
    got = area_mean(np.array([6.0, 1.0, 4.0]), np.array([2.0, 28.0, 10.0]), np.array([0, 0, 1]))
    assert got == pytest.approx([40.0 / 30.0, 4.0])


def test_grid_of_other_shifts_is_refused() -> None:
    """Weights on one grid and a hazard on another would be silently wrong dates."""
    with pytest.raises(
        BadValue, match=r"^shifts = 11 clock shifts: the hazard has 21 others; work both with one grid\.$"
    ):
        believe([], lincoln(), EXPECTED, make_grid(step_ddf=30.0), PARAMS)


def test_walk_moves_its_own_unit_most() -> None:
    """A walk of unit 2 must move unit 2 the most."""
    moved = of(walk(MIDDLE, counted(4, 3, 2), unit=2)).mean_load - of().mean_load
    assert np.argmax(moved) == 2


def test_season_learns_how_patchy_it_is_from_its_own_stops() -> None:
    """From 30 stops on: all cuts in a few stops is patchier than the table says, the same cuts spread is less so."""

    def shape(*stops: int, walks: int = 6) -> float:
        seen = [walk(LATE, counted(*stops, places=60), unit=1 + k % 3) for k in range(walks)]
        return season_patches(seen, lincoln(), EXPECTED, GRID, PARAMS).patch_shape

    assert shape(4, 0, 2, 5, 1, walks=5) == PARAMS.patch_shape
    assert shape(40, 0, 0, 0, 0) < PARAMS.patch_shape - 0.2
    assert shape(14, 10, 12, 12, 13) > PARAMS.patch_shape + 0.2


@pytest.mark.slow
def test_belief_is_as_sure_as_it_may_be() -> None:
    """80 % ranges hold about 80 % of truths drawn larva by larva; two known faults must fail on the same seasons.

    Wide bars for 30 seasons; benchmarks/calibration.py holds the narrow ones. Odds of larvae are raised, in the draws
    and in belief alike, so that enough fields have cuts to judge.
    """
    often = replace(PARAMS, any_log_odds=(0.5, 1.1))
    world = make_world(lincoln(), EXPECTED, EARLY - 6, LATE, often)
    at = places(world, 30, fields=12, seed=11)
    share = {key: inside(values) for key, values in at.items()}
    assert len(at["engine", "cut given 3 seen"]) > 50
    assert share["engine", "cut"] == pytest.approx(80.0, abs=7.0)
    assert share["engine", "cut given 3 seen"] == pytest.approx(80.0, abs=10.0)
    assert share["engine", "shift"] == pytest.approx(80.0, abs=10.0)
    assert share["plain binomial", "cut given 3 seen"] <= 72.0
    assert share["plug-in", "shift"] <= 65.0
    assert share["engine", "cut given 3 seen"] > share["plain binomial", "cut given 3 seen"] + 5.0
