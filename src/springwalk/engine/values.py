"""What a visit today is worth in many units at once: losses averaged over all but belief, then the counts' tables.

The losses are those of `options`, averaged over weather, corn stage and yield per cut plant; here for all units
together, because a morning asks it of every field. Treating stands for a search for larvae first: where one is found
the part is treated, where none is, one comes back or leaves it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.advice_facts import AdviceParams, Money
from springwalk.engine.belief_larvae import detection
from springwalk.engine.belief_seen import FRESH_DAYS
from springwalk.engine.cutting import stage_factor
from springwalk.engine.hazard import Hazard
from springwalk.engine.losses import GAUSS, kill_by_shift
from springwalk.engine.stopping_counts import CountParams
from springwalk.engine.stopping_ends import share_ending
from springwalk.engine.stopping_grid import common_chances, fold
from springwalk.engine.stopping_search import larvae_per_search, treat_if_found
from springwalk.engine.visits import Later, Seen, Visits, coming_back, visits

Array = NDArray[np.float64]
Index = NDArray[np.int64]

SEARCH_HOUR, SEARCH_SOIL = 10, "moist"
"""When a walk's own search for larvae is taken to be made: by day, because walks are."""
CORN_UP = 0.5
"""Share of the plants up from which a field can be counted and searched (assumption)."""
_AT_ONCE = 64


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


@dataclass(frozen=True)
class Valued:
    """Visits, and what is best without one: its loss (u,) and in how many days one looks then (0 = not, −1 = treat).

    To search for larvae takes a visit, so without one a part is treated only where live larvae were found already.
    """

    visits: Visits
    without: Array
    wait_days: Index
    searches: Array
    """Chance (u,) that a visit ends with the search for larvae."""

    @property
    def prize(self) -> Array:
        """Money a visit today is worth (u,), its stops paid and the way there not; never below 0."""
        return np.asarray(np.maximum(self.without - self.visits.table.loss[0][0], 0.0))

    @property
    def stops(self) -> Array:
        """Stops expected of a visit (u,); 0 where it begins with the search."""
        return self.visits.stops


def visits_of(many: Many, costs: Costs, losses: Losses, *, fresh: bool) -> Valued:
    """Visits of all units, money for each unit's whole area, counting all cut plants or only fresh ones."""
    later = tuple(
        Later(wait, seen_on(many, many.today + wait, fresh=fresh), losses.leave, treat, costs.later_visit)
        for wait, treat in zip(costs.later_days, losses.later_searched, strict=True)
    )
    waits = [coming_back(day, stops=costs.stops_later, params=costs.count) for day in later]
    expected = [np.einsum("utls,uls->ut", one, many.weight) for one in waits]
    # What is best after a search that found none, by what is then believed: leave it, or one of the later looks.
    every = np.concatenate([losses.leave[:, None], *waits], axis=1)
    found = larvae_found(many, 0, costs.plants)
    best = np.einsum("utls,uls->ut", every, many.weight * np.exp(-found)).argmin(axis=1)
    none_found = every[np.arange(len(many.place)), best]
    searched = treat_if_found(losses.treat, none_found, found, costs.search)
    treat = np.where(many.live[:, None, None], losses.treat, searched)
    today = seen_on(many, many.today, fresh=fresh)
    made = visits(
        many.weight, np.stack([losses.leave, treat], axis=1), today, later, costs.stop,
        stops_later=costs.stops_later, params=costs.count, ways=waits,
    )  # fmt: skip
    no_action = many.weight[:, None][:, :0]
    folded = fold(many.weight, no_action, today.cut_share, today.cuts_per_larva)
    searches = share_ending(made.table, common_chances(costs.count), folded.weight, 1)
    return _valued(many, losses, expected, made, costs.later_days, np.where(many.live, 0.0, searches))


def sure_now(many: Many, losses: Losses) -> tuple[Array, Array]:
    """Money expected to be lost (u,) where the area is left, and where it is treated today; ∞ without live larvae."""
    left = np.einsum("uls,uls->u", many.weight, losses.leave)
    return left, np.where(many.live, np.einsum("uls,uls->u", many.weight, losses.treat), np.inf)


