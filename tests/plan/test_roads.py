"""Driving time and the plane it is measured on."""

from __future__ import annotations

import numpy as np
import pytest
from pyproj import Geod

from springwalk.errors import BadValue
from springwalk.plan.day import Roads
from springwalk.plan.roads import driving_min, on_a_plane, usual_roads


def test_minutes_by_hand() -> None:
    """30 km straight are 36 km of road, at 60 km/h 36 minutes, and 4 to turn in."""
    roads = Roads(60.0, 1.2, 4.0, "")
    start, end = np.array([[0.0, 0.0]]), np.array([[18_000.0, 24_000.0]])
    assert driving_min(start, end, roads, turn_in=False)[0, 0] == pytest.approx(36)
    assert driving_min(start, end, roads, turn_in=True)[0, 0] == pytest.approx(40)


def test_plane_agrees_with_the_ellipsoid() -> None:
    """Within a county or three the flat distance may be off by less than the roads are uncertain: half a percent."""
    places = [(41.0, -97.0), (41.3, -96.2), (40.6, -97.4)]
    flat = np.array(on_a_plane(places))
    geod = Geod(ellps="WGS84")
    for a, b in ((0, 1), (0, 2), (1, 2)):
        true = geod.inv(places[a][1], places[a][0], places[b][1], places[b][0])[2]
        assert float(np.hypot(*(flat[a] - flat[b]))) == pytest.approx(true, rel=0.005)


def test_places_on_two_continents_are_refused() -> None:
    """Latitude and longitude swapped in one file would otherwise plan a drive over an ocean."""
    with pytest.raises(BadValue) as raised:
        on_a_plane([(41.0, -97.0), (-97.0, 41.0)])
    assert str(raised.value) == "places = 138.0 °: lie too far apart for one day; plan each area by itself."
    assert on_a_plane([]) == []


def test_usual_roads_say_what_they_rest_on() -> None:
    """Minutes shown to a person carry their basis."""
    roads = usual_roads()
    assert roads.factor == pytest.approx(4 / np.pi, abs=0.005)
    assert roads.basis.count("assumption") == 3
