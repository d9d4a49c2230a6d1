"""What a walk saw, the grid that belief lives on, and the parameters that tie one to the other."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.hazard import Hazard

Array = NDArray[np.float64]

FRESH_DAYS = 2
"""A cut counts as fresh for two days (assumption, and what the phone asks for)."""


@dataclass(frozen=True)
class Grid:
    """``lam`` (L,): larvae per 100 plant places that ever reach cutting size, 0 first; ``shifts_ddc`` (S,)."""

    lam: Array
    shifts_ddc: Array

    @property
    def shape(self) -> tuple[int, int]:
        """(L, S)."""
        return len(self.lam), len(self.shifts_ddc)


def make_grid(values: int = 48, *, least: float = 0.05, most: float = 60.0, step_ddf: float = 15.0) -> Grid:
    """No larvae and ``values`` loads evenly spaced on a log scale, by clock shifts of −150 … 150 °F·day."""
    shifts = np.arange(-150.0, 150.0 + step_ddf / 2, step_ddf) / 1.8
    return Grid(np.concatenate([[0.0], np.geomspace(least, most, values)]), shifts)


@dataclass(frozen=True)
class StopSeen:
    """One stop: plants cut within two days and before, and others leaf-fed, of ``places``; each in one state only.

    ``leaf_fed`` None = nobody looked. ``counted`` False = the scout went where it was worst: it never enters.
    ``marked_row`` names plants that are counted again on a later walk; ``spaced`` = plants so far apart that one larva
    can't cut two of them.
    """

    places: int
    cut_fresh: int = 0
    cut_old: int = 0
    leaf_fed: int | None = None
    counted: bool = True
    marked_row: str = ""
    spaced: bool = False

    @property
    def sound(self) -> bool:
        """Whether the counts can be true together."""
        parts = (self.cut_fresh, self.cut_old, self.leaf_fed or 0)
        return self.places >= 1 and min(parts) >= 0 and sum(parts) <= self.places


@dataclass(frozen=True)
class WalkSeen:
    """One walk of one unit on day index ``day``.

    ``plants_searched`` None = nobody searched for larvae. ``hour`` 0–23 and ``soil`` go with the search. Sizes are of
    larvae found: body length, or the instar where the head told it; larvae beyond those have no size.
    """

    unit: int
    day: int
    stops: tuple[StopSeen, ...] = ()
    larvae_found: int = 0
    plants_searched: int | None = None
    hour: int | None = None
    soil: str | None = None
    lengths_mm: tuple[float, ...] = ()
    instars: tuple[int, ...] = ()


def contradictions(walk: WalkSeen) -> tuple[str, ...]:
    """What in a walk can't be true together, in plain words; such parts are left out of belief, never raised."""
    found = [
        f"stop {k + 1}: more plants in a state than places"
        for k, stop in enumerate(walk.stops)
        if stop.counted and not stop.sound
    ]
    sized = len(walk.lengths_mm) + len(walk.instars)
    if walk.larvae_found and not walk.plants_searched:
        found.append("larvae found but no plants searched")
    if sized > walk.larvae_found:
        found.append("more larvae measured than found")
    return tuple(found)


@dataclass(frozen=True)
class UnitHazard:
    """One unit's part of Hazard: ``cut`` (S, d), ``stages`` (S, d, 6), ``leaf`` (S, d).

    ``leaf`` is the share (0–1) of its leaf marks that a larva has made by the evening of a day, on corn that was up.
    """

    cut: Array
    stages: Array
    leaf: Array

    def cut_by(self, day: int) -> Array:
        """Plants cut per larva (S,) by the morning of a day; none before the season."""
        return self.cut[:, min(day, self.cut.shape[1]) - 1] if day > 0 else np.zeros(len(self.cut))

    def leaf_by(self, day: int) -> Array:
        """Share of its leaf marks a larva has made (S,) by the morning of a day."""
        return self.leaf[:, min(day, self.leaf.shape[1]) - 1] if day > 0 else np.zeros(len(self.leaf))


def of_unit(hazard: Hazard, place: int) -> UnitHazard:
    """The hazard of one unit, by its place in the order the hazards were asked for."""
    stages = hazard.stages[place]
    return UnitHazard(hazard.cut[place], stages, leaf_progress(stages, hazard.up[place]))


def leaf_progress(stages: Array, up: Array) -> Array:
    """Share of a larva's leaf marks made by the evening of each day, (…, d), from stages (…, d, 6) and up (d,).

    Marks are spread evenly over the brood's days in instars 1–3; what was eaten before the corn was up is not on
    corn. An assumption: no record of marks by heat exists. A unit without eggs makes none.
    """
    small = stages[..., 1]
    days = small.sum(axis=-1, keepdims=True)
    part = np.divide(small, days, out=np.zeros_like(small), where=days > 0)
    return np.asarray(np.cumsum(part * up, axis=-1))


@dataclass(frozen=True)
class Sizes:
    """Body length in mm by STAGES 1–4 (instars 1–3, 4, 5, 6), how well each is found, and how other species lie.

    ``right`` is the chance that a typed instar is the true one. ``other`` = shares of those four stages among larvae
    of other origin.
    """

    mean_mm: tuple[float, ...]
    sd_mm: tuple[float, ...]
    found: tuple[float, ...]
    other: tuple[float, ...]
    right: float


@dataclass(frozen=True)
class BeliefParams:
    """Numbers of tables/data/belief.csv. Shifts in °C·day, detection as shares by part of the day and by soil.

    ``cut_spread`` c² and ``patch_shape`` h make the likeness of plants in a stop; ``cut_found`` the share of cuts a
    walk sees; ``age_misread`` the share of fresh cuts taken for old and the other way; ``false_fresh`` the share of
    false cuts that a first look calls fresh.
    """

    cut_spread: float
    patch_shape: float
    cut_found: float
    age_misread: float
    false_fresh: float
    background: float
    marks_per_larva: float
    leaf_levels: tuple[float, ...]
    leaf_weights: tuple[float, ...]
    found_day: float
    found_dusk: float
    found_night: float
    soil_factor: dict[str, float]
    sizes: Sizes
    other_prior: float
    other_per_100: float
    any_log_odds: tuple[float, float]
    log_mean: tuple[float, float]
    load_shape: float
    season_shift_sd_ddc: float
    field_shift_sd_ddc: float
    usual_per_100: float
