"""What is believed of the units of a snapshot: snapshot → hazard → belief, for every question that needs it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from springwalk.engine import belief as believing
from springwalk.engine.belief_seen import WalkSeen
from springwalk.engine.draws import Draws
from springwalk.engine.hazard import Hazard, hazards
from springwalk.engine.working import Inputs, Params, work_cell
from springwalk.errors import NotFound
from springwalk.jobs.params_belief import belief_params
from springwalk.jobs.snapshot import Snapshot
from springwalk.jobs.walks_seen import treated, treated_on, walked_since, walks_seen
from springwalk.records import Walk


@dataclass(frozen=True)
class Believed:
    """Units (places in the snapshot's units, in the order of hazard and belief) and what is believed of them."""

    units: tuple[int, ...]
    hazard: Hazard
    belief: believing.Belief
    walks: tuple[WalkSeen, ...]
    today: int
    """Day of the season."""
    expected: NDArray[np.float64]
    """Larvae per 100 plants expected of each unit before any walk (u,)."""

    def walks_of(self, at: int) -> Sequence[WalkSeen]:
        """Walks of one unit, by its place in ``units``, oldest first."""
        return self._by_unit.get(at, ())

    @cached_property
    def _by_unit(self) -> dict[int, list[WalkSeen]]:
        found: dict[int, list[WalkSeen]] = {}
        for walk in self.walks:
            found.setdefault(walk.unit, []).append(walk)
        return found


def believed(snap: Snapshot, units: Sequence[int], *, before_today: bool = False,
             without: Sequence[str] = ()) -> Believed | None:  # fmt: skip
    """Belief of units (places in ``snap.units``), each from its walks and the others'; None without weather or units.

    A unit that nobody walked has the belief of the flight, its cover, and what the others say. ``before_today`` leaves
    out walks dated today, ``without`` walks by id. Walks of a part after it was treated are of another brood and are
    left out.
    """
    if snap.inputs is None or not units:
        return None
    place, grid = np.array(units, np.int64), believing.make_grid()
    hazard = hazards(snap.inputs, snap.settings.engine, place, grid.shifts_ddc)
    return on_hazard(snap, units, hazard, before_today=before_today, without=without)


def believed_of_field(
    snap: Snapshot, field_id: str, *, before_today: bool = False
) -> tuple[Believed, list[int]]:  # fmt: skip
    """Belief of a field's units and of all walked ones, and the places in it of the field's that were not treated.

    Raises NotFound where no weather reaches the field.
    """
    units = sorted({*walked_units(snap), *snap.units_of_field(field_id)})
    known = believed(snap, units, before_today=before_today)
    if known is None:
        raise NotFound("weather", field_id, "no weather reaches the field", "take in days of a station near it")
    own = set(snap.units_of_field(field_id))
    return known, [at for at, k in enumerate(units) if k in own and not treated(snap, k)]


def on_hazard(snap: Snapshot, units: Sequence[int], hazard: Hazard, *, before_today: bool = False,
              without: Sequence[str] = (), expected: NDArray[np.float64] | None = None) -> Believed:  # fmt: skip
    """The same where the hazard of these units is there already, and perhaps what is expected of them."""
    assert snap.inputs is not None
    today = (snap.today - snap.season.begins).days
    ends = [treated_on(snap, k) for k in units]
    last = [np.inf if end is None else (end - snap.season.begins).days for end in ends]
    seen = tuple(
        walk
        for walk in walks_seen(snap, units, without=without)
        if walk.day <= last[walk.unit] and not (before_today and walk.day >= today)
    )
    if expected is None:
        expected = expected_load(snap.inputs, snap.settings.engine, np.array(units, np.int64))
    belief = believing.believe(seen, hazard, expected, believing.make_grid(), belief_params())
    return Believed(tuple(units), hazard, belief, seen, today, expected)


def walked_units(snap: Snapshot) -> list[int]:
    """Units of fields that any walk speaks of."""
    walked = {field for field, walks in snap.walks.items() if walks}
    return [k for k, unit in enumerate(snap.units) if unit.field.id in walked]


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


def _looked(walk: Walk) -> bool:
    """Whether a walk counted plants or searched for larvae."""
    return bool(walk.stops or walk.larvae or walk.plants_searched)


def walked_lately(snap: Snapshot) -> list[int]:
    """Units of fields walked in the last days that were not treated."""
    since = walked_since(snap)
    lately = {name for name, walks in snap.walks.items() if any(w.walked >= since and _looked(w) for w in walks)}
    return [k for k, unit in enumerate(snap.units) if unit.field.id in lately and not treated(snap, k)]
