"""Counting by stop table against fixed plans and Wald's test: money lost and plants looked at on the same fields.

The time of counting is left out of the money, since plans are compared at equal plants. Early, middle and late in the
feeding weigh the same. ``--figure FILE`` draws money lost against plants.
"""

from __future__ import annotations

import argparse
import time
from pathlib import Path

import numpy as np

from benchmarks import stopping_figure, stopping_plans as plans
from benchmarks.stopping_fields import FEEDING_DONE, FIELD_MONEY, PARAMS, day_at, made_up, prior
from benchmarks.stopping_plans import ByTime, Told, ratio
from springwalk.engine.stopping import stop_tables

FIELDS = 240_000
USUAL_PLANTS = 100.0


def fields_of(count: int, seed: int) -> ByTime:
    """So many made-up fields, a third at each time of the feeding."""
    return {name: made_up(name, count // len(FEEDING_DONE), seed) for name in FEEDING_DONE}


def _line(title: str, t: Told, usual: Told) -> None:
    share, error = ratio(t, usual)
    each = " / ".join(f"{m:4.0f}" for m in t.by_time)
    plants = " / ".join(f"{m:4.0f}" for m in t.plants_by_time)
    print(
        f"{title:42s} {t.money:5.1f} = {share:.3f} ± {error:.3f}  {each}   {t.plants:5.1f} ({plants})"
        f"   {100 * t.treated_wrongly:4.1f} % {100 * t.left_wrongly:4.1f} %"
    )


def _bar(title: str, one: Told, other: Told, bar: float) -> None:
    share, error = ratio(one, other)
    print(f"  {title:58s} {share:.3f} ± {error:.3f}   (bar {bar:.2f})")


def run(count: int = FIELDS, seed: int = 11) -> None:
    """Print what was seen."""
    made = fields_of(count, seed)
    usual = plans.usual(made)
    print(f"{count} made-up fields, background {PARAMS.background}; money lost per field = share of 5 × 20 at 3 %")
    print("± standard error, by time, plants (by time), fields treated and left wrongly")
    _line("5 × 20, treat from 3 %", usual, usual)
    rivals = {}
    for each in (False, True):
        share, best = plans.best_fixed(made, each=each)
        named = ", ".join(f"{100 * s:.0f}" for s in (share.values() if each else [next(iter(share.values()))]))
        rivals = {"fixed": best, "wald": plans.best_wald(USUAL_PLANTS, made, share)}
        _line(f"5 × 20, best share{'s' if each else ''}: {named} %", best, usual)
        _line(f"Wald's test about {named} %", rivals["wald"], usual)
    cost, table = plans.tables_with(USUAL_PLANTS, made)
    _line(f"stop table, 100 plants (stop at $ {cost:.2f})", table, usual)
    right, wrong = plans.tables_at(cost, made), {times: plans.tables_at(cost, made, times) for times in (2.0, 0.5)}
    _line("  the same, larvae thought twice as likely", wrong[2.0], usual)
    _line("  the same, larvae thought half as likely", wrong[0.5], usual)
    dear, fewer = plans.tables_with(0.6 * USUAL_PLANTS, made)
    _line(f"stop table, 60 plants (stop at $ {dear:.2f})", fewer, usual)
    print("money lost by the stop table as a share of")
    _bar("5 × 20 at 3 %, equal plants", table, usual, 0.65)
    _bar("5 × 20 at 3 %, 60 % of its plants", fewer, usual, 1.05)
    _bar("the best fixed shares, each time its own, equal plants", table, rivals["fixed"], 0.9)
    _bar("the best Wald test, each time its own share, equal plants", table, rivals["wald"], 0.9)
    for times, one in wrong.items():
        more = f"{100 * _paid(cost, one, right):+.1f} %"
        print(f"  with larvae thought {times:g} × as likely, loss and stops paid: {more}   (bar +10 %)")
    _each_time(made)
    _speed()


def _paid(cost: float, one: Told, other: Told) -> float:
    """How much more one plan loses and pays for its stops than another."""
    paid = [t.money + cost * t.plants / PARAMS.places for t in (one, other)]
    return paid[0] / paid[1] - 1.0


def _each_time(fields: ByTime) -> None:
    """The same with the plants equal at each time, not only in all."""
    print("with equal plants at each time, as a share of 5 × 20 at 3 %")
    for name, made in fields.items():
        only = {name: made}
        cost, one = plans.tables_with(USUAL_PLANTS, only)
        kind = "fresh cuts" if plans.table(name, cost).fresh else "all cuts"
        share, error = ratio(one, plans.usual(only))
        bar = "   (bar 0.30)" if name == "late" else ""
        print(f"  {name}: {one.plants:.0f} plants by {kind}, {one.money:.1f} = {share:.3f} ± {error:.3f}{bar}")


def _speed() -> None:
    """Milliseconds a field: fields of many days, beliefs, sizes and costs of a stop in one call, best of five calls."""
    rng = np.random.default_rng(1)
    for count in (100, 500, 1000):
        sizes = zip(rng.uniform(-80.0, 80.0, count), rng.uniform(0.3, 1.5, count), strict=True)
        days = [day_at(heat, FIELD_MONEY * size) for heat, size in sizes]
        share, cuts = (np.stack(each) for each in zip(*(now.seen(fresh=False) for now in days), strict=True))
        losses, believed = (
            np.stack([now.losses for now in days]),
            np.stack([prior(t) for t in rng.uniform(0.3, 3, count)]),
        )
        cost, took = rng.uniform(2.0, 8.0, count), []
        for _ in range(5):
            started = time.perf_counter()
            stop_tables(believed, losses, share, cuts, cost, PARAMS)
            took.append(time.perf_counter() - started)
        print(f"{count} stop tables in one call: {1e3 * min(took) / count:.2f} ms a field (aim 0.3)")


def _asked() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Counting by stop table against other plans.")
    parser.add_argument("--fields", type=int, default=FIELDS, help="made-up fields, a third at each time")
    parser.add_argument("--seed", type=int, default=11)
    parser.add_argument("--figure", type=Path, metavar="FILE", help="draw money lost against plants, and nothing else")
    return parser.parse_args()


if __name__ == "__main__":
    asked = _asked()
    if asked.figure:
        stopping_figure.draw(fields_of(asked.fields, asked.seed), asked.figure)
    else:
        run(asked.fields, asked.seed)
