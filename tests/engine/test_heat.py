"""Degree-days: a plain quadrature as oracle, properties that must hold for any day, and the texts of refusals."""

from __future__ import annotations

import re

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from numpy.typing import NDArray

from springwalk.engine.heat import (
    AVERAGE,
    CORN,
    CUTOFFS,
    NAMED,
    Cutoff,
    Method,
    Shape,
    above,
    crop_heat_units,
    degree_days,
    quarter_rule,
    running_total,
    share_above,
)
from springwalk.errors import BadValue
from springwalk.units import DDF_PER_DDC, c_to_f, f_to_c

Array = NDArray[np.float64]
Day = tuple[float, float]

calm = settings(deadline=None, derandomize=True)
"""Same draws on every run, and no failure because the machine was busy."""

LOWER, UPPER = 10.0, 30.0
STEPS = 20_000
CURVED: tuple[Shape, ...] = ("sine", "triangle")
FLAT = (AVERAGE, CORN, NAMED["clipped-mean"])
ALL = tuple(Method(shape=shape, cutoff=cutoff) for shape in CURVED for cutoff in CUTOFFS) + FLAT
RISING = tuple(m for m in ALL if m.cutoff in ("none", "horizontal"))  # hotter is never less


def ordered(pair: Day) -> Day:
    """The two extremes of a day, minimum first."""
    return min(pair), max(pair)


temperatures = st.integers(-40_000, 55_000).map(lambda t: t / 1000.0)  # finer than any thermometer
days = st.tuples(temperatures, temperatures).map(ordered)
# A whole day exactly at the upper threshold is left out: the vertical cutoff may count it either way.
inside = st.integers(10_000, 29_999).map(lambda t: t / 1000.0)


def course(low: Array, high: Array, shape: Shape) -> Array:
    """Temperatures of each day at the middles of STEPS equal pieces, axes (day, piece)."""
    at = (np.arange(STEPS) + 0.5) / STEPS
    wave = np.sin(2.0 * np.pi * at) if shape == "sine" else 1.0 - 4.0 * np.abs(at - 0.5)
    return (low + high)[:, None] / 2.0 + (high - low)[:, None] / 2.0 * wave


def rate(temperature: Array, cutoff: Cutoff) -> Array:
    """Growth at a temperature: nothing under LOWER, and above UPPER what the cutoff says."""
    grown = np.maximum(temperature - LOWER, 0.0)
    if cutoff == "horizontal":
        return np.minimum(grown, UPPER - LOWER)
    if cutoff == "intermediate":
        return np.where(temperature > UPPER, 2.0 * UPPER - LOWER - temperature, grown)
    if cutoff == "vertical":
        return np.where(temperature > UPPER, 0.0, grown)
    return grown


@pytest.fixture(scope="module")
def any_days() -> tuple[Array, Array]:
    """120 seeded days from frost to desert, crossing no, one or both thresholds."""
    made = np.random.default_rng(20160412).uniform(-15.0, 48.0, size=(2, 120))
    return made.min(axis=0), made.max(axis=0)


@pytest.mark.parametrize("cutoff", CUTOFFS)
@pytest.mark.parametrize("shape", CURVED)
def test_closed_form_agrees_with_quadrature(any_days: tuple[Array, Array], shape: Shape, cutoff: Cutoff) -> None:
    """The closed forms hide six cases; adding up the course of the day knows none of them."""
    low, high = any_days
    summed = np.maximum(rate(course(low, high, shape), cutoff).mean(axis=1), 0.0)
    heat = degree_days(low, high, Method(shape=shape, cutoff=cutoff))
    # The vertical cutoff jumps by 20 °C, so a piece put on its wrong side counts.
    assert heat == pytest.approx(summed, abs=0.005 if cutoff == "vertical" else 1e-4)


@pytest.mark.parametrize("shape", CURVED)
def test_share_above_agrees_with_quadrature(any_days: tuple[Array, Array], shape: Shape) -> None:
    """The share of a day above a threshold is a count of its pieces."""
    low, high = any_days
    counted = (course(low, high, shape) > UPPER).mean(axis=1)
    assert share_above(low, high, UPPER, shape=shape) == pytest.approx(counted, abs=3.0 / STEPS)


@pytest.mark.parametrize("shape", CURVED)
def test_double_method_is_two_halves(any_days: tuple[Array, Array], shape: Shape) -> None:
    """A cold next morning takes its half of the day with it: by quadrature over the two halves."""
    low, high = any_days
    evening = low - 6.0
    halves = [rate(course(each, high, shape), "horizontal").mean(axis=1) for each in (low, evening)]
    heat = degree_days(low, high, Method(shape=shape, double=True), next_min_c=evening)
    assert heat == pytest.approx(sum(halves) / 2.0, abs=1e-4)


