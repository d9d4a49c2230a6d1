"""Walks of the store as the engine sees them: each stop with the unit it stands for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from springwalk.engine.belief_seen import StopSeen, WalkSeen
from springwalk.jobs.results import Reason
from springwalk.jobs.snapshot import Snapshot
from springwalk.jobs.units import Unit
from springwalk.jobs.walk_checks import row_key
from springwalk.records import Pass, Walk
from springwalk.records.walks import Larva, Stop
from springwalk.tables import number

CUTWORM = "black cutworm"


def walked_since(snap: Snapshot) -> date:
    """The first day whose walks still tell."""
    return snap.today - timedelta(days=int(number("advice", "walk_tells").value))


def search_tells_days() -> int:
    """Days for which a search for larvae counts as today's."""
    return int(number("advice", "search_tells").value)


def searched_since(snap: Snapshot) -> int:
    """Day index from which a search for larvae counts as today's."""
    return (snap.today - snap.season.begins).days - search_tells_days()


def walks_seen(snap: Snapshot, units: Sequence[int], *, without: Sequence[str] = ()) -> tuple[WalkSeen, ...]:
    """Every walk of some units of a snapshot, oldest first; ``WalkSeen.unit`` is a place in ``units``.

    A stop in a named part stands for that part, any other for the rest of the field. A walk that names no planting
    stands for each; one made before a stand was torn up says nothing of the stand that took its place. Larvae are put
    where most plants were cut, because one searches round cut plants; those of a search alone where most were cut at
    the count before it. What contradicts itself is left out (walk_checks), and the walks named ``without``, by id.
    """
    out = []
    by_field: dict[str, list[tuple[int, Unit]]] = {}
    for place, k in enumerate(units):
        by_field.setdefault(snap.units[k].field.id, []).append((place, snap.units[k]))
    for field_id, mine in by_field.items():
        cut: dict[int, int] = {}
        for walk in snap.used_walks(field_id):
            if walk.id in without:
                continue
            day = (walk.walked - snap.season.begins).days
            for group, stops in _by_planting(mine, walk):
                out += _walk(walk, group, stops, day, cut)
    return tuple(sorted(out, key=lambda seen: (seen.day, seen.unit)))


Group = tuple[list[tuple[int, Unit]], dict[int, list[Stop]]]
"""Units of one planting, and the stops that stand for each of them by its place."""


def _by_planting(units: Sequence[tuple[int, Unit]], walk: Walk) -> list[Group]:
    """Units a walk speaks of and their stops, apart for each planting."""
    found: dict[str | None, Group] = {}
    name = {place: unit.planting.id if unit.planting else None for place, unit in units}
    for place, unit in _spoken_of(units, walk):
        found.setdefault(name[place], ([], {}))[0].append((place, unit))
    for stop in walk.stops:
        for place in stands_for(stop, walk, units):
            found[name[place]][1].setdefault(place, []).append(stop)
    return list(found.values())


def _spoken_of(units: Sequence[tuple[int, Unit]], walk: Walk) -> list[tuple[int, Unit]]:
    """Units of the plantings a walk speaks of that stood there then."""
    return [
        (place, unit)
        for place, unit in units
        if walk.planting in (None, unit.planting.id if unit.planting else None) and unit.saw(walk.walked)
    ]


def _walk(
    walk: Walk, units: list[tuple[int, Unit]], stops: dict[int, list[Stop]], day: int, cut: dict[int, int]
) -> list[WalkSeen]:
    """One walk over the units of a planting; ``cut`` holds what the last count saw in each, and is brought on."""
    if walk.stops and not stops:
        return []
    cut |= {place: sum(s.fresh_cut + s.old_cut for s in found) for place, found in stops.items()}
    made = {
        place: WalkSeen(unit=place, day=day, stops=tuple(seen_stop(s) for s in found)) for place, found in stops.items()
    }
    if walk.larvae or walk.plants_searched is not None:
        searched_in = max(stops or _all_places(walk, units), key=lambda place: cut.get(place, 0))
        made[searched_in] = _search(walk, made.get(searched_in, WalkSeen(unit=searched_in, day=day)))
    return list(made.values())


