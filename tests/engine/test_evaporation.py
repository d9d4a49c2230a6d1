"""Evapotranspiration: shapes, edges of the year and the choice of method; the published rows are in test_fao56."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from springwalk.engine import evaporation as ev
from springwalk.jobs.seedbed_params import seedbed_params
from tests.drawn import examples
from tests.lincoln import BEGIN, DAYS, day, extremes_c

calm = settings(deadline=None, derandomize=True, max_examples=examples(60))
LATITUDE, HEIGHT_M = 40.7, 362.0


def test_many_fields_and_days_at_once() -> None:
    """Latitudes by row and days by column give what each pair gives alone."""
    latitude, days = np.array([30.0, 41.0, 48.0]), np.arange(60, 200)
    whole = ev.hargreaves_mm(8.0, 20.0, ev.above_air_mj(latitude[:, None], days[None, :]))
    assert whole.shape == (3, 140)
    assert whole[1, 40] == pytest.approx(float(ev.hargreaves_mm(8.0, 20.0, ev.above_air_mj(41.0, 100))))


def test_sun_stands_still_at_the_poles_edge() -> None:
    """Beyond the polar circle the sunset equation has no answer: all day in June, none in December, and no warning."""
    assert float(ev.day_length_h(80.0, 172)) == pytest.approx(24.0)
    assert float(ev.day_length_h(80.0, 355)) == pytest.approx(0.0)
    assert float(ev.above_air_mj(80.0, 355)) == pytest.approx(0.0, abs=1e-9)


def test_day_and_night_are_equal_on_the_equator() -> None:
    """Twelve hours at latitude 0 on any day."""
    assert ev.day_length_h(0.0, np.arange(1, 366)) == pytest.approx(12.0)


@calm
@given(st.floats(-30.0, 35.0), st.floats(0.0, 25.0), st.integers(1, 365))
def test_demand_is_never_below_zero(low: float, span: float, when: int) -> None:
    """Deep frost or a day without span evaporates nothing, not less."""
    assert float(ev.hargreaves_mm(low, low + span, ev.above_air_mj(LATITUDE, when))) >= 0.0


def test_crossed_extremes_count_as_no_span() -> None:
    """A minimum above its maximum may not become a complex number or NaN."""
    assert float(ev.hargreaves_mm(12.0, 11.0, 30.0)) == 0.0


def test_missing_stays_missing() -> None:
    """A day without an extreme has no evapotranspiration."""
    found = ev.hargreaves_mm(np.array([5.0, np.nan]), np.array([15.0, 20.0]), 30.0)
    assert np.isnan(found).tolist() == [False, True]


def test_net_long_wave_takes_a_clear_sky_at_most() -> None:
    """More sun than a clear sky gives is a reading error: it may not raise the loss."""
    most = ev.net_long_mj(10.0, 20.0, 1.2, 25.0, 25.0)
    assert ev.net_long_mj(10.0, 20.0, 1.2, 30.0, 25.0) == pytest.approx(most)


def test_two_ways_from_extremes_agree_within_the_stated_error() -> None:
    """Lincoln, March to June 2016: Hargreaves and Penman–Monteith from the same extremes differ by a tenth at most."""
    low, high = extremes_c()
    above = ev.above_air_mj(LATITUDE, BEGIN.timetuple().tm_yday + np.arange(DAYS))
    one, other = ev.hargreaves_mm(low, high, above), ev.penman_monteith_from_extremes_mm(low, high, above, HEIGHT_M)
    for first, last in ((day(3, 1), day(4, 1)), (day(4, 1), day(5, 1)), (day(5, 1), day(6, 1)), (day(6, 1), day(7, 1))):
        ratio = other[first:last].mean() / one[first:last].mean()
        assert 0.9 < ratio < 1.02
        assert abs(ratio - 1.0) < seedbed_params().wet.et0_error
