"""What one larva does to one field, day by day, for every shift of the insect's clock: the ground of belief and advice.

Axes: unit u, shift s, day d of the season. The shift stands in for the heat scale's spread: a positive one is a brood
behind the middle of the forecast.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from springwalk.engine import larvae
from springwalk.engine.draws import Draws
from springwalk.engine.working import Inputs, Params, Worked, corn_on, plants_cut_on, work_cell

Array = NDArray[np.float64]
Index = NDArray[np.int64]

MOST_MEMBERS = 8
"""Weather members carried; past days are the same in all, and only their mean is used ahead."""


@dataclass(frozen=True)
class Hazard:
    """Means over weather, for units (u,) in the order asked for.

    ``cut`` (u, s, d): plants cut by the evening of a day per larva that reaches cutting size; ``cut_member``
    (m, u, s, d) the same by weather member. ``stages`` (u, s, d, 6): share of the brood in STAGES at mid-day.
    ``collars`` (u, d) leaf collars, ``up`` (u, d) share of plants up, both at mid-day and at their middle.
    """

    shifts_ddc: Array
    cut: Array
    cut_member: Array
    stages: Array
    collars: Array
    up: Array


def hazards(inputs: Inputs, params: Params, units: Index, shifts_ddc: Array) -> Hazard:
    """The hazard of some units for each shift (°C·day, + = later), everything but the weather at its middle.

    A unit without eggs of its own, under a flight, gets the clock of the flight on ground as green as any night's: what
    is told of its ground may be wrong, and larvae found or plants cut there are judged by that clock (how few are to be
    expected is the prior's matter). Without any flight ``cut`` is zero and every share in the egg stage.
    """
    inputs = _flight_where_no_eggs(inputs)
    cells = np.unique(inputs.cell[units])
    where = [np.flatnonzero(inputs.cell[units] == c) for c in cells]
    parts = [_cell(inputs, params, int(c), units[at], shifts_ddc) for c, at in zip(cells, where, strict=True)]
    place = np.argsort(np.concatenate(where))
    return Hazard(
        shifts_ddc=shifts_ddc,
        cut=np.concatenate([p.cut for p in parts])[place],
        cut_member=np.concatenate([p.cut_member for p in parts], axis=1)[:, place],
        stages=np.concatenate([p.stages for p in parts])[place],
        collars=np.concatenate([p.collars for p in parts])[place],
        up=np.concatenate([p.up for p in parts])[place],
    )


def _flight_where_no_eggs(inputs: Inputs) -> Inputs:
    """The inputs with full cover where none of a flight's eggs would be laid."""
    laid = (inputs.arrived * inputs.cover).sum(axis=1)
    bare = (laid <= 0.0) & (inputs.arrived.sum(axis=1) > 0.0)
    return replace(inputs, cover=np.where(bare[:, None], 1.0, inputs.cover)) if bare.any() else inputs


def _cell(inputs: Inputs, params: Params, c: int, units: Index, shifts_ddc: Array) -> Hazard:
    draws = _few(inputs.min_c.shape[1])
    w = work_cell(inputs, params, draws, c, units)
    none = w.brood.eggs <= 0
    days = np.arange(w.heat.insect.shape[1])
    grown = corn_on(w, params, days)
    cut, stages = [], []
    for shift in shifts_ddc.tolist():
        moved = replace(w, shift_ddc=np.full(len(draws.member), shift))
        daily = plants_cut_on(moved, params, days, grown)
        cut.append(np.where(none[:, None, None], 0.0, daily))
        stages.append(_stages(moved).mean(axis=1))
    by_member = np.moveaxis(np.stack(cut, axis=1), 2, 0)  # (member, unit, shift, day)
    collars, up = _corn(w, params)
    return Hazard(shifts_ddc, by_member.mean(axis=0), by_member, np.stack(stages, axis=1), collars, up)


def _few(members: int) -> Draws:
    """One draw a member for a few members spread evenly, all else at its middle."""
    chosen = np.unique(np.linspace(0, members - 1, min(MOST_MEMBERS, members)).round().astype(np.int64))
    zero = np.zeros(len(chosen))
    return Draws(chosen, np.zeros(len(chosen), np.int64), np.zeros(1), zero, zero, zero)


def _noon(total: Array) -> Array:
    """Running totals (draw, day) at mid-day."""
    before = np.concatenate([np.zeros((len(total), 1)), total[:, :-1]], axis=1)
    return np.asarray((before + total) / 2.0)


def _stages(w: Worked) -> Array:
    heat = _noon(w.heat.insect[w.draws.member]) - w.shift_ddc[:, None]
    return larvae.stage_shares(w.brood.at(heat, w.draws.member, w.draws.scale_node))


def _corn(w: Worked, params: Params) -> tuple[Array, Array]:
    from springwalk.engine import corn

    noon = _noon(w.heat.corn[w.draws.member])[None]
    emergence = np.where(np.isnan(w.emergence_ddc), np.inf, w.emergence_ddc)[:, :, None]
    stage = corn.collars_at(noon, emergence_ddc=emergence, params=params.corn, rate=w.rate[None, :, None])
    up = corn.emerged_share(noon, emergence_ddc=emergence, params=params.corn)
    return stage.mean(axis=1), up.mean(axis=1)
