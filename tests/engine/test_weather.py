"""Weather: masks, short gaps, weights, and the members that continue a season."""

from __future__ import annotations

import numpy as np
import pytest

from springwalk.engine import weather
from springwalk.jobs.params import load

PARAMS = load().weather


def test_repeated_extremes_are_doubted_from_ten_days_on() -> None:
    """A pair of extremes stuck for 10 days is an instrument, not weather; nine days may be."""
    low, high = np.arange(30.0), np.arange(30.0) + 10
    low[5:15], high[5:15] = 1.0, 11.0
    assert np.flatnonzero(weather.repeated(low, high, PARAMS)).tolist() == list(range(5, 15))
    low[5] = 2.0
    assert not weather.repeated(low, high, PARAMS).any()


def test_a_jump_from_both_neighbours_is_doubted() -> None:
    """One day 26 °C above both neighbours is a misprint; a cold front that stays is not."""
    values = np.array([10.0, 12.0, 38.5, 11.0, 10.0, -20.0, -20.0])
    assert np.flatnonzero(weather.jumped(values, PARAMS)).tolist() == [2]
    newest = np.array([10.0, 12.0, np.nan, 52.0, np.nan, np.nan])
    assert np.flatnonzero(weather.jumped(newest, PARAMS)).tolist() == [3]


def test_gaps_lie_between_seen_days() -> None:
    """What is missing before the first and after the last day is no gap."""
    values = np.array([np.nan, 1, np.nan, np.nan, 2, 3, np.nan])
    assert weather.gaps(values) == [(2, 3)]
    assert weather.gaps(np.full(4, np.nan)) == []


def test_short_gaps_are_filled_and_long_ones_stay() -> None:
    """Three days straight across; four days stay missing and stop the count."""
    three = np.array([0.0, np.nan, np.nan, np.nan, 8.0])
    assert weather.fill_short_gaps(three, PARAMS).tolist() == [0, 2, 4, 6, 8]
    four = np.array([0.0, np.nan, np.nan, np.nan, np.nan, 8.0])
    assert np.isnan(weather.fill_short_gaps(four, PARAMS)[1:5]).all()


def test_a_neighbour_fills_better_than_a_straight_line() -> None:
    """The neighbour's course is used, less its mean difference."""
    values = np.array([10.0, np.nan, 14.0, 11.0])
    neighbour = np.array([12.0, 20.0, 16.0, 13.0])
    assert weather.fill_short_gaps(values, PARAMS, neighbour=neighbour)[1] == pytest.approx(18.0)


def test_distance_of_one_degree() -> None:
    """One degree of latitude is 111.2 km on the sphere used (π/180 × 6371)."""
    got = weather.distance_km(np.array(40.0), np.array(-96.0), np.array(41.0), np.array(-96.0))
    assert got == pytest.approx(np.pi / 180 * 6371, rel=1e-9)


def test_station_weights_use_the_nearest_within_reach() -> None:
    """Rows sum to 1; far stations count for nothing unless there is no other."""
    lat, lon = np.array([40.0, 45.0]), np.array([-96.0, -96.0])
    got = weather.station_weights(lat, lon, np.array([40.0, 40.2, 42.0]), np.full(3, -96.0), PARAMS)
    assert got.sum(axis=1) == pytest.approx(1.0)
    assert got[0, 0] == pytest.approx(1 / 5**2 / (1 / 5**2 + 1 / (5 + np.pi / 180 * 6371 * 0.2) ** 2))
    assert got[0, 2] == 0.0
    assert got[1].tolist() == [0.0, 0.0, 1.0]


def test_a_cell_lives_on_the_stations_that_reported() -> None:
    """A station that is silent for a day leaves its weight to the others; all silent is missing."""
    values = np.array([[10.0, np.nan, np.nan], [20.0, 20.0, np.nan]])
    got = weather.cell_series(values, np.array([[0.75, 0.25]]), np.zeros((1, 2)))
    assert got[0, :2].tolist() == [12.5, 20.0]
    assert np.isnan(got[0, 2])


