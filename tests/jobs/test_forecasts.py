"""Forecasts: they move the dates towards what came, narrow the first days, and replace nothing that was seen."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np
import pytest

from springwalk.engine.assess import assess
from springwalk.jobs.cells import Cells, build_cells
from springwalk.jobs.params import load
from springwalk.jobs.rules import rules
from springwalk.jobs.snapshot import Snapshot
from springwalk.records import Forecast
from tests.jobs import made
from tests.lincoln import BEGIN, extremes_c

TODAY = date(2016, 5, 1)
NOW = (TODAY - BEGIN).days
LOW, HIGH = extremes_c()


def forecast(spread_c: Sequence[float] = (0.0,), days: int = 15, issued: date = TODAY, **other: object) -> Forecast:
    """The days that came from ``issued`` on, one member for each shift in °C."""
    at = (issued - BEGIN).days
    low, high = (
        tuple(tuple(float(v + shift) for v in values[at : at + days]) for shift in spread_c) for values in (LOW, HIGH)
    )
    told = {"station": "L", "issued": issued, "first": issued, "min_c": low, "max_c": high, **other}
    return Forecast(**told)  # type: ignore[arg-type]


def cells(forecasts: Sequence[Forecast] = (), *, past: int = 30, today: date = TODAY, places: int = 1) -> Cells:
    """Cells beside one station with past years."""
    rows = {"L": sorted([*(made.past_rows(past) if past else []), *made.lincoln_rows()])}
    at = [(40.7 + k, -96.85, None) for k in range(places)]
    got, _ = build_cells(made.SEASON, [made.STATION], rows, at, today=today, params=load().weather, rules=rules(),
                         forecasts=forecasts)  # fmt: skip
    assert got is not None
    return got


def snapshot(forecasts: Sequence[Forecast], rows: list | None = None, today: date = TODAY) -> Snapshot:
    """Four fields and a flight as known on 1 May."""
    return made.snapshot([*made.FOUR, *forecasts], today, rows=rows)


def test_a_perfect_forecast_moves_the_dates_towards_the_truth() -> None:
    """Told what the next weeks bring, the dates come nearer to those of the spring as it came."""
    names = ("can_cut_10_day", "can_cut_half_day")

    def days(snap: Snapshot) -> np.ndarray:
        got = assess(snap.inputs, snap.settings.engine)
        return np.array([getattr(got, name)[[0, 2, 3], 1] for name in names])  # black ground has no brood

    # Past years all like this spring but 3 °C warmer: without a forecast every date is too early.
    warm = [(f"{year}{d[4:]}", lo + 3, hi + 3, r) for year in range(1986, 2016) for d, lo, hi, r in made.lincoln_rows()
            if not d.endswith("02-29")]  # fmt: skip
    rows = sorted([*warm, *made.lincoln_rows()])
    truth = days(snapshot([], rows, date(2016, 7, 10)))
    without, told = days(snapshot([], rows)), days(snapshot([forecast(days=30)], rows))
    assert (truth - without).min() > 1.0
    assert (np.abs(told - truth) < 0.5 * np.abs(without - truth)).all()


def test_a_forecast_makes_dates_surer() -> None:
    """The 10–90 % range of a date that falls within the forecast is narrower than past years alone give it."""
    plain, told = (
        assess(s.inputs, s.settings.engine).can_cut_10_day[0] for s in (snapshot([]), snapshot([forecast(days=30)]))
    )
    assert told[2] - told[0] < 0.6 * (plain[2] - plain[0])


def test_ranges_are_narrower_while_the_forecast_lasts() -> None:
    """Five members within 2 °C: the first days spread by as much, the days beyond like past years again."""
    plain, told = cells(), cells([forecast((-1.0, -0.5, 0.0, 0.5, 1.0))])
    ahead = slice(NOW, NOW + 15)
    assert np.ptp(told.max_c[0, :, ahead], axis=0) == pytest.approx(2.0)
    assert (np.ptp(plain.max_c[0, :, ahead], axis=0) > 5.0).all()
    assert np.ptp(told.max_c[0, :, -1]) == pytest.approx(np.ptp(plain.max_c[0, :, -1]), abs=0.1)
    assert told.max_c.shape == plain.max_c.shape == (1, 30, 137)


def test_a_forecast_never_replaces_an_observation() -> None:
    """A forecast of three days ago says nothing of the days that were measured since."""
    old = forecast((5.0,), issued=TODAY - timedelta(days=3))
    got, plain = cells([old]), cells()
    np.testing.assert_array_equal(got.min_c[:, :, :NOW], plain.min_c[:, :, :NOW])
    assert got.max_c[0, :, NOW] == pytest.approx(HIGH[NOW] + 5.0)
    assert not got.observed[:, NOW:].any()
    assert got.observed[:, :NOW].all()


def test_days_not_yet_measured_are_forecast_and_not_observed() -> None:
    """The station's newest day is of last week: the days between come from the forecast, and are not called seen."""
    rows = {"L": [r for r in made.lincoln_rows() if r[0] < "2016-04-29"]}
    recent = forecast(issued=TODAY - timedelta(days=2))
    got, _ = build_cells(made.SEASON, [made.STATION], rows, [(40.7, -96.85, None)], today=TODAY,
                         params=load().weather, rules=rules(), forecasts=[recent])  # fmt: skip
    assert got is not None
    assert got.max_c[0, :, NOW - 2] == pytest.approx(HIGH[NOW - 2])
    assert not got.observed[0, NOW - 2]
    assert got.basis.observed_to == date(2016, 4, 28)


