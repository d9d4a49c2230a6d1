"""An upper bound on any day of several people: a linear relaxation with cuts, priced over every arc.

Everyone's hours are one pool, opening times are let go, and visits may be shared out in fractions. Cuts say that a
group of fields cannot be driven round in without someone coming in from outside (generalised subtour elimination).
The bound holds however far the cuts went: arcs left out of the small problem are priced with its duals, and what
they might still add is added.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import maximum_flow

from springwalk.plan.problem import Bools, Floats, Problem, can_alone

ROUNDS = 40
NEAREST = 10
"""Arcs to this many nearest fields start the small problem; the rest come in by price."""
FLOW_STEPS = 1_000_000
VIOLATED = 0.02
"""Cuts weaker than this share of a visit are not worth a row."""
BETTER = 0.0005
"""Rounds stop once five of them together move the bound by less than this share."""
CUTS_A_ROUND = 60


@dataclass(frozen=True, eq=False)
class Cut:
    """Who drives from within ``inside`` to ``at`` (one of them) needs someone driving into the others from outside."""

    inside: Bools
    at: int


@dataclass(eq=False)
class _Graph:
    """Arcs from k starts and n fields (rows, starts first) to n fields and k ends (columns, fields first)."""

    problem: Problem
    forced_kept: Bools
    allowed: Bools = field(init=False)
    minutes: Floats = field(init=False)
    gain: Floats = field(init=False)

    def __post_init__(self) -> None:
        p, n, k = self.problem, self.problem.n, self.problem.k
        self.minutes = np.zeros((k + n, n + k))
        self.minutes[:k, :n], self.minutes[k:, :n] = p.out + p.service, p.drive + p.service
        self.minutes[k:, n:] = p.back
        self.gain = -p.wage_per_min * self.minutes
        self.gain[:, :n] += p.prize
        can = can_alone(p)
        self.allowed = np.zeros((k + n, n + k), bool)
        self.allowed[:k, :n], self.allowed[k:, n:] = can, can.T
        anyone: Bools = np.any(can, axis=0)
        self.allowed[k:, :n] = anyone[:, None] & anyone & ~np.eye(n, dtype=bool)
        for who in range(k):
            self.allowed[who, n + who] = True
            self.gain[who, n + who] = -p.wage_per_min * p.idle[who]

    def reduced(self, duals: _Duals, cuts: Sequence[Cut]) -> Floats:
        """Gain of each arc above what the duals charge for it."""
        n, k = self.problem.n, self.problem.k
        price = duals.minute * self._hours_taken()
        price[:, :n] += duals.visit + duals.through
        price[k:, :n] -= duals.through[:, None]
        price[k:, n:] -= duals.through[:, None]
        price[:k] += duals.start[:, None]
        price[:, n:] += duals.end
        for charge, cut in zip(duals.cut, cuts, strict=True):
            if charge:
                price[:, :n] += charge * cut_row(cut, k)
        left: Floats = np.where(self.allowed, self.gain - price, -np.inf)
        return left

    def _hours_taken(self) -> Floats:
        """Minutes an arc takes from the pool; staying at home takes one's own hours out of it."""
        n, k, p = self.problem.n, self.problem.k, self.problem
        taken = self.minutes.copy()
        taken[np.arange(k), n + np.arange(k)] = p.hours_min
        return taken

    def small(self, orders: Sequence[Sequence[int]]) -> Bools:
        """The arcs to begin with: to near fields, to and from home, and those of a day that is feasible."""
        n, k = self.problem.n, self.problem.k
        used = self.allowed.copy()
        inner = np.where(self.allowed[k:, :n], self.problem.drive, np.inf)
        rank = inner.argsort(axis=1, kind="stable").argsort(axis=1, kind="stable")
        used[k:, :n] &= rank < NEAREST
        for order in orders:
            used[[k + i for i in order[:-1]], order[1:]] = True
        return used


def cut_row(cut: Cut, k: int) -> Floats:
    """A cut's factor on each arc into a field, shape (k + n, n); the row is at most 0."""
    tail_inside = np.concatenate((np.zeros(k, bool), cut.inside))
    into_others = cut.inside.copy()
    into_others[cut.at] = False
    row = -np.outer(~tail_inside, into_others).astype(float)
    row[:, cut.at] += tail_inside
    return row


@dataclass(frozen=True, eq=False)
class _Duals:
    visit: Floats
    through: Floats
    start: Floats
    end: Floats
    minute: float
    cut: Floats


