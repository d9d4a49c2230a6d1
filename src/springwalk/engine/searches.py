"""A search for larvae today beside every way not to treat, priced as the visits of a morning are.

The ways not to treat: leave it, or come back on a later day, count, and then treat only where a search finds a larva.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.belief_larvae import detection
from springwalk.engine.many import (
    CORN_UP,
    SEARCH_HOUR,
    SEARCH_SOIL,
    Costs,
    Many,
    all_losses,
    larvae_found,
    seen_on,
    sure_now,
)
from springwalk.engine.stopping_later import TREAT_FROM
from springwalk.engine.stopping_search import SearchTable, search_tables
from springwalk.engine.visits import Later, coming_back

Array = NDArray[np.float64]
Index = NDArray[np.int64]

NOTHING = 0.001
"""Chance of finding any larva below which nothing is there to be found."""


@dataclass(frozen=True)
class Searches:
    """Searches of units (u,): the ``table``, ``without`` (u,) money lost where nobody searches, and its way.

    ``days`` (w,) until the look of each way not to treat, 0 = left; ``way`` (u,) the best of them before a search;
    ``none`` (m, u) the chance that so many batches find none; ``not_up`` and ``nothing`` (u,) why no search can pay.
    ``treat_now`` (u,): larvae were found in the last days, so no search is needed, and treating loses least.
    """

    table: SearchTable
    without: Array
    days: Index
    way: Index
    none: Array
    not_up: NDArray[np.bool_]
    nothing: NDArray[np.bool_]
    live: NDArray[np.bool_]
    treat_now: NDArray[np.bool_]

    @property
    def needless(self) -> NDArray[np.bool_]:
        """Units (u,) where no search can pay today."""
        return np.asarray(self.not_up | self.nothing | self.live)

    @property
    def worth(self) -> Array:
        """Money a search is worth (u,), its time paid and the way there not; 0 where none can pay."""
        made = np.maximum(self.without - self.table.loss[0, 0], 0.0)
        return np.asarray(np.where(self.needless, 0.0, made))


def by_day(hour: int, soil: str, many: Many) -> float:
    """How many times the larvae of a morning visit's own search (by day) one at ``hour`` in ``soil`` finds."""
    belief = many.params.belief
    return detection(hour, soil, belief) / detection(SEARCH_HOUR, SEARCH_SOIL, belief)


def searches(many: Many, costs: Costs, *, better: float, batches: int, tells_days: int) -> Searches:
    """Searches of units in at most ``batches``; ``better`` as many larvae found as by day (see `by_day`).

    A larva found today still tells for ``tells_days``: until then a later treatment needs no search.
    """
    losses = all_losses(many, costs)
    sure = tuple(
        treat if day <= tells_days else searched
        for day, treat, searched in zip(costs.later_days, losses.later_treat, losses.later_searched, strict=True)
    )
    none, days = _ways(many, costs, losses.leave, losses.later_searched)
    found, _ = _ways(many, costs, losses.leave, sure)
    expected = better * larvae_found(many, 0, costs.plants / batches)
    table = search_tables(
        many.weight, losses.treat, none, expected, costs.search / batches, most=batches, waits_found=found
    )
    missed = np.exp(-np.arange(batches + 1)[:, None, None, None] * expected)
    chance = np.einsum("muls,uls->mu", missed, many.weight)
    way = table.wait[0, 0]
    without = np.einsum("uwls,uls->uw", none, many.weight).min(axis=1)
    treated = sure_now(many, losses)[1]
    return Searches(
        table, np.minimum(without, treated), days, way, chance, many.up < CORN_UP, 1.0 - chance[-1] < NOTHING,
        many.live, treated < without,
    )  # fmt: skip


def _ways(many: Many, costs: Costs, leave: Array, later: tuple[Array, ...]) -> tuple[Array, Index]:
    """Losses (u, w, L, S) of each way not to treat today, and days until its look; all or fresh cuts are counted."""
    made, days = [leave[:, None]], [0]
    for wait, treat in zip(costs.later_days, later, strict=True):
        for fresh in (False, True):
            seen = seen_on(many, many.today + wait, fresh=fresh)
            day = Later(wait, seen, leave, treat, costs.later_visit)
            made.append(coming_back(day, stops=costs.stops_later, params=costs.count))
            days += [wait] * len(TREAT_FROM)
    return np.concatenate(made, axis=1), np.array(days)
