"""The day's plan: proved where it can be, searched with a stated bound where it cannot; and the plan made again."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from springwalk.errors import NotFound
from springwalk.plan.bound import upper_bound
from springwalk.plan.day import Candidate, DayPlan, Left, Person, Place, Roads
from springwalk.plan.greedy import Orders, greedy
from springwalk.plan.problem import Bools, Problem, can_alone, problem_of, value_of
from springwalk.plan.proved import best_order
from springwalk.plan.replay import route_of
from springwalk.plan.search import search

PROVED_UP_TO = 40
"""Candidates of one person up to which the day is proved best."""
ROUNDS = 4_000
GUARD_S = 120.0
"""The clock only guards; searches end by their own count of work."""
SAME_MONEY = 0.01
"""Money within which a value has reached its bound."""


@dataclass(frozen=True)
class Now:
    """Where someone on the road is, and at what minute."""

    place: Place
    minute: float


def plan_day(
    candidates: Iterable[Candidate], people: Iterable[Person], roads: Roads, wage_per_h: float, *,
    seed: int = 1, rounds: int = ROUNDS, guard_s: float = GUARD_S, prove_up_to: int = PROVED_UP_TO,
) -> DayPlan:  # fmt: skip
    """The order of visits worth most: prizes less wage × paid minutes, forced fields before any prize.

    Minutes from midnight, metres, money in the unit of the prizes. One person and up to 40 candidates worth a look
    (``prove_up_to``) is proved; more is searched, with an upper bound. Raises BadValue for names given twice and
    impossible numbers.
    The same day comes out of the same candidates in any order, people in any order, and seed.
    """
    whole = problem_of(candidates, people, roads, wage_per_h)
    alone: Bools = np.any(can_alone(whole), axis=0)
    # A field that pays less than its own time in it never pays, since driving there takes no time off (triangle).
    worth: Bools = alone & (whole.forced | (whole.prize > whole.wage_per_min * whole.service))
    problem = problem_of(
        [c for c, w in zip(whole.candidates, worth, strict=True) if w], whole.people, roads, wage_per_h
    )
    if problem.k == 1 and problem.n <= prove_up_to:
        orders, bound, closed, by_clock = _proved(problem, seed, guard_s)
    else:
        orders, bound, closed, by_clock = _searched(problem, seed, rounds, guard_s)
    value = value_of(problem, orders)
    proved = closed and bound - value <= SAME_MONEY
    visited = {problem.candidates[i].name for order in orders for i in order}
    return DayPlan(
        routes=tuple(route_of(problem, p, order) for p, order in enumerate(orders)),
        value=value,
        bound=max(value, bound),
        proved=proved,
        forced_left=tuple(
            Left(c.name, c.forced, "together" if fits else "alone")
            for c, fits in zip(whole.candidates, alone, strict=True)
            if c.forced and c.name not in visited
        ),
        not_today=tuple(c.name for c in whole.candidates if c.name not in visited),
        stopped_by_clock=by_clock,
        basis=roads.basis,
    )


def replan(
    candidates: Iterable[Candidate], people: Iterable[Person], roads: Roads, wage_per_h: float, *,
    done: Collection[str], now: Mapping[str, Now], seed: int = 1, rounds: int = ROUNDS, guard_s: float = GUARD_S,
) -> DayPlan:  # fmt: skip
    """The rest of the day, from where people are; the way home is always in it.

    ``done`` names the fields that are walked, or that somebody is walking; ``now`` says where each person on the
    road will next be free. People without a ``now`` have not set out. Raises NotFound for a name nobody gave.
    """
    fields, team = list(candidates), list(people)
    for what, names, known in (("candidate", done, {c.name for c in fields}), ("person", now, {p.name for p in team})):
        lost = sorted(set(names) - known)
        if lost:
            raise NotFound(what, lost[0], "is not of this day", f"use one of {', '.join(sorted(known)[:5])}")
    rest = [c for c in fields if c.name not in done]
    moved = [
        replace(p, start=now[p.name].place, from_min=now[p.name].minute, out=True) if p.name in now else p for p in team
    ]
    return plan_day(rest, moved, roads, wage_per_h, seed=seed, rounds=rounds, guard_s=guard_s)


def _proved(problem: Problem, seed: int, guard_s: float) -> tuple[Orders, float, bool, bool]:
    found = best_order(problem, seed=seed, guard_s=guard_s)
    return [list(found.order)], found.bound, found.closed, found.by_clock


def _searched(problem: Problem, seed: int, rounds: int, guard_s: float) -> tuple[Orders, float, bool, bool]:
    """(orders, bound, whether all forced fields are in, whether the clock ended the search)."""
    orders, by_clock = search(problem, greedy(problem), seed=seed, rounds=rounds, guard_s=guard_s)
    kept = sum(bool(problem.forced[i]) for order in orders for i in order)
    return orders, upper_bound(problem, orders), kept == int(np.count_nonzero(problem.forced)), by_clock
