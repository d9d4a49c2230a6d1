"""Greedy insertion: forced fields first, then the most money per added minute; a start for better searches."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from springwalk.plan.problem import Problem, in_time

Orders = list[list[int]]


def greedy(problem: Problem) -> Orders:
    """One order a person."""
    orders: Orders = [[] for _ in range(problem.k)]
    insert(problem, orders, [int(i) for i in np.flatnonzero(problem.forced)], free=True)
    insert(problem, orders, [int(i) for i in np.flatnonzero(~problem.forced)], free=False)
    return orders


def insert(problem: Problem, orders: Orders, pool: Sequence[int], *, free: bool) -> None:
    """Put fields of the pool where they add the fewest minutes, best money per added minute first.

    ``free``: the minutes are not weighed against the prize (forced fields), fewest added minutes first.
    """
    waiting = list(pool)
    while waiting:
        best: tuple[float, int, int, int] | None = None
        for i in waiting:
            spot = cheapest(problem, orders, i)
            if spot is None:
                continue
            added, person, at = spot
            gain = problem.prize[i] - problem.wage_per_min * added
            score = -added if free else gain / max(added, 1e-9)
            if (free or gain > 0) and (best is None or score > best[0]):
                best = (float(score), i, person, at)
        if best is None:
            return
        _, i, person, at = best
        orders[person].insert(at, i)
        waiting.remove(i)


def cheapest(problem: Problem, orders: Orders, i: int) -> tuple[float, int, int] | None:
    """(added minutes, person, position) of the cheapest place for a field that keeps the hours; None without one."""
    spots = sorted((a, p, at) for p, order in enumerate(orders) for at, a in enumerate(added_min(problem, p, order, i)))
    for added, p, at in spots:
        if in_time(problem, p, [*orders[p][:at], i, *orders[p][at:]]):
            return added, p, at
    return None


def added_min(problem: Problem, person: int, order: Sequence[int], i: int) -> list[float]:
    """Minutes that a field adds at each position of an order."""
    if not order:
        way = problem.out[person, i] + problem.service[i] + problem.back[i, person] - problem.idle[person]
        return [float(way)]
    before = np.concatenate(([problem.out[person, i]], problem.drive[list(order), i]))
    after = np.concatenate((problem.drive[i, list(order)], [problem.back[i, person]]))
    legs = problem.drive[list(order[:-1]), list(order[1:])]
    now = np.concatenate(([problem.out[person, order[0]]], legs, [problem.back[order[-1], person]]))
    return [float(x) for x in before + after - now + problem.service[i]]
