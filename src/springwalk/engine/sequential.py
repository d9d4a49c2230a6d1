"""Sequential tests: count on until the damaged plants found say "below" or "above", with their exact odds.

Wald's test between two proportions or two means has straight stop lines in (units looked at, total found). Where plants
of a stop resemble each other (beta-binomial) there are no lines: each stop adds its log-likelihood ratio.
Wald's own formulas for error and length ignore the jump over the line, so the odds here come from following the
whole distribution of the total, one unit after the other, with a least and a most number inside the calculation.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln, xlogy

from springwalk.engine.wald import Lines, Odds, check_shares, log_bounds
from springwalk.errors import BadValue

Array = NDArray[np.float64]
Counts = Callable[[int], Array]
"""Given a size, the chances of finding 0, 1, … size − 1 in one unit (fewer where no unit can hold more)."""

BELOW, MORE, ABOVE = "below", "more", "above"
_TINY = 1e-12  # chance still undecided at which following it ends
_TIE = 1e-9  # a total on a line stops; floats land a hair beside it
_STEPS = 4000  # steps of the log-likelihood ratio between the two bounds
_ENDLESS = 2_000_000  # units; far beyond any test that is worth its walk


def plants(p: float) -> Counts:
    """Chances of 0 or 1 damaged in one plant."""
    return lambda size: np.array([1.0 - p, p])[:size]


def poisson_counts(mean: float) -> Counts:
    """Chances of 0, 1, … found in one unit, Poisson with this mean."""

    def chances(size: int) -> Array:
        x = np.arange(size)
        made: Array = np.exp(xlogy(x, mean) - mean - gammaln(x + 1))
        return made

    return chances


def negative_binomial_counts(mean: float, k: float) -> Counts:
    """Chances of 0, 1, … found in one unit, negative binomial with this mean and ``k`` (variance mean + mean²/k)."""

    def chances(size: int) -> Array:
        x = np.arange(size)
        ways = gammaln(k + x) - gammaln(k) - gammaln(x + 1)
        made: Array = np.exp(ways + k * math.log(k / (k + mean)) + xlogy(x, mean / (k + mean)))
        return made

    return chances


def verdict(lines: Lines, n: int, found: float, *, n_min: int = 1, n_max: int | None = None) -> str:
    """``below``, ``above`` or ``more`` after n units with a total found; at ``n_max`` the side of slope·n decides."""
    if n < n_min:
        return MORE
    if n_max is not None and n >= n_max:
        return ABOVE if found >= lines.slope * n - _TIE else BELOW
    if found <= lines.lower + lines.slope * n + _TIE:
        return BELOW
    return ABOVE if found >= lines.upper + lines.slope * n - _TIE else MORE


def first_stop(lines: Lines, *, n_min: int = 1, n_max: int | None = None) -> int:
    """The first number of units at which nothing found is enough to stop below."""
    n = max(n_min, math.ceil(-lines.lower / lines.slope - _TIE))
    return n if n_max is None else min(n, n_max)


def exact_odds(lines: Lines, counts: Counts, *, n_min: int = 1, n_max: int | None = None) -> Odds:
    """Exact odds of a test with straight lines, by dynamic programming over the total found.

    ``counts`` are the true chances per unit; ``n_min`` and ``n_max`` are inside the calculation. Without ``n_max`` it
    ends when less than 1e-12 is undecided. Raises BadValue for limits that cross.
    """
    _limits(n_min, n_max)
    jump = math.ceil(lines.upper - lines.lower + lines.slope * n_min) + 2  # leads above from wherever it starts
    chances = counts(jump)
    chances = np.trim_zeros(np.append(chances, max(0.0, 1.0 - float(chances.sum()))), "b")  # the last: any jump above
    undecided, first, below, mean, n = np.ones(1), 0, 0.0, 0.0, 0
    while (left := float(undecided.sum())) > _TINY and n < _ENDLESS:
        mean += left
        n += 1
        undecided = np.convolve(undecided, chances)
        total = first + np.arange(len(undecided))
        low, high = _sides(lines, n, total, n_min, n_max)
        below += float(undecided[low].sum())
        keep = np.flatnonzero(~(low | high))
        if not len(keep):
            break
        undecided = undecided[keep[0] : keep[-1] + 1]
        first += int(keep[0])
    return Odds(below, mean)


def _sides(
    lines: Lines, n: int, total: NDArray[np.int64], n_min: int, n_max: int | None
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Which totals end below and above after n units: `verdict` for a whole row of totals."""
    if n < n_min:
        none = np.zeros(len(total), dtype=bool)
        return none, none
    if n == n_max:
        high = total >= lines.slope * n - _TIE
        return ~high, high
    return total <= lines.lower + lines.slope * n + _TIE, total >= lines.upper + lines.slope * n - _TIE


