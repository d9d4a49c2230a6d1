"""Signs of what makes a walk without any moth: rain that chills seed, frost nights, hard rain. Pure, by unit and day.

Axes: unit u, day d of the season. Temperatures in °C, rain in mm; NaN = not known, which is never a sign.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class SoakParams:
    """Rain that chills seed: within ``days`` of planting, at least ``rain_mm``, at or below ``mean_c``."""

    days: int
    rain_mm: float
    mean_c: float


@dataclass(frozen=True)
class Marks:
    """Heat since planting (°C·day, 86/50) and leaf collars whose dates the looks are timed by."""

    planted_heats_ddc: tuple[float, ...]
    collars: tuple[float, ...]


def cold_rain_day(rain_mm: Array, mean_c: Array, soil_c: Array, planted: Array, params: SoakParams) -> Array:
    """Day (u,) on which rain since planting may have chilled the seed of each unit; NaN where there was none.

    ``rain_mm``, ``mean_c`` (daily mean air) and ``soil_c`` have shape (u, d); ``planted`` (u,) is a day, NaN unknown.
    It counts from the day the rain since planting adds up to ``rain_mm``, where the mean air of a rain day or of the
    next, or the soil on the rain day, is at or below ``mean_c``.
    Source: Nielsen, Purdue 2020 (chilling in the first 24–48 h below 50 °F).
    """
    days = np.arange(rain_mm.shape[1])[None, :]
    since = days - planted[:, None]
    near = (since >= 0) & (since <= params.days)
    next_mean = np.concatenate([mean_c[:, 1:], np.full((len(mean_c), 1), np.nan)], axis=1)
    with np.errstate(invalid="ignore"):
        cold = (mean_c <= params.mean_c) | (next_mean <= params.mean_c) | (soil_c <= params.mean_c)
        fell = np.where(near & (rain_mm > 0), rain_mm, 0.0)
        found = cold & (fell > 0) & (np.cumsum(fell, axis=1) >= params.rain_mm)
    return np.where(found.any(axis=1), found.argmax(axis=1).astype(np.float64), np.nan)


def runs(marked: Mask, *, apart: int) -> list[tuple[int, int]]:
    """Marked days of one unit (d,) as (first, last) of runs; days at most ``apart`` from one another are one run."""
    out: list[tuple[int, int]] = []
    for day in np.flatnonzero(marked).tolist():
        if out and day - out[-1][1] <= apart:
            out[-1] = (out[-1][0], day)
        else:
            out.append((day, day))
    return out
