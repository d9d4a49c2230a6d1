"""The seedbed of each field: soil temperature, and how far its surface has dried, from weather and told rain."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.evaporation import above_air_mj, hargreaves_mm
from springwalk.engine.soil_heat import soil_by_day
from springwalk.engine.surface_water import Layer, dry_band, fit_day, mostly_unknown, rained_on
from springwalk.errors import BadValue
from springwalk.jobs.cells import Cells
from springwalk.jobs.results import Range, Seedbed
from springwalk.jobs.seedbed_params import USUAL_TEXTURE, SeedbedParams, seedbed_params
from springwalk.jobs.snapshot import Snapshot

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

SD_10_90 = 1.2816
"""Standard deviations from the middle to the 10 % and the 90 % point of a normal error."""


@dataclass(frozen=True)
class SeedbedDays:
    """Axes field (as in the snapshot) and day (as in its cells); from today on as if no more rain fell.

    ``soil_c`` is the day's mean at ``params.soil.depth_mm``. ``de_mm`` (field, day, 3) is the water dried out of the
    surface layer by the evening, low, mid and high; NaN where rain is mostly not known. ``morning_mm`` (field, 3) is
    the same this morning, rain told for today taken off. ``tew_mm`` and ``rew_mm`` (field,) are the layer's middle
    values. ``et0_mm`` (field, day) is reference evapotranspiration. ``too_wet`` (field, day) are mornings after much
    rain, ``rain_known`` (field,) says whether rain is known well enough up to yesterday evening.
    """

    soil_c: Array
    de_mm: Array
    morning_mm: Array
    tew_mm: Array
    rew_mm: Array
    et0_mm: Array
    too_wet: Mask
    rain_known: Mask
    today: int
    params: SeedbedParams


def seedbed_days(snap: Snapshot, rain_mm: Array, rain_known: Mask) -> SeedbedDays | None:
    """Soil and surface water of every field and day; None where no weather reaches the season.

    ``rain_mm`` and ``rain_known`` have axes (field, day), days from the season's first; rain after today is not read.
    Before the season's first day nothing is known: the soil begins at the mean air of its first ten days (fewer where
    fewer have passed). Days ahead use the mean of the members. Raises BadValue for arrays of another shape.
    """
    if snap.cells is None or not snap.fields:
        return None
    cells, params = snap.cells, seedbed_params()
    shape = (len(snap.fields), cells.min_c.shape[2])
    _check(rain_mm, rain_known, shape)
    today = (snap.today - snap.season.begins).days
    rain, known = _as_known(rain_mm, rain_known, today)
    low, high = (x.mean(axis=1) for x in (cells.min_c, cells.max_c))
    air = (low + high) / 2.0
    start = air[:, : max(1, min(params.start_days, today))].mean(axis=-1)
    soil = soil_by_day(air, start_c=start, params=params.soil)[cells.cell]
    et0 = _et0(snap, cells, low, high)
    layers = _layers(snap, params)
    de = dry_band(rain, known, et0, layers, ground=params.ground, params=params.wet)
    vague = mostly_unknown(known, params.wet)
    return SeedbedDays(
        soil_c=soil,
        de_mm=de,
        morning_mm=np.maximum(de[:, max(today - 1, 0)] - rain[:, today, None], 0.0),
        tew_mm=np.asarray(layers[1].tew_mm, float),
        rew_mm=np.asarray(layers[1].rew_mm, float),
        et0_mm=et0,
        too_wet=rained_on(rain, known, params.wet),
        rain_known=~vague[:, max(today - 1, 0)],
        today=today,
        params=params,
    )


def seedbeds(snap: Snapshot, rain_mm: Array, rain_known: Mask) -> tuple[Seedbed | None, ...]:
    """The seedbed of each of ``snap.fields`` on the morning of ``snap.today``; see ``seedbed_days`` for the arrays.

    None for every field where no weather reaches the season or it begins today.
    """
    days = seedbed_days(snap, rain_mm, rain_known)
    return of_days(days, snap) if days else (None,) * len(snap.fields)


def of_days(days: SeedbedDays, snap: Snapshot) -> tuple[Seedbed | None, ...]:
    """The seedbeds of this morning from the days that were worked for the same snapshot.

    Soil is yesterday's mean; water is this morning's, with rain told for today. None on the season's first day.
    """
    if days.today == 0:
        return (None,) * len(snap.fields)
    spread = SD_10_90 * days.params.soil.sd_c
    ahead = _days_to_fit(days)
    out = []
    for k in range(len(snap.fields)):
        soil, known = float(days.soil_c[k, days.today - 1]), bool(days.rain_known[k])
        low, mid, high = days.morning_mm[k].tolist()
        out.append(
            Seedbed(
                soil_c=None if np.isnan(soil) else Range(low=soil - spread, mid=soil, high=soil + spread),
                drained_mm=Range(low=low, mid=mid, high=high) if known and not np.isnan(mid) else None,
                holds_mm=float(days.tew_mm[k]),
                rain_known=known,
                fit_on=snap.today + timedelta(days=int(ahead[k])) if known and ahead[k] > 0 else None,
            )
        )
    return tuple(out)


def _days_to_fit(days: SeedbedDays) -> Array:
    """Days (field,) to the first morning fit to walk by the middle values: 0 = today, NaN = not known or not seen."""
    layer = Layer(days.tew_mm, days.rew_mm)
    ahead = slice(days.today, None)
    return fit_day(
        days.morning_mm[:, 1], days.et0_mm[:, ahead], layer,
        ground=days.params.ground, params=days.params.wet, wet=days.too_wet[:, ahead],
    )  # fmt: skip


def _as_known(rain_mm: Array, rain_known: Mask, today: int) -> tuple[Array, Mask]:
    """Rain as of this morning: today's counts where told; from today on, what is not told is taken as no rain."""
    known = rain_known & ~np.isnan(rain_mm)
    rain = np.where(known, rain_mm, 0.0)
    rain[:, today + 1 :] = 0.0
    known[:, today:] = True
    return rain, known


def _et0(snap: Snapshot, cells: Cells, low: Array, high: Array) -> Array:
    """Reference evapotranspiration (field, day), mm, by Hargreaves: no station here has more than extremes."""
    first = snap.season.begins.timetuple().tm_yday
    day = first + np.arange(low.shape[1])
    latitude = np.array([f.latitude for f in snap.fields])
    return hargreaves_mm(low[cells.cell], high[cells.cell], above_air_mj(latitude[:, None], day[None, :]))


def _layers(snap: Snapshot, params: SeedbedParams) -> tuple[Layer, Layer, Layer]:
    """Low, middle and high surface layer of every field by its texture."""
    found = np.array([params.textures[f.texture or USUAL_TEXTURE] for f in snap.fields])
    low, mid, high = (Layer(found[:, k, 0], found[:, k, 1]) for k in range(3))
    return low, mid, high


def _check(rain_mm: Array, rain_known: Mask, shape: tuple[int, int]) -> None:
    for name, array in (("rain", rain_mm), ("known rain", rain_known)):
        if array.shape != shape:
            rule = f"the season has {shape[0]} fields and {shape[1]} days"
            raise BadValue(name, f"shape {array.shape}", rule, "give one row a field and one column a day")
