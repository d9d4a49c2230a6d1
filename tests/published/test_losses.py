"""What missing plants and gaps cost, and what replanting gains, against printed figures (loss_rows.csv)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from springwalk.engine.replant import Money, gain
from springwalk.engine.stand_yield import lost_yield, percent_at, plant_share
from springwalk.jobs.replant import Case, replant
from springwalk.jobs.stand_tables import loss_params, named_tables
from springwalk.units import ACRES_PER_HA
from tests.published.reading import cases

Given = dict[str, str]
EVEN = Case(
    planted=date(2015, 4, 25), stand=18_000, replant_on=date(2015, 5, 20), replant_stand=30_000,
    yield_bu_ac=180, price_usd_bu=4.5, cost_usd_ac=60,
)  # fmt: skip


def _plant_lost(given: Given) -> float:
    return float(plant_share(float(given["stand"]) * ACRES_PER_HA, "singles", loss_params()))


def _yield_lost(given: Given) -> float:
    full, left, whole = (float(given[name]) for name in ("full", "left", "yield"))
    table = named_tables()[0].now
    lost = lost_yield(full * ACRES_PER_HA, left * ACRES_PER_HA, "singles", loss_params(), table=table, day=0.0)
    return whole * float(lost)


def _per_percent(given: Given) -> float:
    """Points of yield lost for each per cent of the base stand, on the table's first dates."""
    table = next(one for one in named_tables() if one.key == given["table"]).now
    base, high, low = (float(given[name]) for name in ("base", "high", "low"))
    more, fewer = (float(percent_at(table, stand * ACRES_PER_HA, table.days[0])) for stand in (high, low))
    return (more - fewer) / (100.0 * (high - low) / base)


def _gap_loss(given: Given) -> float:
    whole, gappy = (replant(replace(EVEN, gaps=gaps))["tables"][0]["now_percent"] for gaps in ("none", given["gaps"]))
    return 100.0 * (1.0 - gappy / whole)


def _gained(given: Given) -> float:
    now, then, whole, price, cost = (float(given[name]) for name in ("now", "then", "yield", "price", "cost"))
    return float(gain(now, then, Money(whole, price, cost))[1])


ANSWERS: dict[str, Callable[[Given], float]] = {
    "plant lost": _plant_lost,
    "yield lost": _yield_lost,
    "percent per percent of stand": _per_percent,
    "gap loss": _gap_loss,
    "money gained": _gained,
}


@pytest.mark.parametrize("row", cases("loss_rows", "id"))
def test_loss_matches_its_source(row: dict[str, str]) -> None:
    """A missing plant is money; where ours is held to a bound the printed figure stays in and must differ."""
    given = dict(part.split("=") for part in row["given"].split())
    got = ANSWERS[row["what"]](given)
    assert got == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]) + 1e-9, rel=0)
