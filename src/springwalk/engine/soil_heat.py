"""Soil temperature at seed depth from air temperature.

Source: Kätterer & Andrén 2009, Acta Agric. Scand. B 59:77-86 (their equations as other soil models document them).
Axes: anything before, day d last. Temperatures in °C.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from springwalk.errors import BadValue

Array = NDArray[np.float64]

DEPTH_STEP_MM = 20.0
"""The model counts depth in steps of 20 mm."""


@dataclass(frozen=True)
class SoilHeatParams:
    """The model's coefficients (tables ``soil_model``), the depth the soil is told at, and its error there (sd).

    ``frost_share`` is the share of an air temperature below freezing that reaches the surface; above it ``air_share``
    does, and ``leaf_share`` more that fades with leaf area past ``leaf_at`` at ``leaf_fade``. ``daily_share`` is the
    share of the way to the surface's temperature gone in a day, faded with depth and with green cover.
    """

    depth_mm: float
    sd_c: float
    frost_share: float
    air_share: float
    leaf_share: float
    leaf_fade: float
    leaf_at: float
    daily_share: float
    depth_fade: float
    cover_fade: float

    def __post_init__(self) -> None:
        """Refuse a depth or an error below zero."""
        if not self.depth_mm >= 0:
            raise BadValue("soil depth", self.depth_mm, "it can't lie above the ground", "give 0 or more", unit="mm")
        if not self.sd_c >= 0:
            raise BadValue("soil error", self.sd_c, "an error is not below zero", "give 0 or more", unit="°C")


def surface_c(air_c: ArrayLike, *, params: SoilHeatParams, leaf_area: ArrayLike = 0.0) -> Array:
    """Daily mean of the soil's surface from that of the air, °C; ``leaf_area`` is leaf area per ground area (LAI).

    Bare ground comes out 12 % above the air in °C, rain or shine; below freezing a fifth of the air's cold gets
    through. NaN stays NaN.
    """
    air = np.asarray(air_c, float)
    fade = np.exp(-params.leaf_fade * (np.asarray(leaf_area, float) - params.leaf_at))
    return np.asarray(
        np.where(air < 0.0, params.frost_share * air, air * (params.air_share + params.leaf_share * fade))
    )


def share_of_a_day(params: SoilHeatParams, *, green_area: ArrayLike = 0.0) -> Array:
    """Share (0–1) of the way to the surface's temperature that the soil goes in a day.

    ``green_area`` is green area per ground area (GAI), stems and all. Deeper or under a canopy it goes slower.
    """
    depth = np.exp(-params.depth_fade * params.depth_mm / DEPTH_STEP_MM)
    return np.asarray(params.daily_share * depth * np.exp(-params.cover_fade * np.asarray(green_area, float)))


def soil_by_day(
    air_mean_c: ArrayLike, *, start_c: ArrayLike, params: SoilHeatParams,
    leaf_area: ArrayLike = 0.0, green_area: ArrayLike = 0.0,
) -> Array:  # fmt: skip
    """Daily mean soil temperature (..., d) from daily mean air (..., d), both °C, begun from ``start_c`` (...).

    ``leaf_area`` and ``green_area`` are numbers or (..., d); 0 = bare ground. A missing (NaN) air day leaves every
    later day missing: callers fill gaps first. Snow, rain and soil water are left out; its error is ``params.sd_c``.
    It is slow: a sudden cold spell shows at 100 mm by a fifth a day, so the air itself has to be looked at too. The
    start fades: after two weeks 3 % of it is left.
    """
    air = np.asarray(air_mean_c, float)
    surface = surface_c(air, params=params, leaf_area=leaf_area)
    share = np.broadcast_to(share_of_a_day(params, green_area=green_area), air.shape)
    soil = np.empty(air.shape)
    now = np.broadcast_to(np.asarray(start_c, float), air.shape[:-1])
    for day in range(air.shape[-1]):
        now = now + (surface[..., day] - now) * share[..., day]
        soil[..., day] = now
    return soil
