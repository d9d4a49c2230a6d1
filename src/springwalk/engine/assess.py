"""The whole assessment of a season on one morning: pure, the same inputs give the same answer.

Units (planting × zone) that share a weather cell are worked together; there is no loop over fields.
Days are indices from the season's first day; a day with a fraction lies within it; infinite = not within the season.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from springwalk.engine import corn, cutting, larvae
from springwalk.engine.arrivals import SurvivalParams, laying_by_night, survival_by_night
from springwalk.engine.draws import Draws, central_draws, make_draws
from springwalk.engine.heat import CORN, Method, degree_days, running_total

Array = NDArray[np.float64]
Index = NDArray[np.int64]

AHEAD_DAYS = 7
LOW, MID, HIGH = 0.1, 0.5, 0.9


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


@dataclass(frozen=True)
class Inputs:
    """One season as arrays. Cells (c, m, d): extremes in °C. Units u: cell, arrivals (u, g), cover (u, g), days.

    ``planted`` and ``green_end`` (u,) are day indices, NaN = unknown or never. ``seen_*`` are flat: the unit, the
    day and the collars (NaN = the spike itself) of each look at the corn. ``today`` is this morning's index.
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


@dataclass(frozen=True)
class Assessed:
    """Answers by unit: ``*_day`` (u, 3) at 10, 50, 90 %; ``shares`` (u, 6, 3) as low, mean, high; ``able`` (u, 3) the
    share in instars 4–6, which can cut.

    ``can_begin`` is the share of draws in which corn is up before 90 % of the brood is through feeding, within the
    season; ``feeding_over`` the share in which feeding is over first.
    ``begin_shares`` (u, 3): mean share in instars 4, 5, 6 when cutting begins. ``corn_ahead_sd`` (u,): by how many
    standard deviations the corn seen is ahead of what the planting date says (NaN where one of them is missing).
    """

    egg_load: Array
    survival: Array
    larvae_per_100: Array
    shares: Array
    able: Array
    can_cut_10_day: Array
    can_cut_half_day: Array
    through_90_day: Array
    begins_day: Array
    can_begin: Array
    feeding_over: Array
    begin_shares: Array
    emergence_day: Array
    collars: Array
    cut_ahead_per_100: Array
    corn_ahead_sd: Array


@dataclass(frozen=True)
class CellHeat:
    """Running totals of one cell, (member, day), °C·day at the end of each day."""

    insect: Array
    corn: Array


def cell_heat(min_c: Array, max_c: Array, method: Method) -> CellHeat:
    """Heat of one cell for the insect (its own method) and for corn (86/50) from extremes (member, day)."""
    return CellHeat(running_total(degree_days(min_c, max_c, method)), running_total(degree_days(min_c, max_c, CORN)))


def assess(inputs: Inputs, params: Params, *, cells: Iterable[int] | None = None) -> Assessed:
    """Assess the units of some cells (None: of all, NaN elsewhere); see Assessed.

    Cells are worked one after another, units within a cell together; a cell's answers rest on no other cell.
    """
    draws = make_draws(inputs.min_c.shape[1])
    parts: dict[str, Array] = {}
    for c, units in _cells(inputs, cells):
        for name, value in _assess_cell(inputs, params, draws, c, units).items():
            parts.setdefault(name, np.full((len(inputs.cell), *value.shape[1:]), np.nan))[units] = value
    return Assessed(**parts)


def begins_by(inputs: Inputs, params: Params, method: Method, *, cells: Iterable[int] | None = None) -> Array:
    """Median day (u,) on which cutting begins if the insect's heat were counted by another method.

    Everything but the weather at its middle; infinite where cutting does not begin within the season, or for units
    outside ``cells``.
    """
    draws = central_draws(inputs.min_c.shape[1])
    other = replace(params, insect_heat=method)
    out = np.full(len(inputs.cell), np.inf)
    for c, units in _cells(inputs, cells):
        w = work_cell(inputs, other, draws, c, units)
        out[units] = np.where(w.brood.eggs > 0, _quantile(_dates(w)["begins_day"], MID, axis=1), np.inf)
    return out


def _cells(inputs: Inputs, wanted: Iterable[int] | None) -> Iterator[tuple[int, Index]]:
    """Each cell that holds units, with its units."""
    for c in range(len(inputs.min_c)) if wanted is None else wanted:
        units = np.flatnonzero(inputs.cell == c)
        if units.size:
            yield c, units


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
    eggs, load = _eggs(inputs, params, units, spike)
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


