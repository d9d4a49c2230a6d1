"""What a visit today is worth in many units at once: the losses of `many`, then the counts' tables.

Treating stands for a search for larvae first: where one is found the part is treated, where none is, one comes back or
leaves it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.many import CORN_UP, Costs, Losses, Many, all_losses, larvae_found, seen_on, sure_now
from springwalk.engine.stopping_ends import share_ending
from springwalk.engine.stopping_grid import common_chances, fold
from springwalk.engine.stopping_search import treat_if_found
from springwalk.engine.visits import Later, Visits, coming_back, visits

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_AT_ONCE = 64


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
