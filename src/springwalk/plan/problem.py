"""The day as arrays: sorted by name, so that the order of the input never matters."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from springwalk.errors import BadValue
from springwalk.plan.day import Candidate, Person, Roads
from springwalk.plan.roads import driving_min

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
HOURS_SLACK_MIN = 1e-9
"""Sums of the same minutes in another order differ by less."""


@dataclass(frozen=True, eq=False)
class Problem:
    """``n`` candidates and ``k`` people as arrays; minutes and money, nothing missing.

    ``drive[i, j]`` from field to field (turning in at j included), ``out[p, i]`` from p's start to a field,
    ``back[i, p]`` from a field to p's end, ``idle[p]`` the paid way home of someone who is out and visits nothing.
    """

    candidates: tuple[Candidate, ...]
    people: tuple[Person, ...]
    wage_per_min: float
    prize: Floats
    service: Floats
    opens: Floats
    forced: Bools
    drive: Floats
    out: Floats
    back: Floats
    idle: Floats
    start: Floats
    until: Floats

    @property
    def n(self) -> int:
        """How many candidates."""
        return len(self.candidates)

    @property
    def k(self) -> int:
        """How many people."""
        return len(self.people)

    @property
    def hours_min(self) -> Floats:
        """Minutes each person has, never below 0."""
        return np.maximum(self.until - self.start, 0.0)


def problem_of(candidates: Iterable[Candidate], people: Iterable[Person], roads: Roads, wage_per_h: float) -> Problem:
    """The arrays of a day; raises BadValue for names given twice, minutes or money that cannot be."""
    fields = tuple(sorted(candidates, key=lambda c: c.name))
    team = tuple(sorted(people, key=lambda p: p.name))
    _check(fields, team, roads, wage_per_h)
    places = _places([c.place for c in fields])
    starts, ends = _places([p.start for p in team]), _places([p.end for p in team])
    home = driving_min(starts, ends, roads, turn_in=False)
    return Problem(
        candidates=fields,
        people=team,
        wage_per_min=wage_per_h / 60,
        prize=np.array([c.prize for c in fields], float),
        service=np.array([c.service_min for c in fields], float),
        opens=np.array([c.opens_min for c in fields], float),
        forced=np.array([bool(c.forced) for c in fields], bool),
        drive=driving_min(places, places, roads, turn_in=True),
        out=driving_min(starts, places, roads, turn_in=True),
        back=driving_min(places, ends, roads, turn_in=False),
        idle=np.where([p.out for p in team], np.diagonal(home), 0.0),
        start=np.array([p.from_min for p in team], float),
        until=np.array([p.until_min for p in team], float),
    )


def work_min(problem: Problem, person: int, order: Sequence[int]) -> float:
    """Driving and field minutes of one person's order, home included."""
    if not order:
        return float(problem.idle[person])
    legs = sum(problem.drive[i, j] for i, j in pairwise(order))
    ways = problem.out[person, order[0]] + problem.back[order[-1], person]
    return float(legs + ways + sum(problem.service[i] for i in order))


def home_min(problem: Problem, person: int, order: Sequence[int]) -> float:
    """The minute a person is home when every field is entered as early as it may be."""
    now = float(problem.start[person])
    if not order:
        return now + float(problem.idle[person])
    step = problem.out[person, order[0]]
    for at, i in enumerate(order):
        now = max(now + step, problem.opens[i]) + problem.service[i]
        step = problem.drive[i, order[at + 1]] if at + 1 < len(order) else problem.back[i, person]
    return float(now + step)


def in_time(problem: Problem, person: int, order: Sequence[int]) -> bool:
    """Whether an order ends within the person's hours; to stay at home always does."""
    return not order or home_min(problem, person, order) <= problem.until[person] + HOURS_SLACK_MIN


def value_of(problem: Problem, orders: Sequence[Sequence[int]]) -> float:
    """Prizes less paid minutes of a whole day, one order a person."""
    prizes = sum(problem.prize[i] for order in orders for i in order)
    return float(prizes - problem.wage_per_min * sum(work_min(problem, p, order) for p, order in enumerate(orders)))


def can_alone(problem: Problem) -> Bools:
    """Which candidate each person could visit if it were the only one, shape (k, n)."""
    can = [[in_time(problem, p, (i,)) for i in range(problem.n)] for p in range(problem.k)]
    return np.array(can, bool).reshape(problem.k, problem.n)


def _places(places: Sequence[tuple[float, float]]) -> Floats:
    return np.array(places, float).reshape(-1, 2)


def _check(fields: Sequence[Candidate], team: Sequence[Person], roads: Roads, wage_per_h: float) -> None:
    if not team:
        raise BadValue("people", 0, "nobody walks today", "give at least one person")
    for what, names in (("candidate", [c.name for c in fields]), ("person", [p.name for p in team])):
        twice = next((a for a, b in pairwise(names) if a == b), None)
        if twice is not None:
            raise BadValue(what, twice, "given twice", "give each name once")
    for name, value, unit in (("speed", roads.speed_km_h, "km/h"), ("road factor", roads.factor, "")):
        if not 0 < value < np.inf:
            raise BadValue(name, value, "must be above 0", "give a number above 0", unit=unit)
    stays = [(f"{c.name} time in the field", c.service_min, "min") for c in fields]
    for name, value, unit in (("turn-in time", roads.turn_in_min, "min"), ("wage", wage_per_h, "per h"), *stays):
        if not 0 <= value < np.inf:
            raise BadValue(name, value, "must be 0 or more", "give a number from 0 up", unit=unit)
    for c in fields:
        if not np.isfinite([c.prize, c.opens_min, *c.place]).all():
            raise BadValue(f"{c.name} prize, opening or place", "not a number", "must be known", "leave the field out")
    for p in team:
        if not np.isfinite([p.from_min, p.until_min, *p.start, *p.end]).all():
            raise BadValue(f"{p.name} hours or place", "not a number", "must be known", "give hours, start and end")
        if p.until_min < p.from_min and not p.out:
            span = f"{p.from_min:g} to {p.until_min:g}"
            raise BadValue(f"{p.name} hours", span, "must run forward", "give the earlier minute first", unit="min")
