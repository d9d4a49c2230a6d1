"""Walks of the store as the engine sees them: each stop with the unit it stands for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from springwalk.engine.belief_seen import StopSeen, WalkSeen
from springwalk.jobs.snapshot import Snapshot, Unit
from springwalk.records import Walk
from springwalk.records.walks import Larva, Stop

CUTWORM = "black cutworm"


def walks_seen(snap: Snapshot, units: Sequence[int], *, without: Sequence[str] = ()) -> tuple[WalkSeen, ...]:
    """Every walk of some units of a snapshot, oldest first; ``WalkSeen.unit`` is a place in ``units``.

    ``without`` names walks that are left out, by id.

    A stop in a named part stands for that part, any other for the rest of the field. A walk that names no planting
    stands for each. Larvae are put where most plants were cut, because one searches round cut plants.
    """
    out = []
    fields = dict.fromkeys(snap.units[k].field.id for k in units)
    for field_id in fields:
        mine = [(place, snap.units[k]) for place, k in enumerate(units) if snap.units[k].field.id == field_id]
        for walk in snap.walks.get(field_id, ()):
            if walk.id in without:
                continue
            day = (walk.walked - snap.season.begins).days
            for group in _by_planting(mine, walk):
                out += _walk(walk, group, day)
    return tuple(sorted(out, key=lambda seen: (seen.day, seen.unit)))


def _by_planting(units: list[tuple[int, Unit]], walk: Walk) -> list[list[tuple[int, Unit]]]:
    """Units a walk speaks of, a list for each planting."""
    found: dict[str | None, list[tuple[int, Unit]]] = {}
    for place, unit in units:
        name = unit.planting.id if unit.planting else None
        if walk.planting in (None, name):
            found.setdefault(name, []).append((place, unit))
    return list(found.values())


def _walk(walk: Walk, units: list[tuple[int, Unit]], day: int) -> list[WalkSeen]:
    stops: dict[int, list[Stop]] = {}
    for stop in walk.stops:
        stops.setdefault(part_of(stop, units), []).append(stop)
    if not stops:
        return []
    cut = {place: sum(s.fresh_cut + s.old_cut for s in found) for place, found in stops.items()}
    searched_in = max(cut, key=lambda place: cut[place])
    made = {
        place: WalkSeen(unit=place, day=day, stops=tuple(seen_stop(s) for s in found)) for place, found in stops.items()
    }
    made[searched_in] = _search(walk, made[searched_in])
    return list(made.values())


def part_of(stop: Stop, units: Sequence[tuple[int, Unit]]) -> int:
    """Place of the unit a stop stands for: its named part, else the rest of the field, else the largest part."""
    for place, unit in units:
        if stop.part and unit.zone and stop.part in (unit.zone.id, unit.zone.name):
            return place
    rest = [place for place, unit in units if unit.zone is None]
    return rest[0] if rest else max(units, key=lambda one: one[1].area_ha)[0]


def seen_stop(stop: Stop) -> StopSeen:
    """A stop as belief takes it: plants regrown or tunnelled were cut before; leaves count where all were looked at."""
    looked = stop.leaf_fed > 0 or stop.sound is not None
    return StopSeen(
        places=stop.places,
        cut_fresh=stop.fresh_cut,
        cut_old=stop.old_cut + stop.regrown + stop.tunnelled,
        leaf_fed=stop.leaf_fed if looked else None,
        counted=stop.counted,
        marked_row=stop.marked_row,
    )


def _search(walk: Walk, seen: WalkSeen) -> WalkSeen:
    """A walk with its larvae; those typed as another species are not counted."""
    found: list[Larva] = [larva for larva in walk.larvae if larva.species == CUTWORM]
    return replace(
        seen,
        larvae_found=len(found),
        plants_searched=walk.plants_searched,
        hour=walk.hour,
        soil=walk.soil,
        lengths_mm=tuple(x.length_mm for x in found if x.length_mm is not None),
        instars=tuple(x.instar for x in found if x.length_mm is None and x.instar is not None),
    )
