"""Counted stops: how likely the cut and leaf-fed plants of each stop are, for every load and shift of the grid.

A stop's larva part is beta-binomial, because the plants of a stop share larvae; miscounts and birds are independent
plants, so they are added to it and never widen it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln, xlogy

from springwalk.engine.belief_seen import FRESH_DAYS, BeliefParams, Grid, StopSeen, UnitHazard, WalkSeen

Array = NDArray[np.float64]

MOST_LIKENESS = 0.95
MOST_FALSE = 8
"""False cuts at one stop that are still told from larvae's; beyond them a stop has only false ones or none."""

Looks = list[tuple[int, StopSeen]]


@dataclass(frozen=True)
class Spot:
    """The same plants over all looks at them: new cuts by age class, and the days that part the classes.

    ``new`` = before, fresh at the first look, and found new at each later look; ``days`` = the morning that ends each
    class. A stop seen once has two classes.
    """

    places: int
    spaced: bool
    days: tuple[int, ...]
    new: tuple[int, ...]
    leaf_day: int
    leaf_fed: int | None


def spots(walks: Iterable[WalkSeen]) -> tuple[Spot, ...]:
    """Counted, sound stops as spots; a marked row's later looks give increments, not new plants."""
    rows: dict[str, Looks] = defaultdict(list)
    once: list[Looks] = []
    for walk in walks:
        for stop in walk.stops:
            if stop.counted and stop.sound:
                (rows[stop.marked_row] if stop.marked_row else _new(once)).append((walk.day, stop))
    marked = [sorted(looks, key=lambda look: (look[0], look[1].cut_fresh + look[1].cut_old)) for looks in rows.values()]
    return tuple(_spot(looks) for looks in [*once, *marked])


def _new(lists: list[Looks]) -> Looks:
    lists.append([])
    return lists[-1]


def _spot(looks: Looks) -> Spot:
    first_day, first = looks[0]
    days, new = [first_day - FRESH_DAYS, first_day], [first.cut_old, first.cut_fresh]
    places = max(stop.places for _, stop in looks)
    for (before, _), (day, stop) in pairwise(looks):
        # A cut plant may be gone or regrown by the next look; what is fresh after two days is new in any case.
        surely = stop.cut_fresh if day - before >= FRESH_DAYS else 0
        fewer_than = places - sum(new)
        new.append(min(max(stop.cut_fresh + stop.cut_old - sum(new), surely, 0), fewer_than))
        days.append(day)
    leaf = [(day, stop.leaf_fed) for day, stop in looks if stop.leaf_fed is not None]
    leaf_day, leaf_fed = leaf[-1] if leaf else (first_day, None)
    leaf_fed = None if leaf_fed is None else min(leaf_fed, places - sum(new))
    return Spot(places, looks[-1][1].spaced, tuple(days), tuple(new), leaf_day, leaf_fed)


def likeness(lam: Array, per_larva: Array, places: int, params: BeliefParams, *, spaced: bool = False) -> Array:
    """ρ of the plants of a stop: (VMR − 1)/(n − 1) with VMR = 1 + K(1 + c²) + nλK/(100 h); 0 for one plant.

    Broadcasts ``lam`` (per 100 places) and ``per_larva`` K. ``spaced`` plants drop the K term: no larva reaches two.
    The variance is exact for gamma patches of larvae whose cuts are Poisson about a gamma appetite (worked by us).
    """
    if places < 2:
        return np.zeros(np.broadcast_shapes(lam.shape, per_larva.shape))
    own = 0.0 if spaced else per_larva * (1.0 + params.cut_spread)
    more = own + places * lam * per_larva / (100.0 * params.patch_shape)
    return np.minimum(more / (places - 1.0), MOST_LIKENESS)


def log_marks(cut: int, leaf: int | None, places: int, load: Load, background: float, levels: Sequence[float]) -> Array:
    """Log likelihood (levels, L, S) of so many plants cut and, of the rest, leaf-fed at one stop.

    The larva part of both together is beta-binomial and falls into cut and leaf-fed by their shares, since the same
    larvae made both; false cuts (``background``) and other leaf feeding (each of ``levels``) are independent plants.
    ``leaf`` None = nobody looked at leaves: the row is then the same for every level.
    """
    load.marks(cut + (leaf or 0))
    rows = [_given_leaf(cut, mine, places, load, background) for mine in range((leaf or 0) + 1)]
    if leaf is None:
        return np.repeat(rows[0][None], len(levels), axis=0)
    x = np.arange(leaf + 1)
    out = np.empty((len(levels), *rows[0].shape))
    stack = np.stack(rows)
    for k, level in enumerate(levels):
        false = _log_false(leaf - x, places - cut - x, level)
        out[k] = _add(stack + false[:, None, None])
    return out


def _given_leaf(cut: int, leaf: int, places: int, load: Load, background: float) -> Array:
    """Log chance (L, S) of the cut plants together with ``leaf`` leaf-fed ones that larvae made."""
    mine = np.arange(cut + 1)
    mine = mine[(cut - mine <= MOST_FALSE) | (mine == 0)]
    ways = _log_ways(mine + leaf, mine) + _log_false(cut - mine, places - mine - leaf, background)
    split = mine[:, None, None] * load.log_cut + leaf * load.log_leaf
    return _add(load.marks(cut + leaf)[mine + leaf] + split + ways[:, None, None])


def _add(rows: Array) -> Array:
    """Log of a sum over the first axis; −∞ where every row is."""
    if len(rows) == 1:
        return np.asarray(rows[0])
    top = np.maximum(rows.max(axis=0), -1e300)
    with np.errstate(divide="ignore"):
        return np.asarray(top + np.log(np.exp(rows - top).sum(axis=0)))


