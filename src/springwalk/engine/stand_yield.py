"""Yield of a stand: named tables of stand by planting date, and the one loss of yield L for plants that are missing."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal, get_args

import numpy as np
from numpy.typing import ArrayLike, NDArray

from springwalk.errors import BadValue

Array = NDArray[np.float64]
Form = Literal["additive", "multiplicative"]
Pattern = Literal["even", "singles", "runs"]


@dataclass(frozen=True)
class YieldTable:
    """Percent of full yield by planting date (axis 0) and final stand (axis 1); a blank cell is NaN.

    ``days`` are days after 30 April (1 May = 1) of the rows, the middle of a printed window; ``first_day`` and
    ``last_day`` end what the table tells. ``stands_per_ha`` and ``days`` rise. ``form`` is how stand and date go
    together in this table: added points or shares multiplied. It serves to fill blank cells, never to mix tables.
    """

    days: Array
    stands_per_ha: Array
    percent: Array
    form: Form
    first_day: float
    last_day: float


@dataclass(frozen=True)
class LossParams:
    """What one missing plant costs, in shares of a normal plant's yield; stands in plants per hectare.

    Scattered: ``single_shares`` at ``single_stands_per_ha``, straight between, held between ``single_floor`` and
    ``single_ceiling``; ``run`` in runs of three or more and patches; ``surplus`` above ``best_stand_per_ha``.
    """

    single_stands_per_ha: tuple[float, float]
    single_shares: tuple[float, float]
    single_floor: float
    single_ceiling: float
    run: float
    surplus: float
    best_stand_per_ha: float


def filled(table: YieldTable) -> YieldTable:
    """The table with its blank cells filled by its form from the fullest row and the nearest full column.

    Additive: row + column − corner; multiplicative: row × column ÷ corner. Raises BadValue where no column is full or
    the fullest row has a blank itself. What is filled is worked, not printed: compare with the table given.
    """
    known = np.isfinite(table.percent)
    row = int(np.argmax(known.sum(axis=1)))
    full = np.flatnonzero(known.all(axis=0))
    if not len(full) or not known[row].all():
        raise BadValue("yield table", f"{table.percent.shape}", "too many blank cells", "give one full row and column")
    percent = table.percent.copy()
    for d, s in np.argwhere(~known):
        near = full[np.argmin(np.abs(full - s))]
        by_stand, by_date, corner = percent[row, s], percent[d, near], percent[row, near]
        percent[d, s] = by_stand + by_date - corner if table.form == "additive" else by_stand * by_date / corner
    return replace(table, percent=percent)


def percent_at(
    table: YieldTable, stand_per_ha: ArrayLike, day: ArrayLike, *, straight_below: bool = False
) -> NDArray[np.float64]:
    """Percent of full yield of a final stand planted on a day, straight between the cells of a filled table.

    ``stand_per_ha`` and ``day`` (days after 30 April) broadcast. NaN outside the table's dates and below its lowest
    stand; above its highest stand the last column is held (see ``above``). With ``straight_below`` the lowest column
    goes straight to nothing at no plants, which is too low for a living stand. Inside a printed window the value is
    the window's at its middle and moves straight to the next window's middle (assumption).
    """
    stand, when = np.broadcast_arrays(np.asarray(stand_per_ha, float), np.asarray(day, float))
    low = table.stands_per_ha[0]
    columns = np.interp(stand, table.stands_per_ha, np.arange(len(table.stands_per_ha)))
    rows = np.interp(when, table.days, np.arange(len(table.days)))
    value = _between(table.percent, rows, columns)
    below = stand < low
    value = np.where(below, value * stand / low if straight_below else np.nan, value)
    told = (when >= table.first_day) & (when <= table.last_day) & (stand >= 0.0)
    return np.where(told, value, np.nan)


def _between(grid: Array, rows: Array, columns: Array) -> Array:
    """Values of a grid at fractional indices, straight along both axes."""
    r, c = (np.minimum(x.astype(int), n - 2) for x, n in zip((rows, columns), grid.shape, strict=True))
    fr, fc = rows - r, columns - c
    first = grid[r, c] * (1.0 - fc) + grid[r, c + 1] * fc
    second = grid[r + 1, c] * (1.0 - fc) + grid[r + 1, c + 1] * fc
    return np.asarray(first * (1.0 - fr) + second * fr)


def plant_share(stand_per_ha: ArrayLike, pattern: Pattern, params: LossParams) -> Array:
    """Yield lost with one missing plant at a stand, as a share of a normal plant's yield; same shape as the stand.

    For ``singles`` and ``runs``; an even loss has no such share, its yield is the stand table's. A scattered plant
    above the best stand costs little; in a run its neighbours cannot make use of the place. Source: Nafziger 1996
    (shares derived from what two neighbours make up), held between 0.5 and 0.8.
    """
    _known(pattern)
    stand = np.asarray(stand_per_ha, float)
    if pattern == "runs":
        return np.full(stand.shape, params.run)
    if pattern == "even":
        raise BadValue("pattern", pattern, "has no cost per plant", "use the stand table, or singles or runs")
    straight = np.interp(stand, params.single_stands_per_ha, params.single_shares)
    needed = np.clip(straight, params.single_floor, params.single_ceiling)
    return np.where(stand > params.best_stand_per_ha, params.surplus, needed)


def lost_yield(
    full_per_ha: float,
    left_per_ha: ArrayLike,
    pattern: Pattern,
    params: LossParams,
    *,
    table: YieldTable,
    day: float,
) -> Array:
    """L: the share of a full stand's yield that goes with the plants missing from it, for one pattern of loss.

    ``even``: stand table alone (``table`` filled, planted on ``day``), for a stand thinned evenly; NaN outside the
    table. ``singles`` and ``runs``: cost per plant alone, the surplus plants first, the rest at the middle stand of
    the loss. Stand table and cost per plant are never added. ``left_per_ha`` may be an array; 0 … ``full_per_ha``.
    """
    _known(pattern)
    left = np.asarray(left_per_ha, float)
    if (left < 0.0).any() or (left > full_per_ha).any():
        told = f"must be from 0 to the full stand ({full_per_ha:,.0f} per ha)"
        raise BadValue("stand", f"{left.max():,.0f}", told, "check the two stands", unit="plants/ha")
    if pattern == "even":
        return 1.0 - percent_at(table, left, day) / percent_at(table, full_per_ha, day)
    if pattern == "runs":
        return (full_per_ha - left) / full_per_ha * plant_share(left, "runs", params)
    best = min(full_per_ha, params.best_stand_per_ha)
    surplus = np.clip(full_per_ha - np.maximum(left, best), 0.0, None)
    needed = np.clip(best - left, 0.0, None)
    share = plant_share((best + np.minimum(left, best)) / 2.0, "singles", params)
    return np.asarray(np.minimum((surplus * params.surplus + needed * share) / best, 1.0))


def _known(pattern: str) -> None:
    if pattern not in get_args(Pattern):
        raise BadValue("pattern", pattern, "no such pattern of loss", f"use one of {', '.join(get_args(Pattern))}")
