"""The injury level: it breaks even, the paper sheet stays near it, and slips are refused."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest
from hypothesis import given, settings, strategies as st

from springwalk.engine import injury
from springwalk.errors import BadValue

calm = settings(deadline=None, derandomize=True)
"""Same draws on every run, and no failure because the machine was busy."""
SHEET = {"cost": 15.0, "crop_yield": 135.0, "price": 3.0, "loss_per_pest": 0.059, "control": 0.72}


@calm
@given(
    cost=st.floats(5.0, 60.0),
    crop_yield=st.floats(50.0, 300.0),
    price=st.floats(2.0, 8.0),
    loss=st.floats(0.005, 1.0),
    control=st.floats(0.1, 1.0),
)
def test_at_the_level_cost_and_saving_are_equal(
    cost: float, crop_yield: float, price: float, loss: float, control: float
) -> None:
    """The level is where the money saved is the money spent."""
    level = injury.injury_level(cost=cost, crop_yield=crop_yield, price=price, loss_per_pest=loss, control=control)
    assert level * loss * crop_yield * price * control == pytest.approx(cost)


@calm
@given(pests=st.floats(2.0, 10.0))
def test_sheet_stays_near_the_exact_level(pests: float) -> None:
    """Rounding on paper may move the level by the rounding of the share lost, no more."""
    made = injury.worksheet(**SHEET, pests_per_plant=pests)
    slack = 0.0005 / made.loss_share + 0.006
    assert made.level == pytest.approx(injury.injury_level(**SHEET), rel=slack)


def test_sheet_does_not_pay_where_the_ratio_is_over_one() -> None:
    """Gain, ratio and level must tell the same story."""
    few, many = (injury.worksheet(**SHEET, pests_per_plant=pests) for pests in (0.6, 1.2))
    assert (few.ratio > 1.0, few.gain_money < 0.0, few.level > 0.6) == (True, True, True)
    assert (many.ratio < 1.0, many.gain_money > 0.0, many.level < 1.2) == (True, True, True)


def test_half_a_cent_rounds_up_as_on_paper() -> None:
    """0.035 × 135 bushels is 4.725, which a float would round down to 4.72."""
    assert injury.worksheet(**SHEET, pests_per_plant=0.6).loss_yield == 4.73


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"cost": 0.0}, "cost = 0: must be above 0; check the number."),
        ({"cost": math.nan}, "cost = nan: must be above 0; check the number."),
        ({"crop_yield": -1.0}, "yield = -1: must be above 0; check the number."),
        ({"price": 1e12}, "price = 1e+12: outside 0.000001 … 1,000,000,000; check the number."),
        (
            {"loss_per_pest": 5.9},
            "loss_per_pest = 5.9: must be above 0 and at most 1; give a share, like 0.72 for 72 %.",
        ),
        ({"control": 72.0}, "control = 72: must be above 0 and at most 1; give a share, like 0.72 for 72 %."),
        ({"pests_per_plant": 0.0}, "pests_per_plant = 0: must be above 0; check the number."),
        (
            {"pests_per_plant": 20.0},
            "pests_per_plant = 20: 1.180 of the yield would be lost, more than all of it; "
            "work the sheet for fewer pests.",
        ),
        (
            {"pests_per_plant": 0.001},
            "pests_per_plant = 0.001: the share of yield lost rounds to 0.000; work the sheet for more pests.",
        ),
    ],
)
def test_slip_in_the_money_is_refused(changed: dict[str, Any], told: str) -> None:
    """A percent typed for a share would make every treatment pay a hundredfold."""
    with pytest.raises(BadValue, match=f"^{re.escape(told)}$"):
        injury.worksheet(**({**SHEET, "pests_per_plant": 0.6} | changed))


def test_largest_numbers_allowed_do_not_break_the_sheet() -> None:
    """The ends of what is taken must still give a number."""
    made = injury.worksheet(
        cost=1e9, crop_yield=1e-6, price=1e-6, loss_per_pest=1.0, control=1e-6, pests_per_plant=0.001
    )
    assert math.isfinite(made.ratio)
