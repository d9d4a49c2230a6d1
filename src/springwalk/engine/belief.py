"""What is believed about the larvae of each field, from its walks and from its neighbours'.

A unit (planting × zone) has a load λ, larvae per 100 plant places that ever reach cutting size, and a clock shift δ in
°C·day (+ = a brood behind the middle of the forecast). Belief is a weight on a grid of both.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.belief_larvae import larvae_seen
from springwalk.engine.belief_seen import (
    BeliefParams,
    Grid,
    StopSeen,
    UnitHazard,
    WalkSeen,
    contradictions,
    make_grid,
    of_unit,
)
from springwalk.engine.belief_share import Season, log_evidence, priors, relative_load, season_nodes, share
from springwalk.engine.belief_stops import log_plants, spots
from springwalk.engine.hazard import Hazard
from springwalk.errors import BadValue

__all__ = [
    "Belief", "BeliefParams", "Grid", "StopSeen", "UnitHazard", "WalkSeen", "area_mean", "believe", "contradictions",
    "log_likelihood", "make_grid", "of_unit", "season_patches",
]  # fmt: skip

Array = NDArray[np.float64]
Index = NDArray[np.int64]

PATCH_STOPS = 30
PATCH_SHAPES = ((0.25, 0.1), (0.5, 0.2), (1.0, 0.4), (2.0, 0.2), (4.0, 0.1))
"""Patchiness tried against the table's value, as (factor, weight beforehand) (assumption)."""
EDGE = 3
"""Shifts at either end of the grid (120 °F·day and beyond) that no season of ours should reach."""


@dataclass(frozen=True)
class Evidence:
    """What one unit's walks say: ``log_likelihood`` (L, S) and the chance (L, S) of larvae of other origin."""

    log_likelihood: Array
    other: Array


@dataclass(frozen=True)
class Belief:
    """Belief of units (u,) in the order of the hazard.

    ``weight`` (u, L, S) sums to 1 over the last two axes; ``season_weight`` (9, 6, 7) over the nodes of ``season``.
    ``other_origin`` (u,) chance that larvae found are not all of this flight. ``edge`` (u, 2) weight on the EDGE
    earliest and latest shifts: where it is more than a few per cent, the clock is wrong or the larvae are others.
    ``marked`` (unit, words) tells what in a walk contradicts itself and was left out.
    """

    grid: Grid
    weight: Array
    season: Season
    season_weight: Array
    other_origin: Array
    edge: Array
    marked: tuple[tuple[int, str], ...]

    @property
    def load(self) -> Array:
        """Weight of each load (u, L)."""
        return np.asarray(self.weight.sum(axis=2))

    @property
    def shift(self) -> Array:
        """Weight of each clock shift (u, S)."""
        return np.asarray(self.weight.sum(axis=1))

    @property
    def any_larvae(self) -> Array:
        """Chance (u,) that a unit has larvae at all."""
        return np.asarray(1.0 - self.weight[:, 0].sum(axis=1))

    @property
    def mean_load(self) -> Array:
        """Larvae per 100 plant places expected (u,)."""
        return np.asarray(self.load @ self.grid.lam)

    @property
    def mean_shift_ddc(self) -> Array:
        """Clock shift expected (u,), °C·day, + = later."""
        return np.asarray(self.shift @ self.grid.shifts_ddc)

    @property
    def more_or_earlier(self) -> Array:
        """Correlation (u,) of the log load, where there are larvae, with how *early* the brood is (−shift).

        Below 0: the walks can't tell many larvae from early ones. 0 where either is certain.
        """
        w = self.weight[:, 1:]
        w = w / np.maximum(w.sum(axis=(1, 2), keepdims=True), 1e-300)
        x, y = np.log(self.grid.lam[1:]), -self.grid.shifts_ddc
        by_x, by_y = w.sum(axis=2), w.sum(axis=1)
        mean_x, mean_y = by_x @ x, by_y @ y
        var = (by_x @ x**2 - mean_x**2) * (by_y @ y**2 - mean_y**2)
        cov = np.einsum("uls,l,s->u", w, x, y) - mean_x * mean_y
        out = np.divide(cov, np.sqrt(np.maximum(var, 0.0)), out=np.zeros_like(cov), where=var > 1e-12)
        return np.asarray(out)


