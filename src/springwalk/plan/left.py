"""What stays behind: for each field not in the day, what it would add and whether it was hours that kept it out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from springwalk.plan.day import Candidate, DayPlan, Person, Roads
from springwalk.plan.greedy import added_min, cheapest
from springwalk.plan.problem import HOURS_SLACK_MIN, Problem, can_alone, problem_of

Why = Literal["hours", "small", "closed"]
"""``hours``: it pays and does not fit; ``small``: it would not pay its own minutes; ``closed``: it opens too late."""


@dataclass(frozen=True)
class Behind:
    """A field left behind: the fewest paid minutes it would add, and its prize less their wage (money)."""

    name: str
    why: Why
    added_min: float
    gain: float


def left_behind(
    candidates: Iterable[Candidate], people: Iterable[Person], roads: Roads, wage_per_h: float, plan: DayPlan
) -> tuple[Behind, ...]:
    """Every candidate that is not in the plan, by name; money in the unit of the prizes, minutes paid.

    The minutes are those of the best place in the routes as they are, hours not asked.
    """
    problem = problem_of(candidates, people, roads, wage_per_h)
    place = {c.name: i for i, c in enumerate(problem.candidates)}
    routes = {route.person: route for route in plan.routes}
    orders = [[place[stay.name] for stay in routes[p.name].stays] for p in problem.people]
    alone = np.any(can_alone(problem), axis=0)
    out = []
    for name in sorted(plan.not_today):
        i = place[name]
        added = min(min(added_min(problem, p, order, i)) for p, order in enumerate(orders))
        gain = float(problem.prize[i] - problem.wage_per_min * added)
        why: Why = "small" if gain <= 0.0 else "hours" if alone[i] or not _opens_late(problem, i) else "closed"
        fits = cheapest(problem, orders, i)
        if why == "hours" and fits is not None and problem.prize[i] <= problem.wage_per_min * fits[0]:
            why = "small"
        out.append(Behind(name, why, added, gain))
    return tuple(out)


def _opens_late(problem: Problem, i: int) -> bool:
    """Whether somebody could do it and be home in time, were it open from the start."""
    way = problem.out[:, i] + problem.service[i] + problem.back[i, :]
    return bool(np.any(way <= problem.hours_min + HOURS_SLACK_MIN))
