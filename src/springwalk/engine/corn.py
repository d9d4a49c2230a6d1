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
SIGHT_INFLATION = 2.0
"""What is known from planting is taken this much wider when collars were seen: seen collars win (assumption)."""


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


def seen_as_total(heat_ddc: Array, collars: Array, params: CornParams) -> tuple[Array, Array]:
    """Emergence total told by collars seen at a running total: (mean, standard deviation) arrays in °C·day.

    A whole number of collars n means anywhere from n up to n + 1 and is taken as n + 0.5. NaN collars stand for the
    spike itself (0 collars gained, known to about a day's heat).
    """
    spike = np.isnan(collars)
    middle = np.where(spike, 0.0, np.where(collars == np.floor(collars), collars + 0.5, collars))
    since = np.where(
        middle <= V10, middle * params.collar_ddc, V10 * params.collar_ddc + (middle - V10) * params.late_collar_ddc
    )
    sd = np.hypot(params.seen_collar_sd * params.collar_ddc * np.where(spike, 0.5, 1.0), params.rate_cv * since)
    return heat_ddc - since, sd


def believed_emergence(
    planted_total_ddc: Array, seen_unit: Index, seen_mean_ddc: Array, seen_sd_ddc: Array, params: CornParams
) -> tuple[Array, Array]:
    """Emergence total of each unit (mean, standard deviation; °C·day) from its planting and from what was seen.

    ``planted_total_ddc`` (unit,) is the running total on the planting day, NaN where no date is known; the flat
    ``seen_*`` arrays name their unit. Precision-weighted normal update; with something seen the knowledge from
    planting is widened by SIGHT_INFLATION. NaN where nothing is known.
    """
    n = len(planted_total_ddc)
    looked = np.zeros(n, bool)
    looked[seen_unit] = True
    prior_sd = params.field_sd_ddc * np.where(looked, SIGHT_INFLATION, 1.0)
    known = ~np.isnan(planted_total_ddc)
    weight = np.where(known, prior_sd**-2.0, 0.0)
    total = weight * np.where(known, planted_total_ddc + params.emergence_ddc, 0.0)
    np.add.at(weight, seen_unit, seen_sd_ddc**-2.0)
    np.add.at(total, seen_unit, seen_mean_ddc * seen_sd_ddc**-2.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(weight > 0, total / weight, np.nan), np.where(weight > 0, weight**-0.5, np.nan)
