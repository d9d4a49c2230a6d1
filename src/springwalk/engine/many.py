"""Many units of a morning: what is believed of them, what things cost there, and losses averaged over all but belief.

The losses are those of `options`, averaged over weather, corn stage and yield per cut plant; here for all units
together, because a morning asks it of every field.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.advice_facts import AdviceParams, Money
from springwalk.engine.belief_larvae import detection
from springwalk.engine.belief_seen import FRESH_DAYS
from springwalk.engine.cutting import stage_factor
from springwalk.engine.hazard import Hazard
from springwalk.engine.losses import GAUSS, kill_by_shift
from springwalk.engine.stopping_counts import CountParams
from springwalk.engine.stopping_search import larvae_per_search, treat_if_found
from springwalk.engine.visits import Seen

Array = NDArray[np.float64]
Index = NDArray[np.int64]

SEARCH_HOUR, SEARCH_SOIL = 10, "moist"
"""When a walk's own search for larvae is taken to be made: by day, because walks are."""
CORN_UP = 0.5
"""Share of the plants up from which a field can be counted and searched (assumption)."""


@dataclass(frozen=True)
class Many:
    """Units (u,) of a morning: belief ``weight`` (u, L, S), ``place`` (u,) in the hazard, ``area_ha``, corn and money.

    ``fit_in`` (u,) days until the ground carries a pass. ``loss_per_cut`` (u,) plants' yield lost per cut plant,
    ``collars`` (u,) today with ``collars_sd`` (u,). An own pass could go in ``spray_in_days``; another goes anyway in
    ``pass_in_days`` (None = none). ``live`` (u,): larvae worth treating were found alive in the last days, so a
    treatment needs no more search.
    """

    weight: Array
    lam: Array
    hazard: Hazard
    place: Index
    today: int
    area_ha: Array
    fit_in: Index
    loss_per_cut: Array
    collars: Array
    collars_sd: Array
    money: Money
    spray_in_days: tuple[int, ...]
    pass_in_days: int | None
    live: NDArray[np.bool_]
    params: AdviceParams

    def some(self, at: Index) -> Many:
        """Only the units at these places."""
        arrays = ("weight", "place", "area_ha", "fit_in", "loss_per_cut", "collars", "collars_sd", "live")
        return replace(self, **{name: getattr(self, name)[at] for name in arrays})

    def cut_by(self, day: int) -> Array:
        """Plants cut per larva by the morning of a day, (m, u, S); held at the season's last."""
        cut = self.hazard.cut_member
        by = cut[..., min(day, cut.shape[-1]) - 1][:, self.place]
        return by if day > 0 else np.zeros_like(by)

    def cut_on(self, days: Index) -> Array:
        """The same by a day for each unit (u,)."""
        cut = self.hazard.cut_member
        by = cut[:, self.place, :, np.clip(days, 1, cut.shape[-1]) - 1]  # advanced axes come first: (u, m, S)
        return np.where(days[None, :, None] > 0, np.moveaxis(by, 0, 1), 0.0)

    @property
    def up(self) -> Array:
        """Share of plants up this morning (u,)."""
        return np.asarray(self.hazard.up[self.place, min(self.today, self.hazard.up.shape[1] - 1)])

    def stages_on(self, days: Index) -> Array:
        """Shares of the brood at mid-day of a day for each unit, (u, S, 6)."""
        last = self.hazard.stages.shape[2] - 1
        return np.asarray(self.hazard.stages[self.place, :, np.minimum(days, last)])

    def stages(self, day: int) -> Array:
        """Shares of the brood at mid-day of a day, (u, S, 6)."""
        return self.hazard.stages[:, :, min(day, self.hazard.stages.shape[2] - 1)][self.place]


@dataclass(frozen=True)
class Costs:
    """Money of one stop and of the longest search today, and of a later visit with its way, stops and search.

    ``plants`` are searched; ``later_days`` are when one could come back.
    """

    stop: float
    search: float
    later_visit: float
    later_search: float
    plants: float
    stops_later: int
    later_days: tuple[int, ...]
    count: CountParams


