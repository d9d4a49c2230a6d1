"""Stand tables and the loss L: between cells, outside the table, blank cells, and one pattern at a time."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from springwalk.engine.stand_yield import LossParams, YieldTable, filled, lost_yield, percent_at, plant_share
from springwalk.errors import BadValue

calm = settings(deadline=None, derandomize=True)
PARAMS = LossParams((40_000.0, 70_000.0), (0.53, 0.81), 0.5, 0.8, 1.0, 0.1, 75_000.0)
TABLE = YieldTable(
    days=np.array([-5.0, 10.0, 20.0]),
    stands_per_ha=np.array([40_000.0, 60_000.0, 80_000.0]),
    percent=np.array([[80.0, 95.0, 100.0], [70.0, 85.0, 90.0], [60.0, 75.0, 80.0]]),
    form="additive",
    first_day=-10.0,
    last_day=20.0,
)


def test_cell_is_the_cell_and_between_is_straight() -> None:
    """A table that does not give back its own cells is not that table."""
    got = percent_at(TABLE, TABLE.stands_per_ha[None, :], TABLE.days[:, None])
    np.testing.assert_allclose(got, TABLE.percent)
    assert percent_at(TABLE, 50_000.0, 15.0) == pytest.approx((70 + 85 + 60 + 75) / 4)


def test_outside_the_table_is_not_told() -> None:
    """Thinner, earlier or later than printed is not known; denser is held at the last column."""
    assert np.isnan(percent_at(TABLE, [39_000.0, 60_000.0, 60_000.0], [0.0, -11.0, 21.0])).all()
    assert percent_at(TABLE, 99_000.0, 10.0) == 90.0
    assert percent_at(TABLE, 60_000.0, -10.0) == 95.0  # inside the first printed window, before its middle


def test_straight_to_nothing_only_when_asked() -> None:
    """Below the lowest column the line to no plants is a lower bound, so it must be asked for."""
    assert percent_at(TABLE, 20_000.0, -5.0, straight_below=True) == pytest.approx(40.0)
    assert percent_at(TABLE, 0.0, -5.0, straight_below=True) == 0.0
    assert math.isnan(float(percent_at(TABLE, 20_000.0, -5.0)))


@pytest.mark.parametrize(("form", "told"), [("additive", 75.0 - 5.0), ("multiplicative", 95.0 * 60.0 / 80.0)])
def test_blank_cell_is_filled_by_the_form_of_its_table(form: str, told: float) -> None:
    """Additive and multiplicative tables must not be mixed: each fills its blanks its own way."""
    percent = np.array([[80.0, 95.0], [60.0, np.nan]])
    if form == "additive":
        percent[0] = [80.0, 90.0]
    table = YieldTable(np.array([0.0, 9.0]), np.array([1e4, 2e4]), percent, form, 0.0, 9.0)  # type: ignore[arg-type]
    assert filled(table).percent[1, 1] == pytest.approx(told)
    assert np.isnan(table.percent[1, 1])


def test_table_without_a_full_column_is_refused() -> None:
    """With no full row and column there is nothing to fill from."""
    percent = np.array([[np.nan, 95.0], [60.0, np.nan]])
    table = YieldTable(np.array([0.0, 9.0]), np.array([1e4, 2e4]), percent, "additive", 0.0, 9.0)
    told = "yield table = (2, 2): too many blank cells; give one full row and column."
    with pytest.raises(BadValue, match=f"^{re.escape(told)}$"):
        filled(table)


def test_share_of_a_plant_lies_in_its_bounds() -> None:
    """Scattered singles cost 0.5 to 0.8 of a plant, more where plants stand close; runs a whole one; surplus little."""
    stands = np.linspace(10_000.0, 75_000.0, 40)
    singles = plant_share(stands, "singles", PARAMS)
    assert singles.min() >= 0.5
    assert singles.max() == 0.8
    assert (np.diff(singles) >= 0).all()
    assert (plant_share(stands, "runs", PARAMS) == 1.0).all()
    assert plant_share(80_000.0, "singles", PARAMS) == 0.1


@calm
@given(left=st.floats(40_000.0, 70_000.0))
def test_even_loss_is_the_table_and_nothing_else(left: float) -> None:
    """Stand table plus cost per plant would count a plant twice."""
    lost = lost_yield(70_000.0, left, "even", PARAMS, table=TABLE, day=0.0)
    now = percent_at(TABLE, 70_000.0, 0.0) * (1.0 - lost)
    assert float(now) == pytest.approx(float(percent_at(TABLE, left, 0.0)))


@calm
@given(left=st.floats(0.0, 70_000.0))
def test_runs_cost_most_and_stay_within_the_plants(left: float) -> None:
    """Neighbours make up for a scattered plant and not for a run; no loss is more than the share of plants gone."""
    singles, runs = (
        float(lost_yield(70_000.0, left, p, PARAMS, table=TABLE, day=0.0))  # type: ignore[arg-type]
        for p in ("singles", "runs")
    )
    assert 0.0 <= singles <= runs == pytest.approx(1.0 - left / 70_000.0)


def test_surplus_plants_go_first_and_cost_little() -> None:
    """Thinning 85 000 to 80 000 where 75 000 is best takes 5 000 × 0.1 of 75 000 plants."""
    lost = lost_yield(85_000.0, [80_000.0, 74_000.0], "singles", PARAMS, table=TABLE, day=0.0)
    assert lost[0] == pytest.approx(500.0 / 75_000.0)
    assert lost[1] == pytest.approx((1000.0 + 1000.0 * 0.8) / 75_000.0)


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (
            lambda: lost_yield(70_000.0, 71_000.0, "runs", PARAMS, table=TABLE, day=0.0),
            "stand = 71,000 plants/ha: must be from 0 to the full stand (70,000 per ha); check the two stands.",
        ),
        (
            lambda: plant_share(1.0, "even", PARAMS),
            "pattern = even: has no cost per plant; use the stand table, or singles or runs.",
        ),
        (
            lambda: plant_share(1.0, "rows", PARAMS),  # type: ignore[arg-type]
            "pattern = rows: no such pattern of loss; use one of even, singles, runs.",
        ),
    ],
)
def test_impossible_loss_is_refused(asked: Callable[[], object], told: str) -> None:
    """More plants than there were, or a pattern that has no cost per plant, is a slip."""
    with pytest.raises(BadValue, match=f"^{re.escape(told)}$"):
        asked()
