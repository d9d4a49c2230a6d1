"""Units, weather and what was seen of the corn, as the arrays the engine takes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

import numpy as np

from springwalk.engine.arrivals import cover_by_night
from springwalk.engine.working import Inputs
from springwalk.jobs.cells import Cells
from springwalk.jobs.flights import Flights
from springwalk.jobs.params import Settings
from springwalk.jobs.units import Unit
from springwalk.records import Event, Field, Season, Walk


def inputs_of(
    season: Season, today: date, fields: Sequence[Field], units: Sequence[Unit], walks: Mapping[str, tuple[Walk, ...]],
    events: Mapping[str, tuple[Event, ...]], flights: Flights, cells: Cells, settings: Settings,
) -> Inputs:  # fmt: skip
    """The engine's inputs of a season on the morning of ``today``; days count from the season's first."""
    first, nights = season.begins, cells.min_c.shape[2]
    place = {field.id: k for k, field in enumerate(fields)}
    at = np.array([place[u.field.id] for u in units], np.int64)
    ends = [u.ground.green_end for u in units]
    unit, day, collars = _seen(units, walks, events, first, nights)
    return Inputs(
        min_c=cells.min_c, max_c=cells.max_c, today=(today - first).days, cell=cells.cell[at],
        arrived=flights.arrived[at], cover=_cover(units, settings, first, nights),
        planted=np.array([_day(u.planting.planted if u.planting else None, first, nights) for u in units]),
        first_planted=np.array([_day(u.before.planted if u.before else None, first, nights) for u in units]),
        green_end=np.array([np.nan if e is None else float((e - first).days) for e in ends]),
        seen_unit=unit, seen_day=day, seen_collars=collars,
    )  # fmt: skip


def _day(day: date | None, first: date, nights: int) -> float:
    return np.nan if day is None else float(min(max((day - first).days, 0), nights - 1))


def _cover(units: Sequence[Unit], settings: Settings, first: date, nights: int) -> np.ndarray:
    return np.array([cover_by_night(*u.ground.numbers(settings.cover, first), nights) for u in units])


def _seen(
    units: Sequence[Unit], walks: Mapping[str, tuple[Walk, ...]], events: Mapping[str, tuple[Event, ...]],
    first: date, nights: int,
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:  # fmt: skip
    """Looks at the corn of each unit: collars counted on walks, and the spike seen (NaN)."""
    found: list[tuple[int, int, float]] = []
    for k, unit in enumerate(units):
        mine = unit.planting.id if unit.planting else None
        for walk in walks.get(unit.field.id, ()):
            mine_then = walk.planting in (None, mine) and unit.saw(walk.walked)
            if walk.collars is not None and walk.staging == "collars" and mine_then:
                found.append((k, (walk.walked - first).days, walk.collars))
        for event in events.get(unit.field.id, ()):
            if event.what == "emerged" and event.planting in (None, mine) and unit.saw(event.date):
                found.append((k, (event.date - first).days, np.nan))
    found = [row for row in found if 0 <= row[1] < nights]
    return (
        np.array([row[0] for row in found], np.int64),
        np.array([row[1] for row in found], np.int64),
        np.array([row[2] for row in found], float),
    )
