"""Plans of counting to compare with, all followed through the same counts: fixed, sequential, and by stop table.

Counts are (r, k): places cut at stop 1, 2, … of rounds r, as many stops as any plan may make. Each answers how many
stops it made and what it ended with.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.stopping import StopTable
from springwalk.engine.stopping_counts import CountParams, States, rows_of, way_chance

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Flags = NDArray[np.bool_]

_TIE = 1e-9


@dataclass(frozen=True)
class Earned:
    """What a table really does under given hypotheses: expected ``loss`` (stops paid), ``stops``, and the chance of
    ending with each ``action`` (a,)."""

    loss: float
    stops: float
    action: Array


def earned(table: StopTable, stop: Array, weight: Array, losses: Array, cost: float, field: int = 0) -> Earned:
    """Follow a field's stop table exactly, count by count, under each hypothesis.

    ``stop`` (h, n + 1) chances of one stop, ``weight`` (h,) sum 1, ``losses`` (a, h). Unlike the table's own claim it
    knows by which counts a state was come to.
    """
    mass, loss, stops = weight[None, :].copy(), 0.0, 0.0
    action = np.zeros(len(losses))
    for now in table.held:
        go, best = table.go_on[now.k][:, field], table.best[now.k][:, field]
        ended = np.where(go[:, None], 0.0, mass)
        loss += float((ended * losses[best]).sum()) + cost * now.k * float(ended.sum())
        stops += now.k * float(ended.sum())
        np.add.at(action, best, ended.sum(axis=1))
        if not now.onward:
            break
        mass = _stepped(np.where(go[:, None], mass, 0.0), now, stop, table.params, len(table.best[now.k + 1]))
    return Earned(loss, stops, action)


def _stepped(mass: Array, now: States, stop: Array, params: CountParams, size: int) -> Array:
    """Mass (s, h) of each state after one more stop."""
    after = np.zeros((size, mass.shape[1]))
    for way in now.onward:
        np.add.at(after, way.to, mass[: way.rows] * way_chance(way, now, stop, params))
    return after


@dataclass(frozen=True)
class Followed:
    """``stops`` made (r,) and the action ended with (r,): 0 leave, 1 treat, others as the table's losses have them."""

    stops: Index
    action: Index


def by_table(counts: Index, table: StopTable, field: int = 0) -> Followed:
    """Count as a field's stop table says."""
    rounds = np.arange(len(counts))
    stops, x, j = (np.zeros(len(counts), np.int64) for _ in range(3))
    action = np.full(len(counts), int(table.best[0][0, field]))
    live = np.full(len(counts), bool(table.go_on[0][0, field]))
    for k in range(1, len(table.go_on)):
        at = rounds[live]
        if not len(at):
            break
        x[at] = np.minimum(x[at] + counts[at, k - 1], table.params.most_cut)
        j[at] += counts[at, k - 1] > 0
        held = table.held[k]
        where = rows_of(held.x, held.j, table.params)[x[at], j[at]]
        stops[at], action[at] = k, table.best[k][where, field]
        live[at] = table.go_on[k][where, field]
    return Followed(stops, action)


def fixed(counts: Index, *, stops: int, places: int, share: float, found: Flags | None = None) -> Followed:
    """Count ``stops`` stops of ``places`` and treat from a share of cut places on; with ``found``, only where True."""
    treat = counts[:, :stops].sum(axis=1) >= share * stops * places - _TIE
    if found is not None:
        treat = treat & found
    return Followed(np.full(len(counts), stops), treat.astype(np.int64))


def sequential(counts: Index, increments: Array, bounds: tuple[float, float], *, least: int = 1) -> Followed:
    """Wald's test by whole stops: add ``increments`` of each stop's cut places and end at either bound.

    At the last stop there is, the sign of the sum decides. Before ``least`` stops it does not end.
    """
    running = np.cumsum(increments[counts], axis=1)
    ends = (running <= bounds[0] + _TIE) | (running >= bounds[1] - _TIE)
    ends[:, : least - 1] = False
    ends[:, -1] = True
    at = ends.argmax(axis=1)
    return Followed(at + 1, (running[np.arange(len(counts)), at] >= -_TIE).astype(np.int64))
