"""When to stop counting: backward induction over batches of places.

Each state (k, x, j) offers to stop with the action that loses least, or to pay for one more stop. Coming back on a
later day is one more action with its own losses (`stopping_later`). A batch that can change nothing alone may still be
the way to one that can, so the count looks ahead over all stops, never one place at a time.

Money is that of the whole field (or zone). Source: expected value of sample information, worked by dynamic programming.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from springwalk.engine.stopping_counts import Chances, CountParams, States, rows_of, states
from springwalk.engine.stopping_grid import common_chances, fold

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Flags = NDArray[np.bool_]
Single = NDArray[np.float32]

_TIE = 1e-9  # money; a stop that gains less is not made
_NOISE = 4e-6  # the same as a share of the loss: less can't be told in single precision
_NEVER = 1e-300  # chance of a count that does not come up
_RARE = 1e-30  # a count that comes up no more often ends; below, single precision knows no numbers
_TOGETHER = 128  # fields worked at once, and numbers of one array: what stays near the processor
_CELLS = 340_000


@dataclass(frozen=True)
class StopTable:
    """The answer after every count, for fields f.

    By number of stops made, a tuple of arrays (s, f) over that number's states: ``go_on`` whether to count another
    stop, ``best`` the action to end with, ``loss`` the money expected to be lost from there (stops still to be paid
    included), ``stops_left`` stops still expected, ``chance`` that so many stops show just this. Before the first
    stop: ``without`` (f,) the least loss without a count.
    """

    params: CountParams
    go_on: tuple[Flags, ...]
    best: tuple[Index, ...]
    loss: tuple[Array, ...]
    stops_left: tuple[Array, ...]
    chance: tuple[Array, ...]
    without: Array

    @property
    def best_without(self) -> Index:
        """The action that loses least without a count (f,)."""
        return np.asarray(self.best[0][0])

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

    def row(self, k: int, x: int, j: int) -> int:
        """Where the state stands in the arrays of k stops; −1 for a state no count can reach."""
        held = self.held[k]
        rows = rows_of(held.x, held.j, self.params)
        return int(rows[min(x, self.params.most_cut), j]) if x >= 0 and 0 <= j < rows.shape[1] else -1


def stop_cost(minutes: float, *, wage_per_h: float, hour_worth: float) -> float:
    """Money one stop costs: its minutes at the wage or at what an hour is worth elsewhere today, the larger."""
    return minutes / 60.0 * max(wage_per_h, hour_worth)


def stop_tables(
    weight: Array, losses: Array, cut_share: Array, cuts_per_larva: Array, cost: ArrayLike, params: CountParams
) -> StopTable:
    """Stop tables of fields from what is believed of them.

    ``weight`` (f, L, S) with sum 1; ``losses`` (f, a, L, S) money of each action; ``cut_share`` (f, L, S) share of
    places cut by larvae as a walk sees it today (all cuts in the first half of the feeding, fresh ones after);
    ``cuts_per_larva`` (f, S) the cuts behind it; ``cost`` of one stop, one for all or (f,). A field that is not
    `worth_counting` is left out of the work: no stop, one answer, and no chance of a state after the first.
    """
    each = np.broadcast_to(np.asarray(cost, np.float64), weight.shape[:1])
    table = _uncounted(_expected(weight, losses), params)
    for at in _parts(np.flatnonzero(worth_counting(weight, losses, each)), _TOGETHER):
        folded = fold(weight[at], losses[at], cut_share[at], cuts_per_larva[at])
        _write(table, at, *_levels(common_chances(params), folded.weight, folded.loss, each[at], params))
    return table


def worth_counting(weight: Array, losses: Array, cost: ArrayLike) -> Flags:
    """Whether knowing a field's load and shift would be worth more than the cost of one stop (f,).

    ``weight`` (f, L, S) sum 1, ``losses`` (f, a, L, S), ``cost`` one for all or (f,). Where it would not, no count can
    be worth its first stop.
    """
    known = np.einsum("fls,fls->f", weight, losses.min(axis=1))
    return np.asarray(_expected(weight, losses).min(axis=1) - known > np.asarray(cost))


def _expected(weight: Array, losses: Array) -> Array:
    """Loss of each action (f, a) without a count."""
    return np.asarray(np.einsum("fls,fals->fa", weight, losses))


def induct(chances: Chances, weight: Array, loss: Array, cost: Array, params: CountParams) -> StopTable:
    """Backward induction for fields f over hypotheses h, which need not be the common ones.

    ``weight`` (h, f), ``loss`` (h, a, f) already weighted, ``cost`` (f,) of a stop.
    """
    table = _uncounted(loss.sum(axis=0).T, params)
    for at in _parts(np.arange(len(cost)), _TOGETHER):
        _write(table, at, *_levels(chances, weight[:, at], loss[:, :, at], cost[at], params))
    return table


def _uncounted(expected: Array, params: CountParams) -> StopTable:
    """The table of fields where nobody counts, from the loss of each action (f, a)."""
    best, least, sizes = expected.argmin(axis=1), expected.min(axis=1), [len(now.x) for now in states(params)]
    fields = len(expected)
    return StopTable(
        params,
        go_on=tuple(np.zeros((size, fields), bool) for size in sizes),
        best=tuple(np.repeat(best[None], size, axis=0) for size in sizes),
        loss=tuple(np.repeat(least[None], size, axis=0) for size in sizes),
        stops_left=tuple(np.zeros((size, fields)) for size in sizes),
        chance=tuple(np.full((size, fields), float(k == 0)) for k, size in enumerate(sizes)),
        without=least,
    )


def _parts(index: Index, most: int) -> list[slice | Index]:
    """Rising places in parts of at most so many; a part without a gap is a slice, which costs no copy."""
    parts = [index[first : first + most] for first in range(0, len(index), most)]
    return [slice(p[0], p[-1] + 1) if p[-1] - p[0] + 1 == len(p) else p for p in parts]


class _Level(NamedTuple):
    """What a table says after some number of stops, each (s, f)."""

    go_on: Flags
    best: Index
    loss: Array
    left: Array
    chance: Array


def _write(table: StopTable, at: slice | Index, levels: list[_Level], without: Array) -> None:
    """Put the answers of some fields into the table of all."""
    for k, level in enumerate(levels):
        for whole, part in zip(
            (table.go_on, table.best, table.loss, table.stops_left, table.chance), level, strict=True
        ):
            whole[k][:, at] = part
    table.without[at] = without


def _levels(
    chances: Chances, weight: Array, loss: Array, cost: Array, params: CountParams
) -> tuple[list[_Level], Array]:
    """The answers for a few fields by number of stops, and the loss without one (f,)."""
    columns = np.concatenate([weight[:, None], loss.min(axis=1)[:, None], loss], axis=1).reshape(len(weight), -1)
    looks = _Looks(chances.stop, weight)
    levels: list[_Level] = []
    for now, chance, single in zip(
        *(reversed(a) for a in (states(params), chances.reached, chances.single)), strict=True
    ):
        sums = (chance @ columns).reshape(len(chance), 2 + loss.shape[1], len(cost))
        sure, (action, ending) = np.maximum(sums[:, 0], _NEVER), _least(sums[:, 2:])
        ending /= sure
        level = _Level(np.zeros(ending.shape, bool), action, ending.copy(), np.zeros(ending.shape), sure)
        if levels:
            _ask(level, levels[-1], now, single, sums[:, 1] / sure + cost, looks, cost)
        levels.append(level)
    return levels[::-1], ending[0]


def _least(losses: Array) -> tuple[Index, Array]:
    """The action (s, f) of least loss, and that loss, from (s, a, f): as argmin, which is slow for a few actions."""
    action, least = np.zeros(losses[:, 0].shape, np.int64), losses[:, 0].copy()
    for other in range(1, losses.shape[1]):
        np.copyto(action, other, where=losses[:, other] < least)
        np.minimum(least, losses[:, other], out=least)
    return action, least


def _ask(level: _Level, then: _Level, now: States, chance: Single, known: Array, looks: _Looks, cost: Array) -> None:
    """Write into ``level`` where one more stop loses less than ending; ``known`` (s, f) is the least it could lose.

    That is one stop and then knowing all. Where it is no less than ending, nobody looks ahead.
    """
    asks = (known < level.loss - _TIE) & (level.chance > _RARE)
    rows = np.flatnonzero(asks[: len(now.to)].any(axis=1))
    loss, left = then.loss.astype(np.float32), then.left.astype(np.float32)
    for at in _parts(rows, 1 + _CELLS // (looks.most * len(cost))):
        to = now.to[at]
        ways = looks.ways(chance[at], to)
        going = np.maximum(_sum(ways, to, loss) / level.chance[at] + cost, known[at])
        go = asks[at] & (going < level.loss[at] - _NOISE * np.abs(level.loss[at]))
        level.go_on[at], level.loss[at] = go, np.where(go, going, level.loss[at])
        level.left[at] = np.where(go, 1.0 + _sum(ways, to, left) / level.chance[at], 0.0)


class _Looks:
    """One more stop in a few fields: the chance of each way it can go, in single precision.

    Every term is a chance, none is taken from another, so a sum is right to a few parts in a million (tested).
    """

    def __init__(self, stop: Array, weight: Array) -> None:
        """``stop`` (h, n + 1) chances of a stop, ``weight`` (h, f)."""
        self.most = stop.shape[1]
        self._each = (stop[:, :, None] * weight[:, None]).astype(np.float32).reshape(len(stop), -1)
        self._past = np.cumsum(stop[:, ::-1], axis=1)[:, ::-1]
        self._weight = weight

    def ways(self, chance: Single, to: Index) -> list[Single]:
        """Chances (r, f) of each way from some states of ``chance`` (r, h), whose rows ``to`` come by rising x.

        The last one stands for all cut places from which every state goes to the same next one.
        """
        single = 1 + int((to[0] != to[0, -1]).sum())
        joint = chance @ self._each[:, : single * self._weight.shape[1]]
        ways = list(np.moveaxis(joint.reshape(len(to), single, -1), 1, 0))
        if single < self.most:
            ways[-1] = chance @ (self._past[:, single - 1, None] * self._weight).astype(np.float32)
        return ways


def _sum(ways: list[Single], to: Index, then: Single) -> Single:
    """Sum (r, f) over the ways, each times what holds ``then`` (s, f) where it leads."""
    total = ways[0] * then[to[:, 0]]
    for seen, way in enumerate(ways[1:], start=1):
        total += way * then[to[:, seen]]
    return total


def worth_knowing(loss: Array) -> Array:
    """Money perfect knowledge of the hypothesis is worth (f,), from losses (h, a, f) weighted by what is believed."""
    return np.asarray(loss.sum(axis=0).min(axis=0) - loss.min(axis=1).sum(axis=0))


def worth_seeing(chance: Array, loss: Array) -> Array:
    """Money one look is worth before its cost (f,), from the chances (o, h) of its outcomes under each hypothesis.

    ``loss`` (h, a, f) is weighted by what is believed. Never below 0, never above `worth_knowing`.
    """
    by_outcome = np.einsum("oh,haf->oaf", chance, loss)
    return np.asarray(loss.sum(axis=0).min(axis=0) - by_outcome.min(axis=1).sum(axis=0))
