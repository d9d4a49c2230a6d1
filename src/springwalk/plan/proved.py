"""One person's best day, proved: a circuit with optional stops, solved exactly.

Minutes and money become whole numbers: minutes rounded down and prizes up for the proof, so that its bound holds for
the real day; the order found is then checked in real minutes. Only where the rounding let through an order that is
really too long, a second search with minutes rounded up finds one that is not.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from ortools.sat.python import cp_model

from springwalk.plan.greedy import greedy
from springwalk.plan.problem import Problem, in_time, value_of
from springwalk.plan.search import search

PER_MIN = 1_000_000
"""Steps in a minute: coarser steps lose real days (a known benchmark loses 6 of 474 points at 1e-4)."""
PER_MONEY = 10_000
EFFORT = 60.0
"""The solver's own count of work after which it stops without proof; about as many seconds on one core."""
GUARD_S = 120.0
WARM_ROUNDS = 300
"""Rounds of the search that gives the solver a day to begin with."""
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Found:
    """An order, an upper bound on the money of any order that keeps as many forced fields, and how it ended."""

    order: tuple[int, ...]
    bound: float
    closed: bool
    """The search ended by itself, so nothing better exists."""
    by_clock: bool


def best_order(problem: Problem, *, seed: int, effort: float = EFFORT, guard_s: float = GUARD_S) -> Found:
    """The best order of a day with one person: first as many forced fields as can be kept, then the money.

    Openings that bind make the proof hard (minutes, or none within the effort); so the day without them is solved
    first: where its order keeps them it is the answer, else its bound still holds.
    """
    limits = (seed, effort, guard_s)
    found, stopped = search(problem, greedy(problem), seed=seed, rounds=WARM_ROUNDS, guard_s=guard_s)
    start, model = found[0], _Model(problem, up=False)
    keep, closed, by_clock = int(problem.forced[start].sum()), True, False
    if keep < problem.forced.sum():
        keep, closed, by_clock = model.most_forced(limits, start)
    always_open = replace(problem, opens=np.minimum(problem.opens, problem.start[0]))
    first = _Model(always_open, up=False).most_money(keep, limits, start)
    if in_time(problem, 0, first.order) or (problem.opens <= problem.start[0]).all():
        money = first
    else:
        money = model.most_money(keep, limits, start)
        money = replace(money, bound=min(money.bound, first.bound))
    order = money.order
    if not in_time(problem, 0, order):
        order = _Model(problem, up=True).most_money(keep, limits, start).order
    if not in_time(problem, 0, order) or _better(problem, start, order):
        order = tuple(start)
    return Found(order, money.bound, closed and money.closed, stopped or by_clock or money.by_clock)


def _better(problem: Problem, one: Sequence[int], other: Sequence[int]) -> bool:
    """Whether one order beats another: more forced fields, then more money."""
    a, b = ((int(problem.forced[list(o)].sum()), value_of(problem, [o])) for o in (one, other))
    return a > b


