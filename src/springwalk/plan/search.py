"""Several people's day by ruin and recreate: take neighbouring stretches out, put fields back, keep what is worth it.

After Schrimpf et al. 2000 (ruin and recreate) with stretches of routes as the ruin, as Christiaens and Vanden Berghe
2020 do; theirs must visit everyone, ours weighs money per added minute. Ends by the number of rounds; seeded.
"""

from __future__ import annotations

import time
from collections.abc import Sequence

import numpy as np

from springwalk.plan.greedy import Orders
from springwalk.plan.problem import HOURS_SLACK_MIN, Floats, Problem, can_alone, in_time, value_of

LONGEST = 8
"""Fields in the longest stretch taken out of one route."""
WARM, COLD = 0.003, 0.0003
"""A worse day is kept for a while: losses of about these shares of the money, from the first round to the last."""
NOISE = 0.2
"""How far (log) the order of insertion is shaken, so that two rounds differ."""


class _Search:
    """The day being searched: nodes are fields, then starts, then ends; an edge is a place where a field fits."""

    def __init__(self, problem: Problem, seed: int, first_prize: float) -> None:
        self.p, self.rng = problem, np.random.default_rng(seed)
        n, k = problem.n, problem.k
        self.t = np.full((n + 2 * k, n + 2 * k), np.inf)
        self.t[:n, :n], self.t[n : n + k, :n] = problem.drive + problem.service, problem.out + problem.service
        self.t[:n, n + k :] = problem.back
        self.t[np.arange(n, n + k), np.arange(n + k, n + 2 * k)] = problem.idle
        self.prize = problem.prize + first_prize * problem.forced
        self.can = can_alone(problem)
        self.useful = self.can.any(axis=0) & (self.prize > problem.wage_per_min * problem.service)
        near = np.minimum(problem.drive, problem.drive.T)
        self.near = near.argsort(axis=1, kind="stable")
        self.hours = problem.hours_min
        self.timed = bool((problem.opens > problem.start.min()).any())

    def worth(self, orders: Orders) -> float:
        """Money with forced fields counted first."""
        bonus = sum(self.prize[i] - self.p.prize[i] for order in orders for i in order)
        return value_of(self.p, orders) + float(bonus)

    def ruin(self, orders: Orders) -> Orders:
        """Take a stretch near a random field out of one to three routes."""
        centre = int(self.rng.choice(np.flatnonzero(self.useful)))
        routes = int(self.rng.integers(1, 4))
        place = {i: p for p, order in enumerate(orders) for i in order}
        done: set[int] = set()
        left = [list(order) for order in orders]
        for i in self.near[centre]:
            person = place.get(int(i))
            if person is None or person in done:
                continue
            done.add(person)
            order = left[person]
            length = int(self.rng.integers(1, min(LONGEST, len(order)) + 1))
            at = order.index(int(i))
            low = int(self.rng.integers(max(0, at - length + 1), min(at, len(order) - length) + 1))
            del order[low : low + length]
            if len(done) >= routes:
                break
        return left

    def recreate(self, orders: Orders) -> None:
        """Insert fields while any pays, the most money per added minute first, shaken."""
        inside = np.zeros(self.p.n, bool)
        for order in orders:
            inside[order] = True
        pool = np.flatnonzero(self.useful & ~inside)
        shake = np.exp(self.rng.normal(0, NOISE, len(pool)))
        people = [self._edges(p, order, pool) for p, order in enumerate(orders)]
        while len(pool):
            added = np.stack([best for best, _ in people])
            with np.errstate(invalid="ignore"):  # no place (inf) at no wage is not a number, and no gain
                gain = self.prize[pool] - self.p.wage_per_min * added
                score = np.where(np.isfinite(added) & (gain > 0), gain / np.maximum(added, 1e-9) * shake, -np.inf)
            person, at = np.unravel_index(int(score.argmax()), score.shape)
            if score[person, at] == -np.inf:
                return
            i, spot = int(pool[at]), int(people[person][1][at])
            trial = [*orders[person][:spot], i, *orders[person][spot:]]
            if self.timed and not in_time(self.p, int(person), trial):
                people[person][0][at] = np.inf
                continue
            orders[person] = trial
            pool, shake = np.delete(pool, at), np.delete(shake, at)
            people = [
                self._edges(int(person), trial, pool) if p == person else (np.delete(b, at), np.delete(s, at))
                for p, (b, s) in enumerate(people)
            ]

    def _edges(self, person: int, order: Sequence[int], pool: np.ndarray) -> tuple[Floats, np.ndarray]:
        """Fewest added minutes of each pool field in a route and where; inf where the hours do not allow it."""
        n, k = self.p.n, self.p.k
        a, b = np.array([n + person, *order]), np.array([*order, n + k + person])
        now = self.t[a, b]
        added = self.t[a[:, None], pool] + self.t[pool[:, None], b].T - now[:, None]
        spot = added.argmin(axis=0)
        best = added[spot, np.arange(len(pool))]
        room = self.hours[person] - now.sum() + HOURS_SLACK_MIN / 2
        return np.where((best <= room) & self.can[person, pool], best, np.inf), spot


def search(problem: Problem, start: Orders, *, seed: int, rounds: int, guard_s: float) -> tuple[Orders, bool]:
    """(the best day found from a start, whether the clock ended the search before the rounds did)."""
    first = 2 * float(np.abs(problem.prize).sum()) + 2 * problem.wage_per_min * float(problem.hours_min.sum())
    state = _Search(problem, seed, first)
    if not state.useful.any():
        return start, False
    now, best = start, start
    now_worth = best_worth = state.worth(start)
    scale = abs(value_of(problem, start)) or 1.0
    began = time.monotonic()
    for at in range(rounds):
        if time.monotonic() - began > guard_s:
            return best, True
        warmth = scale * WARM * (COLD / WARM) ** (at / rounds)
        trial = state.ruin(now)
        state.recreate(trial)
        worth = state.worth(trial)
        if worth > now_worth + warmth * np.log(state.rng.random()):
            now, now_worth = trial, worth
            if worth > best_worth:
                best, best_worth = trial, worth
    return best, False
