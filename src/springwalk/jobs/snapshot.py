"""The one door from store to arrays: a season as it was known on one morning."""

from __future__ import annotations

import difflib
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field as made_by
from datetime import date
from typing import TypeVar, cast

import numpy as np

from springwalk.engine.working import Inputs
from springwalk.errors import NotFound, OutsideSeason, StoreError
from springwalk.jobs.cells import Cells, build_cells
from springwalk.jobs.flights import Flights, read_flights
from springwalk.jobs.ground import Ground, ground_of
from springwalk.jobs.params import Settings, load
from springwalk.jobs.results import Reason
from springwalk.jobs.stands import Before, standing, stood_before
from springwalk.jobs.walk_checks import Checked, Known, check_walks
from springwalk.jobs.winter import mild_winter
from springwalk.jobs.year_heat import YearHeat, build_year_heat
from springwalk.records import (
    ENTRY_KINDS,
    Catch,
    Event,
    Field,
    FlightReport,
    Forecast,
    Planting,
    Recommendation,
    Record,
    Season,
    Station,
    Step,
    Trap,
    Walk,
    Zone,
)
from springwalk.store import Entry, Reading, Store
from springwalk.store.days import days as stored_days
from springwalk.store.entries import conflicts, heads, not_understood

R = TypeVar("R", bound=Record)
OURS = (Recommendation.kind, Step.kind)
"""What we said ourselves tells nothing of a field: no answer rests on it."""


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


@dataclass(frozen=True)
class Told:
    """The records of a store that are dated before or on a morning."""

    season: Season
    by_kind: Mapping[str, tuple[Record, ...]]

    def of(self, kind: type[R]) -> tuple[R, ...]:
        """Records of one type."""
        return cast("tuple[R, ...]", self.by_kind.get(kind.kind, ()))


@dataclass(frozen=True)
class Snapshot:
    """A season on the morning of ``today``. ``inputs`` is None where no weather reaches it."""

    season: Season
    today: date
    fields: tuple[Field, ...]
    units: tuple[Unit, ...]
    walks: Mapping[str, tuple[Walk, ...]]
    events: Mapping[str, tuple[Event, ...]]
    flights: Flights
    cells: Cells | None
    inputs: Inputs | None
    settings: Settings
    told: Told
    year_heat: YearHeat | None = None
    mild_winter: bool | None = None
    dropped: tuple[Reason, ...] = ()
    """Why no weather reaches the season, where stations were given."""
    trouble: tuple[Reason, ...] = ()
    """What the store holds but can't be used: versions that conflict, entries not understood."""
    checked: Mapping[str, tuple[Checked, ...]] = made_by(default_factory=dict)
    """The walks of each field with what is asked about them."""

    def used_walks(self, field_id: str) -> tuple[Walk, ...]:
        """Walks of a field as belief takes them, oldest first: what contradicts itself is left out."""
        return tuple(one.used for one in self.checked.get(field_id, ()))


def field_at(snap: Snapshot, field_id: str) -> int:
    """Where a field stands among the snapshot's fields, by its id or, in any case, by a name that one field has.

    Raises NotFound with the nearest id for one that is not there.
    """
    ids = [field.id for field in snap.fields]
    named = [k for k, field in enumerate(snap.fields) if field.name.casefold() == field_id.strip().casefold()]
    if field_id not in ids:
        if len(named) == 1:
            return named[0]
        near = difflib.get_close_matches(field_id, ids, 1)
        todo = f"did you mean {near[0]}" if near else "see the ids with: springwalk sheet --json"
        raise NotFound("field", field_id, "no such field in this store", todo)
    return ids.index(field_id)


def season_of(store: Store) -> Season:
    """The season a store is about; StoreError where no folder has been taken in yet."""
    with store.reading() as read:
        found = [entry.record for entry in heads(read, Season.kind)]
    known = [record for record in found if isinstance(record, Season)]
    if not known:
        todo = "take a folder in: springwalk intake FOLDER"
        raise StoreError("store", store.location, "it holds no season yet", todo)
    return known[-1]


