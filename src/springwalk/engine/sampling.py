"""Counts of damaged plants: intervals for a share, how clumped stops are, and how many units a precision needs.

The intervals hold for a number of plants fixed beforehand and plants independent of each other. After stopping by a
rule, or with clumped damage, the true ones are wider.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import minimize
from scipy.special import betainc, betaincinv, betaln, expit, gammaln, ndtri

from springwalk.errors import BadValue

Interval = tuple[float, float]
Array = NDArray[np.float64]

_MOST = 1_000_000_000  # plants; beyond it a count is a slip


@dataclass(frozen=True)
class Clumping:
    """A beta-binomial fitted to stops: ``a`` and ``b`` of the beta, mean share, likeness and −log likelihood."""

    a: float
    b: float
    p: float
    rho: float
    minus_log_likelihood: float


def wilson(x: int, n: int, *, level: float = 0.95) -> Interval:
    """Wilson's score interval for the share x/n; raises BadValue. Source: Newcombe 1998, method 3 (memory)."""
    tail = _checked(x, n, level)
    z2 = float(ndtri(tail)) ** 2
    middle = x + z2 / 2.0
    half = math.sqrt(z2 * (x * (n - x) / n + z2 / 4.0))
    low, high = (middle - half) / (n + z2), (middle + half) / (n + z2)
    return (0.0 if x == 0 else low, 1.0 if x == n else high)


def exact_interval(x: int, n: int, *, level: float = 0.95) -> Interval:
    """Clopper–Pearson interval for the share x/n: never too short, often too long; raises BadValue."""
    tail = _checked(x, n, level)
    low = 0.0 if x == 0 else float(betaincinv(x, n - x + 1, tail))
    return low, 1.0 if x == n else float(betaincinv(x + 1, n - x, 1.0 - tail))


def jeffreys(x: int, n: int, *, level: float = 0.95) -> Interval:
    """Jeffreys' interval for the share x/n: equal tails of Beta(x + ½, n − x + ½); raises BadValue.

    The low end is set to 0 at x = 0 and the high end to 1 at x = n; the other end stays the two-sided one. (Brown, Cai
    and DasGupta's modified form, which moves that end too, is not used.)
    """
    tail = _checked(x, n, level)
    low = 0.0 if x == 0 else float(betaincinv(x + 0.5, n - x + 0.5, tail))
    return low, 1.0 if x == n else float(betaincinv(x + 0.5, n - x + 0.5, 1.0 - tail))


def chance_above(share: float, x: int, n: int, *, a: float, b: float) -> float:
    """Chance that the true share is above ``share`` after x of n, with a Beta(a, b) known beforehand; raises BadValue.

    It stays right whatever rule ended the counting; plants are taken as independent.
    """
    if n:
        _checked(x, n, 0.5)
    return 1.0 - float(betainc(a + x, b + n - x, share))


def design_effect(plants_per_stop: int, rho: float) -> float:
    """How many times as many plants a count by stops needs: 1 + (m − 1)ρ."""
    return 1.0 + (plants_per_stop - 1) * rho


def independent_plants(plants: int, *, plants_per_stop: int, rho: float) -> float:
    """How many independent plants a number of plants counted by stops is worth."""
    return plants / design_effect(plants_per_stop, rho)


def variance_ratio(stops_with: ArrayLike) -> float:
    """Variance of damaged plants per stop over that of independent plants.

    ``stops_with[x]`` is how many stops had x = 0 … m damaged of m plants. The variance has divisor stops − 1, the
    independent one is m p (1 − p). Raises BadValue for fewer than two stops, or none or all plants damaged.
    """
    stops, x = _stops(stops_with)
    m, n = len(stops) - 1, stops.sum()
    mean = float(stops @ x / n)
    variance = float(stops @ (x - mean) ** 2 / (n - 1))
    return variance / (mean * (1.0 - mean / m))


def likeness(ratio: float, *, plants_per_stop: int) -> float:
    """The ρ that a variance ratio of stops of m plants means: (ratio − 1)/(m − 1); below 0 for too even stops."""
    return (ratio - 1.0) / (plants_per_stop - 1)


