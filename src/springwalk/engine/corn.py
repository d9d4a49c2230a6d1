"""Corn from planting to leaf collars on 86/50 heat, and what collars seen in the field say about it.

A field's corn is one number: the running 86/50 total (°C·day, from the season's first day) at which it emerges.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr

Array = NDArray[np.float64]
Index = NDArray[np.int64]

V10 = 10.0
SIGHT_INFLATION = 4.0
"""What is known from planting is taken this much wider once corn was seen: seen collars win (assumption)."""


@dataclass(frozen=True)
class CornParams:
    """Heat of corn, °C·day (tables/data/corn_clock.csv)."""

    emergence_ddc: float
    field_sd_ddc: float
    plant_sd_ddc: float
    collar_ddc: float
    late_collar_ddc: float
    seen_collar_sd: float
    rate_cv: float


def collars_at(heat_ddc: ArrayLike, *, emergence_ddc: ArrayLike, params: CornParams, rate: ArrayLike = 1.0) -> Array:
    """Leaf collars at a running total (0 before the spike): one per ``collar_ddc`` to V10, then ``late_collar_ddc``.

    ``rate`` > 1 is corn that makes collars faster. Source: Nielsen, Purdue 2019: 115 °F·day to the spike, 82 per
    collar to V10, then 50. Valid to the last collar of a hybrid; nothing here stops at tassel.
    """
    gained = np.asarray(heat_ddc, np.float64) - np.asarray(emergence_ddc, np.float64)
    since = np.maximum(gained, 0.0) * np.asarray(rate, np.float64)
    to_v10 = V10 * params.collar_ddc
    late = V10 + (since - to_v10) / params.late_collar_ddc
    return np.where(since <= to_v10, since / params.collar_ddc, late)


def emerged_share(heat_ddc: ArrayLike, *, emergence_ddc: ArrayLike, params: CornParams) -> Array:
    """Share of a field's plants that are up at a running total (normal spread within the field)."""
    gained = np.asarray(heat_ddc, np.float64) - np.asarray(emergence_ddc, np.float64)
    return np.asarray(ndtr(gained / params.plant_sd_ddc))


def seen_collars(collars: Array) -> Array:
    """Collars meant by what was typed: a whole number n is anywhere from n up to n + 1, taken as n + 0.5; NaN is 0."""
    whole = np.where(collars == np.floor(collars), collars + 0.5, collars)
    return np.where(np.isnan(collars), 0.0, whole)


def heat_to_collars(collars: Array, params: CornParams) -> Array:
    """Heat (°C·day) from the spike to a number of collars at the usual rate."""
    early = np.minimum(collars, V10) * params.collar_ddc
    return np.asarray(early + np.maximum(collars - V10, 0.0) * params.late_collar_ddc)


def seen_sd(collars: Array, params: CornParams) -> Array:
    """Standard deviation (°C·day) of the emergence told by a look; half as much for the spike itself (NaN)."""
    return params.seen_collar_sd * params.collar_ddc * np.where(np.isnan(collars), 0.5, 1.0)


def believed_emergence(
    planted_ddc: Array, seen_unit: Index, seen_ddc: Array, seen_sd_ddc: Array, params: CornParams
) -> tuple[Array, Array]:
    """Emergence total by unit and draw, and its standard deviation by unit (°C·day).

    ``planted_ddc`` (unit, draw) is the total at which the planting alone would emerge, NaN where no date is known;
    ``seen_ddc`` (look, draw) the total told by each look, ``seen_unit`` and ``seen_sd_ddc`` (look,) whose it is and how
    well it tells. Precision-weighted normal update; with something seen, what the planting says is widened by
    SIGHT_INFLATION. NaN where nothing is known.
    """
    units = len(planted_ddc)
    looked = np.zeros(units, bool)
    looked[seen_unit] = True
    known = ~np.isnan(planted_ddc[:, 0])
    prior_sd = params.field_sd_ddc * np.where(looked, SIGHT_INFLATION, 1.0)
    weight = np.where(known, prior_sd**-2.0, 0.0)
    total = weight[:, None] * np.where(known[:, None], planted_ddc, 0.0)
    np.add.at(weight, seen_unit, seen_sd_ddc**-2.0)
    np.add.at(total, seen_unit, seen_ddc * seen_sd_ddc[:, None] ** -2.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = np.where(weight[:, None] > 0, total / weight[:, None], np.nan)
        return mean, np.where(weight > 0, weight**-0.5, np.nan)