def _log_false(found: NDArray[np.int64], plants: NDArray[np.int64], chance: float) -> Array:
    """Log binomial of false marks among the plants that larvae left; plants can't be fewer than false marks."""
    rest = np.maximum(plants, found)
    return np.asarray(_log_ways(rest, found) + xlogy(found, chance) + (rest - found) * np.log1p(-chance))


class Load:
    """What larvae do to one stop on every (L, S): share of plants marked by now, its likeness, and how it splits."""

    def __init__(self, lam: Array, cut_k: Array, leaf_k: Array, spot: tuple[int, bool], params: BeliefParams) -> None:
        """``lam`` (L, 1); ``cut_k``, ``leaf_k`` (1, S) plants cut and leaf-fed per larva; spot = (places, spaced)."""
        self.places, spaced = spot
        both = cut_k + leaf_k
        self.share = -np.expm1(-lam * both / 100.0)
        rho = likeness(lam, both, self.places, params, spaced=spaced)
        self.theta = rho / (1.0 - rho)
        cut = np.divide(
            -np.expm1(-lam * cut_k / 100.0), self.share, out=np.zeros_like(self.share), where=self.share > 0
        )
        # Where nothing is marked the split is never asked for; a tiny chance keeps −∞ times 0 away.
        self.log_cut = np.log(np.maximum(cut, 1e-300))
        self.log_leaf = np.log(np.maximum(1.0 - cut, 1e-300))
        self._marks = np.zeros((0, *self.share.shape))

    def marks(self, top: int) -> Array:
        """Log beta-binomial of 0 … top marked plants (at most all of them), kept for the next stop."""
        if len(self._marks) <= top:
            self._marks = _log_larva(min(top, self.places), self.places, self.share, self.theta)
        return self._marks


def _log_larva(top: int, places: int, share: Array, theta: Array) -> Array:
    """Log beta-binomial of 0 … top of n plants, by products that stay right at ρ = 0 and share = 0."""
    i = np.arange(places).reshape(-1, 1, 1)
    none = np.zeros_like(share)
    for part in np.array_split(i, -(-places // 100)):  # a product of more could run out of range
        none += np.log(((1.0 - share + part * theta) / (1.0 + part * theta)).prod(axis=0))
    with np.errstate(divide="ignore"):
        hit = np.log(share + i[:top] * theta)
    odds = hit - np.log(1.0 - share + i[::-1][:top] * theta)
    more = np.concatenate([np.zeros((1, *share.shape)), np.cumsum(odds, axis=0)])
    return np.asarray(none + more + _log_ways(np.full(top + 1, places), np.arange(top + 1)).reshape(-1, 1, 1))


def _log_ways(n: NDArray[np.int64], x: NDArray[np.int64]) -> Array:
    return np.asarray(gammaln(n + 1.0) - gammaln(x + 1.0) - gammaln(n - x + 1.0))


def log_plants(found: Sequence[Spot], hazard: UnitHazard, grid: Grid, params: BeliefParams) -> Array:
    """Log likelihood (L, S) of a unit's spots: plants cut, their ages, and plants leaf-fed.

    Leaf feeding has a background that is the field's own and unknown, kept over all its walks: spots are multiplied
    level by level before the levels are mixed.
    """
    by_level = plants_by_level(found, hazard, grid, params)
    return _add(by_level + np.log(params.leaf_weights)[:, None, None])


def plants_by_level(found: Sequence[Spot], hazard: UnitHazard, grid: Grid, params: BeliefParams) -> Array:
    """The same (v, L, S) under each leaf level.

    Given how many are cut, ages are taken as independent draws: exact for Poisson cutting, near enough with false cuts
    in.
    """
    groups: dict[tuple[int, bool, tuple[int, ...], int], list[Spot]] = defaultdict(list)
    for spot in found:
        groups[spot.places, spot.spaced, spot.days, -1 if spot.leaf_fed is None else spot.leaf_day].append(spot)
    lam = grid.lam[:, None]
    by_level = np.zeros((len(params.leaf_levels), *grid.shape))
    for (places, spaced, days, leaf_day), mine in sorted(groups.items(), key=lambda group: group[0]):
        edges = np.stack([params.cut_found * hazard.cut_by(day) for day in days])
        leaf_k = params.marks_per_larva * hazard.leaf_by(leaf_day)
        load = Load(lam, edges[-1][None], leaf_k[None], (places, spaced), params)
        # The most marked first: its table of chances serves all the others.
        counts = sorted(((sum(s.new), s.leaf_fed) for s in mine), key=lambda c: -(c[0] + (c[1] or 0)))
        for cut, leaf in dict.fromkeys(counts):
            row = log_marks(cut, leaf, places, load, params.background, params.leaf_levels)
            by_level += counts.count((cut, leaf)) * row
        ages = np.array([s.new for s in mine]).sum(axis=0)
        if ages.any():
            by_level += _log_ages(ages, edges, lam, params)
    return by_level


def _log_ages(counts: NDArray[np.int64], edges: Array, lam: Array, params: BeliefParams) -> Array:
    """Log odds (L, S) of the age classes of cut plants, given how many there are."""
    left = np.exp(-lam[None] * edges[:, None, :] / 100.0)  # plants not yet cut at the end of each class
    larva = np.concatenate([np.ones_like(left[:1]), left[:-1]]) - left
    untrue = np.full(len(counts), params.false_fresh)
    untrue[0] = 1.0 - params.false_fresh
    shares = (1.0 - params.background) * larva + params.background * (untrue / untrue.sum())[:, None, None]
    shares = shares / shares.sum(axis=0)
    e = params.age_misread
    shares[:2] = (1.0 - e) * shares[:2] + e * shares[1::-1]
    return np.asarray((counts[:, None, None] * np.log(shares)).sum(axis=0))