def test_hourly_middles_are_near_the_exact_value() -> None:
    """24 middles of hours are within 0.03 of the exact sine sum in °F·day for an ordinary day, 96 within 0.003."""
    low, high = np.array([(44.0 - 32) / 1.8]), np.array([(92.0 - 32) / 1.8])
    exact = float(degree_days(low, high)[0])
    for pieces, near in ((24, 0.03), (96, 0.003)):
        at = (np.arange(pieces) + 0.5) / pieces
        hours = (low + high) / 2.0 + (high - low) / 2.0 * np.sin(2.0 * np.pi * at)
        assert abs(rate(hours, "horizontal").mean() - exact) * DDF_PER_DDC < near


@pytest.mark.parametrize("method", ALL, ids=lambda m: m.label)
@calm
@given(day=days)
def test_heat_is_never_negative(day: Day, method: Method) -> None:
    """No day undoes growth, however hot (the intermediate cutoff is floored at 0)."""
    assert float(degree_days(*day, method)) >= 0.0


@pytest.mark.parametrize("method", RISING, ids=lambda m: m.label)
@calm
@given(day=days, warmer=st.integers(0, 15_000).map(lambda t: t / 1000.0))
def test_heat_rises_with_either_extreme(day: Day, warmer: float, method: Method) -> None:
    """A warmer night or a hotter noon never gives less where growth never falls."""
    low, high = day
    heat = float(degree_days(low, high, method))
    assert float(degree_days(low, high + warmer, method)) >= heat - 1e-9
    assert float(degree_days(min(low + warmer, high), high, method)) >= heat - 1e-9


@pytest.mark.parametrize("shape", CURVED)
@calm
@given(day=days)
def test_cutoffs_are_ordered(day: Day, shape: Shape) -> None:
    """Growing on above the upper threshold ≥ holding ≥ falling back, and holding ≥ stopping."""
    none, held, falling, stopped = (float(degree_days(*day, Method(shape=shape, cutoff=c))) for c in CUTOFFS)
    assert none >= held - 1e-9
    assert held >= falling - 1e-9
    assert held >= stopped - 1e-9


@pytest.mark.parametrize("method", ALL, ids=lambda m: m.label)
@calm
@given(day=days)
def test_fahrenheit_is_1_8_times_celsius(day: Day, method: Method) -> None:
    """The same day counted wholly in °F gives 1.8 times the °C·day."""
    upper_f = None if method.upper_c is None else c_to_f(method.upper_c)
    in_f = Method(shape=method.shape, cutoff=method.cutoff, lower_c=c_to_f(method.lower_c), upper_c=upper_f)
    heat_f = float(degree_days(c_to_f(day[0]), c_to_f(day[1]), in_f))
    assert heat_f == pytest.approx(DDF_PER_DDC * float(degree_days(*day, method)), abs=1e-6)


@pytest.mark.parametrize("method", ALL, ids=lambda m: m.label)
@calm
@given(season=st.lists(days, min_size=1, max_size=20))
def test_heat_adds_up_over_days(season: list[Day], method: Method) -> None:
    """A sum from a date is a difference of running totals: days in one array answer as days one by one."""
    low, high = np.array(season).T
    one_by_one = [float(degree_days(*day, method)) for day in season]
    total = running_total(degree_days(low, high, method))
    assert float(total[-1]) == pytest.approx(sum(one_by_one), abs=1e-9)
    half = len(season) // 2
    assert float(total[-1] - total[half]) == pytest.approx(sum(one_by_one[half + 1 :]), abs=1e-9)


@pytest.mark.parametrize("method", ALL, ids=lambda m: m.label)
@calm
@given(day=st.tuples(inside, inside).map(ordered))
def test_day_between_the_thresholds_is_its_mean(day: Day, method: Method) -> None:
    """Where no threshold cuts the day every method is the plain mean above the lower one."""
    assert float(degree_days(*day, method)) == pytest.approx(sum(day) / 2.0 - LOWER, abs=1e-9)


@pytest.mark.parametrize("method", ALL, ids=lambda m: m.label)
@calm
@given(steady=temperatures.filter(lambda t: t != UPPER))
def test_day_without_range_is_safe(steady: float, method: Method) -> None:
    """A day whose minimum is its maximum must not divide by zero: it grows at that one temperature."""
    cutoff = method.cutoff if method.curved else "none" if method is AVERAGE else "horizontal"
    expected = max(float(rate(np.array(steady), cutoff)), 0.0)
    assert float(degree_days(steady, steady, method)) == pytest.approx(expected, abs=1e-9)


def test_arcsine_is_in_radians() -> None:
    """A sine day with a cold morning (40–60 °F over 50) gives 10/π = 3.183 °F·day: degrees would not."""
    assert float(above((40 - 32) / 1.8, (60 - 32) / 1.8, 10.0)) * DDF_PER_DDC == pytest.approx(10.0 / np.pi)


