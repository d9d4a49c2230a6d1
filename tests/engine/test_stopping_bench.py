"""Counting by stop table against fixed plans and Wald's test, on fields that are not drawn from its own model."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from benchmarks import stopping_figure, stopping_plans as plans
from benchmarks.stopping_fields import FEEDING_DONE, PARAMS, Fields, made_up
from benchmarks.stopping_plans import Told

pytestmark = pytest.mark.slow


@cache
def fields() -> dict[str, Fields]:
    """Seven thousand fields at each of the three times of the feeding."""
    return {name: made_up(name, 7_000, 4) for name in FEEDING_DONE}


@cache
def usual() -> Told:
    """Five stops of twenty, treat from 3 %."""
    return plans.usual(fields())


@cache
def by_tables(plants: float) -> tuple[float, Told]:
    """Stop tables at one cost of a stop that makes so many plants on average over the three times."""
    return plans.tables_with(plants, fields())


def test_table_at_equal_plants() -> None:
    """At the plants of 5 × 20 the table loses at most 0.65 of what treating from 3 % loses, and errs less both ways."""
    table = by_tables(100.0)[1]
    assert table.plants == pytest.approx(100.0, abs=0.5)
    assert table.money <= 0.65 * usual().money
    assert table.treated_wrongly < usual().treated_wrongly
    assert table.left_wrongly < usual().left_wrongly


def test_table_late_in_the_feeding() -> None:
    """Late, with the plants equal then, it loses at most 0.3 of it: by more than two standard errors of the ratio."""
    late = {"late": made_up("late", 100_000, 4)}
    share, error = plans.ratio(plans.tables_with(100.0, late)[1], plans.usual(late))
    assert share + 2.0 * error <= 0.3


def test_error_of_a_ratio_is_that_of_its_draws() -> None:
    """The standard error said against the spread over 40 draws of fields, within 4 of the errors of that spread."""
    ratios = []
    for seed in range(40):
        some = {"middle": made_up("middle", 2_000, 100 + seed)}
        ratios.append(plans.ratio(plans.fixed_at({"middle": 0.04}, some), plans.usual(some)))
    spread, said = float(np.std([r for r, _ in ratios], ddof=1)), float(np.mean([e for _, e in ratios]))
    assert spread == pytest.approx(said, rel=4.0 / np.sqrt(2 * 39))


def test_table_at_fewer_plants() -> None:
    """At three fifths of the plants it loses no more than 1.05 of it."""
    table = by_tables(60.0)[1]
    assert table.plants == pytest.approx(60.0, abs=0.5)
    assert table.money <= 1.05 * usual().money


def test_table_against_the_best_of_the_others() -> None:
    """At equal plants it loses at most 0.9 of the best fixed shares and the best Wald test, tuned to each time."""
    share, best = plans.best_fixed(fields(), each=True)
    wald = plans.best_wald(100.0, fields(), share)
    table = by_tables(100.0)[1]
    assert wald.plants == pytest.approx(100.0, rel=0.05)
    assert table.money <= 0.9 * best.money
    assert table.money <= 0.9 * wald.money


@pytest.mark.parametrize("times", [0.5, 2.0])
def test_a_wrong_prior_costs_little(times: float) -> None:
    """Larvae thought twice or half as likely as they are: money lost and stops paid rise by at most a tenth."""
    cost, _ = by_tables(100.0)
    told = [plans.tables_at(cost, fields(), t) for t in (1.0, times)]
    paid = [one.money + cost * one.plants / PARAMS.places for one in told]
    assert paid[1] <= 1.1 * paid[0]


def test_figure_shows_every_plan_at_every_time(tmp_path: Path) -> None:
    """The figure is sound XML with its words as text: four panels, four plans; the same fields draw the same bytes."""
    few = {name: made_up(name, 400, 4) for name in FEEDING_DONE}
    for name in ("one.svg", "two.svg"):
        stopping_figure.draw(few, tmp_path / name)
    made = (tmp_path / "one.svg").read_text(encoding="utf-8")
    said = {"".join(text.itertext()).strip() for text in ET.fromstring(made).iter("{http://www.w3.org/2000/svg}text")}
    assert {"All three times", "Early", "Middle", "Late", "stop table", "Wald's test, best of many"} <= said
    assert made == (tmp_path / "two.svg").read_text(encoding="utf-8")
