"""What a visit today is worth: the least loss without one less the loss with one, coming back later open to both.

Never today's value less tomorrow's: that puts a field off from day to day, each time for a little, until it is too
late. The loss without a visit today counts the later visit with its cost.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from springwalk.engine.stopping import StopTable, stop_tables
from springwalk.engine.stopping_counts import CountParams
from springwalk.engine.stopping_later import TREAT_FROM, come_back

Array = NDArray[np.float64]
Index = NDArray[np.int64]


@dataclass(frozen=True)
class Seen:
    """A day's walk: ``cut_share`` (f, L, S) of places cut by larvae as it sees them, ``cuts_per_larva`` (f, S)."""

    cut_share: Array
    cuts_per_larva: Array


@dataclass(frozen=True)
class Later:
    """A later day on which to come back: ``days`` from today, what a walk then sees, and losses from today on.

    ``leave`` and ``treat`` (f, L, S) where the field is left or treated after that look; ``cost`` of the visit with its
    stops, one for all or (f,).
    """

    days: int
    seen: Seen
    leave: Array
    treat: Array
    cost: ArrayLike


@dataclass(frozen=True)
class Visits:
    """Visits of fields f: ``prize`` money, ``stops`` expected, the ``table``, and what each of its actions is.

    ``days`` (a,) days until each action's look, 0 for one done today; ``treat_from`` (a,) cut places then from which
    it treats, −1 for one done today. The prize has the cost of today's stops taken off, but not that of the way there.
    """

    table: StopTable
    days: Index
    treat_from: Index

    @property
    def prize(self) -> Array:
        """Money a visit today is worth (f,), its stops paid and the way there not; never below 0."""
        return self.table.value

    @property
    def stops(self) -> Array:
        """Stops expected of a visit today (f,)."""
        return self.table.stops

    @property
    def wait_days(self) -> Index:
        """Days until the look that is best without a visit today (f,); 0 where no look is."""
        return self.days[self.table.best_without]


def coming_back(day: Later, *, stops: int, params: CountParams) -> Array:
    """Losses (f, t, L, S) of coming back on a later day to count ``stops`` stops, one for each rule of `TREAT_FROM`."""
    seen = day.seen
    return come_back(day.leave, day.treat, seen.cut_share, seen.cuts_per_larva, day.cost, stops=stops, params=params)


def visits(
    weight: Array,
    losses: Array,
    today: Seen,
    later: tuple[Later, ...],
    stop_cost: ArrayLike,
    *,
    stops_later: int,
    params: CountParams,
    ways: Sequence[Array] | None = None,
) -> Visits:
    """What a visit today is worth to each field, with coming back as an action before and after the count.

    ``weight`` (f, L, S) sum 1; ``losses`` (f, a, L, S) money of each action that can be taken today, with what was
    found so far (no treatment without live larvae: see `stopping_search`); ``stop_cost`` of one stop today;
    ``ways`` what `coming_back` says of each later day, where that is worked already. Fields that no count can help are
    left out of the induction (`stopping.worth_counting`): their prize is 0 either way.
    """
    if ways is None:
        ways = [coming_back(day, stops=stops_later, params=params) for day in later]
    days, treat_from = [0] * losses.shape[1], [-1] * losses.shape[1]
    for day in later:
        days += [day.days] * len(TREAT_FROM)
        treat_from += list(TREAT_FROM)
    offered = np.concatenate([losses, *ways], axis=1)
    table = stop_tables(weight, offered, today.cut_share, today.cuts_per_larva, stop_cost, params)
    return Visits(table, np.array(days), np.array(treat_from))


def prize(without: float, with_visit: float, later: tuple[float, ...], visit_cost: float) -> float:
    """Money a visit today is worth from expected losses alone: never below 0.

    ``without`` any visit, ``with_visit`` today (its own cost apart), ``later`` with one on each later day, which costs
    ``visit_cost`` more.
    """
    return max(0.0, min((without, *(loss + visit_cost for loss in later))) - with_visit)
