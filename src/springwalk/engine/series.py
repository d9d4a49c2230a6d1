"""One unit through the whole season, for its figure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwalk.engine import corn, cutting, larvae
from springwalk.engine.arrivals import laying_by_night
from springwalk.engine.assess import HIGH, LOW, MID
from springwalk.engine.draws import make_draws
from springwalk.engine.working import Inputs, Params, plants_cut, work_cell

Array = NDArray[np.float64]


@dataclass(frozen=True)
class UnitSeries:
    """By day d: ``stages`` (d, 6) mean share of the brood, eggs not yet laid left out; bands (d, 3) at 10, 50, 90 %."""

    stages: Array
    collars: Array
    cut_per_100: Array


def unit_series(inputs: Inputs, params: Params) -> UnitSeries:
    """The series of inputs that hold one unit on one cell; collars before the spike are 0, unknown corn NaN."""
    draws = make_draws(inputs.min_c.shape[1])
    w = work_cell(inputs, params, draws, 0, np.zeros(1, np.int64))
    days = np.arange(inputs.min_c.shape[2])
    evening = w.heat.insect[draws.member] - w.shift_ddc[:, None]
    stages = larvae.stage_shares(w.brood.at(evening, draws.member, draws.scale_node))[0].mean(axis=0)
    stages[:, 0] -= 1.0 - _laid_share(inputs, params)
    collars = corn.collars_at(
        w.heat.corn[draws.member], emergence_ddc=w.emergence_ddc[0][:, None], params=params.corn, rate=w.rate[:, None]
    )
    per_larva = plants_cut(w, params, first=0, last=int(days[-1]))[0]
    cut = 100.0 * cutting.share_cut(w.larvae_per_100[0], per_larva)
    has_eggs = bool(w.brood.eggs[0] > 0)
    return UnitSeries(
        stages=np.clip(stages, 0.0, 1.0) if has_eggs else np.zeros_like(stages),
        collars=np.quantile(collars, [LOW, MID, HIGH], axis=0).T,
        cut_per_100=np.quantile(cut, [LOW, MID, HIGH], axis=0).T,
    )


def _laid_share(inputs: Inputs, params: Params) -> Array:
    laid = laying_by_night(inputs.arrived[0], mean_delay_nights=params.laying_delay_nights) * inputs.cover[0]
    total = laid.sum()
    return np.cumsum(laid) / total if total > 0 else np.zeros_like(laid)
