"""Exact odds of sequential counts: against full enumeration, simulation, and each other."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Callable

import numpy as np
import pytest

from springwalk.engine import sequential as s
from springwalk.engine.wald import Lines, Odds, binomial_lines, log_bounds, poisson_lines
from springwalk.errors import BadValue

TEST = {"alpha": 0.1, "beta": 0.1}
LINES = binomial_lines(0.1, 0.25, **TEST)


def listed_odds(lines: Lines, p: float, *, n_min: int, n_max: int) -> Odds:
    """Odds by going through every row of plants there can be."""
    below = mean = 0.0
    for row in itertools.product((0, 1), repeat=n_max):
        chance = math.prod(p if cut else 1.0 - p for cut in row)
        for n in range(1, n_max + 1):
            told = s.verdict(lines, n, sum(row[:n]), n_min=n_min, n_max=n_max)
            if told != s.MORE:
                below += chance * (told == s.BELOW)
                mean += chance * n
                break
    return Odds(below, mean)


@pytest.mark.parametrize(("n_min", "n_max"), [(1, 14), (5, 14), (14, 14), (1, 1)])
@pytest.mark.parametrize("p", [0.1, LINES.slope, 0.25])
def test_odds_are_those_of_every_row_of_plants(p: float, n_min: int, n_max: int) -> None:
    """The dynamic programme, its least and its most number must agree with listing all outcomes."""
    made = s.exact_odds(LINES, s.plants(p), n_min=n_min, n_max=n_max)
    listed = listed_odds(LINES, p, n_min=n_min, n_max=n_max)
    assert (made.below, made.mean_units) == pytest.approx((listed.below, listed.mean_units), abs=1e-10)


def test_odds_fall_as_more_is_cut() -> None:
    """The more plants are cut, the less often a field may pass as below."""
    found = [s.exact_odds(LINES, s.plants(p)).below for p in (0.001, 0.05, 0.1, LINES.slope, 0.25, 0.5, 0.9)]
    assert found == sorted(found, reverse=True)
    assert found[0] > 0.999
    assert found[-1] < 0.001


def test_length_is_longest_near_the_slope() -> None:
    """A clear field is settled sooner than one between the two shares."""
    mean = [s.exact_odds(LINES, s.plants(p)).mean_units for p in (0.02, 0.1, LINES.slope, 0.25, 0.6)]
    assert max(mean) == mean[2]


def test_an_end_costs_errors() -> None:
    """Stopping at 40 plants at the latest is shorter and more often wrong, and the odds must say so."""
    free, ended = (s.exact_odds(LINES, s.plants(0.1), n_max=most) for most in (None, 40))
    assert ended.mean_units < free.mean_units
    assert ended.below < free.below


def test_none_of_them_cut_takes_the_first_stop() -> None:
    """With no damage at all the test ends below at exactly the number on the card."""
    first = s.first_stop(LINES)
    assert s.exact_odds(LINES, s.plants(0.0)) == Odds(1.0, float(first))
    assert s.verdict(LINES, first, 0) == s.BELOW
    assert s.verdict(LINES, first - 1, 0) == s.MORE
    assert (s.first_stop(LINES, n_min=30), s.first_stop(LINES, n_max=5)) == (30, 5)


def test_a_total_on_a_line_stops() -> None:
    """Both lines belong to stopping, whatever the last digit of a float says."""
    even = binomial_lines(0.1, 0.9, alpha=0.1, beta=0.1)  # slope 1/2, intercepts ∓1
    assert [s.verdict(even, 2, found) for found in (0, 1, 2)] == [s.BELOW, s.MORE, s.ABOVE]
    assert s.verdict(even, 2, 1, n_max=2) == s.ABOVE


def test_counts_agree_with_simulation() -> None:
    """Poisson counts step over lines in jumps; seeded play of the same rule must see the same odds."""
    lines = poisson_lines(1.0, 2.0, **TEST)
    made = s.exact_odds(lines, s.poisson_counts(1.5), n_min=3, n_max=20)
    draw = np.random.default_rng(3)
    totals = draw.poisson(1.5, (20_000, 20)).cumsum(axis=1)
    ends = [
        next((n, told) for n in range(1, 21) if (told := s.verdict(lines, n, row[n - 1], n_min=3, n_max=20)) != s.MORE)
        for row in totals
    ]
    assert made.below == pytest.approx(np.mean([told == s.BELOW for _, told in ends]), abs=0.012)
    assert made.mean_units == pytest.approx(np.mean([n for n, _ in ends]), abs=0.15)


@pytest.mark.parametrize("counts", [s.poisson_counts(1.3), s.negative_binomial_counts(1.3, 0.8)])
def test_chances_are_whole_and_have_their_mean(counts: s.Counts) -> None:
    """Chances that do not add up to one would leak fields out of the odds."""
    chances = counts(200)
    assert chances.sum() == pytest.approx(1.0)
    assert chances @ np.arange(200) == pytest.approx(1.3)


@pytest.mark.parametrize("rho", [0.0, 1e-13, 0.05, 0.6])
def test_clumped_stops_have_their_mean_and_spread(rho: float) -> None:
    """Mean m·p and variance m·p·(1 − p)·(1 + (m − 1)ρ), down to no likeness at all."""
    chances = s.cluster_counts(0.04, plants_per_stop=20, rho=rho)
    x = np.arange(21)
    assert chances.sum() == pytest.approx(1.0)
    assert chances @ x == pytest.approx(0.8)
    assert chances @ (x - 0.8) ** 2 == pytest.approx(20 * 0.04 * 0.96 * (1.0 + 19 * rho))


def test_increments_grow_with_damage_and_less_where_it_is_clumped() -> None:
    """More cut plants always speak for p1, but one bad patch must not settle a field."""
    alone, clumped = (s.cluster_increments(0.02, 0.05, plants_per_stop=20, rho=rho) for rho in (0.0, 0.05))
    for made in (alone, clumped):
        assert (np.diff(made) > 0.0).all()
        assert made[0] < 0.0 < made[1]
    assert clumped[5] < log_bounds(0.1, 0.1)[1] < alone[5]


def listed_stop_odds(increments: s.Array, chances: s.Array, *, n_min: int, n_max: int) -> Odds:
    """Odds by going through every row of stops there can be."""
    low, high = log_bounds(0.1, 0.1)
    below = mean = 0.0
    for row in itertools.product(range(len(chances)), repeat=n_max):
        chance = math.prod(chances[x] for x in row)
        ratio = np.cumsum(increments[list(row)])
        n = next(n for n in range(n_min, n_max + 1) if n == n_max or not low < ratio[n - 1] < high)
        below += chance * (ratio[n - 1] < 0.0)
        mean += chance * n
    return Odds(below, mean)


@pytest.mark.parametrize(("n_min", "n_max"), [(1, 5), (3, 5), (5, 5)])
def test_stop_odds_are_those_of_every_row_of_stops(n_min: int, n_max: int) -> None:
    """The grid of the running sum must not move the odds."""
    increments = s.cluster_increments(0.02, 0.12, plants_per_stop=5, rho=0.1)
    chances = s.cluster_counts(0.05, plants_per_stop=5, rho=0.1)
    made = s.stop_odds(increments, chances, **TEST, n_min=n_min, n_max=n_max)
    listed = listed_stop_odds(increments, chances, n_min=n_min, n_max=n_max)
    assert (made.below, made.mean_units) == pytest.approx((listed.below, listed.mean_units), abs=1e-3)


@pytest.mark.parametrize("p", [0.02, 0.05])
def test_stops_of_unlike_plants_keep_to_the_lines(p: float) -> None:
    """Without likeness a test by stops is the test by lines looked at every 20 plants; two ways of working it agree."""
    one = binomial_lines(0.02, 0.05, **TEST)
    chances = s.cluster_counts(p, plants_per_stop=20, rho=0.0)
    by_lines = s.exact_odds(Lines(20 * one.slope, one.lower, one.upper), lambda size: chances[:size])
    increments = s.cluster_increments(0.02, 0.05, plants_per_stop=20, rho=0.0)
    by_sum = s.stop_odds(increments, chances, **TEST)
    assert by_sum.below == pytest.approx(by_lines.below, abs=1e-3)
    assert by_sum.mean_units == pytest.approx(by_lines.mean_units, rel=1e-3)


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (
            lambda: s.exact_odds(LINES, s.plants(0.1), n_min=0),
            "n_min = 0: must be at least 1; look at one or more before stopping.",
        ),
        (
            lambda: s.exact_odds(LINES, s.plants(0.1), n_min=9, n_max=8),
            "n_max = 8: below n_min = 9; allow at least as many as must be seen.",
        ),
        (
            lambda: s.cluster_increments(0.02, 0.05, plants_per_stop=0, rho=0.1),
            "plants_per_stop = 0: must be at least 1; give the plants looked at in one stop.",
        ),
        (
            lambda: s.cluster_increments(0.02, 0.05, plants_per_stop=20, rho=1.0),
            "rho = 1: must be at least 0 and below 1; 0 is for independent plants; try 0.05.",
        ),
        (
            lambda: s.cluster_increments(0.05, 0.02, plants_per_stop=20, rho=0.1),
            "p0 = 0.05: must be below p1 = 0.02; swap or correct the two.",
        ),
    ],
)
def test_what_cannot_be_counted_is_refused(asked: Callable[[], object], told: str) -> None:
    """Limits that cross or a likeness of 1 have no odds."""
    with pytest.raises(BadValue, match=f"^{re.escape(told)}$"):
        asked()
