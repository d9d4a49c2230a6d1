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
        (
            lambda: stand.seeds_per_ha(79_000, germination=95, survival=0.95),
            "germination = 95: must be above 0 and at most 1; give a share, like 0.95 for 95 %.",
        ),
        (
            lambda: stand.seeds_per_ha(79_000, germination=0.95, survival=0.0),
            "survival = 0: must be above 0 and at most 1; give a share, like 0.95 for 95 %.",
        ),
    ],
)
def test_impossible_length_is_refused(asked: Callable[[], float], told: str) -> None:
    """A zero or lost length would give an endless stand, a percent for a share a hundredth of the seed."""
    with pytest.raises(BadValue, match=f"^{re.escape(told)}$"):
        asked()


RULE = stand.CountRule(margin=0.05, normal=1.96, emergence=0.92)


def test_mean_and_interval_of_counts() -> None:
    """Five counts: mean 30.2, sample SD √3.7, Student's t of 4 degrees at 90 % 1.5332 (printed in every t table)."""
    found = stand.counted([29, 31, 28, 33, 30], RULE)
    half = 1.5332 * math.sqrt(3.7 / 5)
    assert found.mean == pytest.approx(30.2)
    assert (found.low, found.high) == (pytest.approx(30.2 - half, abs=1e-3), pytest.approx(30.2 + half, abs=1e-3))
    assert found.more == math.ceil((1.96 * math.sqrt(3.7) / 30.2 / 0.05) ** 2) - 5 == 2


def test_equal_counts_are_not_taken_for_certain() -> None:
    """Two equal counts say nothing of the spread; chance alone, √(30 × 0.08), stands in for it."""
    found = stand.counted([30, 30], RULE)
    assert found.standard_error == pytest.approx(math.sqrt(30 * 0.08 / 2))
    assert found.high - found.low > 4.0


def test_one_count_has_the_spread_of_chance() -> None:
    """One count still gets a range, by the normal 80 % point 1.2816, and is told how many are missing."""
    found = stand.counted([30], RULE)
    assert found.high - 30.0 == pytest.approx(1.2816 * math.sqrt(30 * 0.08), abs=1e-3)
    assert found.more == math.ceil(1.96**2 * 0.08 / 30 / 0.05**2) - 1 == 4


def test_no_more_counts_where_there_are_enough() -> None:
    """Counts still to make never go below none, and the low end never below no plants."""
    assert stand.counted([30, 31] * 20, RULE).more == 0
    assert stand.counted([0, 1, 0, 0], RULE).low == 0.0


@pytest.mark.parametrize(
    ("counts", "told"),
    [
        ([], "counts = (none): must be numbers of plants, 0 or more; give the plants of each count."),
        ([30, -1], "counts = 30, -1: must be numbers of plants, 0 or more; give the plants of each count."),
        ([math.nan], "counts = nan: must be numbers of plants, 0 or more; give the plants of each count."),
        ([0, 0], "counts = 0: no plant was counted; there is no stand; go on to replanting."),
    ],
)
def test_impossible_counts_are_refused(counts: list[float], told: str) -> None:
    """What is no count must not become a stand."""
    with pytest.raises(BadValue, match=f"^{re.escape(told)}$"):
        stand.counted(counts, RULE)
