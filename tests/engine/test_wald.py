"""Stop lines: their symmetry, Wald's approximate odds, and what is refused."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import pytest
from hypothesis import given, settings, strategies as st

from springwalk.engine import wald
from springwalk.engine.wald import binomial_lines as lines_of
from springwalk.errors import BadValue

calm = settings(deadline=None, derandomize=True)
"""Same draws on every run, and no failure because the machine was busy."""
shares = st.tuples(st.floats(0.005, 0.5), st.floats(0.005, 0.5)).filter(lambda pair: pair[1] > 1.1 * pair[0])
errors = st.floats(0.01, 0.3)


@calm
@given(pair=shares, alpha=errors, beta=errors)
def test_slope_lies_between_the_shares(pair: tuple[float, float], alpha: float, beta: float) -> None:
    """A field at the slope is the hardest to judge, so it must lie between the two shares; the lines lie about it."""
    lines = lines_of(*pair, alpha=alpha, beta=beta)
    assert pair[0] < lines.slope < pair[1]
    assert lines.lower < 0.0 < lines.upper


@calm
@given(pair=shares, alpha=errors, beta=errors)
def test_mirror_swaps_lines(pair: tuple[float, float], alpha: float, beta: float) -> None:
    """Counting sound plants instead of damaged ones is the same test seen from the other side."""
    lines = lines_of(*pair, alpha=alpha, beta=beta)
    mirror = lines_of(1.0 - pair[1], 1.0 - pair[0], alpha=beta, beta=alpha)
    assert mirror.slope == pytest.approx(1.0 - lines.slope)
    assert (mirror.lower, mirror.upper) == pytest.approx((-lines.upper, -lines.lower))


@calm
@given(pair=shares, alpha=errors, beta=errors)
def test_approximate_odds_are_the_nominal_ones(pair: tuple[float, float], alpha: float, beta: float) -> None:
    """At p0 and p1 the approximation gives back the errors that were asked for."""
    at = [wald.wald_odds(*pair, alpha=alpha, beta=beta, true_p=p).below for p in pair]
    assert at == pytest.approx([1.0 - alpha, beta])


def test_approximate_odds_have_no_step_at_the_slope() -> None:
    """The formula divides by nothing at the slope; its limit must join both sides."""
    slope = lines_of(0.02, 0.05, alpha=0.1, beta=0.1).slope
    near = [wald.wald_odds(0.02, 0.05, alpha=0.1, beta=0.1, true_p=p) for p in (slope - 1e-6, slope, slope + 1e-6)]
    assert [one.below for one in near] == pytest.approx([0.5] * 3, abs=1e-3)
    assert near[0].mean_units == pytest.approx(near[1].mean_units, rel=1e-3)
    assert near[2].mean_units == pytest.approx(near[1].mean_units, rel=1e-3)


def test_large_k_is_poisson() -> None:
    """A negative binomial without clumping is Poisson."""
    even = wald.negative_binomial_lines(1.0, 2.0, 1e7, alpha=0.1, beta=0.1)
    poisson = wald.poisson_lines(1.0, 2.0, alpha=0.1, beta=0.1)
    assert (even.slope, even.lower, even.upper) == pytest.approx(
        (poisson.slope, poisson.lower, poisson.upper), rel=1e-5
    )


TEST = {"alpha": 0.1, "beta": 0.1}


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (
            lambda: lines_of(0.05, 0.02, **TEST),
            "p0 = 0.05: must be below p1 = 0.02; swap or correct the two.",
        ),
        (
            lambda: lines_of(0.05, 0.05, **TEST),
            "p0 = 0.05: must be below p1 = 0.05; swap or correct the two.",
        ),
        (
            lambda: lines_of(2.0, 5.0, **TEST),
            "p0 = 2: must be above 0 and below 1; give a share, like 0.02 for 2 of 100.",
        ),
        (
            lambda: lines_of(0.02, math.nan, **TEST),
            "p1 = nan: must be above 0 and below 1; give a share, like 0.02 for 2 of 100.",
        ),
        (
            lambda: lines_of(0.02, 0.05, alpha=0.0, beta=0.1),
            "alpha = 0: must be above 0 and below 1; give the chance of that error, like 0.1.",
        ),
        (
            lambda: lines_of(0.02, 0.05, alpha=0.5, beta=0.5),
            "alpha + beta = 1: must be below 1; allow fewer errors.",
        ),
        (lambda: wald.poisson_lines(2.0, 1.0, **TEST), "m0 = 2: must be below m1 = 1; swap or correct the two."),
        (lambda: wald.poisson_lines(0.0, 1.0, **TEST), "m0 = 0: must be above 0; give it as a number above 0."),
        (
            lambda: wald.negative_binomial_lines(1.0, 2.0, -1.0, **TEST),
            "k = -1: must be above 0; give it as a number above 0.",
        ),
    ],
)
def test_meaningless_test_is_refused(asked: Callable[[], object], told: str) -> None:
    """A swapped pair or a percent typed for a share would give lines that judge the wrong way round."""
    with pytest.raises(BadValue, match=f"^{re.escape(told)}$"):
        asked()
