"""What each thing one could do costs, in money per hectare, for every load and shift of belief.

Axes: draw n (yield of a cut plant × corn stage × weather), load l, shift s. A treatment at the evening of day t + g
stops the share ``kill`` of the cutting from then on; what is cut until then is lost in any case. What was cut before
today is left out: no choice can change it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.cutting import CuttingParams, stage_factor
from springwalk.engine.hazard import Hazard

Array = NDArray[np.float64]

GAUSS = ((-np.sqrt(3.0), 0.0, np.sqrt(3.0)), (1 / 6, 2 / 3, 1 / 6))
"""Three-point rule of a normal: nodes in standard deviations, weights."""
MOST_LOSS_NODES = 3


@dataclass(frozen=True)
class YieldParams:
    """What a cut plant costs (tables/data/advice.csv, injury_yield.csv); shares 0–1, stands in plants per ha.

    Heights are shares (above, at, below the surface) in moist soil, in dry or crusted soil, and from ``late_from``
    collars on. ``surface_loss`` (high, middle, low) with weights ``surface_easy`` or ``surface_hard``.
    """

    heights_moist: tuple[float, float, float]
    heights_dry: tuple[float, float, float]
    heights_late: tuple[float, float, float]
    late_from: float
    height_plants: float
    above_loss: float
    below_loss: float
    surface_loss: tuple[float, float, float]
    surface_easy: tuple[float, float, float]
    surface_hard: tuple[float, float, float]
    singles_stand_per_ha: tuple[float, ...]
    singles_loss: tuple[float, ...]
    singles_either_way: float
    run_share: float
    usual_stand_per_ha: float


@dataclass(frozen=True)
class Plants:
    """The corn of a unit: ``collars`` today; cuts of told height (above, at, below); ``run_share`` of the cut plants
    in runs of three or more (1 = patches, None = not told); ``loss_per_cut`` given by hand replaces all of it."""

    collars: float
    collars_seen: bool = False
    soil: str | None = None
    per_ha: float | None = None
    run_share: float | None = None
    cut_heights: tuple[int, int, int] = (0, 0, 0)
    loss_per_cut: float | None = None


@dataclass(frozen=True)
class Outlook:
    """One unit from this morning on, per larva that reaches cutting size.

    ``past`` (m, S) plants cut by now; ``ahead`` (m, S, h) cut from now to the morning of day t + h; ``total`` (m, S) to
    the end of the brood; ``stages`` (S, h, 6) shares of the brood at mid-day of day t + h.
    """

    past: Array
    ahead: Array
    total: Array
    stages: Array


def outlook(hazard: Hazard, place: int, today: int, *, days: int = 15) -> Outlook:
    """The hazard of one unit (by its place) seen from the morning of day ``today``, for so many days ahead.

    Days after the season's last are held at it.
    """
    cut = hazard.cut_member[:, place]  # (m, S, d)
    cut = np.concatenate([np.zeros_like(cut[..., :1]), cut], axis=-1)  # by the morning of a day
    last = cut.shape[-1] - 1
    at = np.clip(today + np.arange(days), 0, last)
    past = cut[..., at[0]]
    stages = hazard.stages[place][:, np.minimum(at, last - 1)]
    return Outlook(past, cut[..., at] - past[..., None], cut[..., -1] - past, stages)


@dataclass(frozen=True)
class Nodes:
    """What is uncertain besides belief and weather: yield lost per cut plant and the corn's stage, flat over (v,).

    ``stage`` (v,) numbers the node of the corn; ``ahead`` (v,) scales the cutting to come, its mean is 1.
    """

    loss_per_cut: Array
    ahead: Array
    stage: NDArray[np.int64]
    weight: Array


def single_loss(stand_per_ha: float, params: YieldParams) -> float:
    """Share of a plant's yield that goes with one scattered lost plant; its neighbours make up the rest.

    Linear between the stands of the table and held beyond: a plant more than is needed costs little.
    """
    return float(np.interp(stand_per_ha, params.singles_stand_per_ha, params.singles_loss))


def lost_plants(stand_per_ha: float, run_share: float, params: YieldParams) -> tuple[float, float, float]:
    """Yield that goes with a lost plant, in plants (low, middle, high): runs of three and patches count whole."""
    middle = single_loss(stand_per_ha, params)
    singles = [min(1.0, max(0.0, middle + k * params.singles_either_way)) for k in (-1, 0, 1)]
    low, mid, high = (run_share + (1.0 - run_share) * s for s in singles)
    return low, mid, high


def cut_heights(plants: Plants, params: YieldParams) -> Array:
    """Shares of the cuts to come above, at and below the surface: what soil and stage say, moved by the cuts seen."""
    before = np.array(params.heights_dry if plants.soil in ("dry", "crusted") else params.heights_moist)
    if plants.collars >= params.late_from:
        late = np.array(params.heights_late)
        before = late if late[2] > before[2] else before
    seen = np.array(plants.cut_heights, np.float64)
    return np.asarray((params.height_plants * before + seen) / (params.height_plants + seen.sum()))


def loss_nodes(plants: Plants, params: YieldParams) -> tuple[Array, Array]:
    """Yield lost per cut plant in plants, (k,), with weights: injury by height of cut × what neighbours make up."""
    if plants.loss_per_cut is not None:
        return np.array([plants.loss_per_cut]), np.ones(1)
    above, at, below = cut_heights(plants, params).tolist()
    injury = above * params.above_loss + at * np.array(params.surface_loss) + below * params.below_loss
    hard = plants.soil in ("dry", "crusted") or plants.collars >= params.late_from
    stand = params.usual_stand_per_ha if plants.per_ha is None else plants.per_ha
    runs = params.run_share if plants.run_share is None else plants.run_share
    lost = np.array(lost_plants(stand, runs, params))
    weight = np.outer(params.surface_hard if hard else params.surface_easy, (0.25, 0.5, 0.25)).ravel()
    return _fewer(np.outer(injury, lost).ravel(), weight)


def _fewer(value: Array, weight: Array) -> tuple[Array, Array]:
    """The same mean with fewer nodes: neighbours in order of size are put together."""
    order = np.argsort(value)
    value, weight = value[order], weight[order]
    middle = (np.cumsum(weight) - weight / 2.0) / weight.sum()
    group = np.minimum((middle * MOST_LOSS_NODES).astype(np.int64), MOST_LOSS_NODES - 1)
    total = np.bincount(group, weight, MOST_LOSS_NODES)
    kept = total > 0
    return (np.bincount(group, weight * value, MOST_LOSS_NODES)[kept] / total[kept]), total[kept] / total.sum()


def nodes(plants: Plants, params: YieldParams, cutting: CuttingParams, collars_sd: float) -> Nodes:
    """Loss per cut plant × corn stage. Older corn is cut less: by the stage factor one collar ahead."""
    loss, loss_weight = loss_nodes(plants, params)
    step, step_weight = np.array(GAUSS[0]), np.array(GAUSS[1])
    ahead = stage_factor(np.maximum(plants.collars + collars_sd * step, 0.0) + 1.0, cutting)
    mean = float(ahead @ step_weight)
    ahead = ahead / mean if mean > 0 else np.ones(3)
    k, c = len(loss), len(step)
    return Nodes(
        loss_per_cut=np.repeat(loss, c),
        ahead=np.tile(ahead, k),
        stage=np.tile(np.arange(c), k),
        weight=np.outer(loss_weight, step_weight).ravel(),
    )


def kill_by_shift(stages: Array, kill_by_stage: Array, left_by_stage: Array) -> Array:
    """Share (S,) of the cutting to come that a treatment stops, from shares (S, 6) of the brood on its day.

    ``kill_by_stage`` (6,) of STAGES, ``left_by_stage`` (6,) the cutting each has before it. Eggs are not reached, so
    too early a treatment misses what hatches later. 0 where nothing is left to feed.
    """
    left = stages * left_by_stage
    total = left.sum(axis=-1)
    return np.asarray(np.divide(left @ kill_by_stage, total, out=np.zeros_like(total), where=total > 0))


def share_lost(view: Outlook, factor: Array, lam: Array, day: int | None, kill: Array) -> Array:
    """Share (c, m, L, S) of all plants that will be cut from now on, for stage factors (c,).

    ``day`` days from now a treatment stops the share ``kill`` (S,) of what is still to come; None = never.
    """
    if day is None:
        load = view.total
    else:
        before = view.ahead[..., min(day, view.ahead.shape[-1] - 1)]
        load = before + (1.0 - kill) * (view.total - before)
    left = np.exp(-lam[:, None] * view.past[:, None, :] / 100.0)  # plants not yet cut (m, L, S)
    ahead = factor[:, None, None, None] * lam[:, None] * load[:, None, :] / 100.0
    return np.asarray(-left * np.expm1(-ahead))


def loss_per_ha(view: Outlook, around: Nodes, lam: Array, value_per_ha: float, *, day: int | None = None,
                kill: Array | None = None, cost_per_ha: float = 0.0) -> Array:  # fmt: skip
    """Money lost per ha (n, L, S), draws n = nodes × weather members: plants cut from now on, and the cost."""
    stops = np.zeros(view.past.shape[1]) if kill is None else kill
    kinds, where = np.unique(around.stage, return_index=True)
    lost = share_lost(view, around.ahead[where], lam, day, stops)
    by_node = lost[np.searchsorted(kinds, around.stage)] * (value_per_ha * around.loss_per_cut)[:, None, None, None]
    return np.asarray(by_node.reshape(-1, *by_node.shape[2:]) + cost_per_ha)


def break_even_cuts(cost_per_ha: float, value_per_ha: float, loss_per_cut: float, kill: float) -> float:
    """Plants per 100 still to be cut at which a treatment pays for itself: 100 · cost / (value · loss · kill).

    Infinite where a treatment can save nothing. Worked from the general injury level (Pedigo et al. 1986, memory).
    """
    saved = value_per_ha * loss_per_cut * kill
    return 100.0 * cost_per_ha / saved if saved > 0 else float("inf")


def break_even_percent(past: float, ahead: float, cost_per_ha: float, saved_per_plant: float) -> float:
    """Per cent cut when walked from which a treatment pays, for larvae that cut ``past`` plants and will cut ``ahead``.

    ``saved_per_plant`` money per ha for all plants: value · loss · kill. The per cent rises as the brood uses itself
    up; 100 where treating never pays. Solved for the load λ by halving; a plant is cut once.
    """

    def gain(lam: float) -> float:
        return float(saved_per_plant * np.exp(-lam * past / 100.0) * -np.expm1(-lam * ahead / 100.0)) - cost_per_ha

    tries = np.geomspace(1e-4, 1e4, 400)
    over = [lam for lam in tries.tolist() if gain(lam) >= 0.0]
    if not over:
        return 100.0
    high = over[0]
    low = 0.0
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (low, middle) if gain(middle) >= 0.0 else (middle, high)
    return float(-100.0 * np.expm1(-high * past / 100.0))


def spread(values: Array, weight: Array) -> tuple[float, float, float]:
    """10 % point, mean and 90 % point of values with weights of the same shape; by the nearest value, never between."""
    flat, w = values.ravel(), weight.ravel()
    order = np.argsort(flat)
    upto = np.cumsum(w[order]) / w.sum()
    low, high = (float(flat[order][min(int(np.searchsorted(upto, q - 1e-12)), len(flat) - 1)]) for q in (0.1, 0.9))
    return low, float(flat @ w / w.sum()), high