def upper_bound(problem: Problem, orders: Sequence[Sequence[int]]) -> float:
    """Money that no day with the forced fields of ``orders`` exceeds; other forced fields are as free as any."""
    if not problem.n:
        return -problem.wage_per_min * float(problem.idle.sum())
    visited = np.zeros(problem.n, bool)
    visited[[i for order in orders for i in order]] = True
    graph = _Graph(problem, visited & problem.forced)
    used, cuts = graph.small(orders), list[Cut]()
    best: list[float] = []
    for _ in range(ROUNDS):
        money, flow, duals = _solve(graph, used, cuts)
        reduced = graph.reduced(duals, cuts)
        missing = np.where(~used & (reduced > 1e-7), reduced, 0.0)
        best.append(min([money + float(np.maximum(missing.max(axis=0, initial=0), 0).sum()), *best[-1:]]))
        used |= missing > 0
        new = _cuts(problem, flow)
        cuts += new
        if (not new and not missing.any()) or (len(best) > 6 and best[-6] - best[-1] < BETTER * abs(best[-1])):
            break
    return best[-1] + 1e-6 * max(1.0, abs(best[-1]))


def _solve(graph: _Graph, used: Bools, cuts: Sequence[Cut]) -> tuple[float, Floats, _Duals]:
    """(money, flow on every arc, duals) of the relaxation on the arcs in use."""
    p, n, k = graph.problem, graph.problem.n, graph.problem.k
    a, b = np.nonzero(used)
    col = np.arange(len(a))
    into, out_of = b < n, a >= k
    taken = graph._hours_taken()[a, b]
    parts = [(b[into], col[into], np.ones(into.sum())), (np.full(len(col), n), col, taken)]
    for row, cut in enumerate(cuts):
        factor = np.zeros(len(col))
        factor[into] = cut_row(cut, k)[a[into], b[into]]
        on = np.flatnonzero(factor)
        parts.append((np.full(len(on), n + 1 + row), on, factor[on]))
    upper = _matrix(parts, (n + 1 + len(cuts), len(col)))
    limits = np.concatenate((np.ones(n), [float(p.hours_min.sum())], np.zeros(len(cuts))))
    starts, ends = ~out_of, b >= n
    equal = _matrix(
        [
            (b[into], col[into], np.ones(into.sum())), (a[out_of] - k, col[out_of], -np.ones(out_of.sum())),
            (n + a[starts], col[starts], np.ones(starts.sum())), (k + b[ends], col[ends], np.ones(ends.sum())),
            (n + 2 * k + b[into], col[into], graph.forced_kept[b[into]].astype(float)),
        ],
        (2 * n + 2 * k, len(col)),
    )  # fmt: skip
    right = np.concatenate((np.zeros(n), np.ones(2 * k), graph.forced_kept.astype(float)))
    found = linprog(-graph.gain[a, b], upper, limits, equal, right, (0, None), method="highs")
    if found.status != 0:
        raise RuntimeError(found.message)
    flow = np.zeros(used.shape)
    flow[a, b] = found.x
    ub, eq = -found.ineqlin.marginals, -found.eqlin.marginals
    duals = _Duals(
        ub[:n] + np.where(graph.forced_kept, eq[n + 2 * k :], 0.0),
        eq[:n],
        eq[n : n + k],
        eq[n + k : n + 2 * k],
        float(ub[n]),
        ub[n + 1 :],
    )
    return -float(found.fun), flow, duals


def _matrix(parts: Sequence[tuple[NDArray[np.int64], NDArray[np.int64], Floats]], shape: tuple[int, int]) -> csr_array:
    rows, cols, values = (np.concatenate(x) for x in zip(*parts, strict=True))
    return coo_array((values, (rows, cols)), shape=shape).tocsr()


def _cuts(problem: Problem, flow: Floats) -> list[Cut]:
    """Groups of fields that the flow drives round in without coming in, by smallest cuts from all starts."""
    n, k = problem.n, problem.k
    visits = flow[:, :n].sum(axis=0)
    capacity = np.zeros((n + 1, n + 1), np.int32)
    capacity[0, 1:] = np.floor(flow[:k, :n].sum(axis=0) * FLOW_STEPS)
    capacity[1:, 1:] = np.floor(flow[k:, :n] * FLOW_STEPS)
    graph = csr_array(capacity)
    found: dict[bytes, tuple[float, Cut]] = {}
    for at in np.flatnonzero(visits > VIOLATED).tolist():
        result = maximum_flow(graph, 0, at + 1)
        short = float(visits[at]) - result.flow_value / FLOW_STEPS
        if short > VIOLATED:
            inside = ~_reached(capacity - result.flow.toarray())[1:]
            key = inside.tobytes()
            if key not in found or found[key][0] < short:
                found[key] = (short, Cut(inside, at))
    worst = sorted(found.values(), key=lambda pair: (-pair[0], pair[1].at))
    return [cut for _, cut in worst[:CUTS_A_ROUND]]


def _reached(residual: NDArray[np.int32]) -> Bools:
    """Nodes that can be reached from node 0 over arcs with something left."""
    seen = np.zeros(len(residual), bool)
    seen[0] = True
    edge = seen.copy()
    while edge.any():
        edge = (residual[edge] > 0).any(axis=0) & ~seen
        seen |= edge
    return seen