def mean_losses(many: Many, load: Array) -> Array:
    """Money per ha lost (u, L, S) where ``load`` (m, u, S) plants per larva will be cut from this morning on."""
    left = np.exp(-many.lam[:, None] * many.cut_by(many.today).mean(axis=0)[:, None, :] / 100.0)
    step, step_weight = np.array(GAUSS[0]), np.array(GAUSS[1])
    corn = np.maximum(many.collars[:, None] + many.collars_sd[:, None] * step, 0.0) + 1.0
    ahead = stage_factor(corn, many.params.cutting)
    mean = ahead @ step_weight
    factor = np.divide(ahead, mean[:, None], out=np.ones_like(ahead), where=mean[:, None] > 0)
    kept = np.zeros_like(left)
    for c, share in enumerate(step_weight.tolist()):
        for by_member in load:
            power = -(factor[:, c, None] * by_member)[:, None, :] * many.lam[:, None] / 100.0
            kept -= share / len(load) * np.expm1(power)
    return np.asarray(many.money.value * many.loss_per_cut[:, None, None] * left * kept)


def losses_after(many: Many, wait: int, *, leave: bool = True) -> tuple[Array, Array]:
    """Losses (u, L, S), money per ha, of leaving and of the best way to treat decided ``wait`` days from now.

    The loss of leaving is the same on every day; without ``leave`` it is not worked again and comes back empty.
    """
    past = many.cut_by(many.today)
    total = many.cut_by(many.hazard.cut.shape[-1]) - past
    left = mean_losses(many, total) if leave else np.zeros(0)
    own = sorted({max(day, 0) for day in many.spray_in_days})
    passes = [(np.maximum(many.fit_in, day + wait), many.money.own_pass) for day in own]
    if many.pass_in_days is not None and many.pass_in_days >= wait:
        passes.append((np.maximum(many.fit_in, many.pass_in_days), many.money.product))
    made = np.stack([_treated(many, past, total, days) + cost for days, cost in passes])
    best = np.einsum("ouls,uls->ou", made, many.weight).argmin(axis=0)
    return left, made[best, np.arange(len(best))]


def _treated(many: Many, past: Array, total: Array, days: Index) -> Array:
    on = many.today + days
    kill = kill_by_shift(many.stages_on(on), np.array(many.params.kill_by_stage), np.array(many.params.left_by_stage))
    before = many.cut_on(on) - past
    return mean_losses(many, before + (1.0 - kill) * (total - before))


def seen_on(many: Many, day: int, *, fresh: bool) -> Seen:
    """What a walk on a day of the season sees: all cuts, or those of the last days on plants not cut before."""
    found = many.params.belief.cut_found
    past = found * many.cut_by(day).mean(axis=0)
    old = found * many.cut_by(day - FRESH_DAYS).mean(axis=0) if fresh else np.zeros_like(past)
    share = np.exp(-many.lam[:, None] * old[:, None, :] / 100.0) - np.exp(-many.lam[:, None] * past[:, None, :] / 100.0)
    return Seen(share, past - old)


def larvae_found(many: Many, wait: int, plants: float) -> Array:
    """Larvae (u, L, S) a search round so many plants finds ``wait`` days from now."""
    belief = many.params.belief
    found = many.stages(many.today + wait)[..., 1:5] @ np.array(belief.sizes.found)
    each = detection(SEARCH_HOUR, SEARCH_SOIL, belief)
    return larvae_per_search(many.lam[:, None], found[:, None, :], plants=plants, detection=each)


@dataclass(frozen=True)
class Losses:
    """Money of each unit's whole area, (u, L, S): left, treated today for sure, and the same decided on later days.

    ``searched`` and the treatments ``later`` are those after a search: only where a larva is found.
    """

    leave: Array
    treat: Array
    later_treat: tuple[Array, ...]
    later_searched: tuple[Array, ...]


def all_losses(many: Many, costs: Costs) -> Losses:
    """The losses behind a visit, whatever kind of cuts is counted."""
    area = many.area_ha[:, None, None]
    leave, treat = (area * loss for loss in losses_after(many, 0))
    later = tuple(area * losses_after(many, wait, leave=False)[1] for wait in costs.later_days)
    searched = tuple(
        treat_if_found(loss, leave, larvae_found(many, wait, costs.plants), costs.later_search)
        for wait, loss in zip(costs.later_days, later, strict=True)
    )
    return Losses(leave, treat, later, searched)


def sure_now(many: Many, losses: Losses) -> tuple[Array, Array]:
    """Money expected to be lost (u,) where the area is left, and where it is treated today; ∞ without live larvae."""
    left = np.einsum("uls,uls->u", many.weight, losses.leave)
    return left, np.where(many.live, np.einsum("uls,uls->u", many.weight, losses.treat), np.inf)
