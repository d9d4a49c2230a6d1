"""Intervals, clumping and precision: what must hold for every count, and what is refused."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from springwalk.engine import sampling
from springwalk.engine.sequential import cluster_counts, negative_binomial_counts
from springwalk.errors import BadValue

calm = settings(deadline=None, derandomize=True)
"""Same draws on every run, and no failure because the machine was busy."""
counts = st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))
WAYS = (sampling.wilson, sampling.exact_interval, sampling.jeffreys)
Way = Callable[..., tuple[float, float]]


@pytest.mark.parametrize("way", WAYS)
@calm
@given(count=counts, level=st.floats(0.5, 0.999))
def test_interval_holds_the_share_and_mirrors(way: Way, count: tuple[int, int], level: float) -> None:
    """The share seen lies inside, within 0 … 1, and sound plants give the same interval from the other end."""
    x, n = count
    low, high = way(x, n, level=level)
    assert 0.0 <= low <= x / n <= high <= 1.0
    assert (1.0 - high, 1.0 - low) == pytest.approx(way(n - x, n, level=level), abs=1e-9)


@calm
@given(count=counts)
def test_exact_is_the_wider_of_the_beta_pair(count: tuple[int, int]) -> None:
    """Clopper–Pearson always holds Jeffreys' interval."""
    outer, inner = (way(*count) for way in (sampling.exact_interval, sampling.jeffreys))
    assert outer[0] <= inner[0]
    assert inner[1] <= outer[1]


def test_exact_ends_leave_the_tails_they_say() -> None:
    """At either end the count seen or one beyond has a chance of 2.5 %: the definition, by adding up the binomial."""
    low, high = sampling.exact_interval(3, 100)
    few = sum(math.comb(100, x) * high**x * (1.0 - high) ** (100 - x) for x in range(4))
    many = 1.0 - sum(math.comb(100, x) * low**x * (1.0 - low) ** (100 - x) for x in range(3))
    assert (few, many) == pytest.approx((0.025, 0.025))


def test_without_a_count_the_chance_is_what_was_known() -> None:
    """Before any plant is seen nothing is learned; Beta(1, 1) is even over all shares."""
    assert sampling.chance_above(0.3, 0, 0, a=1.0, b=1.0) == pytest.approx(0.7)


@pytest.mark.parametrize("rho", [0.05, 0.4])
def test_fit_finds_the_clumping_it_was_given(rho: float) -> None:
    """Stops in the very proportions of a beta-binomial must give back its mean and likeness."""
    stops = 1e6 * cluster_counts(0.1, plants_per_stop=10, rho=rho)
    found = sampling.fit_clumping(stops)
    assert (found.p, found.rho) == pytest.approx((0.1, rho), rel=1e-4)
    assert found.a / (found.a + found.b) == pytest.approx(found.p)
    ratio = sampling.variance_ratio(stops)
    assert ratio == pytest.approx(sampling.design_effect(10, rho), rel=1e-4)
    assert sampling.likeness(ratio, plants_per_stop=10) == pytest.approx(rho, rel=1e-3)


@pytest.mark.parametrize("n", [10.0, 33.0])
def test_stop_total_gives_its_precision(n: float) -> None:
    """On a stop line the standard error over the mean is the precision asked for, by the spread law of each line."""
    mean = sampling.taylor_stop_total(n, a=2.0, b=1.5, precision=0.25) / n
    assert math.sqrt(2.0 * mean**1.5 / n) / mean == pytest.approx(0.25)
    assert sampling.units_for_precision(mean, a=2.0, b=1.5, precision=0.25) == pytest.approx(n)
    mean = sampling.patchiness_stop_total(n, alpha=0.5, beta=1.3, precision=0.25) / n
    assert math.sqrt((1.5 * mean + 0.3 * mean**2) / n) / mean == pytest.approx(0.25)


def test_share_with_any_is_what_the_counts_leave() -> None:
    """Units with any are all but those with none."""
    assert sampling.share_with_any(1.3, k=0.8) == pytest.approx(1.0 - negative_binomial_counts(1.3, 0.8)(1)[0])


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (lambda: sampling.wilson(5, 4), "x = 5 plants: above n = 4; swap or correct the two."),
        (lambda: sampling.jeffreys(-1, 4), "x = -1 plants: below 0; give the number found."),
        (
            lambda: sampling.exact_interval(0, 0),
            "n = 0 plants: outside 1 … 1,000,000,000; give the number of plants looked at.",
        ),
        (
            lambda: sampling.wilson(1, 4, level=95.0),
            "level = 95: must be above 0 and below 1; give a share, like 0.95 for 95 %.",
        ),
        (
            lambda: sampling.taylor_stop_total(10, a=1.0, b=2.0, precision=0.25),
            "b = 2.0: at 2 there is no stop line; use a number of units fixed beforehand.",
        ),
        (
            lambda: sampling.patchiness_stop_total(4, alpha=0.5, beta=1.3, precision=0.25),
            "n = 4: must be above 4.8 for this precision; look at more, or ask for less.",
        ),
        (
            lambda: sampling.variance_ratio([5, 0, 0]),
            "stops = 5, 0, 0: two or more stops with some plants damaged and some not are needed; count more stops.",
        ),
        (
            lambda: sampling.fit_clumping(np.array([0, 8, 0, 0])),
            "variance ratio = 0: the stops are not clumped; take the plants as independent.",
        ),
    ],
)
def test_what_cannot_be_worked_is_refused(asked: Callable[[], object], told: str) -> None:
    """More damaged than seen, a percent for a share, or a law without a line has no answer."""
    with pytest.raises(BadValue, match=f"^{re.escape(told)}$"):
        asked()