def test_what_the_days_ahead_rest_on_is_said() -> None:
    """Members, the day they reach, and what follows; a forecast without a range of its own is called one."""
    many = cells([forecast(np.linspace(-2, 2, 51).tolist(), days=3)])
    assert many.basis.members_from == "51 forecast members to 3 May, then 30 past years"
    assert many.basis.forecast_to == date(2016, 5, 3)
    assert many.basis.members == 30
    one = cells([forecast()], past=20)
    assert one.basis.members_from == "one forecast without a range of its own to 15 May, then 20 past years"
    none = cells([forecast((0.0, 1.0))], past=0)
    assert none.basis.members_from == "2 forecast members to 15 May, then this spring's own last weeks"
    plain = cells()
    assert plain.basis.members_from == "30 past years"
    assert plain.basis.forecast_to is None


def test_every_past_year_is_used_and_the_number_of_members_stays() -> None:
    """Twenty past years and seven forecast members still make thirty, and each of both is among them."""
    got = cells([forecast(np.linspace(-3, 3, 7).tolist(), days=5)], past=20)
    assert got.max_c.shape[1] == 30
    assert len(np.unique(got.max_c[0, :, NOW].round(6))) == 7
    end = got.max_c[0, :, -1].round(2)
    assert len(np.unique(end)) >= 20


def test_the_newest_usable_forecast_counts() -> None:
    """Neither one issued tomorrow, nor one older than three days, nor one that ended; what is unused is said."""
    newer, older = forecast((1.0,)), forecast((8.0,), issued=TODAY - timedelta(days=1))
    ahead = forecast((9.0,), issued=TODAY + timedelta(days=1))
    got = cells([ahead, newer, older])
    assert got.max_c[0, :, NOW] == pytest.approx(HIGH[NOW] + 1.0)
    plain = cells()
    for useless in (forecast(issued=TODAY - timedelta(days=4)), forecast(days=2, issued=TODAY - timedelta(days=3))):
        got = cells([useless])
        np.testing.assert_array_equal(got.max_c, plain.max_c)
        unused = next(n for n in got.notes if n.code == "forecast_unused")
        assert unused.facts == {"station": "Lincoln", "date": useless.issued}
    assert not [n for n in plain.notes if n.code == "forecast_unused"]


def test_a_member_that_breaks_off_is_left_out() -> None:
    """A member with a missing or impossible day can't be followed; the whole ones stand."""
    broken = forecast((0.0, 1.0, 2.0))
    high = [list(row) for row in broken.max_c]
    high[1][4], high[2][6] = None, 99.0
    got = cells([broken.model_copy(update={"max_c": tuple(tuple(row) for row in high)})])
    assert got.max_c[0, :, NOW : NOW + 15] == pytest.approx(np.tile(HIGH[NOW : NOW + 15], (30, 1)))
    assert got.basis.members_from.startswith("one forecast")


def test_a_forecast_stands_only_where_its_station_has_weight() -> None:
    """A field beside another station, out of reach of the forecast's, keeps its past years, and the count is said."""
    far = made.STATION.model_copy(update={"id": "F", "name": "Far", "latitude": 42.695})
    rows = {name: sorted([*made.past_rows(), *made.lincoln_rows()]) for name in ("L", "F")}
    places = [(40.7, -96.85, None), (42.7, -96.85, None)]
    got, _ = build_cells(made.SEASON, [made.STATION, far], rows, places, today=TODAY, params=load().weather,
                         rules=rules(), forecasts=[forecast((0.0, 0.5))])  # fmt: skip
    assert got is not None
    assert np.ptp(got.max_c[got.cell[0], :, NOW]) == pytest.approx(0.5)
    np.testing.assert_array_equal(got.max_c[got.cell[1]], cells().max_c[0])
    assert got.basis.members_from == "2 forecast members to 15 May for 1 of 2 fields, then 30 past years"


def test_a_forecast_is_moved_to_the_place() -> None:
    """A field 100 m above the station has the forecast 0.65 °C cooler, as its observations are."""
    station = made.STATION.model_copy(update={"elevation_m": 350.0})
    rows = {"L": sorted([*made.past_rows(), *made.lincoln_rows()])}
    got, _ = build_cells(made.SEASON, [station], rows, [(40.7, -96.85, 450.0)], today=TODAY, params=load().weather,
                         rules=rules(), forecasts=[forecast()])  # fmt: skip
    assert got is not None
    assert got.max_c[0, :, NOW] == pytest.approx(HIGH[NOW] - 0.65)
