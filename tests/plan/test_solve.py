"""The day's plan against every day there is, and the promises it makes."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from benchmarks.day import ROADS as COUNTRY, WAGE_PER_H as PAY, made_up_day, play
from springwalk.errors import BadValue, NotFound
from springwalk.plan.bound import upper_bound
from springwalk.plan.day import Candidate, Person
from springwalk.plan.problem import problem_of, work_min
from springwalk.plan.replay import replay
from springwalk.plan.solve import Now, plan_day, replan
from tests.plan.days import ROADS, WAGE_PER_H, best_by_trying, field, money_by_trying, small_day, walker

SEEDS = range(12)


def forced_in(candidates: list[Candidate], visited: set[str]) -> int:
    """How many forced fields a day visits."""
    return sum(bool(c.forced) and c.name in visited for c in candidates)


@pytest.mark.parametrize("seed", SEEDS)
def test_one_persons_day_is_the_best_there_is(seed: int) -> None:
    """Proved must mean that trying every order, with forced fields, openings and hours, finds nothing better."""
    candidates, team = small_day(seed, fields=6, people=1)
    day = plan_day(candidates, team, ROADS, WAGE_PER_H)
    kept, money = best_by_trying(problem_of(candidates, team, ROADS, WAGE_PER_H))
    visited = {stay.name for route in day.routes for stay in route.stays}
    assert day.proved
    assert (forced_in(candidates, visited), day.value) == (kept, pytest.approx(money, abs=0.01))


@pytest.mark.parametrize("seed", range(6))
def test_no_day_of_two_people_beats_the_bound(seed: int) -> None:
    """The bound is a promise about every day that keeps the same forced fields, not about those we searched."""
    candidates, team = small_day(seed, fields=5, people=2)
    day = plan_day(candidates, team, ROADS, WAGE_PER_H, rounds=200)
    kept = {c.name for c in candidates if c.forced} - {left.name for left in day.forced_left}
    best = money_by_trying(problem_of(candidates, team, ROADS, WAGE_PER_H), kept)
    assert day.value <= best + 1e-9
    assert best <= day.bound + 1e-9


@pytest.mark.parametrize("seed", range(4))
def test_bound_of_the_relaxation_lies_close_above_the_proved_best(seed: int) -> None:
    """Two solvers that share no code: a bound below the best is a lie, one far above says nothing."""
    candidates, team = made_up_day(seed, 20, 1)
    problem = problem_of(candidates, team, COUNTRY, PAY)
    best = plan_day(candidates, team, COUNTRY, PAY)
    assert best.proved
    assert best.value <= upper_bound(problem, [[]]) <= 1.02 * best.value


@pytest.mark.slow
@pytest.mark.parametrize(("fields", "people", "rounds"), [(25, 1, 0), (60, 3, 300)])
def test_same_day_whatever_the_order_of_the_input(fields: int, people: int, rounds: int) -> None:
    """A sheet that changes when a file is sorted is a sheet nobody trusts."""
    candidates, team = made_up_day(7, fields, people)
    first = plan_day(candidates, team, COUNTRY, PAY, rounds=rounds)
    shuffled, others = random.Random(3).sample(candidates, fields), list(reversed(team))
    assert plan_day(shuffled, others, COUNTRY, PAY, rounds=rounds) == first


@pytest.mark.slow
@pytest.mark.parametrize(("fields", "people"), [(20, 1), (60, 3)])
def test_replay_is_home_in_time_and_never_at_a_closed_gate(fields: int, people: int) -> None:
    """The plan's minutes come from arrays; driven again from places alone they must be the same and within hours."""
    candidates, team = made_up_day(11, fields, people)
    candidates = [replace(c, opens_min=600.0 + 20 * (i % 5)) if i % 3 == 0 else c for i, c in enumerate(candidates)]
    opens = {c.name: c.opens_min for c in candidates}
    day = plan_day(candidates, team, COUNTRY, PAY, rounds=200)
    played = replay(day, candidates, team, COUNTRY)
    assert played.in_hours
    for route, planned in zip(played.routes, day.routes, strict=True):
        assert route.home_min == pytest.approx(planned.home_min, abs=1e-6)
        assert route.work_min == pytest.approx(planned.work_min, abs=1e-6)
        assert [s.arrive_min for s in route.stays] == pytest.approx([s.arrive_min for s in planned.stays], abs=1e-6)
        assert all(stay.arrive_min >= opens[stay.name] - 1e-6 for stay in planned.stays)


