"""The surface layer: small balances by hand, properties of any rain, what not knowing the rain does, and refusals."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from numpy.typing import NDArray

from springwalk.engine.surface_water import (
    Ground,
    Layer,
    dry_band,
    dry_by_day,
    drying_since,
    fit_day,
    mostly_unknown,
    rained_on,
)
from springwalk.errors import BadValue
from springwalk.jobs.seedbed_params import seedbed_params
from tests.drawn import examples

Array = NDArray[np.float64]
LOAM = Layer(19.0, 9.0)
BARE = Ground(kc_max=1.2)
WET = seedbed_params().wet
BAND = (Layer(16.0, 8.0), LOAM, Layer(22.0, 10.0))
calm = settings(deadline=None, derandomize=True, max_examples=examples(60))
day_values = st.lists(st.tuples(st.floats(0.0, 60.0), st.floats(0.0, 12.0)), min_size=1, max_size=40)


def dry(rain: list[float], et0: list[float], **more: float) -> Array:
    """De of one loam unit on bare ground."""
    return dry_by_day(np.array([rain]), np.array([et0]), LOAM, ground=BARE, **more)[0]


def test_balance_by_hand() -> None:
    """Wet through: 4.8 mm a day at full rate, then 10 mm of which the layer takes 9.6, then a full day again."""
    assert dry([0, 0, 10, 0], [4, 4, 0, 4]) == pytest.approx([4.8, 9.6, 0.0, 4.8])


def test_drying_slows_past_readily_evaporable_water() -> None:
    """At De 14 of TEW 19 and REW 9 half the demand is met: 1.2 × 5 × 0.5 = 3 mm."""
    assert dry([0], [5], start_mm=14.0) == pytest.approx([17.0])


def test_rain_counts_before_the_day_dries() -> None:
    """A shower wets first and the same day dries it: 9 − 2 + 1.2 × 3."""
    assert dry([2], [3], start_mm=9.0) == pytest.approx([10.6])


def test_small_corn_leaves_less_to_the_sun() -> None:
    """Kcb 0.15 takes its part of the demand, and eq. 71 caps what a small sunlit share can give."""
    small = Ground(kc_max=1.2, kcb=0.15, exposed=0.9)
    found = dry_by_day(np.zeros((1, 1)), np.full((1, 1), 4.0), LOAM, ground=small)
    assert float(found[0, 0]) == pytest.approx(1.05 * 4.0 / 0.9)
    closed = Ground(kc_max=1.2, kcb=0.15, exposed=0.3)
    found = dry_by_day(np.zeros((1, 1)), np.full((1, 1), 4.0), LOAM, ground=closed)
    assert float(found[0, 0]) == pytest.approx(0.3 * 1.2 * 4.0 / 0.3)


@calm
@given(day_values, st.floats(0.0, 30.0))
def test_de_stays_in_the_layer(values: list[tuple[float, float]], start: float) -> None:
    """Between wet through and TEW on every evening, whatever falls and from wherever it begins."""
    rain, et0 = zip(*values, strict=True)
    found = dry(list(rain), list(et0), start_mm=start)
    assert found.min() >= 0.0
    assert found.max() <= 19.0


@calm
@given(day_values, st.integers(0, 39), st.floats(0.0, 40.0))
def test_more_rain_never_dries(values: list[tuple[float, float]], at: int, more: float) -> None:
    """Rain added on one day leaves no later evening drier, and no earlier one changed."""
    rain, et0 = (np.array(x) for x in zip(*values, strict=True))
    at %= len(rain)
    wetter = rain.copy()
    wetter[at] += more
    one, other = dry(list(rain), list(et0)), dry(list(wetter), list(et0))
    assert np.all(other <= one + 1e-9)
    assert other[:at] == pytest.approx(one[:at])


@calm
@given(day_values, st.lists(st.booleans(), min_size=40, max_size=40))
def test_band_is_in_order(values: list[tuple[float, float]], told: list[bool]) -> None:
    """Low ≤ mid ≤ high each evening, rain known or not."""
    rain, et0 = (np.array([x]) for x in zip(*values, strict=True))
    known = np.array([told[: rain.shape[1]]])
    band = dry_band(rain, known, et0, BAND, ground=BARE, params=replace(WET, known_share=-0.1))
    assert band.shape == (1, rain.shape[1], 3)
    assert np.all(np.diff(band, axis=-1) >= -1e-9)


def test_a_day_of_unknown_rain_may_have_been_wet() -> None:
    """Nine dry days, the tenth not told: the low end begins anew, mid and high go on; its false 0 is not read."""
    rain, et0, known = np.zeros((1, 10)), np.full((1, 10), 4.0), np.ones((1, 10), bool)
    known[0, 9] = False
    low, mid, high = dry_band(rain, known, et0, BAND, ground=BARE, params=WET)[0, 9]
    assert low == pytest.approx(1.2 * 4.0 * (1.0 - WET.et0_error))
    assert mid > 15.0
    assert high > mid


def test_band_forgets_how_the_season_began() -> None:
    """Wet, half-way and dry first days meet after one rain that fills the layer."""
    rain = np.array([[0.0, 30.0, 0.0]])
    band = dry_band(rain, np.ones((1, 3), bool), np.zeros((1, 3)), BAND, ground=BARE, params=WET)
    assert band[0, 0].tolist() == [0.0, 9.5, 22.0]
    assert band[0, 2].tolist() == [0.0, 0.0, 0.0]


def test_mostly_unknown_rain_gives_no_answer() -> None:
    """Of 14 days seven known is not enough and eight is; then the answer is missing, not dry."""
    known = np.ones((2, 20), bool)
    known[0, 7:14] = False
    known[1, 8:14] = False
    vague = mostly_unknown(known, WET)
    assert vague[0, 13:20].all()
    assert not vague[1].any()
    band = dry_band(np.zeros((2, 20)), known, np.full((2, 20), 3.0), BAND, ground=BARE, params=WET)
    assert np.array_equal(np.isnan(band).any(axis=-1), vague)


def test_first_days_count_what_there_is() -> None:
    """On the second day one of two known is no more than half; on the third two of three is."""
    assert mostly_unknown(np.array([[True, False, True]]), WET)[0].tolist() == [False, True, False]


def test_rain_of_two_days_keeps_off() -> None:
    """6 and 4 mm rule out the next morning and the one after; an untold day counts as none."""
    rain = np.array([[0.0, 6.0, 4.0, 0.0, 0.0, 0.0]])
    known = np.ones((1, 6), bool)
    assert rained_on(rain, known, WET)[0].tolist() == [False, False, True, True, False, False]
    known[0, 1] = False
    assert not rained_on(rain, known, WET).any()


def test_fit_day_counts_from_this_morning() -> None:
    """De 0, 3 and unknown this morning at 1.2 mm a day: in three days (3.6 mm), today, not known."""
    found = fit_day(np.array([0.0, 3.0, np.nan]), np.full((3, 10), 1.0), LOAM, ground=BARE, params=WET)
    assert found[:2].tolist() == [3.0, 0.0]
    assert np.isnan(found[2])


def test_fit_day_not_reached_or_ruled_out() -> None:
    """No demand never dries; rain that fell rules a morning out though the balance is dry."""
    none = fit_day(np.array([0.0]), np.zeros((1, 10)), LOAM, ground=BARE, params=WET)
    assert np.isnan(none[0])
    wet = np.array([[True, True, False, False]])
    assert fit_day(np.array([9.0]), np.ones((1, 4)), LOAM, ground=BARE, params=WET, wet=wet).tolist() == [2.0]


def test_crust_sets_when_half_is_gone() -> None:
    """From a soaking on day 1, 4.8 mm a day passes 9.5 mm on the second evening after; without rain there is none."""
    de = np.tile(dry([0, 40, 0, 0, 0], [4, 0, 4, 4, 4]), (2, 1))
    assert de[0] == pytest.approx([4.8, 0.0, 4.8, 9.6, 9.6 + 4.8 * 0.94])
    found = drying_since(de, 19.0, np.array([1.0, np.nan]), params=WET)
    assert found[0] == 3.0
    assert np.isnan(found[1])


def test_crust_not_yet() -> None:
    """Still wet on the last evening, or not known: no date."""
    assert np.isnan(drying_since(np.array([[0.0, 4.8], [np.nan, np.nan]]), 19.0, np.zeros(2), params=WET)).all()


@pytest.mark.parametrize(
    ("call", "text"),
    [
        (lambda: Layer(9.0, 9.0), "surface layer = TEW 9.0, REW 9.0 mm: TEW must be above REW and REW not below 0; "
         "take a soil's row of FAO-56 table 19."),
        (lambda: dry([-1], [2]), "rain = -1 mm: it can't be below zero; mark the day as not known instead."),
        (lambda: dry([1], [-2]), "reference evapotranspiration = -2 mm: it can't be below zero; "
         "mark the day as not known instead."),
    ],
)  # fmt: skip
def test_refusals_say_what_to_do(call, text: str) -> None:  # type: ignore[no-untyped-def]
    """Impossible water stops with name, value, rule and way out."""
    with pytest.raises(BadValue, match=f"^{re.escape(text)}$"):
        call()
