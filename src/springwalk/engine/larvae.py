"""Eggs to larvae in closed form: individuals keep one relative speed through life, so no stepping is needed.

The share of a brood past the entry of stage s is the sum over laying nights e of eggs[e] · G(τ_e / (scale · D_s)),
with τ_e the heat since night e, D_s the entry of the stage and G a gamma CDF of mean 1 (same-shape development,
Wagner et al. 1984). Because every laying night shares one heat axis, that sum is a function of the running total
alone: it is tabulated once on a grid of heat and then looked up for every member and day.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammainc

Array = NDArray[np.float64]
Index = NDArray[np.int64]

STAGES = ("egg", "instars_1_3", "instar_4", "instar_5", "instar_6", "pupa")
ENTRIES = ("hatch", "instar_4", "instar_5", "instar_6", "pupa")
GRID_STEP_DDC = 2.5
_G_LOW, _G_HIGH, _G_POINTS = 0.4, 2.0, 4097


@dataclass(frozen=True)
class Clock:
    """Heat of the brood, °C·day: entries of ENTRIES after laying, spread of one larva, scale, field term."""

    entries_ddc: tuple[float, ...]
    cv: float
    scale_mean: float
    scale_sd: float
    field_sd_ddc: float


@cache
def _table(cv: float) -> Array:
    shape = 1.0 / cv**2
    return np.asarray(gammainc(shape, shape * np.linspace(_G_LOW, _G_HIGH, _G_POINTS)))


def matured(x: Array, cv: float) -> Array:
    """Gamma CDF with mean 1 and the given CV by linear look-up (error below 2e-5 at CV 0.1); 0 and 1 outside 0.4–2."""
    table = _table(cv)
    place = np.clip((x - _G_LOW) * ((_G_POINTS - 1) / (_G_HIGH - _G_LOW)), 0.0, _G_POINTS - 1.000001)
    left = place.astype(np.int64)
    value = table[left] + (place - left) * (table[left + 1] - table[left])
    return np.where(x < _G_LOW, 0.0, np.where(x > _G_HIGH, 1.0, value))


@dataclass(frozen=True)
class Brood:
    """Share of each unit's brood past each entry, on a grid of running heat.

    ``past`` has axes (unit, laying member, scale node, entry, grid point); the laying axis has length 1 where every
    egg was laid on an observed night, else one per weather member. ``first_ddc`` is the heat at grid point 0.
    """

    past: Array
    first_ddc: float
    eggs: Array

    def at(self, heat_ddc: Array, member: Index, node: Index) -> Array:
        """Shares past each entry, axes (unit, draw, day, entry), at running heat (draw, day)."""
        laid, (left, part) = self._laid(member), self._place(heat_ddc)
        low = self.past[:, laid[:, None], node[:, None], :, left]
        high = self.past[:, laid[:, None], node[:, None], :, left + 1]
        low, high = np.moveaxis(low, 2, 0), np.moveaxis(high, 2, 0)
        return np.asarray(low + part[None, :, :, None] * (high - low))

    def at_each(self, heat_ddc: Array, member: Index, node: Index) -> Array:
        """Shares past each entry (unit, draw, entry) at running heat that differs by unit (unit, draw)."""
        laid, (left, part) = self._laid(member), self._place(heat_ddc)
        unit = np.arange(len(self.past))[:, None]
        low = self.past[unit, laid[None, :], node[None, :], :, left]
        high = self.past[unit, laid[None, :], node[None, :], :, left + 1]
        return np.asarray(low + part[..., None] * (high - low))

    def _laid(self, member: Index) -> Index:
        """Where each draw stands on the laying axis."""
        return member if self.past.shape[1] > 1 else np.zeros_like(member)

    def _place(self, heat_ddc: Array) -> tuple[Index, Array]:
        """Grid point at or below a running heat, and the part of the step beyond it; held at the grid's ends."""
        place = np.clip((heat_ddc - self.first_ddc) / GRID_STEP_DDC, 0.0, self.past.shape[-1] - 1.000001)
        left = place.astype(np.int64)
        return left, place - left

    def heat_when(self, entry: int, share: float, member: Index, node: Index) -> Array:
        """Running heat (unit, draw) at which ``share`` of the brood has passed an entry; infinite if off the grid."""
        curve = self.past[:, :, :, entry, :]
        reached = curve >= share
        first = np.argmax(reached, axis=-1)
        before = np.maximum(first - 1, 0)
        high = np.take_along_axis(curve, first[..., None], -1)[..., 0]
        low = np.take_along_axis(curve, before[..., None], -1)[..., 0]
        step = np.divide(share - low, high - low, out=np.zeros_like(high), where=high > low)
        heat = self.first_ddc + GRID_STEP_DDC * (before + np.where(first > 0, step, 0.0))
        heat = np.where(reached.any(axis=-1), heat, np.inf)
        return np.asarray(heat[:, self._laid(member), node])


