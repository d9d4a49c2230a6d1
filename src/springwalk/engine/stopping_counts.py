"""What a stop shows: chances of 0 … n cut places, how they add up over stops, and the states a count can be in.

A state is (k, x, j): stops made, places cut, stops with any cut. From ``most_cut`` cut places on, x is "that or more".
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import betaln, gammaln, xlog1py, xlogy

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_MOST_ALIKE = 0.95  # ρ where the formula passes what a share allows
_LEAST_ALIKE = 1e-6  # below it places are as good as independent


@dataclass(frozen=True)
class CountParams:
    """How counts come about and how far they are followed (tables/data/stopping.csv).

    ``places`` of a stop; ``most_stops`` and ``most_cut`` bound the states; ``larva_cv2`` (c²) and ``patch_shape`` (h)
    make ρ; ``background`` is the share of places taken for cut without a larva.
    """

    places: int
    most_stops: int
    most_cut: int
    larva_cv2: float
    patch_shape: float
    background: float


def likeness(cut_share: ArrayLike, cuts_per_larva: ArrayLike, params: CountParams) -> Array:
    """ρ of the places of one stop, from the share cut by larvae and the cuts per larva so far (axes broadcast).

    VMR = 1 + K(1 + c²) + nλK/(100 h) with λK/100 = −ln(1 − p), and ρ = (VMR − 1)/(n − 1); held to 0 … 0.95.
    """
    n = params.places
    load = -np.log1p(-np.asarray(cut_share, np.float64))
    excess = np.asarray(cuts_per_larva, np.float64) * (1.0 + params.larva_cv2) + n * load / params.patch_shape
    return np.asarray(np.clip(excess / max(n - 1, 1), 0.0, _MOST_ALIKE))


def stop_chances(cut_share: ArrayLike, rho: ArrayLike, params: CountParams) -> Array:
    """Chances (..., n + 1) of 0 … n places seen as cut in a stop of n: larvae's beta-binomial, then the background.

    ``cut_share`` by larvae (0 to below 1) and ``rho`` broadcast. Places no larva cut are taken for cut independently
    with the background's chance.
    """
    p, alike = np.broadcast_arrays(np.asarray(cut_share, np.float64), np.asarray(rho, np.float64))
    n = params.places
    x = np.arange(n + 1)
    alike = np.maximum(alike, _LEAST_ALIKE)[..., None]
    some = p[..., None] > 0.0
    share = np.where(some, p[..., None], 0.5)
    a, b = share * (1.0 - alike) / alike, (1.0 - share) * (1.0 - alike) / alike
    logs = _ways(n, x) + betaln(x + a, n - x + b) - betaln(a, b)
    larvae = np.where(some, np.exp(logs), (x == 0).astype(np.float64))
    made: Array = larvae @ _mistaken(n, params.background)
    return np.asarray(made / made.sum(axis=-1, keepdims=True))


def _ways(n: int, x: Array | Index) -> Array:
    return np.asarray(gammaln(n + 1) - gammaln(x + 1) - gammaln(n - x + 1))


@cache
def _mistaken(n: int, background: float) -> Array:
    """Chance (larvae's x, seen x) that background turns so many cut places into so many seen."""
    cut, seen = np.meshgrid(np.arange(n + 1), np.arange(n + 1), indexing="ij")
    left, more = n - cut, np.maximum(seen - cut, 0)
    logs = gammaln(left + 1) - gammaln(more + 1) - gammaln(np.maximum(left - more, 0) + 1)
    logs = logs + xlogy(more, background) + xlog1py(np.maximum(left - more, 0), -background)
    return np.where(seen >= cut, np.exp(logs), 0.0)


@dataclass(frozen=True)
class Onward:
    """One way a stop can go from the first ``rows`` states of a number of stops: to the states ``to`` (rows,).

    ``seen`` cut places lead there; −1 stands for all that reach ``most_cut`` or pass it.
    """

    seen: int
    rows: int
    to: Index


@dataclass(frozen=True)
class States:
    """The states after k stops, by rising x: ``x`` and ``j`` (s,), and the ways onward (none from ``most_cut``).

    ``to`` (rows, n + 1) is where each state below ``most_cut`` goes by the cut places of one more stop.
    """

    k: int
    x: Index
    j: Index
    onward: tuple[Onward, ...]
    to: Index


@cache
def states(params: CountParams) -> tuple[States, ...]:
    """The states after 0, 1, … most_stops stops; the last lead nowhere."""
    held = [_held(k, params.places, params.most_cut) for k in range(params.most_stops + 1)]
    to = [_to(now, then, params) for now, then in pairwise(held)]
    to.append(np.zeros((0, params.places + 1), np.int64))
    return tuple(States(k, x, j, _onward(x, to[k], params), to[k]) for k, (x, j) in enumerate(held))


def _held(k: int, n: int, most: int) -> tuple[Index, Index]:
    """Every (x, j) possible after k stops."""
    x, j = (a.ravel() for a in np.meshgrid(np.arange(most + 1), np.arange(k + 1), indexing="ij"))
    keep = (x >= j) & (x <= j * n)
    return x[keep], j[keep]


def _onward(x: Index, to: Index, params: CountParams) -> tuple[Onward, ...]:
    """The ways out of the states of ``x`` cut places, from where each leads ``to``; none where nothing leads on."""
    if not len(to):
        return ()
    ways = []
    for seen in range(params.places + 1):
        rows = int(np.searchsorted(x, params.most_cut - seen))
        if rows:
            ways.append(Onward(seen, rows, to[:rows, seen].copy()))
    first = int(np.searchsorted(x, params.most_cut - params.places))  # below, one stop cannot reach ``most_cut``
    return (*ways, Onward(-1, len(to), np.where(np.arange(len(to)) >= first, to[:, -1], 0)))


def _to(now: tuple[Index, Index], then: tuple[Index, Index], params: CountParams) -> Index:
    """Where the states below ``most_cut`` go (rows, n + 1), by the cut places of the next stop."""
    x, j = (a[: int(np.searchsorted(now[0], params.most_cut)), None] for a in now)
    seen = np.arange(params.places + 1)
    return np.asarray(rows_of(*then, params)[np.minimum(x + seen, params.most_cut), j + (seen > 0)])


def rows_of(x: Index, j: Index, params: CountParams) -> Index:
    """The row of each (x, j) among the states of one number of stops, (most_cut + 1, most j + 1); −1 = none of them."""
    rows = np.full((params.most_cut + 1, int(j.max()) + 1), -1, np.int64)
    rows[x, j] = np.arange(len(x))
    return rows


@dataclass(frozen=True)
class Chances:
    """Chances under hypotheses h: ``stop`` (h, n + 1) of one stop's cut places, ``reached`` (s, h) by stops made."""

    stop: Array
    reached: tuple[Array, ...]

    @cached_property
    def single(self) -> tuple[NDArray[np.float32], ...]:
        """``reached`` in single precision."""
        return tuple(each.astype(np.float32) for each in self.reached)


def state_chances(stop: Array, params: CountParams) -> Chances:
    """Chances of every state, from a stop's chances (h, n + 1) under each hypothesis."""
    reached = [np.ones((1, len(stop)))]
    for now, then in pairwise(states(params)):
        after = np.zeros((len(then.x), len(stop)))
        for way in now.onward:
            np.add.at(after, way.to, reached[-1][: way.rows] * way_chance(way, now, stop, params))
        reached.append(after)
    return Chances(stop, tuple(reached))


def way_chance(way: Onward, now: States, stop: Array, params: CountParams) -> Array:
    """Chance of one way onward under each hypothesis, (rows, h) or (1, h), from a stop's chances (h, n + 1)."""
    if way.seen >= 0:
        return stop[:, way.seen][None]
    past = np.concatenate([np.cumsum(stop[:, ::-1], axis=1)[:, ::-1], np.zeros((len(stop), 1))], axis=1)
    need = np.minimum(params.most_cut - now.x[: way.rows], params.places + 1)
    return np.asarray(past[:, need].T)


def total_chances(stop: Array, stops: int) -> Array:
    """Chances (..., m) of a total of 0 … cut places in ``stops`` stops with chances (..., n + 1) each."""
    size = stops * (stop.shape[-1] - 1) + 1
    wide = 1 << (size - 1).bit_length()
    made = np.fft.irfft(np.fft.rfft(stop, wide, axis=-1) ** stops, wide, axis=-1)[..., :size]
    return np.maximum(made, 0.0)