def test_forced_field_comes_before_any_prize() -> None:
    """A promise is kept although the same hours would earn more elsewhere."""
    promised = field("promised", -40, prize=0, forced="promised")
    rich = field("rich", 40, prize=900)
    assert [s.name for s in plan_day([rich, promised], [walker()], ROADS, WAGE_PER_H).routes[0].stays] == ["promised"]
    free = replace(promised, forced="")
    assert [s.name for s in plan_day([rich, free], [walker()], ROADS, WAGE_PER_H).routes[0].stays] == ["rich"]


@pytest.mark.parametrize("people", [1, 2])
def test_forced_fields_that_cannot_be_done_are_named_with_why(people: int) -> None:
    """Too far for anyone is another talk with the grower than too many promises for one day."""
    team = [walker(name=f"p{i}") for i in range(people)]
    far = field("far", 200, forced="overdue")
    many = [field(f"near {i}", 30, service_min=45, forced="promised") for i in range(people + 1)]
    left = plan_day([far, *many], team, ROADS, WAGE_PER_H, rounds=100).forced_left
    assert [(x.forced, x.why) for x in left] == [("overdue", "alone"), ("promised", "together")]
    assert left[0].name == "far"


def test_field_that_costs_more_than_it_is_worth_is_left() -> None:
    """Hours are paid inside the objective, so a poor field far away is no visit."""
    day = plan_day([field("poor", 30, prize=30)], [walker()], ROADS, WAGE_PER_H)
    assert (day.routes[0].stays, day.value, day.not_today, day.proved) == ((), 0.0, ("poor",), True)


def test_a_late_opening_makes_a_late_start_not_paid_waiting() -> None:
    """Whoever has only one field, open from minute 60, is paid for 14 + 10 + 12 minutes and leaves home in time."""
    (route,) = plan_day([field("locked", 10, opens_min=60)], [walker()], ROADS, WAGE_PER_H).routes
    assert (route.go_min, route.stays[0].arrive_min, route.home_min, route.work_min) == (48, 60, 80, 32)


def test_opening_after_the_last_way_home_is_not_planned() -> None:
    """10 minutes in the field and 10 home do not fit after minute 101 of 120."""
    assert plan_day([field("locked", 10, opens_min=100)], [walker()], ROADS, WAGE_PER_H).routes[0].stays
    assert not plan_day([field("locked", 10, opens_min=101)], [walker()], ROADS, WAGE_PER_H).routes[0].stays


def test_made_again_after_each_field_the_way_home_is_always_feasible() -> None:
    """Fields take half as long again until the last hour: nobody is late and no field is walked twice."""
    candidates, (person,) = made_up_day(5, 15, 1)
    service = {c.name: c.service_min for c in candidates}
    day, done, now = plan_day(candidates, [person], COUNTRY, PAY), list[str](), dict[str, Now]()
    while day.routes[0].stays:
        stay = day.routes[0].stays[0]
        assert day.routes[0].late_min == 0
        done.append(stay.name)
        place = next(c.place for c in candidates if c.name == stay.name)
        last_chance = person.until_min - (day.routes[0].home_min - day.routes[0].stays[-1].leave_min) - 60
        took = service[stay.name] * (1.5 if stay.leave_min < last_chance else 1.0)
        now = {person.name: Now(place, stay.arrive_min + took)}
        day = replan(candidates, [person], COUNTRY, PAY, done=done, now=now)
    assert len(done) == len(set(done)) > 3
    assert day.routes[0].late_min == 0


def test_someone_too_late_is_sent_home_and_told_how_late() -> None:
    """After hours there is still a way home; it is said, not an error."""
    day = replan([field("x", 5)], [walker()], ROADS, WAGE_PER_H, done=[], now={"ann": Now((20_000.0, 0.0), 130.0)})
    (route,) = day.routes
    assert (route.stays, route.home_min, route.late_min, day.value) == ((), 150.0, 30.0, -10.0)
    assert not replay(
        day, [field("x", 5)], [replace(walker(), start=(20_000.0, 0.0), from_min=130, out=True)], ROADS
    ).in_hours


def test_no_candidates_is_a_day_at_home() -> None:
    """An empty sheet is an answer."""
    assert plan_day([], [walker()], ROADS, WAGE_PER_H).proved
    assert plan_day([], [walker(), walker(name="bob")], ROADS, WAGE_PER_H).value == 0


@pytest.mark.slow
def test_a_clock_that_ends_the_search_is_said_aloud() -> None:
    """Then the same inputs need not give the same day, and the sheet must say so."""
    candidates, team = made_up_day(1, 60, 2)
    day = plan_day(candidates, team, COUNTRY, PAY, guard_s=0.0)
    assert (day.stopped_by_clock, day.proved) == (True, False)
    assert day.value <= day.bound


