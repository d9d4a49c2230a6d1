"""Soil from air: the real spring of 2016, bounds that must hold for any air, and the texts of refusals."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from numpy.typing import NDArray

from springwalk.engine.soil_heat import SoilHeatParams, share_of_a_day, soil_by_day, surface_c
from springwalk.errors import BadValue
from springwalk.jobs.seedbed_params import seedbed_params
from springwalk.units import c_to_f
from tests.drawn import examples
from tests.lincoln import day, extremes_c

Array = NDArray[np.float64]
PARAMS = seedbed_params().soil
calm = settings(deadline=None, derandomize=True, max_examples=examples(60))
airs = st.lists(st.floats(-30.0, 40.0), min_size=1, max_size=40)


@pytest.fixture(scope="module")
def lincoln() -> tuple[Array, Array]:
    """Air mean and soil (°C) at Lincoln, 1 March to 15 July 2016, the soil begun at the mean of the first ten days."""
    low, high = extremes_c()
    air = (low + high) / 2.0
    return air, soil_by_day(air, start_c=air[:10].mean(), params=PARAMS)


@calm
@given(airs, st.floats(-5.0, 25.0))
def test_soil_stays_within_what_the_surface_had(air: list[float], start: float) -> None:
    """Soil is a running mean: never outside its start and the surfaces of its days (bare ground is above the air)."""
    soil = soil_by_day(np.array(air), start_c=start, params=PARAMS)
    seen = np.append(surface_c(np.array(air), params=PARAMS), start)
    assert seen.min() - 1e-9 <= soil.min()
    assert soil.max() <= seen.max() + 1e-9


@calm
@given(airs)
def test_soil_under_full_leaf_stays_within_the_air(air: list[float]) -> None:
    """Without the sun's share the model can't leave the range of the air and freezing."""
    shaded = replace(PARAMS, leaf_share=0.0)
    soil = soil_by_day(np.array(air), start_c=air[0], params=shaded)
    assert min(*air, 0.0) - 1e-9 <= soil.min()
    assert soil.max() <= max(*air, 0.0) + 1e-9


@calm
@given(airs, st.floats(0.0, 5.0))
def test_warmer_air_never_cools_the_soil(air: list[float], more: float) -> None:
    """A warmer spring is nowhere colder in the soil."""
    cool, warm = (soil_by_day(np.array(air) + x, start_c=5.0, params=PARAMS) for x in (0.0, more))
    assert np.all(warm >= cool - 1e-9)


def test_deeper_and_greener_is_slower() -> None:
    """The day's share falls with depth and with green cover."""
    deep = replace(PARAMS, depth_mm=300.0)
    assert share_of_a_day(deep) < share_of_a_day(PARAMS) < share_of_a_day(replace(PARAMS, depth_mm=0.0)) == 0.24
    assert share_of_a_day(PARAMS, green_area=2.0) < share_of_a_day(PARAMS)


def test_places_are_worked_side_by_side() -> None:
    """Many cells at once give what each gives alone, each with its own start."""
    air = np.random.default_rng(3).normal(10.0, 8.0, (4, 5, 30))
    start = np.linspace(2.0, 12.0, 20).reshape(4, 5)
    whole = soil_by_day(air, start_c=start, params=PARAMS)
    alone = soil_by_day(air[2, 3], start_c=start[2, 3], params=PARAMS)
    assert whole.shape == air.shape
    assert whole[2, 3] == pytest.approx(alone)


def test_missing_air_leaves_the_rest_missing() -> None:
    """A gap may not be bridged silently: from it on the soil is not known."""
    soil = soil_by_day(np.array([10.0, np.nan, 12.0]), start_c=8.0, params=PARAMS)
    assert np.isnan(soil).tolist() == [False, True, True]


def test_start_is_forgotten() -> None:
    """What the soil began the season with may not matter at planting: two weeks leave 3 % of it."""
    air = np.full(14, 10.0)
    apart = soil_by_day(air, start_c=9.0, params=PARAMS) - soil_by_day(air, start_c=0.0, params=PARAMS)
    assert apart[-1] / 9.0 == pytest.approx(0.031, abs=0.0005)


def test_lincoln_cold_spell_comes_late_and_weaker(lincoln: tuple[Array, Array]) -> None:
    """27 April to 1 May 2016: air fell under 50 °F; soil at 100 mm followed by a fifth a day and stayed over it."""
    air_f, soil_f = (c_to_f(x) for x in lincoln)
    spell = slice(day(4, 28), day(5, 1) + 1)
    assert air_f[spell].max() < 50.0
    assert np.all(np.diff(soil_f[day(4, 26) : day(5, 1) + 1]) < 0.0)
    assert soil_f[day(4, 26)] - soil_f[day(5, 1)] > 8.0
    assert np.all(soil_f[spell] > air_f[spell])
    assert soil_f[day(4, 30)] == pytest.approx(55.4, abs=0.05)


def test_lincoln_cold_soil_is_within_the_stated_range(lincoln: tuple[Array, Array]) -> None:
    """50 °F soil at the end of that spell can't be ruled out: it lies within two standard errors on 30 April."""
    _, soil = lincoln
    low_f = c_to_f(soil[day(4, 30)] - 2.0 * PARAMS.sd_c)
    assert low_f < 50.0 < c_to_f(soil[day(4, 30)])


def test_agrees_with_a_running_mean_of_eleven_days(lincoln: tuple[Array, Array]) -> None:
    """The other published idea (Zheng 1993: soil follows the mean air of 11 days) agrees within its own error."""
    air, soil = lincoln
    window = np.convolve(air, np.ones(11) / 11.0, mode="valid")
    gap = (soil[10:] - window)[: day(6, 10)]
    assert np.sqrt(np.mean(gap**2)) < 2.9
    assert np.corrcoef(soil[10 : day(6, 10)], window[: day(6, 10) - 10])[0, 1] ** 2 > 0.85


@pytest.mark.parametrize(
    ("change", "text"),
    [
        ({"depth_mm": -1.0}, "soil depth = -1.0 mm: it can't lie above the ground; give 0 or more."),
        ({"sd_c": -0.5}, "soil error = -0.5 °C: an error is not below zero; give 0 or more."),
    ],
)
def test_refusals_say_what_to_do(change: dict[str, float], text: str) -> None:
    """A wrong parameter stops with name, value, rule and way out."""
    with pytest.raises(BadValue, match=f"^{re.escape(text)}$"):
        SoilHeatParams(**{**vars(PARAMS), **change})