def evidence(walks: Sequence[WalkSeen], hazard: UnitHazard, grid: Grid, params: BeliefParams) -> Evidence:
    """What the walks of one unit say about its load and shift: a sum over stops and larvae, so order never matters.

    Stops that contradict themselves, and those where the scout looked where it was worst, are left out. Walks after a
    treatment are of another population and are the caller's to leave out.
    """
    found = spots(walks)
    larvae = larvae_seen(walks, hazard, grid, params)
    plants = log_plants(found, hazard, grid, params)
    return Evidence(plants + larvae.log_likelihood, larvae.other)


def log_likelihood(walks: Sequence[WalkSeen], hazard: UnitHazard, grid: Grid, params: BeliefParams) -> Array:
    """Log likelihood (L, S) of all walks of one unit; see `evidence`."""
    return evidence(walks, hazard, grid, params).log_likelihood


def believe(
    walks: Iterable[WalkSeen], hazard: Hazard, larvae_per_100: Array, grid: Grid, params: BeliefParams
) -> Belief:
    """Belief of every unit of a hazard from all walks of the season; ``WalkSeen.unit`` is a place in the hazard.

    ``larvae_per_100`` (u,) is each unit's own expectation from flight, cover and tillage; it moves odds and mean of
    the prior (see `belief_share.load_prior`). Raises BadValue where the grid's shifts
    are not those of the hazard.
    """
    if not np.array_equal(grid.shifts_ddc, hazard.shifts_ddc):
        told = f"the hazard has {len(hazard.shifts_ddc)} others"
        raise BadValue("shifts", len(grid.shifts_ddc), told, "work both with one grid", unit="clock shifts")
    by_unit = _by_unit(walks)
    walked = np.array(sorted(by_unit), np.int64)
    seen = [evidence(by_unit[u], of_unit(hazard, u), grid, params) for u in walked.tolist()]
    logs = np.stack([e.log_likelihood for e in seen]) if seen else np.zeros((0, *grid.shape))
    season = season_nodes(params)
    prior = priors(season, relative_load(larvae_per_100, params), grid, params)
    weight, season_weight = share(logs, walked, prior, season)
    other = np.full(len(weight), params.other_prior)
    for u, e in zip(walked.tolist(), seen, strict=True):
        other[u] = float((weight[u] * e.other).sum())
    return Belief(
        grid=grid,
        weight=weight,
        season=season,
        season_weight=season_weight,
        other_origin=other,
        edge=np.stack([weight[:, :, :EDGE].sum(axis=(1, 2)), weight[:, :, -EDGE:].sum(axis=(1, 2))], axis=1),
        marked=tuple((w.unit, words) for u in walked.tolist() for w in by_unit[u] for words in contradictions(w)),
    )


def _by_unit(walks: Iterable[WalkSeen]) -> dict[int, list[WalkSeen]]:
    found: dict[int, list[WalkSeen]] = defaultdict(list)
    for walk in walks:
        found[walk.unit].append(walk)
    return found


def season_patches(
    walks: Iterable[WalkSeen], hazard: Hazard, larvae_per_100: Array, grid: Grid, params: BeliefParams
) -> BeliefParams:
    """The parameters with the patchiness h of this season's own stops, once there are PATCH_STOPS counted ones.

    h is the mean of its odds over PATCH_SHAPES, given all walks and the table's value beforehand; with fewer stops the
    parameters come back as they are. It costs as many beliefs as there are shapes, so ask once a morning.
    """
    by_unit = _by_unit(walks)
    if (
        sum(stop.counted and stop.sound for own in by_unit.values() for walk in own for stop in walk.stops)
        < PATCH_STOPS
    ):
        return params
    walked, season = np.array(sorted(by_unit), np.int64), season_nodes(params)
    prior = priors(season, relative_load(larvae_per_100, params)[walked], grid, params)
    log_odds = []
    for factor, weight in PATCH_SHAPES:
        tried = replace(params, patch_shape=params.patch_shape * factor)
        logs = np.stack([log_likelihood(by_unit[u], of_unit(hazard, u), grid, tried) for u in walked.tolist()])
        log_odds.append(np.log(weight) + log_evidence(logs, np.arange(len(walked)), prior, season))
    odds = np.exp(np.array(log_odds) - max(log_odds))
    log_factor = float(odds @ np.log([factor for factor, _ in PATCH_SHAPES]) / odds.sum())
    return replace(params, patch_shape=params.patch_shape * float(np.exp(log_factor)))


def area_mean(values: Array, area_ha: Array, field: Index) -> Array:
    """Area-weighted mean (f,) of a unit's value (u,) over the zones of each field 0 … f−1."""
    total = np.bincount(field, weights=area_ha)
    return np.asarray(np.bincount(field, weights=area_ha * values) / total)
