"""Daily water balance of the soil's surface layer: how much has dried out of it, and when it can be walked.

De is the water (mm) gone from the layer: 0 = wet through, TEW = as dry as the air gets it. Source: FAO-56 chapter 7
(Allen et al. 1998), equations 71 to 79, for bare ground or small corn; transpiration out of the layer and running water
are left out. Axes: unit u, day d; band b = low, mid, high. De of a day is that of its evening.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwalk.errors import BadValue

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class Layer:
    """Water (mm) the layer can lose: in all (TEW), and as fast as the air takes it (REW). Numbers or (u,)."""

    tew_mm: Array | float
    rew_mm: Array | float

    def __post_init__(self) -> None:
        """Refuse a layer that has nothing left to lose slowly."""
        if not np.all((np.asarray(self.rew_mm) >= 0) & (np.asarray(self.tew_mm) > np.asarray(self.rew_mm))):
            value, todo = f"TEW {self.tew_mm}, REW {self.rew_mm}", "take a soil's row of FAO-56 table 19"
            raise BadValue("surface layer", value, "TEW must be above REW and REW not below 0", todo, unit="mm")


@dataclass(frozen=True)
class Ground:
    """What stands on the soil: Kc max and basal Kcb (FAO-56 eq. 69 and 72), share of the ground the sun dries."""

    kc_max: float
    kcb: float = 0.0
    exposed: float = 1.0


@dataclass(frozen=True)
class WetParams:
    """When ground is dry enough or too wet, and how long not knowing the rain is let pass (table surface_water)."""

    fit_mm: float
    wet_rain_mm: float
    wet_days: int
    known_window_days: int
    known_share: float
    crust_dry_share: float
    et0_error: float


def evaporable_mm(field_capacity: Array | float, wilting_point: Array | float, depth_m: float) -> Array:
    """Water that can evaporate from the layer, TEW (eq. 73): moistures in m³/m³, depth in m."""
    return np.asarray(1000.0 * (np.asarray(field_capacity) - 0.5 * np.asarray(wilting_point)) * depth_m)


def drying_rate(de_mm: Array | float, layer: Layer) -> Array:
    """Share (0–1) of the air's demand that the layer still gives, Kr (eq. 74)."""
    tew, rew = np.asarray(layer.tew_mm, float), np.asarray(layer.rew_mm, float)
    return np.asarray(np.clip((tew - np.asarray(de_mm, float)) / (tew - rew), 0.0, 1.0))


def dry_by_day(
    rain_mm: Array, et0_mm: Array, layer: Layer, *, ground: Ground, start_mm: Array | float = 0.0
) -> Array:  # fmt: skip
    """De (u, d) by evening from rain and reference evapotranspiration (u, d), all mm; begun from ``start_mm``.

    Rain counts at the start of its day (FAO-56 example 35, early rain); what the layer can't hold is gone at once,
    downwards or off the field (eq. 79). Infinite rain fills any layer. NaN in rain or demand leaves later days NaN.
    Raises BadValue for rain or demand below zero.
    """
    rain, demand = (np.asarray(x, float) for x in (rain_mm, et0_mm))
    _check("rain", rain)
    _check("reference evapotranspiration", demand)
    rain, demand = np.broadcast_arrays(rain, demand)
    out = np.empty(rain.shape)
    now = np.broadcast_to(np.minimum(start_mm, layer.tew_mm), rain.shape[:-1])
    for day in range(rain.shape[-1]):
        wet = np.maximum(now - rain[..., day], 0.0)
        # Equation 71: the whole demand less the plants', but no more than the sunlit ground can give.
        ke = np.minimum(drying_rate(wet, layer) * (ground.kc_max - ground.kcb), ground.exposed * ground.kc_max)
        now = np.minimum(wet + ke * demand[..., day] / ground.exposed, layer.tew_mm)
        out[..., day] = now
    return out


def mostly_unknown(known: Mask, params: WetParams) -> Mask:
    """Days (u, d) on which the rain of the last 14 days, that day included, is known for no more than half of them.

    Early in the season the days there are so far count. Both numbers are parameters.
    """
    total = np.cumsum(np.asarray(known, float), axis=-1)
    window = params.known_window_days
    before = np.concatenate([np.zeros((*total.shape[:-1], window)), total], axis=-1)[..., : total.shape[-1]]
    days = np.minimum(np.arange(total.shape[-1]) + 1, window)
    return np.asarray((total - before) <= params.known_share * days)