def brood(eggs: Array, laid_heat_ddc: Array, clock: Clock, scales: Array, *, top_ddc: float) -> Brood:
    """Tabulate the brood of units that share one weather cell.

    ``eggs`` (unit, night) any non-negative weights (a unit without eggs gets shares of 0); ``laid_heat_ddc``
    (laying member, night) the running total at the end of each laying night; ``scales`` the scale nodes;
    ``top_ddc`` the largest running total that will be asked for.
    """
    used = np.flatnonzero(eggs.sum(axis=0) > 0)
    used = used if used.size else np.zeros(1, np.int64)  # a cell without any egg: one empty night
    total = eggs.sum(axis=1, keepdims=True)
    share = np.divide(eggs, total, out=np.zeros_like(eggs), where=total > 0)[:, used]
    laid = laid_heat_ddc[:, used]
    first = float(laid.min())
    grid = first + GRID_STEP_DDC * np.arange(max(2, int(np.ceil((top_ddc - first) / GRID_STEP_DDC)) + 2))
    since = (grid[None, :, None] - laid[:, None, :]).reshape(-1, laid.shape[1])  # (laying member × grid, night)
    by_night = np.ascontiguousarray(share.T)
    past = np.empty((len(eggs), len(laid), len(scales), len(ENTRIES), len(grid)))
    for s, scale in enumerate(scales.tolist()):
        for k, entry in enumerate(clock.entries_ddc):
            grown = matured(since / (scale * entry), clock.cv) @ by_night
            past[:, :, s, k, :] = grown.T.reshape(len(eggs), len(laid), len(grid))
    return Brood(past, first, total[:, 0])


def stage_shares(past: Array) -> Array:
    """Shares of STAGES (…, 6) from shares past ENTRIES (…, 5); they sum to 1. Eggs not yet laid count as egg."""
    ones, zeros = np.ones_like(past[..., :1]), np.zeros_like(past[..., :1])
    bounds = np.concatenate([ones, past, zeros], axis=-1)
    return np.asarray(bounds[..., :-1] - bounds[..., 1:])


def day_reached(running_ddc: Array, wanted_ddc: Array, member: Index) -> Array:
    """Day (with fraction) at which a member's running total reaches a wanted heat; infinite if not in the season.

    ``running_ddc`` (member, day) totals at the end of each day; ``wanted_ddc`` (unit, draw), draw n living in
    ``member[n]``. Heat comes in evenly over a day, so 10.4 means during day 10.
    """
    out = np.full(wanted_ddc.shape, np.inf)
    days = np.arange(running_ddc.shape[1] + 1, dtype=np.float64)
    for m in np.unique(member).tolist():
        total = np.concatenate([[0.0], running_ddc[m]])
        # Cold days add nothing: the last day at a level is where the next heat starts.
        grows = np.append(total[1:] > total[:-1], True)
        mine = np.flatnonzero(member == m)
        want = wanted_ddc[:, mine]
        day = np.interp(want, total[grows], days[grows])
        out[:, mine] = np.where(want <= total[-1], day, np.inf)
    return out


def heat_on(running_ddc: Array, day: Array, member: Index) -> Array:
    """Running total (unit, draw) at a day with fraction (unit, draw); days outside the season are held at its ends."""
    total = np.concatenate([np.zeros((len(running_ddc), 1)), running_ddc], axis=1)
    place = np.clip(np.where(np.isfinite(day), day, total.shape[1] - 1), 0.0, total.shape[1] - 1.000001)
    left = place.astype(np.int64)
    who = np.broadcast_to(member[None, :], place.shape)
    return np.asarray(total[who, left] + (place - left) * (total[who, left + 1] - total[who, left]))
