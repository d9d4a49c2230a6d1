"""The four fields of Lincoln 2016 as a hazard, and small walks over it."""

from __future__ import annotations

from functools import cache

import numpy as np

from springwalk.engine.belief import StopSeen, WalkSeen, make_grid
from springwalk.engine.hazard import Hazard, hazards
from springwalk.jobs.params import load
from springwalk.jobs.params_belief import belief_params
from tests.lincoln import day, four_fields

PARAMS = belief_params()
GRID = make_grid()
EXPECTED = np.array([0.0, 0.5, 0.3, 0.3])
"""Larvae per 100 expected of the four fields; the first is black ground without eggs."""
BEFORE, EARLY, MIDDLE, LATE = day(5, 8), day(5, 22), day(5, 30), day(6, 8)


@cache
def lincoln() -> Hazard:
    """The hazard of the four fields over the grid's shifts."""
    return hazards(four_fields(today=day(5, 20)), load().engine, np.arange(4), GRID.shifts_ddc)


def counted(*cut: int, leaf: int | None = None, places: int = 20) -> tuple[StopSeen, ...]:
    """Stops with so many fresh cuts each."""
    return tuple(StopSeen(places, cut_fresh=c, leaf_fed=leaf) for c in cut)


def walk(on: int, stops: tuple[StopSeen, ...] = (), *, unit: int = 1, **larvae: object) -> WalkSeen:
    """A walk of a field."""
    return WalkSeen(unit, on, stops, **larvae)  # type: ignore[arg-type]
