"""Larvae meet corn: plants one larva cuts from day to day, and the share of plants cut by then."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import bdtrc

Array = NDArray[np.float64]


@dataclass(frozen=True)
class CuttingParams:
    """Cutting by instar and collar (tables/data/cutting.csv).

    ``rate_per_ddc`` plants per °C·day of a larva in instar 4, 5, 6 on spike to one-collar corn; ``stage_share`` the
    share of it left at 0, 1, … collars (linear between, the last value beyond); ``survival`` from one cutting instar
    to the next.
    """

    rate_per_ddc: tuple[float, float, float]
    stage_share: tuple[float, ...]
    survival: float
    background: float


def stage_factor(collars: ArrayLike, params: CuttingParams) -> Array:
    """Share of the full cutting rate left on corn with this many collars (1 at the spike, 0 from seven)."""
    return np.interp(np.asarray(collars, np.float64), np.arange(len(params.stage_share)), params.stage_share)


def cutting_per_day(able: Array, heat_ddc: Array, stage: Array, emerged: Array, params: CuttingParams) -> Array:
    """Plants cut in a day per larva that reaches cutting size.

    ``able`` (…, 3) share of the brood in instars 4, 5, 6 at mid-day; ``heat_ddc`` of the day; ``stage`` the corn's
    `stage_factor` and ``emerged`` its share up. Axes broadcast; before emergence nothing is cut.
    """
    alive = np.array([1.0, params.survival, params.survival**2])
    rate = able @ (np.array(params.rate_per_ddc) * alive)
    return np.asarray(rate * heat_ddc * stage * emerged)


def share_cut(larvae_per_100: ArrayLike, cut_per_larva: ArrayLike, *, background: float = 0.0) -> Array:
    """Share (0–1) of plants cut: 1 − (1 − b)·exp(−λK/100); a plant is cut once."""
    load = np.asarray(larvae_per_100, np.float64) * np.asarray(cut_per_larva, np.float64) / 100.0
    return 1.0 - (1.0 - background) * np.exp(-load)


def mistake_odds(cut: int, places: int, background: float) -> float:
    """Chance (0–1) that miscounts and birds alone give ``cut`` or more cut plants of ``places`` (binomial tail)."""
    if cut <= 0:
        return 1.0
    return float(bdtrc(cut - 1, places, background)) if cut <= places else 0.0


def still_to_cut(
    collars: float,
    spans_ddc: tuple[float, float, float],
    params: CuttingParams,
    *,
    collar_ddc: float,
    growing: bool = True,
) -> float:
    """Plants one larva cuts from the start of instar 4 to pupation on corn that grows on the same clock.

    ``spans_ddc`` heat spent in instars 4, 5, 6. ``growing`` False holds the corn at its collars: the classic fault,
    kept to show its size. The integral is exact for a piecewise linear stage factor (fine trapezoids).
    """
    edges = np.concatenate([[0.0], np.cumsum(spans_ddc)])
    total = 0.0
    for k in range(3):
        heat = np.linspace(edges[k], edges[k + 1], 2001)
        stage = collars + (heat / collar_ddc if growing else 0.0 * heat)
        rate = params.rate_per_ddc[k] * params.survival**k
        total += float(np.trapezoid(rate * stage_factor(stage, params), heat))
    return total
