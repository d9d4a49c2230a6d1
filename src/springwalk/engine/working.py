"""One weather cell worked: heat, corn by draw, eggs, and the brood on its grid, for the units that share it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwalk.engine import corn, cutting, larvae
from springwalk.engine.arrivals import SurvivalParams, laying_by_night, survival_by_night
from springwalk.engine.draws import Draws
from springwalk.engine.events import Marks
from springwalk.engine.heat import CORN, Method, degree_days, running_total

Array = NDArray[np.float64]
Index = NDArray[np.int64]


@dataclass(frozen=True)
class Params:
    """Everything the assessment needs that is not this season: each from a table, with mark and source there."""

    clock: larvae.Clock
    corn: corn.CornParams
    cutting: cutting.CuttingParams
    survival: SurvivalParams
    insect_heat: Method
    laying_delay_nights: float
    larvae_per_flight: float
    clean_cover: float
    marks: Marks


@dataclass(frozen=True)
class Inputs:
    """One season as arrays. Cells (c, m, d): extremes in °C. Units u: cell, arrivals (u, g), cover (u, g), days.

    ``planted`` and ``green_end`` (u,) are day indices, NaN = unknown or never. ``seen_*`` are flat: the unit, the
    day and the collars (NaN = the spike itself) of each look at the corn. ``today`` is this morning's index.
    ``first_planted`` (u,) is when a stand was planted that larvae fed on before this one took its place (NaN: none
    did; None: none anywhere).
    """

    min_c: Array
    max_c: Array
    today: int
    cell: Index
    arrived: Array
    cover: Array
    planted: Array
    green_end: Array
    seen_unit: Index
    seen_day: Index
    seen_collars: Array
    first_planted: Array | None = None


@dataclass(frozen=True)
class CellHeat:
    """Running totals of one cell, (member, day), °C·day at the end of each day."""

    insect: Array
    corn: Array


def cell_heat(min_c: Array, max_c: Array, method: Method) -> CellHeat:
    """Heat of one cell for the insect (its own method) and for corn (86/50) from extremes (member, day)."""
    return CellHeat(running_total(degree_days(min_c, max_c, method)), running_total(degree_days(min_c, max_c, CORN)))


@dataclass(frozen=True)
class Worked:
    """The working state of one cell's units: heat, brood on its grid, corn by draw, larvae.

    ``emergence_ddc`` and ``spike_day`` (unit, draw); ``corn_ahead_sd``, ``survival``, ``larvae_per_100`` (unit,).
    """

    heat: CellHeat
    brood: larvae.Brood
    emergence_ddc: Array
    spike_day: Array
    corn_ahead_sd: Array
    rate: Array
    shift_ddc: Array
    survival: Array
    larvae_per_100: Array
    draws: Draws


def work_cell(inputs: Inputs, params: Params, draws: Draws, c: int, units: Index) -> Worked:
    """Heat, emergence, eggs and the brood table for the units of one cell."""
    heat = cell_heat(inputs.min_c[c], inputs.max_c[c], params.insect_heat)
    rate = 1.0 + params.corn.rate_cv * draws.rate_z
    emergence, ahead = _emergence(inputs, params, heat, units, draws, rate)
    spike = larvae.day_reached(heat.corn, _never(emergence), draws.member)
    eggs, load = _eggs(inputs, params, units, *_first_corn(inputs, params, heat, units, spike))
    laid_heat = heat.insect if np.ptp(heat.insect[:, _used(eggs)], axis=0).any() else heat.insect[:1]
    scales = params.clock.scale_mean + params.clock.scale_sd * draws.scale_z
    return Worked(
        heat=heat,
        brood=larvae.brood(eggs, laid_heat, params.clock, scales, top_ddc=float(heat.insect.max())),
        emergence_ddc=emergence,
        spike_day=spike,
        corn_ahead_sd=ahead,
        rate=rate,
        shift_ddc=params.clock.field_sd_ddc * draws.field_z,
        survival=np.divide(eggs.sum(axis=1), load, out=np.ones_like(load), where=load > 0),
        larvae_per_100=params.larvae_per_flight * eggs.sum(axis=1),
        draws=draws,
    )


def _used(eggs: Array) -> Index:
    return np.flatnonzero(eggs.sum(axis=0) > 0)


def _first_corn(inputs: Inputs, params: Params, heat: CellHeat, units: Index, spike: Array) -> tuple[Array, Array]:
    """Days (unit,) on which the first corn was planted and came up; NaN = unknown.

    Young larvae live or starve by the first corn after the green cover, whatever took its place later.
    """
    planted, median = inputs.planted[units], np.median(spike, axis=1)
    if inputs.first_planted is not None:
        first = inputs.first_planted[units]
        known = ~np.isnan(first)
        total = heat.corn.mean(axis=0)
        need = total[np.where(known, first, 0.0).astype(np.int64)] + params.corn.emergence_ddc
        came = np.searchsorted(total, need).astype(np.float64)
        planted, median = np.where(known, first, planted), np.where(known, came, median)
    return planted, np.where(np.isfinite(median), median, np.nan)


def _eggs(inputs: Inputs, params: Params, units: Index, planted: Array, emerged: Array) -> tuple[Array, Array]:
    """Eggs that leave larvae by night (unit, night), and all eggs laid (unit,)."""
    nights = inputs.cover.shape[1]
    survival = survival_by_night(
        inputs.green_end[units],
        planted=planted,
        emergence=emerged,
        nights=nights,
        params=params.survival,
    )
    # Corn that is up draws a little by itself, however black the ground was.
    up = np.arange(nights)[None, :] >= np.where(np.isnan(emerged), np.inf, emerged)[:, None]
    cover = np.where(up, np.maximum(inputs.cover[units], params.clean_cover), inputs.cover[units])
    laid = laying_by_night(inputs.arrived[units], mean_delay_nights=params.laying_delay_nights) * cover
    return laid * survival, laid.sum(axis=1)


def _emergence(
    inputs: Inputs, params: Params, heat: CellHeat, units: Index, draws: Draws, rate: Array
) -> tuple[Array, Array]:
    """Emergence total by unit and draw, and by how many standard deviations the corn seen is ahead of the planting."""
    total = heat.corn[draws.member]  # (draw, day)
    planted = inputs.planted[units]
    day = np.where(np.isnan(planted), 0, planted).astype(np.int64)
    told = np.where(np.isnan(planted)[:, None], np.nan, total[:, day].T + params.corn.emergence_ddc)
    # A look before the planting was a look at other corn.
    mine = np.isin(inputs.seen_unit, units) & ~(inputs.seen_day < inputs.planted[inputs.seen_unit])
    place = np.searchsorted(units, inputs.seen_unit[mine])
    seen_day, typed = inputs.seen_day[mine], inputs.seen_collars[mine]
    morning, gained = _heat_of_days(total, seen_day)
    noon = morning + gained / 2.0
    # A draw whose corn is quick came up later to stand where it was seen: the look holds in every draw.
    since = corn.heat_to_collars(corn.seen_collars(typed), params.corn)[:, None] / rate[None, :]
    seen, sd = noon.T - since, corn.seen_sd(typed, params.corn)
    mean, spread = corn.believed_emergence(told, place, seen, sd, params.corn)
    alone, alone_sd = corn.believed_emergence(np.full_like(told, np.nan), place, seen, sd, params.corn)
    ahead = (told - alone).mean(axis=1) / np.hypot(alone_sd, params.corn.field_sd_ddc)
    return mean + spread[:, None] * draws.emergence_z[None, :], ahead


def plants_cut(w: Worked, params: Params, *, first: int, last: int) -> Array:
    """Plants cut per larva from the morning of day ``first`` on, running (unit, draw, day first … last)."""
    days = np.arange(first, min(last, w.heat.insect.shape[1] - 1) + 1)
    return plants_cut_on(w, params, days, corn_on(w, params, days))


def plants_cut_on(w: Worked, params: Params, days: Index, grown: tuple[Array, Array]) -> Array:
    """Plants cut per larva from the first of ``days`` (d,) on, running (unit, draw, d); ``grown`` as of `corn_on`."""
    draws, (stage, up) = w.draws, grown
    start, gained = _heat_of_days(w.heat.insect[draws.member], days)
    past = w.brood.at(start + gained / 2.0 - w.shift_ddc[:, None], draws.member, draws.scale_node)
    able = larvae.stage_shares(past)[..., 2:5]
    return np.cumsum(cutting.cutting_per_day(able, gained[None], stage, up, params.cutting), axis=-1)


def corn_on(w: Worked, params: Params, days: Index) -> tuple[Array, Array]:
    """Share of the full cutting rate left and share of plants up at mid-day of ``days`` (d,), each (unit, draw, d).

    The shift of the insect's clock has no part in it.
    """
    start, gained = _heat_of_days(w.heat.corn[w.draws.member], days)
    noon = (start + gained / 2.0)[None]
    emergence = _never(w.emergence_ddc)[:, :, None]
    collars = corn.collars_at(noon, emergence_ddc=emergence, params=params.corn, rate=w.rate[None, :, None])
    up = corn.emerged_share(noon, emergence_ddc=emergence, params=params.corn)
    return cutting.stage_factor(collars, params.cutting), up


def mark_days(w: Worked, inputs: Inputs, params: Params, units: Index) -> tuple[Array, Array]:
    """Days on which heat since planting (unit, heat, draw) and leaf collars (unit, collar, draw) reach their marks.

    A day is the index of the day during which it happens; infinite = not within the season, or nothing known.
    """
    member, total = w.draws.member, w.heat.corn
    planted = inputs.planted[units]
    at = total[member][:, np.where(np.isnan(planted), 0, planted).astype(np.int64)].T
    at = np.where(np.isnan(planted)[:, None], np.inf, at)
    heats = [larvae.day_reached(total, at + heat, member) for heat in params.marks.planted_heats_ddc]
    spike = _never(w.emergence_ddc)
    needs = corn.heat_to_collars(np.array(params.marks.collars), params.corn)
    stages = [larvae.day_reached(total, spike + need / w.rate[None, :], member) for need in needs.tolist()]
    return np.stack(heats, axis=1), np.stack(stages, axis=1)


def _heat_of_days(total: Array, days: Index) -> tuple[Array, Array]:
    """(running total on the morning, heat gained) of each day, from running totals (draw, day)."""
    morning = np.where(days > 0, total[:, np.maximum(days - 1, 0)], 0.0)
    return morning, total[:, days] - morning


def _never(emergence_ddc: Array) -> Array:
    """An emergence nobody knows (NaN) as one that is never reached."""
    return np.where(np.isnan(emergence_ddc), np.inf, emergence_ddc)
