"""Kits for a phone in a field without a net: snapshot → hazard → what is believed → kit. Writes nothing.

The numbers are those of `advise`: a kit with today's stops of its part gives what the desk gives once they are taken
in. What the desk learns on the same day from other fields and parts, from larvae, leaf collars and soil typed today,
and from recounts of marked rows, is not in a kit made that morning.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
from numpy.typing import NDArray

from springwalk.engine import belief as believing
from springwalk.engine.advice_facts import FieldFacts, Money
from springwalk.engine.kit import Act, Kit
from springwalk.engine.kit_made import log_before, make_kit
from springwalk.engine.losses import Plants, outlook
from springwalk.engine.options import setting
from springwalk.engine.state_rule import Counted
from springwalk.jobs.advise import part_name
from springwalk.jobs.believed import believed_of_field
from springwalk.jobs.fit import passes_in
from springwalk.jobs.params_advice import advice_params
from springwalk.jobs.sheet import local_date
from springwalk.jobs.snapshot import Snapshot, field_at, season_of, snapshot
from springwalk.jobs.terms import Terms
from springwalk.store import Store

VERSION = 1
DIGITS = 8
"""Figures of a number on its way to the phone: they move no expected loss of a usual field by 0.0001 money per ha."""
LEAST_LOG = -999.0
"""A weight this far below the greatest (in logs) is none."""


@dataclass(frozen=True)
class PartKit:
    """The kit of one planting × zone for one day; ``name`` is empty for the rest of a field."""

    field: str
    planting: str | None
    zone: str | None
    name: str
    area_ha: float
    today: date
    kit: Kit


def field_kits(store: Store, field_id: str, terms: Terms, *, today: date | None = None) -> tuple[PartKit, ...]:
    """The kits of a field for the stops of ``today`` (the season's local date if None).

    Raises NotFound for a field that is not there or that no weather reaches, OutsideSeason, StoreError.
    """
    day = today or local_date(season_of(store))
    return field_kits_of(snapshot(store, today=day), field_id, terms)


def field_kits_of(snap: Snapshot, field_id: str, terms: Terms) -> tuple[PartKit, ...]:
    """The same from a snapshot; pure. Walks dated today are left out: they are the stops to come.

    Parts treated with an insecticide have none.
    """
    field_id = snap.fields[field_at(snap, field_id)].id
    known, mine = believed_of_field(snap, field_id, before_today=True)
    if not mine:
        return ()
    grid, params, today = known.belief.grid, advice_params(), known.today
    hazard, walks = known.hazard, list(known.walks)
    passes = passes_in(snap, field_id, terms)
    made = []
    for at, before in zip(mine, log_before(mine, walks, hazard, known.expected, grid, params.belief), strict=True):
        unit = snap.units[known.units[at]]
        collars = float(hazard.collars[at, min(today, hazard.collars.shape[1] - 1)])
        one = setting(
            np.ones(grid.shape),
            grid.lam,
            outlook(hazard, at, today),
            _facts(terms, passes, unit.area_ha, collars),
            params,
        )
        made.append(
            PartKit(
                field=field_id,
                planting=unit.planting.id if unit.planting else None,
                zone=unit.zone.name if unit.zone else None,
                name=part_name(snap, known.units[at]),
                area_ha=unit.area_ha,
                today=snap.today,
                kit=make_kit(one, believing.of_unit(hazard, at), today, before, known.walks_of(at)),
            )
        )
    return tuple(made)


def _facts(terms: Terms, passes: tuple[int, ...], area_ha: float, collars: float) -> FieldFacts:
    """What is known before anything is seen today."""
    return FieldFacts(
        money=Money(terms.crop_per_ha, terms.own_pass_per_ha, terms.product_per_ha, terms.visit / area_ha),
        plants=Plants(collars=collars),
        counted=Counted(cut=0.0),
        spray_in_days=passes,
        pass_in_days=terms.pass_in_days,
    )


def part_json(part: PartKit, *, digits: int = DIGITS) -> str:
    """A part's kit as JSON text in one line, numbers to so many figures; tests/vectors/README.md tells the form."""
    told = {
        "version": VERSION,
        "field": part.field,
        "planting": part.planting,
        "zone": part.zone,
        "name": part.name,
        "area_ha": part.area_ha,
        "today": part.today.isoformat(),
        **kit_form(part.kit, digits=digits),
    }
    return json.dumps(told, ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def kit_form(kit: Kit, *, digits: int = DIGITS) -> Mapping[str, Any]:
    """A kit as lists and numbers, with log weights set against their greatest and held at LEAST_LOG."""

    def short(values: NDArray[np.float64] | Sequence[float]) -> Any:
        return _short(np.asarray(values).tolist(), digits)

    def acts(of: Sequence[Act]) -> list[dict[str, Any]]:
        return [{"kind": a.kind, "days": a.days, "cost": short([a.cost])[0], "cut": short(a.cut)} for a in of]

    return {
        "lam": short(kit.lam),
        "cut": short(kit.cut),
        "cut_old": short(kit.cut_old),
        "leaf": short(kit.leaf),
        "before": short(np.maximum(kit.before - kit.before.max(), LEAST_LOG)),
        "leaf_levels": list(kit.leaf_levels),
        "background": kit.background,
        "cut_spread": kit.cut_spread,
        "patch_shape": kit.patch_shape,
        "age_misread": kit.age_misread,
        "false_fresh": kit.false_fresh,
        "worth": short(kit.worth),
        "heights": short(kit.heights),
        "look_plants": kit.look_plants,
        "look_stops": kit.look_stops,
        "acts": acts(kit.acts),
        "later": [
            {"days": on.days, "cost": short([on.cost])[0], "cut": short(on.cut), "acts": acts(on.acts)}
            for on in kit.later
        ],
        "rows_seen": list(kit.rows_seen),
    }


def _short(values: Any, digits: int) -> Any:
    if isinstance(values, list):
        return [_short(value, digits) for value in values]
    return float(f"{values:.{digits}g}")