def snapshot(store: Store, *, today: date) -> Snapshot:
    """Everything known on the morning of ``today``; what is dated today or later is left out of weather and catches.

    Raises OutsideSeason where ``today`` is not within the store's season.
    """
    with store.reading() as read:
        kinds = {kind: _records(heads(read, kind)) for kind in ENTRY_KINDS if kind not in OURS}
        rows = stored_days(read)
        trouble = _trouble(read)
    if not kinds[Season.kind]:
        season_of(store)
    season = cast(Season, kinds[Season.kind][-1])
    if not season.begins <= today <= season.ends:
        span = f"{season.begins} to {season.ends}"
        raise OutsideSeason("today", today, f"this store holds the season {span}", "give --today within it")
    return build(Told(season, kinds), rows, today=today, trouble=trouble)


def _trouble(read: Reading) -> tuple[Reason, ...]:
    """Two versions of one thing, and entries that are not understood: said, never used silently."""
    two = [entries[0] for entries in conflicts(read).values()]
    odd = not_understood(read)
    out = []
    if two:
        out.append(Reason(code="two_versions", facts={"n": len(two), "kinds": sorted({e.kind for e in two})}))
    if odd:
        out.append(Reason(code="not_understood", facts={"n": len(odd), "kinds": sorted({e.kind for e in odd})}))
    return tuple(out)


def _records(entries: Sequence[Entry]) -> tuple[Record, ...]:
    """Records of heads; of two versions of one thing the newest is used, and the sheet says that there are two."""
    newest: dict[str, Entry] = {}
    for entry in sorted(entries, key=lambda e: e.seq):
        newest.pop(entry.thing, None)
        newest[entry.thing] = entry
    found = [entry.record for entry in newest.values()]
    return tuple(record for record in found if record is not None)


def build(told: Told, rows: Mapping[str, Sequence[tuple[str, float | None, float | None, float | None]]], *,
          today: date, trouble: tuple[Reason, ...] = ()) -> Snapshot:  # fmt: skip
    """A snapshot from records and station days (date text, min °C, max °C, rain mm), no store needed."""
    season, settings = told.season, load(told.season.heat_method)
    fields = tuple(sorted(told.of(Field), key=lambda f: f.id))
    events = _by_field(told.of(Event), today)
    units = _units(fields, told.of(Planting), told.of(Zone), events, today)
    walks = {
        key: tuple(sorted((w for w in told.of(Walk) if w.field == key and w.walked <= today), key=lambda w: w.walked))
        for key in {w.field for w in told.of(Walk)}
    }
    checked = {name: check_walks(mine, known_of(told, name)) for name, mine in walks.items()}
    flights = read_flights(
        season, told.of(Trap), told.of(Catch), fields, today=today, settings=settings, reports=told.of(FlightReport)
    )
    places = [(f.latitude, f.longitude, f.elevation_m) for f in fields]
    cells, dropped = build_cells(
        season, told.of(Station), rows, places, today=today, params=settings.weather, rules=settings.rules,
        forecasts=told.of(Forecast),
    )  # fmt: skip
    used = {name: tuple(one.used for one in mine) for name, mine in checked.items()}
    inputs = _inputs(season, today, fields, units, used, events, flights, cells, settings) if cells else None
    year = build_year_heat(season, told.of(Station), rows, cells, today) if cells else None
    return Snapshot(
        season,
        today,
        fields,
        units,
        walks,
        events,
        flights,
        cells,
        inputs,
        settings,
        told,
        year,
        mild_winter(season, rows),
        dropped,
        trouble,
        checked,
    )


def known_of(told: Told, field_id: str) -> Known:
    """What checks of a field's walks rest on: its planting dates, those torn up since as well."""
    return Known({one.id: one.planted for one in told.of(Planting) if one.field == field_id})


def _by_field(events: Sequence[Event], today: date) -> dict[str, tuple[Event, ...]]:
    out: dict[str, list[Event]] = defaultdict(list)
    for event in sorted(events, key=lambda e: e.date):
        if event.date <= today:
            out[event.field].append(event)
    return {key: tuple(value) for key, value in out.items()}


def _units(
    fields: Sequence[Field], plantings: Sequence[Planting], zones: Sequence[Zone],
    events: Mapping[str, tuple[Event, ...]], today: date,
) -> tuple[Unit, ...]:  # fmt: skip
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


def _inputs(
    season: Season, today: date, fields: Sequence[Field], units: Sequence[Unit], walks: Mapping[str, tuple[Walk, ...]],
    events: Mapping[str, tuple[Event, ...]], flights: Flights, cells: Cells, settings: Settings,
) -> Inputs:  # fmt: skip
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
    from springwalk.engine.arrivals import cover_by_night

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
