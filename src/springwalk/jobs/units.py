"""The units of a season: each planting × zone of a field with its area, its ground and the stand before it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from springwalk.jobs.ground import Ground, ground_of
from springwalk.jobs.stands import Before, standing, stood_before
from springwalk.records import Event, Field, Planting, Zone


@dataclass(frozen=True)
class Unit:
    """One planting × zone of a field: what the engine works on. ``before`` is the stand torn up for this one."""

    field: Field
    planting: Planting | None
    zone: Zone | None
    area_ha: float
    ground: Ground
    before: Before | None = None

    def saw(self, day: date) -> bool:
        """Whether a look on a day saw this stand, and not the one that was torn up for it."""
        return self.before is None or day > self.before.torn_up


def units_of(
    fields: Sequence[Field], plantings: Sequence[Planting], zones: Sequence[Zone],
    events: Mapping[str, tuple[Event, ...]], today: date,
) -> tuple[Unit, ...]:  # fmt: skip
    """The units of all fields on a morning, in the order of the fields; ``events`` by field, oldest first."""
    by_field: dict[str, list[Planting]] = defaultdict(list)
    for one in sorted(plantings, key=lambda p: p.id):
        by_field[one.field].append(one)
    zones_of: dict[str, list[Zone]] = defaultdict(list)
    for part in sorted(zones, key=lambda z: z.id):
        zones_of[part.field].append(part)
    out: list[Unit] = []
    for field in fields:
        told = events.get(field.id, ())
        mine = _in_known_zones(by_field[field.id], zones_of[field.id])
        found: list[Unit] = []
        for zone, area in _areas(field, zones_of[field.id]):
            place = zone.id if zone else None
            for planting, share in _plantings(field, standing(mine, told, place), today):
                ground = ground_of(
                    told,
                    planting=planting.id if planting else None,
                    zone=place,
                    planted=planting.planted if planting else None,
                )
                before = stood_before(planting, mine, told, place)
                found.append(Unit(field, planting, zone, area * share, ground, before))
        out += sorted(found, key=lambda unit: unit.planting.id if unit.planting else "")
    return tuple(out)


def _in_known_zones(plantings: Sequence[Planting], zones: Sequence[Zone]) -> list[Planting]:
    """Plantings whose zone is told; one in a zone nobody told stands in the field."""
    known = {None, *(zone.id for zone in zones)}
    return [one if one.zone in known else one.model_copy(update={"zone": None}) for one in plantings]


def _areas(field: Field, zones: Sequence[Zone]) -> list[tuple[Zone | None, float]]:
    told = sum(zone.area_ha for zone in zones)
    rest = field.area_ha - told
    parts: list[tuple[Zone | None, float]] = [(zone, zone.area_ha) for zone in zones]
    return parts if parts and rest <= 0.02 * field.area_ha else [(None, max(rest, 0.0)), *parts]


def _plantings(field: Field, plantings: Sequence[Planting], today: date) -> list[tuple[Planting | None, float]]:
    """Plantings with their share of the field; one dated after today is not in the ground yet."""
    if not plantings:
        return [(None, 1.0)]
    areas = [p.area_ha or field.area_ha / len(plantings) for p in plantings]
    out: list[tuple[Planting | None, float]] = []
    for planting, area in zip(plantings, areas, strict=True):
        waiting = planting.planted is not None and planting.planted > today
        out.append((planting.model_copy(update={"planted": None}) if waiting else planting, area / sum(areas)))
    return out
