"""Made-up days: how good the plan is against greedy insertion and against its own bound, and what it costs."""

from __future__ import annotations

import time
from dataclasses import dataclass

import numpy as np

from springwalk.plan.day import Candidate, Person, Roads
from springwalk.plan.greedy import Orders, cheapest, greedy
from springwalk.plan.problem import Problem, problem_of, value_of
from springwalk.plan.replay import replay
from springwalk.plan.solve import plan_day

ROADS = Roads(speed_km_h=60.0, factor=1.27, turn_in_min=3.0, basis="made up for the benchmark")
WAGE_PER_H = 40.0
NINE_HOURS_MIN, SEVEN_HOURS_MIN = (7 * 60.0, 16 * 60.0), (7 * 60.0, 14 * 60.0)


def made_up_day(
    seed: int, fields: int, people: int, hours_min: tuple[float, float] = NINE_HOURS_MIN
) -> tuple[list[Candidate], list[Person]]:
    """Fields in growers' clusters over 50 × 40 km, 12–45 minutes each, prizes skewed as money is."""
    rng = np.random.default_rng(seed)
    farms = rng.uniform((0, 0), (50_000, 40_000), (max(1, fields // 6), 2))
    places = farms[rng.integers(len(farms), size=fields)] + rng.normal(0, 2_500, (fields, 2))
    prizes = rng.gamma(1.2, 60.0, fields)
    minutes = rng.uniform(12, 45, fields)
    homes = rng.uniform((10_000, 10_000), (40_000, 30_000), (people, 2))
    return (
        [
            Candidate(f"field {i:03d}", (float(x), float(y)), float(prize), float(stay))
            for i, ((x, y), prize, stay) in enumerate(zip(places, prizes, minutes, strict=True))
        ],
        [
            Person(f"scout {p}", (float(x), float(y)), (float(x), float(y)), *hours_min)
            for p, (x, y) in enumerate(homes)
        ],
    )


@dataclass(frozen=True)
class Seen:
    """One made-up day: the plan's value over greedy insertion and over its bound, and the seconds it took."""

    fields: int
    people: int
    seed: int
    over_greedy: float
    over_plain_greedy: float
    of_bound: float
    bound_over_greedy: float
    proved: bool
    late_min: float
    seconds: float


def play(seed: int, fields: int, people: int, hours_min: tuple[float, float] = NINE_HOURS_MIN) -> Seen:
    """Plan one day, replay it, and set it beside two greedy insertions."""
    candidates, team = made_up_day(seed, fields, people, hours_min)
    began = time.perf_counter()
    day = plan_day(candidates, team, ROADS, WAGE_PER_H)
    seconds = time.perf_counter() - began
    problem = problem_of(candidates, team, ROADS, WAGE_PER_H)
    by_minute = value_of(problem, greedy(problem))
    late = max(route.late_min for route in replay(day, candidates, team, ROADS).routes)
    return Seen(
        fields, people, seed, day.value / by_minute, day.value / value_of(problem, plain_greedy(problem)),
        day.value / day.bound, day.bound / by_minute, day.proved, late, seconds,
    )  # fmt: skip


def plain_greedy(problem: Problem) -> Orders:
    """The other greedy insertion: the most money first, its minutes paid but not weighed as scarce."""
    orders: Orders = [[] for _ in range(problem.k)]
    waiting = set(range(problem.n))
    while True:
        spots = {i: spot for i in sorted(waiting) if (spot := cheapest(problem, orders, i)) is not None}
        gains = {i: problem.prize[i] - problem.wage_per_min * spot[0] for i, spot in spots.items()}
        best = max(gains, key=lambda i: gains[i], default=None)
        if best is None or gains[best] <= 0:
            return orders
        _, person, at = spots[best]
        orders[person].insert(at, best)
        waiting.remove(best)


def run(days: int = 10) -> None:
    """Print ten days of each size; seconds as seen, everything else repeats."""
    for fields, people, span in ((40, 1, NINE_HOURS_MIN), (200, 3, NINE_HOURS_MIN), (200, 3, SEVEN_HOURS_MIN)):
        seen = [play(seed, fields, people, span) for seed in range(days)]
        hours = (span[1] - span[0]) / 60.0
        print(f"{fields} candidates, {people} people, {hours:g} hours, {days} made-up days (mean, least to most):")
        for what, name in (
            ("value / greedy by money a minute", "over_greedy"), ("value / greedy by money", "over_plain_greedy"),
            ("value / bound", "of_bound"), ("bound / greedy by money a minute", "bound_over_greedy"),
            ("minutes after hours", "late_min"), ("seconds", "seconds"),
        ):  # fmt: skip
            values = [getattr(one, name) for one in seen]
            print(f"  {what:34s} {np.mean(values):7.3f}  {min(values):7.3f} to {max(values):7.3f}")
        print(f"  proved {sum(one.proved for one in seen)} of {days}")


if __name__ == "__main__":
    run()
