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
from springwalk.engine.draws import Draws, central_draws, make_draws
from springwalk.engine.heat import Method
from springwalk.engine.working import Inputs, Params, Worked, mark_days, plants_cut, work_cell

Array = NDArray[np.float64]
Index = NDArray[np.int64]

AHEAD_DAYS = 7
LOW, MID, HIGH = 0.1, 0.5, 0.9


@dataclass(frozen=True)
class Assessed:
    """Answers by unit: ``*_day`` (u, 3) at 10, 50, 90 %; ``shares`` (u, 6, 3) as low, mean, high; ``able`` (u, 3) the
    share in instars 4–6, which can cut.

    ``can_begin`` is the share of draws in which corn is up before 90 % of the brood is through feeding, within the
    season; ``feeding_over`` the share in which feeding is over first.
    ``begin_shares`` (u, 3): mean share in instars 4, 5, 6 when cutting begins. ``corn_ahead_sd`` (u,): by how many
    standard deviations the corn seen is ahead of what the planting date says (NaN where one of them is missing).
    ``planted_heat_day`` (u, heat, 3) and ``collar_day`` (u, collar, 3): when the marks of ``params.marks`` are reached.
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
    planted_heat_day: Array
    collar_day: Array


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
    heat_marks, collar_marks = mark_days(w, inputs, params, units)
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
        "planted_heat_day": np.stack([_three(heat_marks[:, k]) for k in range(heat_marks.shape[1])], axis=1),
        "collar_day": np.stack([_three(collar_marks[:, k]) for k in range(collar_marks.shape[1])], axis=1),
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


def _quantile(values: Array, q: float, *, axis: int) -> Array:
    # Nearest rank, so that "not within the season" (infinite) stays what it is instead of spreading.
    rank = max(0, int(np.ceil(q * values.shape[axis])) - 1)
    return np.asarray(np.take(np.sort(values, axis=axis), rank, axis=axis))


def _three(values: Array) -> Array:
    return np.stack([_quantile(values, q, axis=1) for q in (LOW, MID, HIGH)], axis=-1)


def _about(values: Array) -> Array:
    # Means in the middle: shares of stages then add to 1.
    return np.stack([_quantile(values, LOW, axis=1), values.mean(axis=1), _quantile(values, HIGH, axis=1)], axis=-1)
