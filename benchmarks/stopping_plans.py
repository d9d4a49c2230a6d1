"""Plans of counting played in the made-up fields: by stop table, fixed, and Wald's test, each at so many plants."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from benchmarks.stopping_fields import LARVAE, PARAMS, SHIFTS_F, Fields, day, lost, prior, wrong
from springwalk.engine.belief import Grid, StopSeen, UnitHazard, WalkSeen, log_likelihood
from springwalk.engine.sequential import cluster_increments
from springwalk.engine.stopping import StopTable, stop_tables
from springwalk.engine.stopping_plans import Followed, by_table, fixed, sequential
from springwalk.engine.wald import log_bounds
from springwalk.jobs.params_belief import belief_params

Array = NDArray[np.float64]
Index = NDArray[np.int64]
ByTime = dict[str, Fields]

USUAL_SHARE = 0.03


@dataclass(frozen=True)
class Told:
    """What a plan did at each time: money lost (r,) field by field, plants looked at, and both kinds of wrong advice.

    Over all, each time weighs the same.
    """

    lost: tuple[Array, ...]
    plants_by_time: tuple[float, ...]
    treated_wrongly: float
    left_wrongly: float

    @property
    def by_time(self) -> tuple[float, ...]:
        """Money lost per field at each time."""
        return tuple(float(each.mean()) for each in self.lost)

    @property
    def money(self) -> float:
        """Money lost per field."""
        return float(np.mean(self.by_time))

    @property
    def plants(self) -> float:
        """Plants looked at per field."""
        return float(np.mean(self.plants_by_time))


def ratio(one: Told, other: Told) -> tuple[float, float]:
    """Money one plan loses as a share of what another loses in the same fields, and its standard error.

    A ratio of two means of the same fields: the error is that of the mean of one − share × other (delta method).
    """
    share = one.money / other.money
    off = [(a - share * b).var() / len(a) for a, b in zip(one.lost, other.lost, strict=True)]
    return share, float(np.sqrt(np.sum(off)) / len(off) / other.money)


def told(followed: dict[str, Followed], fields: ByTime) -> Told:
    """Put the times together."""
    faults = [wrong(name, fields[name], f.action) for name, f in followed.items()]
    return Told(
        tuple(lost(name, fields[name], f.action) for name, f in followed.items()),
        tuple(float(f.stops.mean()) * PARAMS.places for f in followed.values()),
        *(float(x) for x in np.mean(faults, axis=0)),
    )


@dataclass(frozen=True)
class Counted:
    """A stop table and whether it counts fresh cuts only."""

    table: StopTable
    fresh: bool

    def follow(self, fields: Fields) -> Followed:
        """Count as it says."""
        return by_table(fields.fresh if self.fresh else fields.cut, self.table)


def table(name: str, cost: float, times: float = 1.0) -> Counted:
    """The stop table of a time of the feeding: by all cuts or by fresh ones, whichever is worth more."""
    now, both = day(name), []
    for fresh in (False, True):
        share, cuts = now.seen(fresh=fresh)
        made = stop_tables(prior(times)[None], now.losses[None], share[None], cuts[None], cost, PARAMS)
        both.append(Counted(made, fresh))
    return max(both, key=lambda one: float(one.table.value[0]))


@cache
def stop_logs(name: str) -> Array:
    """Log likelihood (old, fresh, L × S) of one stop's old and fresh cuts, as the engine's belief has it.

    The made-up scout sees every cut and never mistakes its age; belief is told so. It is not told that every miscount
    is called fresh.
    """
    now, n, today = day(name), PARAMS.places, 3
    cut = np.stack([now.past - now.fresh, now.past, now.past], axis=1)  # by the evenings of days 0, 1, 2
    hazard = UnitHazard(cut, np.zeros((len(SHIFTS_F), today, 6)), np.zeros((len(SHIFTS_F), today)))
    params = replace(belief_params(), cut_found=1.0, age_misread=0.0)
    made = np.full((n + 1, n + 1, len(LARVAE) * len(SHIFTS_F)), -np.inf)
    for old in range(n + 1):
        for fresh in range(n + 1 - old):
            walk = WalkSeen(0, today, (StopSeen(n, cut_fresh=fresh, cut_old=old),))
            made[old, fresh] = log_likelihood([walk], hazard, Grid(LARVAE, SHIFTS_F), params).ravel()
    return made


def by_full_count(name: str, fields: Fields, stops: Index, times: float = 1.0) -> Index:
    """The action that loses least by the engine's belief from every stop made, with its fresh and old cuts.

    The table itself keeps only k, x and j of one kind of cuts.
    """
    now, n = day(name), PARAMS.places
    logs = stop_logs(name).reshape((n + 1) ** 2, -1)
    logs = np.concatenate([logs, np.zeros((1, logs.shape[1]))])  # the last: a stop not made
    seen = (fields.cut - fields.fresh) * (n + 1) + fields.fresh
    seen = np.where(np.arange(PARAMS.most_stops) < stops[:, None], seen, len(logs) - 1)
    kinds, where = np.unique(np.sort(seen, axis=1), axis=0, return_inverse=True)
    gain = prior(times).ravel() * (now.losses[0] - now.losses[1]).ravel()
    treat = []
    for some in np.array_split(kinds, -(-len(kinds) // 256)):
        log_of = logs[some].sum(axis=1)
        treat.append(np.exp(log_of - log_of.max(axis=1, keepdims=True)) @ gain > 0.0)
    return np.asarray(np.concatenate(treat)[where.ravel()].astype(np.int64))


def tables_at(cost: float, fields: ByTime, times: float = 1.0) -> Told:
    """Counting by stop table at a cost of one stop."""
    return _advised(_stops(cost, fields, times), fields, times)


def tables_with(plants: float, fields: ByTime) -> tuple[float, Told]:
    """Counting by stop table at the one cost of a stop, the same at all times, that makes so many plants.

    All fields begin with one belief, so plants fall in steps as the cost rises. At the step a part of the fields
    counts at the cost just below it.
    """
    low, high = 0.02, 200.0
    while high / low > 1.005:
        cost = float(np.sqrt(low * high))
        low, high = (cost, high) if _plants(_stops(cost, fields)) > plants else (low, cost)
    more, fewer = _stops(low, fields), _stops(high, fields)
    part = (plants - _plants(fewer)) / (_plants(more) - _plants(fewer))
    both = {n: np.where(np.arange(len(k)) < part * len(k), more[n], k) for n, k in fewer.items()}
    return high, _advised(both, fields)


def _stops(cost: float, fields: ByTime, times: float = 1.0) -> dict[str, Index]:
    return {name: table(name, cost, times).follow(made).stops for name, made in fields.items()}


def _plants(stops: dict[str, Index]) -> float:
    return float(np.mean([k.mean() for k in stops.values()])) * PARAMS.places


def _advised(stops: dict[str, Index], fields: ByTime, times: float = 1.0) -> Told:
    return told({n: Followed(k, by_full_count(n, fields[n], k, times)) for n, k in stops.items()}, fields)


def fixed_at(share: dict[str, float], fields: ByTime, stops: int = 5) -> Told:
    """Some stops of twenty with a share to treat from for each time, counting all cuts."""
    plan = {n: fixed(f.cut, stops=stops, places=PARAMS.places, share=share[n]) for n, f in fields.items()}
    return told(plan, fields)


def usual(fields: ByTime) -> Told:
    """Five stops of twenty, treat from 3 %."""
    return fixed_at(dict.fromkeys(fields, USUAL_SHARE), fields)


def best_fixed(fields: ByTime, *, each: bool, stops: int = 5) -> tuple[dict[str, float], Told]:
    """The best share to treat from with so many stops of twenty: one for all times, or its own for each."""
    shares = (np.arange(1, 41) / 100.0).tolist()
    runs = {s: fixed_at(dict.fromkeys(fields, s), fields, stops).by_time for s in shares}
    if not each:
        best = min(shares, key=lambda s: sum(runs[s]))
        own = dict.fromkeys(fields, best)
    else:
        own = {n: min(shares, key=lambda s: runs[s][i]) for i, n in enumerate(fields)}
    return own, fixed_at(own, fields, stops)


def wald_with(plants: float, centre: dict[str, float], fields: ByTime, ratio_: float, rho: float) -> Told:
    """Wald's test by stops about a share for each time, its error odds set so that it makes so many plants."""

    def run(alpha: float) -> Told:
        bounds = log_bounds(alpha, alpha)
        plan = {}
        for name, f in fields.items():
            low, high = centre[name] / ratio_, min(centre[name] * ratio_, 0.9)
            steps = cluster_increments(low, high, plants_per_stop=PARAMS.places, rho=rho)
            plan[name] = sequential(f.cut, steps, bounds)
        return told(plan, fields)

    low, high = 0.0005, 0.49
    for _ in range(14):
        middle = float(np.sqrt(low * high))
        low, high = (low, middle) if run(middle).plants < plants else (middle, high)
    return run(high)


def best_wald(plants: float, fields: ByTime, centre: dict[str, float]) -> Told:
    """The best of several such tests that come near so many plants (within 5 %)."""
    tried = [wald_with(plants, centre, fields, odds, rho) for odds in (1.3, 1.6, 2.0, 3.0) for rho in (0.0, 0.05, 0.15)]
    near = [t for t in tried if abs(t.plants / plants - 1.0) < 0.05] or tried
    return min(near, key=lambda t: t.money)