class _Model:
    """The circuit of one person: node 0 is start and end, node i + 1 is candidate i."""

    def __init__(self, problem: Problem, *, up: bool) -> None:
        self.problem, self.up = problem, up
        self.model = cp_model.CpModel()
        n = problem.n
        self.arcs: dict[tuple[int, int], cp_model.IntVar] = {}
        self.stay = [self.model.new_bool_var(f"not {i}") for i in range(n)]
        self.home = self.model.new_bool_var("at home")
        self.minutes = self._minutes()
        circuit: list[tuple[int, int, cp_model.IntVar]] = [(0, 0, self.home)]
        circuit += [(i + 1, i + 1, self.stay[i]) for i in range(n)]
        self.hours = int(_round(problem.hours_min * PER_MIN, up=not up)[0])
        for a in range(n + 1):
            for b in range(n + 1):
                if a != b and self._can(a, b):
                    self.arcs[a, b] = self.model.new_bool_var(f"{a} {b}")
                    circuit.append((a, b, self.arcs[a, b]))
        self.model.add_circuit(circuit)
        for i in range(n):
            self.model.add_implication(self.home, self.stay[i])
        work = sum(int(self.minutes[a, b]) * arc for (a, b), arc in self.arcs.items())
        self.model.add(work <= self.hours)
        if (problem.opens > problem.start[0]).any():
            self._openings()

    def _minutes(self) -> Ints:
        """Minutes of each arc with the field time at its head, in steps."""
        p, n = self.problem, self.problem.n
        real = np.zeros((n + 1, n + 1))
        real[0, 1:], real[1:, 0], real[1:, 1:] = p.out[0] + p.service, p.back[:, 0], p.drive + p.service
        return _round(real * PER_MIN, up=self.up)

    def _can(self, a: int, b: int) -> bool:
        """Whether an arc can lie on any order within the hours, by itself."""
        tail = 0 if a == 0 else self.minutes[0, a]
        head = 0 if b == 0 else self.minutes[b, 0]
        return bool(tail + self.minutes[a, b] + head <= self.hours)

    def _openings(self) -> None:
        """Clock at which each field is left: not before it opened and was walked, not too late to be home."""
        p = self.problem
        opens = _round(np.maximum(p.opens - p.start[0], 0) * PER_MIN, up=self.up)
        low = np.maximum(opens + _round(p.service * PER_MIN, up=self.up), self.minutes[0, 1:])
        high = self.hours - self.minutes[1:, 0]
        for i in np.flatnonzero(low > high):
            self.model.add(self.stay[i] == 1)
        high = np.maximum(low, high)
        left = [self.model.new_int_var(int(low[i]), int(high[i]), f"left {i}") for i in range(p.n)]
        for (a, b), arc in self.arcs.items():
            if not (a and b):
                continue
            step = int(self.minutes[a, b])
            if low[a - 1] + step > high[b - 1]:
                self.model.add(arc == 0)
            else:
                self.model.add(left[b - 1] >= left[a - 1] + step).only_enforce_if(arc)

    def most_forced(self, limits: tuple[int, float, float], start: Sequence[int]) -> tuple[int, bool, bool]:
        """(how many forced fields can be kept, whether that is proved, whether the clock ended the search)."""
        self.model.maximize(self._kept())
        solver, closed, by_clock = self._solve(limits, start)
        return round(solver.objective_value), closed, by_clock

    def most_money(self, keep: int, limits: tuple[int, float, float], start: Sequence[int]) -> Found:
        """The order worth most among those with at least ``keep`` forced fields."""
        p = self.problem
        self.model.add(self._kept() >= keep)
        prize = _round(p.prize * PER_MONEY, up=not self.up)
        cost = self.minutes / PER_MIN * p.wage_per_min * PER_MONEY
        pay = _round(cost, up=self.up)
        idle = int(_round(p.idle * p.wage_per_min * PER_MONEY, up=self.up)[0])
        gains = sum(int(prize[i]) * (1 - self.stay[i]) for i in range(p.n))
        pays = sum(int(pay[a, b]) * arc for (a, b), arc in self.arcs.items())
        self.model.maximize(gains - pays - idle * self.home)
        solver, closed, by_clock = self._solve(limits, start)
        return Found(self._order(solver), solver.best_objective_bound / PER_MONEY, closed, by_clock)

    def _kept(self) -> cp_model.LinearExpr:
        return sum(1 - self.stay[int(i)] for i in np.flatnonzero(self.problem.forced))  # type: ignore[return-value]

    def _solve(self, limits: tuple[int, float, float], start: Sequence[int]) -> tuple[cp_model.CpSolver, bool, bool]:
        self._hint(start)
        solver = cp_model.CpSolver()
        solver.parameters.random_seed, solver.parameters.max_deterministic_time, guard = limits
        solver.parameters.max_time_in_seconds = guard
        solver.parameters.num_workers = 1
        solver.parameters.linearization_level = 2
        began = time.monotonic()
        status = solver.solve(self.model)
        closed = status == cp_model.OPTIMAL
        return solver, closed, not closed and time.monotonic() - began >= guard

    def _hint(self, start: Sequence[int]) -> None:
        on = set(zip([0, *[i + 1 for i in start]], [*[i + 1 for i in start], 0], strict=True)) if start else set()
        self.model.clear_hints()  # type: ignore[no-untyped-call]
        for pair, arc in self.arcs.items():
            self.model.add_hint(arc, pair in on)
        for i, stay in enumerate(self.stay):
            self.model.add_hint(stay, i not in start)

    def _order(self, solver: cp_model.CpSolver) -> tuple[int, ...]:
        after = {a: b for (a, b), arc in self.arcs.items() if solver.boolean_value(arc)}
        order, at = [], after.get(0, 0)
        while at:
            order.append(at - 1)
            at = after[at]
        return tuple(order)


def _round(values: NDArray[np.float64], *, up: bool) -> Ints:
    """Whole steps, up or down; a hair is allowed so that a whole number stays itself."""
    whole: Ints = (np.ceil(values - 1e-6) if up else np.floor(values + 1e-6)).astype(np.int64)
    return whole
