"""Stand arithmetic: the ways to count agree with each other, and impossible lengths are refused."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import pytest
from hypothesis import given, settings, strategies as st

from springwalk.engine import stand
from springwalk.errors import BadValue
from springwalk.units import ACRES_PER_HA

calm = settings(deadline=None, derandomize=True)
"""Same draws on every run, and no failure because the machine was busy."""
widths_m = st.floats(0.15, 1.2)


@calm
@given(width=widths_m, plants=st.integers(0, 60))
def test_plant_in_a_thousandth_is_a_thousand(width: float, plants: int) -> None:
    """Whatever the row width, each plant in the row length for 1/1000 acre is 1000 plants per acre."""
    length = stand.row_length_m(width)
    density = stand.plants_per_ha_from_row_count(plants, length_m=length, row_width_m=width)
    assert density == pytest.approx(1000.0 * plants * ACRES_PER_HA)


@calm
@given(width=widths_m, length=st.floats(5.0, 100.0))
def test_wheel_and_row_count_agree(width: float, length: float) -> None:
    """150 plants on the wheel are 150 plants in that much row."""
    counted = stand.plants_per_ha_from_row_count(150, length_m=length, row_width_m=width)
    assert stand.wheel_factor(width) / length == pytest.approx(counted)


@calm
@given(diameter=st.floats(0.3, 2.0))
def test_hoop_factor_is_hectare_over_area(diameter: float) -> None:
    """One plant a hoop, hoop beside hoop over a hectare."""
    assert stand.hoop_factor(diameter) * math.pi * (diameter / 2.0) ** 2 == pytest.approx(10_000.0)


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (lambda: stand.row_length_m(0.0), "row width = 0 m: must be above 0; give the length as it was measured."),
        (
            lambda: stand.wheel_factor(-0.76),
            "row width = -0.76 m: must be above 0; give the length as it was measured.",
        ),
        (
            lambda: stand.hoop_factor(math.nan),
            "hoop diameter = nan m: must be above 0; give the length as it was measured.",
        ),
        (
            lambda: stand.plants_per_ha_from_row_count(30, length_m=0.0, row_width_m=0.76),
            "row length = 0 m: must be above 0; give the length as it was measured.",
        ),
    ],
)
def test_impossible_length_is_refused(asked: Callable[[], float], told: str) -> None:
    """A zero or lost length would give an endless stand."""
    with pytest.raises(BadValue, match=f"^{re.escape(told)}$"):
        asked()