def fit_clumping(stops_with: ArrayLike) -> Clumping:
    """Fit a beta-binomial by greatest likelihood to the stops that had 0 … m damaged of m plants.

    Raises BadValue as `variance_ratio` does, and where the stops are not clumped (variance ratio 1 or less).
    """
    stops, x = _stops(stops_with)
    m, ratio = len(stops) - 1, variance_ratio(stops_with)
    if not ratio > 1.0:
        raise BadValue("variance ratio", f"{ratio:.3g}", "the stops are not clumped", "take the plants as independent")
    ways = gammaln(m + 1) - gammaln(x + 1) - gammaln(m - x + 1)

    def beta_of(at: Array) -> tuple[float, float]:
        p, kappa = float(expit(at[0])), math.exp(float(at[1]))
        return p * kappa, (1.0 - p) * kappa

    def misfit(at: Array) -> float:
        a, b = beta_of(at)
        return -float(stops @ (ways + betaln(x + a, m - x + b) - betaln(a, b)))

    share = float(stops @ x / (stops.sum() * m))
    rho = min(0.95, max(0.001, likeness(ratio, plants_per_stop=m)))
    start = [math.log(share / (1.0 - share)), math.log((1.0 - rho) / rho)]
    found = minimize(misfit, start, method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-11, "maxiter": 4000})
    a, b = beta_of(found.x)
    return Clumping(a, b, a / (a + b), 1.0 / (1.0 + a + b), float(found.fun))


def units_for_precision(mean: float, *, a: float, b: float, precision: float) -> float:
    """Units to look at for SE/mean = ``precision`` where variance = a·mean^b (Taylor's law): a·m^(b − 2)/D²."""
    return float(a * mean ** (b - 2.0) / precision**2)


def taylor_stop_total(n: float, *, a: float, b: float, precision: float) -> float:
    """Total found at which n units give SE/mean = ``precision``, with variance = a·mean^b.

    Raises BadValue at b = 2, where precision does not depend on the total. Source: Green 1970.
    """
    if b == 2.0:
        raise BadValue("b", b, "at 2 there is no stop line", "use a number of units fixed beforehand")
    return float((precision**2 / a) ** (1.0 / (b - 2.0)) * n ** ((b - 1.0) / (b - 2.0)))


def patchiness_stop_total(n: float, *, alpha: float, beta: float, precision: float) -> float:
    """Total found at which n units give SE/mean = ``precision``, with variance (α + 1)m + (β − 1)m².

    Raises BadValue where n ≤ (β − 1)/D²: no total is enough. Source: Kuno 1969, for Iwao's regression.
    """
    least = (beta - 1.0) / precision**2
    if not n > least:
        raise BadValue("n", f"{n:g}", f"must be above {least:g} for this precision", "look at more, or ask for less")
    return (alpha + 1.0) / (precision**2 - (beta - 1.0) / n)


def class_lines(n: float, *, critical_mean: float, variance: float, alpha: float) -> Interval:
    """Totals below and above which n units say a mean is under or over ``critical_mean``: n·m ± z·√(n·variance).

    ``variance`` is that of one unit at the critical mean; ``alpha`` is two-sided. Source: Iwao 1975.
    """
    half = -float(ndtri(alpha / 2.0)) * math.sqrt(n * variance)
    return n * critical_mean - half, n * critical_mean + half


def share_with_any(mean: float, *, k: float) -> float:
    """Share of units with one or more, for a negative binomial count with this mean and ``k``: 1 − (1 + m/k)^−k."""
    return -math.expm1(-k * math.log1p(mean / k))


def _checked(x: int, n: int, level: float) -> float:
    """The chance left in each tail, once the count can be one."""
    if not 1 <= n <= _MOST:
        raise BadValue("n", n, f"outside 1 … {_MOST:,}", "give the number of plants looked at", unit="plants")
    if not 0 <= x <= n:
        rule = f"above n = {n}" if x > n else "below 0"
        raise BadValue("x", x, rule, "swap or correct the two" if x > n else "give the number found", unit="plants")
    if not 0.0 < level < 1.0:
        raise BadValue("level", f"{level:g}", "must be above 0 and below 1", "give a share, like 0.95 for 95 %")
    return (1.0 - level) / 2.0


def _stops(stops_with: ArrayLike) -> tuple[Array, NDArray[np.int64]]:
    stops = np.asarray(stops_with, dtype=np.float64)
    x = np.arange(len(stops))
    if not stops.sum() >= 2 or not 0.0 < stops @ x < stops.sum() * (len(stops) - 1):
        told = "two or more stops with some plants damaged and some not are needed"
        raise BadValue("stops", _listed(stops), told, "count more stops")
    return stops, x


def _listed(stops: Sequence[float] | Array) -> str:
    return ", ".join(f"{value:g}" for value in stops)
