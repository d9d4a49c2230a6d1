"""Rain by field: stations by their weights, a gauge over them, nothing made up where nobody told."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from springwalk.jobs.cells import Cells, build_cells
from springwalk.jobs.params import load
from springwalk.jobs.rain import rain_of_fields
from springwalk.jobs.rules import rules
from springwalk.records import Gauge
from tests.jobs import made

TODAY = date(2016, 5, 17)
FIELDS = [made.field("near"), made.field("off", 40.85)]
WET = (date(2016, 5, 10) - date(2016, 3, 1)).days
NOW = (TODAY - date(2016, 3, 1)).days


def cells(near_mm: dict[str, float | None], far_mm: dict[str, float | None]) -> Cells:
    """Cells of the two fields between two stations that told this rain; the far one lies 400 m higher."""
    far = made.STATION.model_copy(update={"id": "F", "latitude": 40.995, "elevation_m": 750.0})
    near = made.STATION.model_copy(update={"elevation_m": 350.0})
    rows = {
        name: [(day, low, high, told.get(day)) for day, low, high, _ in made.lincoln_rows()]
        for name, told in (("L", near_mm), ("F", far_mm))
    }
    places = [(f.latitude, f.longitude, 350.0) for f in FIELDS]
    got, _ = build_cells(made.SEASON, [near, far], rows, places, today=TODAY, params=load().weather, rules=rules())
    assert got is not None
    return got


def test_rain_is_weighted_over_the_stations_that_told() -> None:
    """Height moves temperature, never rain; a silent station leaves its weight to the other."""
    both = cells({"2016-05-10": 20.0, "2016-05-11": 8.0}, {"2016-05-10": 10.0})
    share = both.weights[both.cell[0]]
    assert both.rain_mm[both.cell[0], WET] == pytest.approx(share @ [20.0, 10.0])
    assert both.rain_mm[both.cell, WET + 1].tolist() == [8.0, 8.0]


def test_no_report_is_not_a_dry_day() -> None:
    """A day nobody told of is missing, and a day told as 0 is known; a gap is never filled."""
    got = cells({"2016-05-09": 5.0, "2016-05-11": 0.0}, {})
    here = got.rain_mm[got.cell[0]]
    assert np.isnan(here[WET])
    assert here[WET + 1] == 0.0


def test_stations_speak_up_to_yesterday_only() -> None:
    """A row dated today is of no use this morning."""
    got = cells({"2016-05-16": 5.0, "2016-05-17": 9.0}, {})
    assert got.rain_mm[0, NOW - 1] == 5.0
    assert np.isnan(got.rain_mm[:, NOW:]).all()


def test_a_gauge_in_the_field_wins_over_the_farm_gauge_and_that_over_stations() -> None:
    """Whoever stood closest to the rain is believed, in whatever order it was typed."""
    gauges = [
        Gauge(field="near", date=date(2016, 5, 10), rain_mm=31.0, hard=True),
        Gauge(date=date(2016, 5, 10), rain_mm=25.0, hard=False),
        Gauge(date=TODAY, rain_mm=4.0),
        Gauge(date=date(2016, 5, 18), rain_mm=99.0),
        Gauge(field="sold", date=date(2016, 5, 11), rain_mm=99.0),
    ]
    for told in (gauges, gauges[::-1]):
        got = rain_of_fields(FIELDS, cells({"2016-05-10": 20.0, "2016-05-12": 1.0}, {}), told, made.SEASON, TODAY)
        assert got.rain_mm[:, WET].tolist() == [31.0, 25.0]
        assert got.hard[:, WET].tolist() == [1, 0]
        assert got.own[:, WET].all()
        assert got.rain_mm[:, NOW].tolist() == [4.0, 4.0]
        assert got.hard[:, NOW].tolist() == [-1, -1]
        assert not got.known[:, WET + 1].any()
        assert not got.known[:, NOW + 1 :].any()
        assert got.known[:, WET + 2].all()
        assert not got.own[:, WET + 2].any()


def test_gauges_alone_tell_rain() -> None:
    """Without any weather station a person's own gauge is still rain."""
    got = rain_of_fields(FIELDS, None, [Gauge(date=date(2016, 5, 10), rain_mm=0.0)], made.SEASON, TODAY)
    assert got.known.sum() == 2
    assert got.rain_mm[:, WET].tolist() == [0.0, 0.0]