def test_members_keep_what_was_seen_and_fade_into_past_years() -> None:
    """Observed days are the same in every member; a warm last week fades with e in five days."""
    past = np.tile(np.array([[10.0], [14.0]]), (1, 40))
    observed = np.full(40, np.nan)
    observed[:20] = 15.0  # three warmer than the past years' mean of 12
    got = weather.continue_season(observed, past, PARAMS)
    assert (got[:, :20] == 15.0).all()
    assert got[:, 20] == pytest.approx(np.array([10.0, 14.0]) + 3 * np.exp(-1 / 5))
    assert got[:, 39] == pytest.approx([10.0, 14.0], abs=0.1)


def test_a_long_gap_is_bridged_by_past_years_with_their_spread() -> None:
    """Days nobody measured differ between members, days measured after the gap do not."""
    past = np.tile(np.array([[10.0], [14.0]]), (1, 30))
    observed = np.full(30, 12.0)
    observed[8:14] = np.nan
    got = weather.continue_season(observed, past, PARAMS)
    assert np.ptp(got[:, 8:14], axis=0) == pytest.approx(4.0)
    assert np.ptp(got[:, 14:], axis=0) == pytest.approx(0.0)


def test_without_past_years_spring_goes_on_warming() -> None:
    """No past years: this spring's own weeks on an assumed warming, never colder on the whole."""
    rng = np.random.default_rng(3)
    observed = np.full(100, np.nan)
    observed[:50] = 8 + 0.18 * np.arange(50) + rng.normal(0, 3, 50)
    got = weather.without_past(observed, PARAMS)
    assert got.shape == (PARAMS.members, 100)
    assert got[:, 70:100].mean() > got[:, 50:70].mean() > observed[20:50].mean()


def test_crossed_extremes_meet_half_way() -> None:
    """A member never has a minimum above its maximum."""
    low, high = weather.order_extremes(np.array([1.0, 6.0]), np.array([5.0, 4.0]))
    assert low.tolist() == [1.0, 5.0]
    assert high.tolist() == [5.0, 5.0]


def test_members_are_spread_evenly_in_their_order() -> None:
    """Few fill many places in blocks, many are thinned, as many stay as they are."""
    assert weather.evenly(2, 4).tolist() == [0, 0, 1, 1]
    assert weather.evenly(6, 3).tolist() == [0, 2, 4]
    assert weather.evenly(30, 30).tolist() == list(range(30))


def test_after_a_forecast_its_own_departure_fades_into_past_years() -> None:
    """Seen, then forecast, then past years shifted by what the forecast's last week stood above them (e in 5 days)."""
    past = np.tile(np.array([[10.0], [14.0]]), (1, 60))
    observed, forecast = np.full(60, np.nan), np.full((2, 60), np.nan)
    observed[:20] = 12.0
    forecast[:, 15:30] = [[16.0], [8.0]]  # four above and four below the past years' mean of 12
    got = weather.with_forecast(observed, past, forecast, PARAMS)
    assert got.shape == (PARAMS.members, 60)
    assert (got[:, :20] == 12.0).all()
    assert got[:2, 20:30].tolist() == [[16.0] * 10, [8.0] * 10]
    assert got[:2, 30] == pytest.approx(10.0 + np.array([4.0, -4.0]) * np.exp(-1 / 5))
    assert sorted(set(got[:, 59].round(1))) == [10.0, 14.0]


def test_a_short_forecast_leans_on_the_days_seen_before_it() -> None:
    """Two forecast days alone don't set the departure: the last week, seen and forecast, does."""
    past = np.full((1, 40), 10.0)
    observed, forecast = np.full(40, np.nan), np.full((1, 40), np.nan)
    observed[:20], forecast[0, 20:22] = 10.0, 17.0
    got = weather.with_forecast(observed, past, forecast, PARAMS)
    assert got[0, 22] == pytest.approx(10.0 + 2 / 7 * 7.0 * np.exp(-1 / 5))


def test_between_the_newest_day_and_a_later_forecast_past_years_stand() -> None:
    """A forecast that begins three days on leaves the days between as they would be without it."""
    past = np.tile(np.array([[10.0], [14.0]]), (1, 40))
    observed, forecast = np.full(40, np.nan), np.full((1, 40), np.nan)
    observed[:20], forecast[0, 23:30] = 15.0, 20.0
    got = weather.with_forecast(observed, past, forecast, PARAMS)
    plain = weather.continue_season(observed, past, PARAMS)
    np.testing.assert_array_equal(got[[0, -1], 20:23], plain[:, 20:23])
