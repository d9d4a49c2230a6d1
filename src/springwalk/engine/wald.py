"""Wald's sequential test: stop lines between two shares or two means, and his approximate odds.

The lines are straight in (units looked at, total found). The approximate odds ignore the jump over a line and any least
or most number of units; they are here to compare with the exact ones of `sequential`, never to promise an error by.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.optimize import brentq

from springwalk.errors import BadValue

_LEVEL = 1e-9  # a drift so near 0 is the level one, where the formula has a limit of its own


@dataclass(frozen=True)
class Lines:
    """Stop lines: below at ``lower + slope·n`` found or fewer, above at ``upper + slope·n`` or more, after n units."""

    slope: float
    lower: float
    upper: float


@dataclass(frozen=True)
class Odds:
    """Chance of ending below (the operating characteristic) and mean number of units looked at."""

    below: float
    mean_units: float


def log_bounds(alpha: float, beta: float) -> tuple[float, float]:
    """The two bounds of a log-likelihood ratio, ln(β/(1 − α)) and ln((1 − β)/α); raises BadValue. Source: Wald 1947."""
    for name, value in (("alpha", alpha), ("beta", beta)):
        if not 0.0 < value < 1.0:
            raise BadValue(name, f"{value:g}", "must be above 0 and below 1", "give the chance of that error, like 0.1")
    if not alpha + beta < 1.0:
        raise BadValue("alpha + beta", f"{alpha + beta:g}", "must be below 1", "allow fewer errors")
    return math.log(beta / (1.0 - alpha)), math.log((1.0 - beta) / alpha)


def binomial_lines(p0: float, p1: float, *, alpha: float, beta: float) -> Lines:
    """Lines between two shares of damaged plants, 0 < p0 < p1 < 1; one unit is one plant.

    ``alpha`` is the chance of ending above at p0, ``beta`` of ending below at p1, both nominal. Raises BadValue.
    Source: Wald 1947; Binns, Nyrop & van der Werf 2000, §5.4.
    """
    check_shares(p0, p1)
    gain = math.log(p1 * (1.0 - p0) / (p0 * (1.0 - p1)))
    return _lines(math.log((1.0 - p0) / (1.0 - p1)) / gain, gain, alpha, beta)


def poisson_lines(m0: float, m1: float, *, alpha: float, beta: float) -> Lines:
    """Lines between two means of a Poisson count per unit, 0 < m0 < m1; raises BadValue. Source: Wald 1947."""
    _means(m0, m1)
    gain = math.log(m1 / m0)
    return _lines((m1 - m0) / gain, gain, alpha, beta)


def negative_binomial_lines(m0: float, m1: float, k: float, *, alpha: float, beta: float) -> Lines:
    """Lines between two means of a negative binomial count per unit with one ``k`` for both; raises BadValue.

    A k taken as known and the same at both means is itself a risk. Source: Wald's test for this distribution.
    """
    _means(m0, m1)
    _positive("k", k)
    gain = math.log(m1 * (k + m0) / (m0 * (k + m1)))
    return _lines(k * math.log((k + m1) / (k + m0)) / gain, gain, alpha, beta)


def wald_odds(p0: float, p1: float, *, alpha: float, beta: float, true_p: float) -> Odds:
    """Wald's approximate odds of the binomial test where the true share of damaged plants is ``true_p``.

    Source: Wald 1947: with A = (1 − β)/α, B = β/(1 − α) and h ≠ 0 such that the mean of the likelihood ratio to the
    power h is 1, the chance of ending below is (A^h − 1)/(A^h − B^h). Raises BadValue.
    """
    check_shares(p0, p1)
    low, high = log_bounds(alpha, beta)
    damaged, sound = math.log(p1 / p0), math.log((1.0 - p1) / (1.0 - p0))
    drift = true_p * damaged + (1.0 - true_p) * sound
    if abs(drift) < _LEVEL:
        spread = true_p * damaged**2 + (1.0 - true_p) * sound**2
        return Odds(high / (high - low), -low * high / spread)
    h = _power(true_p, damaged, sound)
    below = math.expm1(h * high) / (math.exp(h * high) - math.exp(h * low))
    return Odds(below, (below * low + (1.0 - below) * high) / drift)


def _power(p: float, damaged: float, sound: float) -> float:
    """The h other than 0 that makes the mean of exp(h × increment) 1; its sign is opposite to that of the drift."""

    def excess(h: float) -> float:
        return p * math.expm1(h * damaged) + (1.0 - p) * math.expm1(h * sound)

    outer = -math.copysign(1.0, p * damaged + (1.0 - p) * sound)
    inner = outer
    while excess(outer) < 0.0:
        outer *= 2.0
    while excess(inner) >= 0.0:
        inner /= 2.0
    return float(brentq(excess, inner, outer, xtol=1e-12))


def _lines(slope: float, gain: float, alpha: float, beta: float) -> Lines:
    low, high = log_bounds(alpha, beta)
    return Lines(slope, low / gain, high / gain)


def check_shares(p0: float, p1: float) -> None:
    """Raise BadValue unless 0 < p0 < p1 < 1."""
    for name, value in (("p0", p0), ("p1", p1)):
        if not 0.0 < value < 1.0:
            raise BadValue(name, f"{value:g}", "must be above 0 and below 1", "give a share, like 0.02 for 2 of 100")
    if not p0 < p1:
        raise BadValue("p0", f"{p0:g}", f"must be below p1 = {p1:g}", "swap or correct the two")


def _means(m0: float, m1: float) -> None:
    _positive("m0", m0)
    if not m0 < m1 < math.inf:
        raise BadValue("m0", f"{m0:g}", f"must be below m1 = {m1:g}", "swap or correct the two")


def _positive(name: str, value: float) -> None:
    if not 0.0 < value < math.inf:
        raise BadValue(name, f"{value:g}", "must be above 0", "give it as a number above 0")