@pytest.mark.slow
def test_two_people_do_more_than_one_and_no_field_twice() -> None:
    """A field walked twice would be paid twice."""
    candidates, team = made_up_day(2, 60, 2)
    both, one = (plan_day(candidates, some, COUNTRY, PAY, rounds=300) for some in (team, team[:1]))
    names = [stay.name for route in both.routes for stay in route.stays]
    assert len(names) == len(set(names))
    assert both.value > one.value
    assert sorted([*names, *both.not_today]) == sorted(c.name for c in candidates)


@pytest.mark.parametrize(
    ("candidates", "people", "text"),
    [
        ([], [], "people = 0: nobody walks today; give at least one person."),
        ([field("a", 1), field("a", 2)], [walker()], "candidate = a: given twice; give each name once."),
        ([field("a", 1, service_min=-1)], [walker()],
         "a time in the field = -1 min: must be 0 or more; give a number from 0 up."),
        ([field("a", 1, prize=float("nan"))], [walker()],
         "a prize, opening or place = not a number: must be known; leave the field out."),
        ([], [walker(-5)], "ann hours = 0 to -5 min: must run forward; give the earlier minute first."),
        ([], [walker(float("inf"))], "ann hours or place = not a number: must be known; give hours, start and end."),
    ],
)  # fmt: skip
def test_days_that_cannot_be_are_refused_in_words(candidates: list[Candidate], people: list[Person], text: str) -> None:
    """Nothing is repaired silently."""
    with pytest.raises(BadValue) as raised:
        plan_day(candidates, people, ROADS, WAGE_PER_H)
    assert str(raised.value) == text


@pytest.mark.parametrize(
    ("roads", "text"),
    [
        (replace(ROADS, speed_km_h=0), "speed = 0 km/h: must be above 0; give a number above 0."),
        (replace(ROADS, turn_in_min=-1), "turn-in time = -1 min: must be 0 or more; give a number from 0 up."),
    ],
)
def test_roads_that_cannot_be_are_refused(roads: object, text: str) -> None:
    """A speed of nought would make every plan empty without a word."""
    with pytest.raises(BadValue) as raised:
        plan_day([], [walker()], roads, WAGE_PER_H)  # type: ignore[arg-type]
    assert str(raised.value) == text


def test_names_nobody_gave_are_refused() -> None:
    """A field done under a mistyped name would be walked again."""
    with pytest.raises(NotFound) as raised:
        replan([field("a", 1)], [walker()], ROADS, WAGE_PER_H, done=["b"], now={})
    assert str(raised.value) == "candidate = b: is not of this day; use one of a."
    day = plan_day([field("a", 1)], [walker()], ROADS, WAGE_PER_H)
    with pytest.raises(NotFound) as raised:
        replay(day, [], [walker()], ROADS)
    assert str(raised.value) == "candidate = a: is in the plan and was not given; give the day the plan was made for."


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(10))
def test_forty_candidates_are_proved(seed: int) -> None:
    """The common day, one agronomist and up to forty fields, must be able to say that no better day exists."""
    seen = play(seed, fields=40, people=1)
    assert seen.proved
    assert seen.late_min == 0


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(10))
def test_three_people_and_two_hundred_candidates_reach_nine_tenths_of_the_bound(seed: int) -> None:
    """A heuristic is only worth its word with a bound close by, and it must beat greedy insertion."""
    seen = play(seed, fields=200, people=3)
    assert seen.of_bound >= 0.9
    assert seen.over_greedy > 1
    assert seen.late_min == 0


@pytest.mark.parametrize(
    ("spare_min", "visited", "proved"), [(0.0, 2, True), (1e-5, 2, True), (-2e-7, 1, False), (-1e-5, 1, True)]
)
def test_whole_number_steps_neither_lose_nor_gain_a_visit(spare_min: float, visited: int, proved: bool) -> None:
    """Steps of the solver must not drop a visit that just fits, nor let one through that is a hair too long.

    In that hair the solver's own proof speaks of a day that is too long, so no proof may be claimed.
    """
    pair = [Candidate("a", (7_000.1, 11_000.7), 500.0, 3.3), Candidate("b", (9_000.3, -2_000.9), 400.0, 7.7)]
    whole = problem_of(pair, [walker()], ROADS, WAGE_PER_H)
    day = plan_day(pair, [walker(work_min(whole, 0, [0, 1]) + spare_min)], ROADS, WAGE_PER_H)
    assert (len(day.routes[0].stays), day.proved) == (visited, proved)
    assert day.routes[0].late_min == 0