def dry_band(
    rain_mm: Array, known: Mask, et0_mm: Array, layers: tuple[Layer, Layer, Layer], *, ground: Ground,
    params: WetParams,
) -> Array:  # fmt: skip
    """De (u, d, 3) low, mid and high: the low end dries slowly in a small layer, the high end fast in a large one.

    ``layers`` are the soil's low, middle and high rows; demand is taken ``et0_error`` lower and higher. Nobody knows
    how dry the first day was: low begins wet, high dry, mid half-way. A day of unknown rain (``known`` False; its rain
    is not read) may have been wet: the low end takes it as filling the layer, mid and high as dry. NaN where the rain
    is ``mostly_unknown``. All ends at once are wider than independent errors; we take them as the 10–90 % range.
    """
    known = np.asarray(known, bool)
    bands = []
    for k, layer in enumerate(layers):
        rain = np.where(known, rain_mm, np.inf if k == 0 else 0.0)
        start = 0.5 * k * np.asarray(layer.tew_mm, float)
        demand = np.asarray(et0_mm, float) * (1.0 + (k - 1) * params.et0_error)
        bands.append(dry_by_day(rain, demand, layer, ground=ground, start_mm=start))
    return np.where(mostly_unknown(known, params)[..., None], np.nan, np.stack(bands, axis=-1))


def rained_on(rain_mm: Array, known: Mask, params: WetParams) -> Mask:
    """Mornings (u, d) that are too wet for the rain of the ``wet_days`` days before plus what is told for that morning.

    Unknown rain counts as none here: ``mostly_unknown`` and the low end of the band say so.
    """
    rain = np.where(known, rain_mm, 0.0)
    _check("rain", rain)
    total = np.cumsum(rain, axis=-1)
    span = params.wet_days + 1
    before = np.concatenate([np.zeros((*total.shape[:-1], span)), total], axis=-1)[..., : total.shape[-1]]
    return np.asarray(total - before >= params.wet_rain_mm)


def fit_day(
    morning_mm: Array, et0_mm: Array, layer: Layer, *, ground: Ground, params: WetParams, wet: Mask | None = None
) -> Array:  # fmt: skip
    """Days (u,) from this morning to the first one dry enough to walk if no more rain falls; 0 = today, NaN = not seen.

    ``morning_mm`` (u,) is De this morning, ``et0_mm`` (u, k) the demand expected today and after, ``wet`` (u, k)
    mornings ruled out by rain already fallen. A morning is fit where De ≥ ``fit_mm`` (assumption). NaN De gives NaN.
    """
    ahead = dry_by_day(np.zeros_like(et0_mm), et0_mm, layer, ground=ground, start_mm=morning_mm)
    mornings = np.concatenate([np.asarray(morning_mm, float)[..., None], ahead[..., :-1]], axis=-1)
    fit = mornings >= params.fit_mm
    if wet is not None:
        fit = fit & ~wet
    return np.where(fit.any(axis=-1), fit.argmax(axis=-1), np.nan)


def drying_since(de_mm: Array, tew_mm: Array | float, rain_day: Array, *, params: WetParams) -> Array:
    """First day (u,) after a rain by whose evening the surface has dried to ``crust_dry_share`` of TEW; NaN = not yet.

    ``de_mm`` (u, d) by evening, ``rain_day`` (u,) the index of the rain, NaN where there was none. A crust sets while
    the surface dries, so a hard rain counts from here (assumption). NaN De is not taken as dry.
    """
    days = np.arange(de_mm.shape[-1])
    limit = params.crust_dry_share * np.asarray(tew_mm, float)
    dry = de_mm >= np.broadcast_to(limit, de_mm.shape[:-1])[..., None]
    after = dry & (days > np.asarray(rain_day, float)[..., None])
    return np.where(after.any(axis=-1), after.argmax(axis=-1), np.nan)


def _check(name: str, values: Array) -> None:
    if np.any(values < 0):
        worst = f"{float(np.nanmin(values)):g}"
        raise BadValue(name, worst, "it can't be below zero", "mark the day as not known instead", unit="mm")