@pytest.mark.parametrize("method", ALL, ids=lambda m: m.label)
def test_missing_extreme_stays_missing(method: Method) -> None:
    """A gap in the weather may never pass for a day without heat."""
    heat = degree_days([np.nan, 12.0, 12.0], [20.0, np.nan, 20.0], method)
    assert np.isnan(heat).tolist() == [True, True, False]
    assert np.isnan(running_total(heat)).all()


def test_shares_miss_what_is_missing() -> None:
    """A missing day has no share above a threshold either."""
    assert np.isnan(share_above([np.nan], [30.0], 10.0)).all()


def test_double_method_misses_the_next_morning() -> None:
    """On the last day no next morning is known: that day is missing and not guessed."""
    heat = degree_days([5.0, 6.0], [20.0, 21.0], Method(double=True), next_min_c=[6.0, np.nan])
    assert np.isnan(heat).tolist() == [False, True]


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (
            lambda: Method(shape="wave"),  # type: ignore[arg-type]
            "method = wave: no such way of counting heat;"
            " use one of sine, triangle, average, 86/50, clipped-mean, capped-max.",
        ),
        (
            lambda: Method(cutoff="soft"),  # type: ignore[arg-type]
            "cutoff = soft: no such cutoff; use one of none, horizontal, intermediate, vertical.",
        ),
        (
            lambda: Method(shape="86/50", upper_c=None),
            "upper = None: 86/50 needs an upper threshold; give --upper.",
        ),
        (
            lambda: Method(upper_c=None),
            "upper = None: single sine, horizontal cutoff needs an upper threshold; give --upper.",
        ),
        (
            lambda: Method(lower_c=30.0, upper_c=10.0),
            "upper = 10.0 °C: must be above lower = 30; swap them.",
        ),
        (
            lambda: degree_days(20.0, 10.0),
            "min = 20 °C: above the day's maximum 10; swap or correct the extremes.",
        ),
        (
            lambda: degree_days([1.0, 25.5], 24.0),
            "min = 25.5 °C: above the day's maximum 24; swap or correct the extremes.",
        ),
        (
            lambda: degree_days(5.0, 10.0, Method(double=True), next_min_c=12.0),
            "next_min = 12 °C: above the day's maximum 10; swap or correct the extremes.",
        ),
        (
            lambda: degree_days(5.0, 10.0, Method(double=True)),
            "next_min = (not given): a double method needs the next morning's minimum; give --next-min.",
        ),
        (
            lambda: degree_days(5.0, 10.0, Method(shape="average", double=True), next_min_c=4.0),
            "double = average: only sine and triangle split the day; leave --double out.",
        ),
    ],
)
def test_refusal_says_what_to_do(asked: object, told: str) -> None:
    """Each refusal names the value, the rule it breaks and the way out."""
    with pytest.raises(BadValue, match=f"^{re.escape(told)}$"):
        asked()  # type: ignore[operator]


def test_labels_say_the_method() -> None:
    """A heat sum is printed with its method: the words are fixed."""
    assert [m.label for m in NAMED.values()] == [
        "single sine, horizontal cutoff", "single triangle, horizontal cutoff", "average", "86/50", "clipped-mean",
    ]  # fmt: skip
    assert Method(shape="triangle", cutoff="none", double=True).label == "double triangle, none cutoff"


def test_crop_heat_units_and_the_quarter_rule_at_their_edges() -> None:
    """Both parts of a crop heat unit are floored at 0; the quarter rule meets the average where no threshold cuts."""
    assert float(crop_heat_units(-5.0, 8.0)) == 0.0
    assert float(crop_heat_units(8.4, 8.4)) == pytest.approx(1.8 * 4.0 / 2)
    assert float(quarter_rule(12.0, 20.0)) == pytest.approx(6.0)
    assert float(quarter_rule(2.0, 9.0)) == 0.0
    assert np.isnan(quarter_rule(np.nan, 9.0))


def test_capped_max_is_the_maggot_formula() -> None:
    """(max, capped at 84.2 °F, + min)/2 − 39, negative days 0 (Univ. Minnesota, seed corn maggot degree-days)."""
    method = Method(shape="capped-max", cutoff="none", lower_c=f_to_c(39.0), upper_c=f_to_c(84.2))
    low, high = f_to_c(np.array([50.0, 60.0, 20.0])), f_to_c(np.array([70.0, 95.0, 40.0]))
    assert degree_days(low, high, method) * 1.8 == pytest.approx([21.0, 33.1, 0.0])
    assert method.label == "capped-max"
    with pytest.raises(BadValue, match="capped-max needs an upper threshold"):
        Method(shape="capped-max", cutoff="none", upper_c=None)
