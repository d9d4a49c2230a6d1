"""A kit for one planting × zone: with it a phone, alone in the field, says what the desk would say of today's stops.

`advise_from_kit` uses + − × ÷, exp, log, expm1 and log1p alone, and nothing else of the engine, so that a page can
repeat it line by line. The likelihood of a stop is made by products, as at the desk, so a stop may have any number of
places and any count. `kit_made` makes kits.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.belief_seen import StopSeen

Array = NDArray[np.float64]
Heights = tuple[float, float, float]

MOST_LIKENESS = 0.95
MOST_FALSE = 8
"""These two are those of `belief_stops`; a test holds them equal."""
_TINY, _LOW = 1e-300, -1e300


@dataclass(frozen=True)
class Act:
    """One thing done for sure, in how many days and at what ``cost`` (money per ha).

    ``cut`` (L, S) is the share of all plants that will be cut from today on if it is done.
    """

    kind: str
    days: int
    cost: float
    cut: Array

    @property
    def treats(self) -> bool:
        """Whether something is sprayed."""
        return self.kind in ("spray", "ride along")


@dataclass(frozen=True)
class Later:
    """Coming back ``days`` from now for another look at a ``cost`` (money per ha), and then the best of ``acts``.

    ``cut`` (S,) plants a larva will have cut by then, as a walk sees them.
    """

    days: int
    cost: float
    cut: Array
    acts: tuple[Act, ...]


@dataclass(frozen=True)
class Kit:
    """All a phone needs of one planting × zone for a day. Axes: leaf level v, load L, clock shift S.

    ``lam`` (L,) larvae per 100 places; ``cut``, ``cut_old``, ``leaf`` (S,) plants per larva that a walk today sees cut,
    cut before the last two days, and leaf-fed. ``before`` (v, L, S) log weight without today's stops, up to a constant:
    other fields and earlier walks are in it. ``worth`` money per ha that goes where all plants are cut above, at or
    below the surface; ``heights`` as many cuts of each as are taken as seen. A later look is at ``look_plants`` in
    ``look_stops``. ``rows_seen`` are marked rows counted before. The rest as in BeliefParams.
    """

    lam: Array
    cut: Array
    cut_old: Array
    leaf: Array
    before: Array
    leaf_levels: tuple[float, ...]
    background: float
    cut_spread: float
    patch_shape: float
    age_misread: float
    false_fresh: float
    worth: Heights
    heights: Heights
    look_plants: int
    look_stops: int
    acts: tuple[Act, ...]
    later: tuple[Later, ...]
    rows_seen: tuple[str, ...] = ()


@dataclass(frozen=True)
class KitAdvice:
    """What a kit says: money per ha ``expected`` to be lost by each act and then each later look; ``best`` is a place.

    ``search_first``: the best is to treat. A kit knows of no live larvae, so a search comes first, never a spray.
    ``mean_load`` larvae per 100 places, ``any_larvae`` the chance of any. ``left_out`` places of stops not used.
    """

    expected: tuple[float, ...]
    best: int
    search_first: bool
    mean_load: float
    any_larvae: float
    left_out: tuple[int, ...]


def advise_from_kit(kit: Kit, stops: Sequence[StopSeen], *, heights: tuple[int, int, int] = (0, 0, 0)) -> KitAdvice:
    """What today's stops say, in any order; ``heights`` are today's fresh cuts above, at and below the surface.

    Left out: stops that contradict themselves or are where it was worst, and marked rows counted before, whose recount
    is no new sample and is left to the desk.
    """
    used, left_out = _used(kit, stops)
    weight = weigh(kit, used)
    seen = [before + now for before, now in zip(kit.heights, heights, strict=True)]
    worth = sum(n * money for n, money in zip(seen, kit.worth, strict=True)) / sum(seen)
    expected = [act.cost + worth * float((weight * act.cut).sum()) for act in kit.acts]
    expected += [_expected_later(kit, later, weight, worth) for later in kit.later]
    best = expected.index(min(expected))
    load = weight.sum(axis=1)
    return KitAdvice(
        expected=tuple(expected),
        best=best,
        search_first=best < len(kit.acts) and kit.acts[best].treats,
        mean_load=float((load * kit.lam).sum()),
        any_larvae=float(load[1:].sum()),
        left_out=left_out,
    )


def _used(kit: Kit, stops: Sequence[StopSeen]) -> tuple[list[StopSeen], tuple[int, ...]]:
    used, left_out, rows = [], [], set(kit.rows_seen)
    for place, stop in enumerate(stops):
        if stop.counted and stop.sound and stop.marked_row not in rows:
            used.append(stop)
            rows |= {stop.marked_row} - {""}
        else:
            left_out.append(place)
    return used, tuple(left_out)


def weigh(kit: Kit, stops: Sequence[StopSeen]) -> Array:
    """Belief (L, S) after some stops, with sum 1; the unknown leaf levels are mixed after all of them."""
    by_level = kit.before
    old, fresh = _log_ages(kit)
    for stop in stops:
        by_level = by_level + log_stop(kit, stop) + stop.cut_old * old + stop.cut_fresh * fresh
    weight = np.exp(by_level - by_level.max()).sum(axis=0)
    return np.asarray(weight / weight.sum())


def _log_ages(kit: Kit) -> tuple[Array, Array]:
    """Log chance (L, S) that a cut plant looks old, and that it looks fresh."""
    not_old, not_cut = (np.exp(-kit.lam[:, None] * cut / 100.0) for cut in (kit.cut_old, kit.cut))
    b, e = kit.background, kit.age_misread
    old = (1.0 - b) * (1.0 - not_old) + b * (1.0 - kit.false_fresh)
    fresh = (1.0 - b) * (not_old - not_cut) + b * kit.false_fresh
    both = old + fresh
    return np.log(((1.0 - e) * old + e * fresh) / both), np.log(((1.0 - e) * fresh + e * old) / both)


def log_stop(kit: Kit, stop: StopSeen) -> Array:
    """Log likelihood (v, L, S) of the plants cut and leaf-fed at one stop; (L, S) where nobody looked at leaves.

    Larvae's marks are beta-binomial and fall into cut and leaf-fed; of the plants they left, some are marked by others.
    """
    cut, leaf = stop.cut_fresh + stop.cut_old, stop.leaf_fed or 0
    leaf_k = kit.leaf if stop.leaf_fed is not None else 0.0 * kit.leaf
    lam, both = kit.lam[:, None], kit.cut + leaf_k
    share = -np.expm1(-lam * both / 100.0)
    marked = _log_marked(share, _theta(kit, both, stop.places, spaced=stop.spaced), stop.places, cut + leaf)
    of_cut = -np.expm1(-lam * kit.cut / 100.0) / np.maximum(share, _TINY)
    log_cut, log_leaf = np.log(np.maximum(of_cut, _TINY)), np.log(np.maximum(1.0 - of_cut, _TINY))
    mine = [
        _log_sum([
            marked[c + x] + c * log_cut + x * log_leaf
            + (_log_ways(c + x, c) + _log_false(cut - c, stop.places - c - x, kit.background))
            for c in range(cut + 1) if cut - c <= MOST_FALSE or c == 0
        ])
        for x in range(leaf + 1)
    ]  # fmt: skip
    if stop.leaf_fed is None:
        return mine[0]
    return np.stack([
        _log_sum([row + _log_false(leaf - x, stop.places - cut - x, level) for x, row in enumerate(mine)])
        for level in kit.leaf_levels
    ])  # fmt: skip


def _theta(kit: Kit, per_larva: Array, places: int, *, spaced: bool = False) -> Array:
    """How alike the plants of a stop are (L, S), as ρ/(1 − ρ); see `belief_stops.likeness`."""
    own = 0.0 if spaced else per_larva * (1.0 + kit.cut_spread)
    more = own + places * kit.lam[:, None] * per_larva / (100.0 * kit.patch_shape)
    rho = np.minimum(more / max(places - 1, 1), MOST_LIKENESS if places > 1 else 0.0)
    return np.asarray(rho / (1.0 - rho))


def _log_marked(share: Array, theta: Array, places: int, top: int) -> Array:
    """Log beta-binomial (top + 1, …) of 0 … top of so many places, each count from the one before."""
    row = sum(np.log((1.0 - share + i * theta) / (1.0 + i * theta)) for i in range(places))
    rows = [np.asarray(row)]
    with np.errstate(divide="ignore"):
        for i in range(top):
            odds = np.log(share + i * theta) - np.log(1.0 - share + (places - 1 - i) * theta)
            rows.append(rows[-1] + odds + np.log((places - i) / (i + 1)))
    return np.stack(rows)


def _log_ways(n: int, x: int) -> float:
    return float(sum(np.log((n - i) / (i + 1)) for i in range(x)))


def _log_false(found: int, plants: int, chance: float) -> float:
    """Log binomial of marks that others made among the plants that larvae left."""
    return float(_log_ways(plants, found) + found * np.log(chance) + (plants - found) * np.log1p(-chance))


def _log_sum(rows: list[Array]) -> Array:
    """Log of a sum of exps; −∞ where every row is."""
    top = np.maximum(np.max(rows, axis=0), _LOW)
    with np.errstate(divide="ignore"):
        return np.asarray(top + np.log(sum(np.exp(row - top) for row in rows)))


def _expected_later(kit: Kit, later: Later, weight: Array, worth: float) -> float:
    """Money per ha lost if one comes back, counts, and does what is best after each count that may come up.

    The plants of that look are as alike as those of its stops.
    """
    plants, per_stop = kit.look_plants, kit.look_plants // kit.look_stops
    theta = _theta(kit, later.cut, per_stop)
    rho = theta / (1.0 + theta) * (per_stop - 1) / (plants - 1)
    share = 1.0 - (1.0 - kit.background) * np.exp(-kit.lam[:, None] * later.cut / 100.0)
    total = later.cost
    for row in _log_marked(share, rho / (1.0 - rho), plants, plants):
        joint = weight * np.exp(row)
        total += min(float(act.cost * joint.sum() + worth * (joint * act.cut).sum()) for act in later.acts)
    return total