def _eggs(inputs: Inputs, params: Params, units: Index, spike: Array) -> tuple[Array, Array]:
    """Eggs that leave larvae by night (unit, night), and all eggs laid (unit,)."""
    nights = inputs.cover.shape[1]
    median = np.median(spike, axis=1)  # over members too: which past year comes first must not matter
    emerged = np.where(np.isfinite(median), median, np.nan)
    survival = survival_by_night(
        inputs.green_end[units],
        planted=inputs.planted[units],
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


def _assess_cell(inputs: Inputs, params: Params, draws: Draws, c: int, units: Index) -> dict[str, Array]:
    w = work_cell(inputs, params, draws, c, units)
    days = _dates(w)
    morning = max(inputs.today - 1, 0)
    now = w.brood.at((w.heat.insect[draws.member, morning] - w.shift_ddc)[:, None], draws.member, draws.scale_node)
    stages = larvae.stage_shares(now[:, :, 0, :])
    collars = corn.collars_at(
        w.heat.corn[draws.member, morning][None, :], emergence_ddc=w.emergence_ddc, params=params.corn, rate=w.rate
    )
    ahead = plants_cut(w, params, first=inputs.today, last=inputs.today + AHEAD_DAYS - 1)
    cut = 100.0 * cutting.share_cut(w.larvae_per_100[:, None], ahead[:, :, -1])
    none = w.brood.eggs <= 0
    shares = _about(stages)
    return {
        "egg_load": w.larvae_per_100 / np.where(w.survival > 0, w.survival, 1.0) / params.larvae_per_flight,
        "survival": w.survival,
        "larvae_per_100": w.larvae_per_100,
        "shares": np.where(none[:, None, None], np.nan, shares),
        "able": _about(stages[..., 2:5].sum(axis=-1)),
        **{name: np.where(none[:, None], np.inf, _three(days[name])) for name in days if name != "emergence_day"},
        "emergence_day": _three(days["emergence_day"]),
        "can_begin": np.where(none, 0.0, np.isfinite(days["begins_day"]).mean(axis=1)),
        "feeding_over": np.where(none, 0.0, _over_first(days).mean(axis=1)),
        "begin_shares": _begin_shares(w, days["begins_day"]),
        "collars": _three(np.where(np.isnan(collars), np.inf, collars)),
        "cut_ahead_per_100": _about(cut),
        "corn_ahead_sd": w.corn_ahead_sd,
    }


def _dates(w: Worked) -> dict[str, Array]:
    draws = w.draws

    def reached(entry: str, share: float) -> Array:
        wanted = w.brood.heat_when(larvae.ENTRIES.index(entry), share, draws.member, draws.scale_node)
        return larvae.day_reached(w.heat.insect, wanted + w.shift_ddc[None, :], draws.member)

    able, half, through = reached("instar_4", 0.1), reached("instar_4", 0.5), reached("pupa", 0.9)
    begins = np.maximum(able, w.spike_day)
    return {
        "can_cut_10_day": able,
        "can_cut_half_day": half,
        "through_90_day": through,
        "begins_day": np.where(begins < through, begins, np.inf),
        "emergence_day": w.spike_day,
    }


def _over_first(days: dict[str, Array]) -> Array:
    """Draws (unit, draw) in which feeding is over, within the season, before the corn is up."""
    through = days["through_90_day"]
    return (np.isfinite(through) & (through <= days["emergence_day"])).astype(np.float64)


def _begin_shares(w: Worked, begins: Array) -> Array:
    heat = larvae.heat_on(w.heat.insect, begins, w.draws.member) - w.shift_ddc[None, :]
    stages = larvae.stage_shares(w.brood.at_each(heat, w.draws.member, w.draws.scale_node))[..., 2:5]
    use = np.isfinite(begins)[..., None]
    count = use.sum(axis=1)
    return np.asarray(np.divide((stages * use).sum(axis=1), count, out=np.zeros(stages.shape[::2]), where=count > 0))


def plants_cut(w: Worked, params: Params, *, first: int, last: int) -> Array:
    """Plants cut per larva from the morning of day ``first`` on, running (unit, draw, day first … last)."""
    draws = w.draws
    last = min(last, w.heat.insect.shape[1] - 1)
    days = np.arange(first, last + 1)
    start, gained = _heat_of_days(w.heat.insect[draws.member], days)
    past = w.brood.at(start + gained / 2.0 - w.shift_ddc[:, None], draws.member, draws.scale_node)
    able = larvae.stage_shares(past)[..., 2:5]
    corn_start, corn_gained = _heat_of_days(w.heat.corn[draws.member], days)
    corn_noon = corn_start + corn_gained / 2.0
    emergence = _never(w.emergence_ddc)[:, :, None]
    up = corn.emerged_share(corn_noon[None], emergence_ddc=emergence, params=params.corn)
    stage = corn.collars_at(corn_noon[None], emergence_ddc=emergence, params=params.corn, rate=w.rate[None, :, None])
    return np.cumsum(cutting.cutting_per_day(able, gained[None], stage, up, params.cutting), axis=-1)


def _heat_of_days(total: Array, days: Index) -> tuple[Array, Array]:
    """(running total on the morning, heat gained) of each day, from running totals (draw, day)."""
    morning = np.where(days > 0, total[:, np.maximum(days - 1, 0)], 0.0)
    return morning, total[:, days] - morning


def _never(emergence_ddc: Array) -> Array:
    """An emergence nobody knows (NaN) as one that is never reached."""
    return np.where(np.isnan(emergence_ddc), np.inf, emergence_ddc)


def _quantile(values: Array, q: float, *, axis: int) -> Array:
    # Nearest rank, so that "not within the season" (infinite) stays what it is instead of spreading.
    rank = max(0, int(np.ceil(q * values.shape[axis])) - 1)
    return np.asarray(np.take(np.sort(values, axis=axis), rank, axis=axis))


def _three(values: Array) -> Array:
    return np.stack([_quantile(values, q, axis=1) for q in (LOW, MID, HIGH)], axis=-1)


def _about(values: Array) -> Array:
    # Means in the middle: shares of stages then add to 1.
    return np.stack([_quantile(values, LOW, axis=1), values.mean(axis=1), _quantile(values, HIGH, axis=1)], axis=-1)
