"""When to stop counting: backward induction over batches of places.

Each state (k, x, j) offers to stop with the action that loses least, or to pay for one more stop. Coming back on a
later day is one more action with its own losses (`stopping_later`). A batch that can change nothing alone may still be
the way to one that can, so the count looks ahead over all stops, never one place at a time.

Money is that of the whole field (or zone). Source: expected value of sample information, worked by dynamic programming.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from springwalk.engine.stopping_counts import Chances, CountParams, States, states
from springwalk.engine.stopping_grid import common_chances, fold

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Flags = NDArray[np.bool_]

_TIE = 1e-9  # money; a stop that gains less is not made
_NEVER = 1e-300  # chance of a count that does not come up


@dataclass(frozen=True)
class StopTable:
    """The answer after every count, for fields f.

    By number of stops made, a tuple of arrays (s, f) over that number's states: ``go_on`` whether to count another
    stop, ``best`` the action to end with, ``loss`` the money expected to be lost from there (stops still to be paid
    included), ``stops_left`` stops still expected, ``chance`` that so many stops show just this. Before the first
    stop: ``without`` (f,) the least loss without a count, ``best_without`` its action.
    """

    params: CountParams
    go_on: tuple[Flags, ...]
    best: tuple[Index, ...]
    loss: tuple[Array, ...]
    stops_left: tuple[Array, ...]
    chance: tuple[Array, ...]
    without: Array
    best_without: Index

    @property
    def held(self) -> tuple[States, ...]:
        """The states of each number of stops."""
        return states(self.params)

    @property
    def value(self) -> Array:
        """Money a count is worth, its stops paid (f,): never below 0."""
        return np.asarray(self.without - self.loss[0][0])

    @property
    def stops(self) -> Array:
        """Stops expected (f,)."""
        return np.asarray(self.stops_left[0][0])

    @property
    def places(self) -> Array:
        """Plant places expected to be looked at (f,)."""
        return self.stops * self.params.places

    def row(self, k: int, x: int, j: int) -> int:
        """Where the state stands in the arrays of k stops; −1 for a state no count can reach."""
        held = self.held[k]
        at = np.flatnonzero((held.x == min(x, self.params.most_cut)) & (held.j == j))
        return int(at[0]) if len(at) else -1


def stop_cost(minutes: float, *, wage_per_h: float, hour_worth: float) -> float:
    """Money one stop costs: its minutes at the wage or at what an hour is worth elsewhere today, the larger."""
    return minutes / 60.0 * max(wage_per_h, hour_worth)


def stop_tables(
    weight: Array, losses: Array, cut_share: Array, cuts_per_larva: Array, cost: ArrayLike, params: CountParams
) -> StopTable:
    """Stop tables of fields from what is believed of them.

    ``weight`` (f, L, S) with sum 1; ``losses`` (f, a, L, S) money of each action; ``cut_share`` (f, L, S) share of
    places cut by larvae as a walk sees it today (all cuts in the first half of the feeding, fresh ones after);
    ``cuts_per_larva`` (f, S) the cuts behind it; ``cost`` of one stop, one for all or (f,).
    """
    folded = fold(weight, losses, cut_share, cuts_per_larva)
    each = np.broadcast_to(np.asarray(cost, np.float64), weight.shape[:1])
    return induct(common_chances(params), folded.weight, folded.loss, each, params)


def induct(chances: Chances, weight: Array, loss: Array, cost: Array, params: CountParams) -> StopTable:
    """Backward induction for fields f over hypotheses h, which need not be the common ones.

    ``weight`` (h, f), ``loss`` (h, a, f) already weighted, ``cost`` (f,) of a stop.
    """
    go_on: list[Flags] = []
    best: list[Index] = []
    value: list[Array] = []
    left: list[Array] = []
    likely: list[Array] = []
    for now, chance in zip(reversed(states(params)), reversed(chances.reached), strict=True):
        sure, action, ending = _ending(chance, weight, loss)
        going, more = np.full_like(ending, np.inf), np.zeros_like(ending)
        if now.onward:
            going, more = _going(now, chances.onward[now.k], weight, sure, value[-1], left[-1])
            going += cost
        go = going < ending - _TIE
        go_on.append(go)
        best.append(action)
        value.append(np.where(go, going, ending))
        left.append(np.where(go, 1.0 + more, 0.0))
        likely.append(sure)
    return StopTable(
        params, tuple(go_on[::-1]), tuple(best[::-1]), tuple(value[::-1]), tuple(left[::-1]), tuple(likely[::-1]),
        without=ending[0], best_without=action[0],
    )  # fmt: skip


def _ending(chance: Array, weight: Array, loss: Array) -> tuple[Array, Index, Array]:
    """Chance of each state (s, f), the best action there, and its loss."""
    sure = np.maximum(chance @ weight, _NEVER)
    by_action = np.tensordot(chance, loss, axes=1)
    action = by_action.argmin(axis=1)
    least = np.take_along_axis(by_action, action[:, None], axis=1)[:, 0]
    return sure, action, least / sure


def _going(
    now: States, ways: tuple[Array, ...], weight: Array, sure: Array, then: Array, left: Array
) -> tuple[Array, Array]:
    """Loss (s, f) expected after one more stop, its cost apart, and the stops expected after that one."""
    loss, more = np.zeros_like(sure), np.zeros_like(sure)
    for way, chance in zip(now.onward, ways, strict=True):
        joint = chance @ weight
        loss[: way.rows] += joint * then[way.to]
        more[: way.rows] += joint * left[way.to]
    loss /= sure
    more /= sure
    loss[now.onward[0].rows :] = np.inf  # from the most cut places that are followed, a count ends
    return loss, more


def worth_knowing(loss: Array) -> Array:
    """Money perfect knowledge of the hypothesis is worth (f,), from losses (h, a, f) weighted by what is believed."""
    return np.asarray(loss.sum(axis=0).min(axis=0) - loss.min(axis=1).sum(axis=0))


def worth_seeing(chance: Array, loss: Array) -> Array:
    """Money one look is worth before its cost (f,), from the chances (o, h) of its outcomes under each hypothesis.

    ``loss`` (h, a, f) is weighted by what is believed. Never below 0, never above `worth_knowing`.
    """
    by_outcome = np.einsum("oh,haf->oaf", chance, loss)
    return np.asarray(loss.sum(axis=0).min(axis=0) - by_outcome.min(axis=1).sum(axis=0))
