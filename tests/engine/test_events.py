"""Rain that chills seed, and runs of days."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from springwalk.engine.events import SoakParams, cold_rain_day, runs
from springwalk.units import MM_PER_IN, f_to_c
from tests import lincoln
from tests.drawn import examples

PARAMS = SoakParams(days=2, rain_mm=2.5, mean_c=10.0)


def found(rain: list[float], mean: list[float], soil: list[float] | None = None, planted: float = 0.0) -> float:
    """The day of cold rain of one unit."""
    bed = [20.0] * len(rain) if soil is None else soil
    return float(cold_rain_day(np.array([rain]), np.array([mean]), np.array([bed]), np.array([planted]), PARAMS)[0])


@pytest.mark.parametrize(
    ("rain", "mean", "day"),
    [
        ([0, 10, 0, 0], [15, 9, 15, 15], 1),
        ([0, 10, 0, 0], [15, 15, 9, 15], 1),  # the day after the rain is the cold one
        ([0, 10, 0, 0], [15, 15, 15, 9], np.nan),  # cold too late
        ([0, 0, 0, 10], [9, 9, 9, 9], np.nan),  # after the first 48 h
        ([0, 2, 0, 0], [9, 9, 9, 9], np.nan),  # too little to wet the seed
        ([0, np.nan, 0, 0], [9, 9, 9, 9], np.nan),  # rain nobody knows is no sign
        ([10, 0, 0, 0], [10, 15, 15, 15], 0),  # 50 °F itself is cold (Purdue 2020: at or below)
    ],
)
def test_which_rain_chills_seed(rain: list[float], mean: list[float], day: float) -> None:
    """Rain within 48 h of planting counts where that day or the next is at or below 50 °F (Nielsen, Purdue 2020)."""
    assert found(rain, mean) == pytest.approx(day, nan_ok=True)


def test_cold_soil_counts_by_itself() -> None:
    """Warm air over cold soil still chills the seed."""
    assert found([0, 10, 0], [15, 15, 15], [9, 9, 9]) == 1
    assert np.isnan(found([0, 10, 0], [15, 15, 15]))


def test_an_unknown_planting_date_is_no_sign() -> None:
    """Nothing is said of a planting without a date."""
    assert np.isnan(found([10, 10], [5, 5], planted=np.nan))


def test_lincoln_in_late_april() -> None:
    """1.3 in. on 28 April 2016: chills what was planted on the 27th (48.5 and 45.5 °F), not what on the 22nd."""
    low, high = lincoln.extremes_c()
    mean = np.tile((low + high) / 2, (2, 1))
    d = lincoln.day
    assert mean[0, d(4, 28)] == pytest.approx(f_to_c(48.5))
    assert mean[0, d(4, 29)] == pytest.approx(f_to_c(45.5))
    rain = np.zeros_like(mean)
    rain[:, d(4, 28)] = 1.3 * MM_PER_IN
    day = cold_rain_day(rain, mean, np.full_like(mean, np.nan), np.array([d(4, 22), d(4, 27)], float), PARAMS)
    assert np.isnan(day[0])
    assert day[1] == d(4, 28)


@settings(max_examples=examples(60), derandomize=True)
@given(st.lists(st.floats(0, 40), min_size=4, max_size=8), st.floats(0, 20), st.floats(0, 20))
def test_more_rain_or_cold_never_unsays_it(rain: list[float], more: float, colder: float) -> None:
    """A flag stays when it rains more or is colder, and comes no later."""
    mean = [11.0] * len(rain)
    before = found(rain, mean)
    after = found([r + more for r in rain], [m - colder for m in mean])
    assert np.isnan(before) or after <= before


@settings(max_examples=examples(60), derandomize=True)
@given(st.lists(st.booleans(), max_size=30), st.integers(1, 5))
def test_runs_hold_every_marked_day_once(marked: list[bool], apart: int) -> None:
    """Each marked day lies in exactly one run; runs stand further apart than what joins them."""
    got = runs(np.array(marked, bool), apart=apart)
    days = [k for k, one in enumerate(marked) if one]
    assert [sum(a <= d <= b for a, b in got) for d in days] == [1] * len(days)
    assert all(later[0] - earlier[1] > apart for earlier, later in pairwise(got))
