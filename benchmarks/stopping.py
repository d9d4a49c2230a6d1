"""Counting by stop table against fixed plans and Wald's test: money lost and plants looked at on the same fields.

The fields are not drawn from the beta-binomial of the table: larvae lie in patches, each cuts its own number of plants,
a plant is cut once, and miscounts come on top. Money lost is what the advice loses beyond that of one who knows the
field; the time of counting is left out, since plans are compared at equal plants. Early, middle and late weigh
the same.
"""

from __future__ import annotations

import time
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.stats import gamma, norm

from springwalk.engine.sequential import cluster_increments
from springwalk.engine.stopping import StopTable, stop_tables
from springwalk.engine.stopping_counts import likeness, stop_chances
from springwalk.engine.stopping_plans import Followed, by_table, fixed, sequential
from springwalk.engine.wald import log_bounds
from springwalk.jobs.params_stopping import count_params

Array = NDArray[np.float64]
Index = NDArray[np.int64]

PARAMS = count_params()
LARVAE = np.concatenate([[0.0], np.geomspace(0.05, 60.0, 48)])
SHIFTS_F = np.arange(-150.0, 151.0, 15.0)
SHIFT_SD_F = float(np.hypot(25.0, 14.0))
FEEDING_DONE = {"early": 0.2, "middle": 0.5, "late": 0.8}
LIFE_CUTS, PACE_F, TWO_DAYS_F = 4.0, 55.0, 30.0
FIELD_MONEY, TREAT_MONEY, KILL, PLANT_LOSS = 800.0 * 80, 16.0 * 80, 0.9, 0.65
ANY, MEAN, SHAPE = 0.19, 2.5, 0.9
FIELDS = 24_000


@dataclass(frozen=True)
class Day:
    """One time of the feeding: cuts per larva (S,), all and fresh, losses (2, L, S) of leave and treat."""

    past: Array
    fresh: Array
    losses: Array


def share_cut(cuts: Array) -> Array:
    """Share of places cut (L, S) by the larvae of the grid."""
    return np.asarray(-np.expm1(-LARVAE[:, None] * cuts / 100.0))


@dataclass(frozen=True)
class Fields:
    """Fields as they are: indices into the grid, and places cut at each stop (r, k), fresh (miscounts too), all."""

    larva: Index
    shift: Index
    fresh: Index
    cut: Index


def cuts_by(heat_f: Array) -> Array:
    """Plants one larva has cut by so much heat after the middle of the feeding (made up: a logistic curve)."""
    return np.asarray(LIFE_CUTS / (1.0 + np.exp(-heat_f / PACE_F)))


@cache
def day(name: str) -> Day:
    """One of the three times of the feeding."""
    done = FEEDING_DONE[name]
    heat = PACE_F * np.log(done / (1.0 - done)) - SHIFTS_F
    past = cuts_by(heat)
    leave = FIELD_MONEY * PLANT_LOSS * share_cut(LIFE_CUTS - past)
    losses = np.stack([leave, TREAT_MONEY + (1.0 - KILL) * leave])
    return Day(past, past - cuts_by(heat - TWO_DAYS_F), losses)


def prior(times: float = 1.0) -> Array:
    """What is believed before any count (L, S): the share of fields with larvae multiplied by ``times``."""
    edges = np.concatenate([[0.0], np.sqrt(LARVAE[1:-1] * LARVAE[2:]), [np.inf]])
    some = np.diff(gamma.cdf(edges, SHAPE, scale=MEAN / SHAPE))
    larvae = np.concatenate([[1.0 - ANY * times], ANY * times * some])
    shift = norm.pdf(SHIFTS_F / SHIFT_SD_F)
    return np.asarray(larvae[:, None] * shift / shift.sum())


@cache
def made_up(name: str, fields: int, seed: int) -> Fields:
    """Fields drawn one by one: patches, larvae, their cuts old and fresh, plants cut once, miscounts."""
    rng = np.random.default_rng([seed, *name.encode()])
    at = rng.choice(prior().size, size=fields, p=prior().ravel())
    larva, shift = np.unravel_index(at, prior().shape)
    now, n, shape = day(name), PARAMS.places, (fields, PARAMS.most_stops)
    patch = rng.gamma(PARAMS.patch_shape, 1.0 / PARAMS.patch_shape, shape)
    larvae = rng.poisson(n * LARVAE[larva][:, None] / 100.0 * patch)
    eagerness = rng.gamma(np.maximum(larvae, 1e-9) / PARAMS.larva_cv2, PARAMS.larva_cv2)
    old = _cut_once(rng, np.zeros(shape, np.int64), rng.poisson((now.past - now.fresh)[shift][:, None] * eagerness), n)
    both = _cut_once(rng, old, rng.poisson(now.fresh[shift][:, None] * eagerness), n)
    mistaken = rng.binomial(n - both, PARAMS.background)
    return Fields(larva, shift, both - old + mistaken, both + mistaken)