def _valued(
    many: Many, losses: Losses, waits: list[Array], made: Visits, later_days: tuple[int, ...], searches: Array
) -> Valued:
    """The visits beside what can be done without one."""
    left, treated = sure_now(many, losses)
    choices = np.stack([left, treated, *(one.min(axis=1) for one in waits)])
    best = choices.argmin(axis=0)
    return Valued(made, choices.min(axis=0), np.array([0, -1, *later_days])[best], searches)


def worth_all(weight: Array, losses: Losses) -> Array:
    """Money (u,) that knowing load and clock for sure would be worth: no visit, today or later, is worth more."""
    sure = np.minimum(losses.leave, losses.treat)
    for treat in losses.later_treat:
        sure = np.minimum(sure, treat)
    known = np.einsum("uls,uls->u", weight, sure)
    return np.asarray(np.einsum("uls,uls->u", weight, losses.leave) - known)


def better(every: Valued, fresh: Valued) -> tuple[NDArray[np.bool_], Array, Index]:
    """Whether counting fresh cuts loses less (u,); the least loss without a visit (u,) and its days, of either way.

    What is best without a visit does not hang on how one would have counted, so both ways are held against one.
    """
    use = fresh.visits.table.loss[0][0] < every.visits.table.loss[0][0]
    first = every.without <= fresh.without
    return use, np.minimum(every.without, fresh.without), np.where(first, every.wait_days, fresh.wait_days)


@dataclass(frozen=True)
class Worth:
    """What a visit today is worth to units (u,), money for a unit's whole area, its stops paid and the way there not.

    ``stops`` expected and the chance of a search for larvae, ``searches``; ``fresh`` whether only fresh cuts are
    counted; ``without`` the least loss without a visit today and ``wait_days`` when the look is that this counts on
    (0 = none, −1 = treated without one).
    """

    prize: Array
    stops: Array
    searches: Array
    fresh: NDArray[np.bool_]
    without: Array
    wait_days: Index


def worth(many: Many, costs: Costs) -> Worth:
    """The better of counting all cuts and fresh ones, for every unit; worked some units at a time."""
    parts = [_worth(many.some(at), costs) for at in _slices(len(many.place))]
    if not parts:
        none = np.zeros(0)
        return Worth(none, none, none, none.astype(bool), none, none.astype(np.int64))
    return Worth(*(np.concatenate([getattr(part, f.name) for part in parts]) for f in fields(Worth)))


def _slices(units: int) -> Iterator[Index]:
    for first in range(0, units, _AT_ONCE):
        yield np.arange(first, min(first + _AT_ONCE, units))


def _worth(many: Many, costs: Costs) -> Worth:
    """Units where even perfect knowledge pays less than one stop need no table."""
    losses, units = all_losses(many, costs), len(many.place)
    left, treated = sure_now(many, losses)
    made = Worth(
        np.zeros(units), np.zeros(units), np.zeros(units), np.zeros(units, bool), np.minimum(left, treated),
        np.where(treated < left, -1, 0),
    )  # fmt: skip
    # Where no corn stands there is nothing to count, and nobody digs a bare field for larvae.
    at = np.flatnonzero((worth_all(many.weight, losses) > costs.stop) & (many.up >= CORN_UP))
    if not len(at):
        return made
    few = Losses(
        losses.leave[at], losses.treat[at], tuple(x[at] for x in losses.later_treat),
        tuple(x[at] for x in losses.later_searched),
    )  # fmt: skip
    every, fresh = (visits_of(many.some(at), costs, few, fresh=f) for f in (False, True))
    use, without, wait_days = better(every, fresh)
    loss = np.where(use, fresh.visits.table.loss[0][0], every.visits.table.loss[0][0])
    made.prize[at], made.without[at], made.wait_days[at], made.fresh[at] = (
        np.maximum(without - loss, 0.0), without, wait_days, use,
    )  # fmt: skip
    made.stops[at] = np.where(use, fresh.stops, every.stops)
    made.searches[at] = np.where(use, fresh.searches, every.searches)
    return made