def _all_places(walk: Walk, units: list[tuple[int, Unit]]) -> list[int]:
    """Places of units, the one first that a stop without a part stands for."""
    usual = stands_for(Stop(places=1), walk, units)
    return [*usual, *(place for place, _ in units if place not in usual)]


def stands_for(stop: Stop, walk: Walk, units: Sequence[tuple[int, Unit]]) -> list[int]:
    """Places of the units of a field that a stop of a walk stands for, one of each planting the walk speaks of.

    In its named part, else in the rest of the field, else in the largest part; none where that was torn up since.
    """
    named = next((u.zone for _, u in units if stop.part and u.zone and stop.part in (u.zone.id, u.zone.name)), None)
    mine = _spoken_of(units, walk)
    if not mine:
        return []
    rest = any(unit.zone is None for _, unit in mine)
    zone = named or (None if rest else max(mine, key=lambda one: one[1].area_ha)[1].zone)
    return [place for place, unit in mine if unit.zone == zone]


def last_search(walks: Sequence[WalkSeen], *, since: int) -> WalkSeen | None:
    """What was found on the newest day, from day index ``since`` on, that one unit was searched; None for none.

    Several searches of a day are one: plants and larvae together, hour and soil of the one that went round most plants.
    """
    done = [walk for walk in walks if walk.day >= since and (walk.plants_searched or walk.larvae_found)]
    done = [walk for walk in done if walk.day == max(one.day for one in done)]
    if len(done) < 2:
        return done[0] if done else None
    most = max(done, key=lambda walk: walk.plants_searched or 0)
    return replace(
        most,
        larvae_found=sum(walk.larvae_found for walk in done),
        plants_searched=sum(walk.plants_searched or 0 for walk in done) or None,
        lengths_mm=tuple(mm for walk in done for mm in walk.lengths_mm),
        instars=tuple(instar for walk in done for instar in walk.instars),
    )


def new_on_rows(walks: Sequence[Walk], on: date) -> bool:
    """Whether walks of one planting, oldest first, found more plants cut in a marked row on a day than before it."""
    before: dict[str, int] = {}
    for walk in walks:
        for stop in walk.stops:
            if not (name := row_key(stop)):
                continue
            cut = stop.fresh_cut + stop.old_cut + stop.regrown + stop.tunnelled
            if walk.walked == on and cut > before.get(name, cut):
                return True
            before[name] = cut
    return False


def seen_stop(stop: Stop) -> StopSeen:
    """A stop as belief takes it: plants regrown or tunnelled were cut before; leaves count where all were looked at.

    A marked row goes by its name as two people would write it.
    """
    looked = stop.leaf_fed > 0 or stop.sound is not None
    return StopSeen(
        places=stop.places,
        cut_fresh=stop.fresh_cut,
        cut_old=stop.old_cut + stop.regrown + stop.tunnelled,
        leaf_fed=stop.leaf_fed if looked else None,
        counted=stop.counted,
        marked_row=row_key(stop),
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


def treated(snap: Snapshot, k: int) -> bool:
    """Whether unit ``k`` was treated with an insecticide by this morning: its larvae are then of another population."""
    return treated_on(snap, k) is not None


def treated_on(snap: Snapshot, k: int) -> date | None:
    """The day a unit was first treated with an insecticide after it was planted; None where it was not.

    What went in with the seed or before it is no treatment of the larvae there now.
    """
    unit = snap.units[k]
    zone, planting = unit.zone.id if unit.zone else None, unit.planting.id if unit.planting else None
    days = [
        done.date
        for done in snap.told.of_field(Pass, unit.field.id)
        if done.what == "insecticide" and done.date <= snap.today
        and done.zone in (None, zone) and done.planting in (None, planting)
        and (unit.planting is None or unit.planting.planted is None or done.date > unit.planting.planted)
    ]  # fmt: skip
    return min(days, default=None)


def asked_lately(snap: Snapshot, field_id: str) -> tuple[Reason, ...]:
    """What is asked about a field's walks: all that is left out of belief, and what else of last week's walks."""
    since = walked_since(snap)
    return tuple(
        asked
        for one in snap.checked.get(field_id, ())
        for asked in one.questions
        if one.walk.walked >= since or asked.facts["left_out"] not in ("", "number")
    )