def _cut_once(rng: np.random.Generator, cut: Index, tries: Index, n: int) -> Index:
    """Each try is at a place at random; a place already cut is not cut again."""
    cut = cut.copy()
    for t in range(int(tries.max(initial=0))):
        rows = np.nonzero(tries > t)
        cut[rows] += rng.random(len(rows[0])) >= cut[rows] / n
    return cut


def lost(name: str, fields: Fields, action: Index) -> Array:
    """Money lost beyond that of one who knows the field (r,)."""
    at = day(name).losses[:, fields.larva, fields.shift]
    return np.asarray(at[action, np.arange(len(action))] - at.min(axis=0))


def wrong(name: str, fields: Fields, action: Index) -> tuple[float, float]:
    """Shares of fields treated though it did not pay, and left though it would have paid."""
    best = day(name).losses[:, fields.larva, fields.shift].argmin(axis=0)
    return float(((action == 1) & (best == 0)).mean()), float(((action == 0) & (best == 1)).mean())


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
    now = day(name)
    weight, losses = prior(times)[None], now.losses[None]
    both = [
        Counted(stop_tables(weight, losses, share_cut(seen)[None], seen[None], cost, PARAMS), fresh)
        for fresh, seen in ((False, now.past), (True, now.fresh))
    ]
    return max(both, key=lambda one: float(one.table.value[0]))


def by_full_count(name: str, fields: Fields, stops: Index, times: float = 1.0) -> Index:
    """The action that loses least given every stop made, one by one, with its fresh and old cuts.

    The table itself keeps only k, x and j of one kind of cuts.
    """
    now = day(name)
    cut = share_cut(now.past)
    logs = np.log(np.maximum(stop_chances(cut, likeness(cut, now.past[None], PARAMS), PARAMS), 1e-300))
    part = (share_cut(now.fresh) + PARAMS.background) / (cut + PARAMS.background)
    sides = np.log(np.clip(np.stack([part, 1.0 - part], axis=-1), 1e-9, 1.0))
    made = np.arange(PARAMS.most_stops) < stops[:, None]
    tally = np.zeros((len(stops), PARAMS.places + 3))
    for k in range(PARAMS.most_stops):
        tally[np.arange(len(stops)), fields.cut[:, k]] += made[:, k]
    tally[:, -2] = (fields.fresh * made).sum(axis=1)
    tally[:, -1] = ((fields.cut - fields.fresh) * made).sum(axis=1)
    logs = np.concatenate([logs, sides], axis=-1).reshape(-1, PARAMS.places + 3)
    gain = prior(times).ravel() * (now.losses[0] - now.losses[1]).ravel()
    kinds, where = np.unique(tally, axis=0, return_inverse=True)
    log_of = kinds @ logs.T
    treat = np.exp(log_of - log_of.max(axis=1, keepdims=True)) @ gain > 0.0
    return np.asarray(treat[where.ravel()].astype(np.int64))


@dataclass(frozen=True)
class Told:
    """Mean over the three times: money lost and plants, then per time, and both kinds of wrong advice."""

    money: float
    plants: float
    by_time: tuple[float, ...]
    plants_by_time: tuple[float, ...]
    treated_wrongly: float
    left_wrongly: float


def told(followed: dict[str, Followed], fields: dict[str, Fields]) -> Told:
    """Put the three times together, each weighing the same."""
    money = tuple(float(lost(name, fields[name], f.action).mean()) for name, f in followed.items())
    plants = tuple(float(f.stops.mean()) * PARAMS.places for f in followed.values())
    faults = [wrong(name, fields[name], f.action) for name, f in followed.items()]
    return Told(
        float(np.mean(money)), float(np.mean(plants)), money, plants, *(float(x) for x in np.mean(faults, axis=0))
    )


def tables_at(cost: float, fields: dict[str, Fields], times: float = 1.0) -> Told:
    """Counting by stop table at a cost of one stop."""
    followed = {}
    for name, made in fields.items():
        path = table(name, cost, times).follow(made)
        followed[name] = Followed(path.stops, by_full_count(name, made, path.stops, times))
    return told(followed, fields)


def tables_with(plants: float, fields: dict[str, Fields]) -> tuple[float, Told]:
    """Counting by stop table at the one cost of a stop, the same at all times, that makes so many plants."""

    def excess(log_cost: float) -> float:
        made = [table(name, float(np.exp(log_cost))).follow(f).stops.mean() for name, f in fields.items()]
        return float(np.mean(made)) * PARAMS.places - plants

    cost = float(np.exp(brentq(excess, np.log(0.02), np.log(200.0), xtol=0.02)))
    return cost, tables_at(cost, fields)


def fixed_at(share: dict[str, float], fields: dict[str, Fields]) -> Told:
    """Five stops of twenty with a share for each time, counting all cuts."""
    plan = {n: fixed(f.cut, stops=5, places=PARAMS.places, share=share[n]) for n, f in fields.items()}
    return told(plan, fields)


