"""Small days for tests, and the best of them by trying everything."""

from __future__ import annotations

from itertools import combinations, permutations, product

import numpy as np

from springwalk.plan.day import Candidate, Person, Roads
from springwalk.plan.problem import Problem, in_time, value_of

ROADS = Roads(speed_km_h=60.0, factor=1.0, turn_in_min=2.0, basis="made up")
"""1 km a minute, and two minutes at each gate."""
WAGE_PER_H = 30.0


def field(name: str, east_km: float, prize: float = 50.0, service_min: float = 10.0, **more: object) -> Candidate:
    """A field so many kilometres east of home."""
    return Candidate(name, (east_km * 1000, 0.0), prize, service_min, **more)  # type: ignore[arg-type]


def walker(minutes: float = 120.0, name: str = "ann", **more: object) -> Person:
    """Someone who starts and ends at home at minute 0."""
    return Person(name, (0.0, 0.0), (0.0, 0.0), 0.0, minutes, **more)  # type: ignore[arg-type]


def small_day(seed: int, fields: int, people: int) -> tuple[list[Candidate], list[Person]]:
    """A short day in which hours bind, some fields open late and some are forced."""
    rng = np.random.default_rng(seed)
    candidates = [
        Candidate(
            f"f{i}", (float(rng.uniform(-15e3, 15e3)), float(rng.uniform(-15e3, 15e3))), float(rng.gamma(1.5, 25)),
            float(rng.uniform(5, 25)), float(rng.choice([0.0, 0.0, 60.0, 90.0])), str(rng.choice(["", "", "promised"])),
        )
        for i in range(fields)
    ]  # fmt: skip
    team = [
        Person(f"p{k}", (float(rng.uniform(-9e3, 9e3)), 0.0), (0.0, float(rng.uniform(-9e3, 9e3))), 0.0, 110.0)
        for k in range(people)
    ]
    return candidates, team


def best_by_trying(problem: Problem) -> tuple[int, float]:
    """(most forced fields, most money with that many) over every day there is; for six fields or fewer."""
    best = (0, value_of(problem, [[] for _ in range(problem.k)]))
    for who in product(range(-1, problem.k), repeat=problem.n):
        routes = [_best_order(problem, p, [i for i, w in enumerate(who) if w == p]) for p in range(problem.k)]
        if all(route is not None for route in routes):
            orders = [list(route or ()) for route in routes]
            kept = sum(bool(problem.forced[i]) for order in orders for i in order)
            best = max(best, (kept, value_of(problem, orders)))
    return best


def money_by_trying(problem: Problem, keep: set[str]) -> float:
    """The most money over every day that visits at least the named fields."""
    must = {i for i, c in enumerate(problem.candidates) if c.name in keep}
    best = -np.inf
    for size in range(problem.n + 1):
        for chosen in combinations(range(problem.n), size):
            if must <= set(chosen):
                best = max(best, _best_split(problem, chosen))
    return float(best)


def _best_split(problem: Problem, chosen: tuple[int, ...]) -> float:
    best = -np.inf
    for who in product(range(problem.k), repeat=len(chosen)):
        routes = [
            _best_order(problem, p, [i for i, w in zip(chosen, who, strict=True) if w == p]) for p in range(problem.k)
        ]
        if all(route is not None for route in routes):
            best = max(best, value_of(problem, [list(route or ()) for route in routes]))
    return float(best)


def _best_order(problem: Problem, person: int, fields: list[int]) -> tuple[int, ...] | None:
    orders = [order for order in permutations(fields) if in_time(problem, person, order)]
    worth = [(value_of(problem, [order if p == person else () for p in range(problem.k)]), order) for order in orders]
    return max(worth)[1] if worth else None
