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
    stands for each; one made before a stand was torn up says nothing of the stand that took its place. Larvae are put
    where most plants were cut, because one searches round cut plants.
    """
    out = []
    fields = dict.fromkeys(snap.units[k].field.id for k in units)
    for field_id in fields:
        mine = [(place, snap.units[k]) for place, k in enumerate(units) if snap.units[k].field.id == field_id]
        for walk in snap.walks.get(field_id, ()):
            if walk.id in without:
                continue
            day = (walk.walked - snap.season.begins).days
            for stops in _by_planting(walk, mine):
                out += _walk(walk, stops, day)
    return tuple(sorted(out, key=lambda seen: (seen.day, seen.unit)))


def _by_planting(walk: Walk, units: Sequence[tuple[int, Unit]]) -> list[dict[int, list[Stop]]]:
    """Stops of a walk by the unit they stand for, apart for each planting."""
    planting = {place: unit.planting.id if unit.planting else None for place, unit in units}
    found: dict[str | None, dict[int, list[Stop]]] = {}
    for stop in walk.stops:
        for place in stands_for(stop, walk, units):
            found.setdefault(planting[place], {}).setdefault(place, []).append(stop)
    return list(found.values())


def _walk(walk: Walk, stops: dict[int, list[Stop]], day: int) -> list[WalkSeen]:
    cut = {place: sum(s.fresh_cut + s.old_cut for s in found) for place, found in stops.items()}
    searched_in = max(cut, key=lambda place: cut[place])
    made = {
        place: WalkSeen(unit=place, day=day, stops=tuple(seen_stop(s) for s in found)) for place, found in stops.items()
    }
    made[searched_in] = _search(walk, made[searched_in])
    return list(made.values())


def stands_for(stop: Stop, walk: Walk, units: Sequence[tuple[int, Unit]]) -> list[int]:
    """Places of the units of a field that a stop of a walk stands for, one of each planting the walk speaks of.

    In its named part, else in the rest of the field, else in the largest part; none where that was torn up since.
    """
    named = next((u.zone for _, u in units if stop.part and u.zone and stop.part in (u.zone.id, u.zone.name)), None)
    mine = [
        (place, unit)
        for place, unit in units
        if walk.planting in (None, unit.planting.id if unit.planting else None) and unit.saw(walk.walked)
    ]
    if not mine:
        return []
    rest = any(unit.zone is None for _, unit in mine)
    zone = named or (None if rest else max(mine, key=lambda one: one[1].area_ha)[1].zone)
    return [place for place, unit in mine if unit.zone == zone]


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