def cluster_counts(p: float, *, plants_per_stop: int, rho: float) -> Array:
    """Chances of 0 … m damaged plants in a stop of m: beta-binomial with mean share p and likeness ``rho`` in [0, 1).

    rho = 0 is the binomial. With κ = (1 − ρ)/ρ the beta's parameters are pκ and (1 − p)κ.
    """
    return np.exp(_cluster_logs(p, plants_per_stop, rho))


def cluster_increments(p0: float, p1: float, *, plants_per_stop: int, rho: float) -> Array:
    """What a stop with x = 0 … m damaged plants adds to the log-likelihood ratio of p1 against p0.

    Stop below at ln(β/(1 − α)) or less, above at ln((1 − β)/α) or more (`log_bounds`). Raises BadValue.
    """
    check_shares(p0, p1)
    return _cluster_logs(p1, plants_per_stop, rho) - _cluster_logs(p0, plants_per_stop, rho)


def _cluster_logs(p: float, m: int, rho: float) -> Array:
    """Logs of the beta-binomial as a product over plants, which stays exact down to rho = 0."""
    if m < 1:
        raise BadValue("plants_per_stop", m, "must be at least 1", "give the plants looked at in one stop")
    if not 0.0 <= rho < 1.0:
        raise BadValue("rho", f"{rho:g}", "must be at least 0 and below 1", "0 is for independent plants; try 0.05")
    x = np.arange(m + 1)
    ways = gammaln(m + 1) - gammaln(x + 1) - gammaln(m - x + 1)
    drawn = np.arange(m) * rho / (1.0 - rho)
    damaged, sound, all_drawn = (np.append(0.0, np.cumsum(np.log(start + drawn))) for start in (p, 1.0 - p, 1.0))
    made: Array = ways + damaged + sound[::-1] - all_drawn[-1]
    return made


def stop_odds(
    increments: Array, chances: Array, *, alpha: float, beta: float, n_min: int = 1, n_max: int | None = None
) -> Odds:
    """Odds of a test by whole stops, where a stop with x damaged adds ``increments[x]`` with chance ``chances[x]``.

    Units are stops; at ``n_max`` the sign of the sum decides (0 and more is above). The running sum is kept on a grid
    of 4000 steps between the bounds and each increment is split between its two neighbours, which keeps its mean;
    against full enumeration this is right to about 0.001.
    """
    _limits(n_min, n_max)
    low, high = log_bounds(alpha, beta)
    step = (high - low) / _STEPS
    kernel, base = _on_grid(increments / step, chances)
    undecided, first, n = _folded(kernel, n_min), base * n_min, n_min
    below, mean = 0.0, float(n_min)
    while n < _ENDLESS:
        ratio = step * (first + np.arange(len(undecided)))
        ends_above = ratio >= (-_TIE if n == n_max else high - _TIE)
        ends_below = ~ends_above if n == n_max else ratio <= low + _TIE
        below += float(undecided[ends_below].sum())
        keep = np.flatnonzero(~(ends_below | ends_above))
        undecided = undecided[keep[0] : keep[-1] + 1] if len(keep) else np.zeros(1)
        if (left := float(undecided.sum())) <= _TINY:
            break
        mean += left
        n += 1
        undecided, first = _convolved(undecided, kernel), first + int(keep[0]) + base
    return Odds(below, mean)


def _on_grid(places: Array, chances: Array) -> tuple[Array, int]:
    """Chances at real places moved to the whole places about them, and the first whole place."""
    whole = np.floor(places).astype(int)
    part = places - whole
    base = int(whole.min())
    kernel = np.zeros(int(whole.max()) - base + 2)
    np.add.at(kernel, whole - base, chances * (1.0 - part))
    np.add.at(kernel, whole - base + 1, chances * part)
    return kernel, base


def _folded(kernel: Array, times: int) -> Array:
    """A kernel convolved with itself, so many of it in all."""
    size = times * (len(kernel) - 1) + 1
    wide = 1 << (size - 1).bit_length()
    return np.maximum(np.fft.irfft(np.fft.rfft(kernel, wide) ** times, wide)[:size], 0.0)


def _convolved(a: Array, b: Array) -> Array:
    """Convolution by FFT; what rounding leaves below 0 is 0."""
    size = len(a) + len(b) - 1
    wide = 1 << (size - 1).bit_length()
    return np.maximum(np.fft.irfft(np.fft.rfft(a, wide) * np.fft.rfft(b, wide), wide)[:size], 0.0)


def _limits(n_min: int, n_max: int | None) -> None:
    if n_min < 1:
        raise BadValue("n_min", n_min, "must be at least 1", "look at one or more before stopping")
    if n_max is not None and n_max < n_min:
        raise BadValue("n_max", n_max, f"below n_min = {n_min}", "allow at least as many as must be seen")
