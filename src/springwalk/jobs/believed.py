"""What is believed about the larvae of some units of a snapshot, from their hazard and their walks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

import numpy as np
from numpy.typing import NDArray

from springwalk.engine import belief as believing
from springwalk.engine.belief_seen import WalkSeen
from springwalk.engine.draws import Draws
from springwalk.engine.hazard import Hazard, hazards
from springwalk.engine.working import Inputs, Params, work_cell
from springwalk.jobs.params_belief import belief_params
from springwalk.jobs.snapshot import Snapshot
from springwalk.jobs.walks_seen import walks_seen
from springwalk.records import Pass
from springwalk.tables import number


@dataclass(frozen=True)
class Believed:
    """Belief of some units of a snapshot, whose places are those of ``units`` in all of it."""

    units: tuple[int, ...]
    hazard: Hazard
    walks: tuple[WalkSeen, ...]
    belief: believing.Belief


def believed(snap: Snapshot, units: Sequence[int]) -> Believed | None:
    """Belief of units (places in ``snap.units``), each from its walks and the others'; None without weather or units.

    A unit that nobody walked has the belief of the flight, its cover, and what other fields say.
    """
    if snap.inputs is None or not units:
        return None
    place = np.array(units, np.int64)
    grid = believing.make_grid()
    hazard = hazards(snap.inputs, snap.settings.engine, place, grid.shifts_ddc)
    load = expected_load(snap.inputs, snap.settings.engine, place)
    walks = walks_seen(snap, units)
    belief = believing.believe(walks, hazard, load, grid, belief_params())
    return Believed(tuple(units), hazard, walks, belief)


def expected_load(inputs: Inputs, params: Params, units: NDArray[np.int64]) -> NDArray[np.float64]:
    """Larvae per 100 plants expected of each unit (u,) from flight, cover and tillage, all else at its middle."""
    members = np.unique(np.linspace(0, inputs.min_c.shape[1] - 1, 3).round().astype(np.int64))
    zero = np.zeros(len(members))
    draws = Draws(members, np.zeros(len(members), np.int64), np.zeros(1), zero, zero, zero)
    out = np.zeros(len(units))
    for cell in np.unique(inputs.cell[units]).tolist():
        here = np.flatnonzero(inputs.cell[units] == cell)
        out[here] = work_cell(inputs, params, draws, cell, units[here]).larvae_per_100
    return out


def walked_lately(snap: Snapshot) -> list[int]:
    """Units of fields walked lately that were not treated."""
    since = snap.today - timedelta(days=int(number("advice", "walk_tells").value))
    lately = {name for name, walks in snap.walks.items() if any(w.walked >= since and w.stops for w in walks)}
    return [k for k, unit in enumerate(snap.units) if unit.field.id in lately and not treated(snap, k)]


def treated(snap: Snapshot, k: int) -> bool:
    """Whether a unit was treated with an insecticide: what lives there since is another population."""
    unit = snap.units[k]
    zone, planting = unit.zone.id if unit.zone else None, unit.planting.id if unit.planting else None
    return any(
        done.what == "insecticide" and done.field == unit.field.id and done.date <= snap.today
        and done.zone in (None, zone) and done.planting in (None, planting)
        for done in snap.told.of(Pass)
    )  # fmt: skip
