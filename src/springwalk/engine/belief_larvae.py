"""Larvae found in a search: how many, and how big, for every load and shift; and whether they are of this flight."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.belief_seen import BeliefParams, Grid, Sizes, UnitHazard, WalkSeen

Array = NDArray[np.float64]

DAY_HOURS, DUSK_HOURS = range(9, 18), (5, 6, 7, 8, 18, 19, 20, 21)
_FEEDING = slice(1, 5)  # instars 1–3, 4, 5, 6 among STAGES


@dataclass(frozen=True)
class LarvaeSeen:
    """Log likelihoods (L, S) of all larvae of a unit: of this flight alone, and with larvae of other origin among them.

    Other origins (an unseen earlier flight, species that winter as larvae) follow no clock, so their part is the same
    for every shift. Their cutting is not modelled: only what was found speaks for them.
    """

    this_flight: Array
    with_other: Array
    prior: float

    @property
    def log_likelihood(self) -> Array:
        """Both together, with the odds of other origins beforehand."""
        return np.asarray(np.logaddexp(np.log1p(-self.prior) + self.this_flight, np.log(self.prior) + self.with_other))

    @property
    def other(self) -> Array:
        """Chance (L, S) that larvae of other origin are among them."""
        return np.asarray(np.exp(np.log(self.prior) + self.with_other - self.log_likelihood))


def detection(hour: int | None, soil: str | None, params: BeliefParams) -> float:
    """Share (0–1) of the large larvae round a searched plant that are found; an untold hour counts as day."""
    if hour is None or hour in DAY_HOURS:
        found = params.found_day
    else:
        found = params.found_dusk if hour in DUSK_HOURS else params.found_night
    return min(1.0, found * params.soil_factor.get(soil or "", 1.0))


def larvae_seen(walks: Iterable[WalkSeen], hazard: UnitHazard, grid: Grid, params: BeliefParams) -> LarvaeSeen:
    """Larvae as a thinned Poisson scatter over sizes: the count and every size enter once, in any order.

    Without plants searched the count says nothing and the sizes alone are used. More sizes than larvae found is the
    caller's contradiction: the sizes count.
    """
    alone, mixed = np.zeros(grid.shape), np.zeros(grid.shape)
    for walk in walks:
        sized = size_odds(walk, params.sizes)
        plain = max(walk.larvae_found - len(sized), 0)
        if walk.plants_searched or len(sized):
            a, m = _walk(walk, sized, plain, hazard, grid, params)
            alone += a
            mixed += m
    return LarvaeSeen(alone, mixed, params.other_prior)


def _walk(
    walk: WalkSeen, sized: Array, plain: int, hazard: UnitHazard, grid: Grid, params: BeliefParams
) -> tuple[Array, Array]:
    day = min(max(walk.day, 0), hazard.stages.shape[1] - 1)
    ready = hazard.stages[:, day, _FEEDING] * np.array(params.sizes.found)  # (S, 4)
    lam = grid.lam[:, None]
    mine = lam * ready.sum(axis=1)[None, :]  # findable per 100 places, (L, S)
    others = np.array(params.sizes.other) * np.array(params.sizes.found)
    strange = params.other_per_100 * float(others.sum())
    mine_sized = lam[None] * (sized @ ready.T)[:, None, :]  # (larva, L, S)
    strange_sized = params.other_per_100 * (sized @ others)[:, None, None]
    with np.errstate(divide="ignore"):
        alone = np.log(mine_sized).sum(axis=0)
        mixed = np.log(mine_sized + strange_sized).sum(axis=0)
        if walk.plants_searched:
            effort = walk.plants_searched / 100.0 * detection(walk.hour, walk.soil, params)
            if plain:
                alone = alone + plain * np.log(mine)
                mixed = mixed + plain * np.log(mine + strange)
            return alone - effort * mine, mixed - effort * (mine + strange)
        # Only the sizes: each larva's share among those that can be found.
        alone = np.where(mine > 0, alone - len(sized) * np.log(np.where(mine > 0, mine, 1.0)), -np.inf)
        return alone, mixed - len(sized) * np.log(mine + strange)


def size_odds(walk: WalkSeen, sizes: Sizes) -> Array:
    """How likely each measured larva is in instars 1–3, 4, 5 and 6, (larva, 4), up to a factor of its own.

    Lengths are normal about the middle of each; a typed instar is right with ``right``, else one of its neighbours.
    """
    lengths = np.array(walk.lengths_mm, np.float64).reshape(-1, 1)
    mean, sd = np.array(sizes.mean_mm), np.array(sizes.sd_mm)
    by_length = np.exp(-0.5 * ((lengths - mean) / sd) ** 2) / sd
    told = np.clip(np.array(walk.instars, np.int64) - 3, 0, 3)
    return np.concatenate([by_length, _told_odds(sizes.right)[told].reshape(-1, 4)])


def _told_odds(right: float) -> Array:
    """Chance of each typed class (row) by true class (column): wrong means one class beside it."""
    odds = np.diag(np.full(4, right))
    for true, beside in enumerate(((1,), (0, 2), (1, 3), (2,))):
        odds[list(beside), true] = (1.0 - right) / len(beside)
    return odds