def best_fixed(fields: dict[str, Fields], *, each: bool) -> tuple[dict[str, float], Told]:
    """The best share to treat from with five stops of twenty: one for all times, or its own for each."""
    shares = (np.arange(1, 41) / 100.0).tolist()
    runs = {s: fixed_at(dict.fromkeys(fields, s), fields) for s in shares}
    if not each:
        best = min(shares, key=lambda s: runs[s].money)
        return dict.fromkeys(fields, best), runs[best]
    own = {n: min(shares, key=lambda s: runs[s].by_time[i]) for i, n in enumerate(fields)}
    return own, fixed_at(own, fields)


def wald_with(plants: float, centre: dict[str, float], fields: dict[str, Fields], ratio: float, rho: float) -> Told:
    """Wald's test by stops about a share for each time, its error odds set so that it makes so many plants."""

    def run(alpha: float) -> Told:
        bounds = log_bounds(alpha, alpha)
        plan = {}
        for name, f in fields.items():
            low, high = centre[name] / ratio, min(centre[name] * ratio, 0.9)
            steps = cluster_increments(low, high, plants_per_stop=PARAMS.places, rho=rho)
            plan[name] = sequential(f.cut, steps, bounds)
        return told(plan, fields)

    low, high = 0.0005, 0.49
    for _ in range(14):
        middle = float(np.sqrt(low * high))
        low, high = (low, middle) if run(middle).plants < plants else (middle, high)
    return run(high)


def best_wald(plants: float, fields: dict[str, Fields], centre: dict[str, float]) -> Told:
    """The best of several such tests that come near so many plants (within 5 %)."""
    tried = [
        wald_with(plants, centre, fields, ratio, rho) for ratio in (1.3, 1.6, 2.0, 3.0) for rho in (0.0, 0.05, 0.15)
    ]
    near = [t for t in tried if abs(t.plants / plants - 1.0) < 0.05] or tried
    return min(near, key=lambda t: t.money)


def _line(title: str, t: Told, over: float) -> None:
    each = " / ".join(f"{m:5.0f}" for m in t.by_time)
    plants = " / ".join(f"{m:4.0f}" for m in t.plants_by_time)
    print(
        f"{title:44s} {t.money:6.1f} ({t.money / over:4.2f})  {each}   {t.plants:5.1f} ({plants})"
        f"   {100 * t.treated_wrongly:4.1f} % {100 * t.left_wrongly:4.1f} %"
    )


def run(fields: int = FIELDS, seed: int = 11) -> None:
    """Print what was seen."""
    made = {name: made_up(name, fields // len(FEEDING_DONE), seed) for name in FEEDING_DONE}
    usual = fixed_at(dict.fromkeys(made, 0.03), made)
    print(f"{fields} made-up fields, background {PARAMS.background}; money lost per field (share of 5 × 20 at 3 %),")
    print("by time, plants (by time), fields treated and left wrongly")
    _line("5 × 20, treat from 3 %", usual, usual.money)
    for each in (False, True):
        share, best = best_fixed(made, each=each)
        named = ", ".join(f"{100 * s:.0f}" for s in (share.values() if each else [next(iter(share.values()))]))
        _line(f"5 × 20, best share{'s' if each else ''}: {named} %", best, usual.money)
        _line(f"Wald's test about {named} %", best_wald(100.0, made, share), usual.money)
    for plants in (100.0, 60.0):
        cost, table_told = tables_with(plants, made)
        _line(f"stop table, {plants:.0f} plants (stop at $ {cost:.2f})", table_told, usual.money)
        if plants == 100.0:
            _line("  the same, larvae thought twice as likely", tables_at(cost, made, 2.0), usual.money)
    _each_time(100.0, made, usual)
    _speed()


def _each_time(plants: float, fields: dict[str, Fields], usual: Told) -> None:
    """The same with the plants equal at each time, not only in all."""
    for i, (name, made) in enumerate(fields.items()):
        cost, one = tables_with(plants, {name: made})
        share = one.money / usual.by_time[i]
        kind = "fresh cuts" if table(name, cost).fresh else "all cuts"
        print(f"  {name}: {one.plants:.0f} plants, by {kind}: {one.money:.1f}, {share:.2f} of 5 × 20 at 3 %")


def _speed(fields: int = 500) -> None:
    now = day("middle")
    many = [np.repeat(a[None], fields, axis=0) for a in (prior(), now.losses, share_cut(now.past), now.past)]
    stop_tables(many[0], many[1], many[2], many[3], 3.0, PARAMS)
    started = time.perf_counter()
    stop_tables(many[0], many[1], many[2], many[3], 3.0, PARAMS)
    print(
        f"{fields} stop tables in one call: {1e3 * (time.perf_counter() - started) / fields:.2f} ms a field (aim 0.3)"
    )


if __name__ == "__main__":
    run()
