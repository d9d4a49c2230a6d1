"""A plan played minute by minute: the proof that it is feasible."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import hypot
from typing import TypeVar

from springwalk.errors import NotFound
from springwalk.plan.day import Candidate, DayPlan, Person, Place, Roads, Route, Stay, Timeline
from springwalk.plan.problem import HOURS_SLACK_MIN, Problem, home_min, work_min

T = TypeVar("T")


def route_of(problem: Problem, person: int, order: Sequence[int]) -> Route:
    """One person's order in real-valued minutes, leaving late enough that nobody waits at a gate.

    With opening times only, leaving at (earliest end − work) reaches every field after it opens and is home at the
    same minute; so waiting is never paid. Someone already out does any waiting where they stand now.
    """
    home, work = home_min(problem, person, order), work_min(problem, person, order)
    now = go = home - work
    stays = []
    for at, i in enumerate(order):
        now += float(problem.drive[order[at - 1], i] if at else problem.out[person, i])
        stays.append(Stay(problem.candidates[i].name, now, now + float(problem.service[i])))
        now = stays[-1].leave_min
    who = problem.people[person]
    return Route(who.name, go, tuple(stays), home, work, _late(home, who, bool(order)))


def replay(plan: DayPlan, candidates: Iterable[Candidate], people: Iterable[Person], roads: Roads) -> Timeline:
    """The plan driven and walked from its order and leaving times alone, without the solver's arrays.

    Whoever comes before a field opens waits; raises NotFound for a field or person the plan names and nobody gave.
    """
    fields, team = {c.name: c for c in candidates}, {p.name: p for p in people}
    return Timeline(tuple(_play(route, fields, team, roads) for route in plan.routes))


def _play(route: Route, fields: dict[str, Candidate], team: dict[str, Person], roads: Roads) -> Route:
    person = _named("person", route.person, team)
    where, go = person.start, max(route.go_min, person.from_min)
    now, work, stays = go, 0.0, []
    for stay in route.stays:
        field = _named("candidate", stay.name, fields)
        drive = _minutes(where, field.place, roads) + roads.turn_in_min
        arrive = max(now + drive, field.opens_min)
        now, where = arrive + field.service_min, field.place
        work += drive + field.service_min
        stays.append(Stay(stay.name, arrive, now))
    drive = _minutes(where, person.end, roads) if stays or person.out else 0.0
    home = now + drive
    return Route(person.name, go, tuple(stays), home, work + drive, _late(home, person, bool(stays)))


def _late(home: float, person: Person, goes: bool) -> float:
    over = home - person.until_min
    return over if over > HOURS_SLACK_MIN and (goes or person.out) else 0.0


def _minutes(start: Place, end: Place, roads: Roads) -> float:
    return hypot(end[0] - start[0], end[1] - start[1]) * roads.factor / (roads.speed_km_h * 1000 / 60)


def _named(what: str, name: str, known: dict[str, T]) -> T:
    if name not in known:
        raise NotFound(what, name, "is in the plan and was not given", "give the day the plan was made for")
    return known[name]
