"""The one door from store to arrays: a season as it was known on one morning."""

from __future__ import annotations

import difflib
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field as made_by
from datetime import date
from functools import cached_property
from typing import Any, TypeVar, cast

from springwalk.engine.working import Inputs
from springwalk.errors import NotFound, OutsideSeason, StoreError
from springwalk.jobs.cells import Cells, build_cells
from springwalk.jobs.flights import Flights, read_flights
from springwalk.jobs.params import Settings, load
from springwalk.jobs.results import Reason
from springwalk.jobs.told_passes import unnoted_passes
from springwalk.jobs.unit_inputs import inputs_of
from springwalk.jobs.units import Unit, units_of
from springwalk.jobs.walk_checks import Checked, Known, check_walks, walk_order
from springwalk.jobs.winter import mild_winter
from springwalk.jobs.year_heat import YearHeat, build_year_heat
from springwalk.records import (
    ENTRY_KINDS,
    Catch,
    Event,
    Field,
    FlightReport,
    Forecast,
    Pass,
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
T = TypeVar("T")
OURS = (Recommendation.kind, Step.kind)
"""What we said ourselves tells nothing of a field: no answer rests on it."""


@dataclass(frozen=True)
class Told:
    """The records of a store that are dated before or on a morning."""

    season: Season
    by_kind: Mapping[str, tuple[Record, ...]]

    def of(self, kind: type[R]) -> tuple[R, ...]:
        """Records of one type."""
        return cast("tuple[R, ...]", self.by_kind.get(kind.kind, ()))

    def of_field(self, kind: type[R], field_id: str) -> tuple[R, ...]:
        """Records of one type that name a field, in the order of ``of``; they are put by field once, not for each."""
        if kind.kind not in self._by_field:
            self._by_field[kind.kind] = _grouped((record.field, record) for record in self.of(cast(Any, kind)))
        return cast("tuple[R, ...]", self._by_field[kind.kind].get(field_id, ()))

    @cached_property
    def _by_field(self) -> dict[str, dict[str, tuple[Any, ...]]]:
        return {}


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

    def units_of_field(self, field_id: str) -> tuple[int, ...]:
        """Places in ``units`` of a field's own; none for a field that is not there."""
        return self._units_by_field.get(field_id, ())

    @cached_property
    def _units_by_field(self) -> dict[str, tuple[int, ...]]:
        return _grouped((unit.field.id, k) for k, unit in enumerate(self.units))


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
        kinds[Pass.kind] = (*kinds[Pass.kind], *unnoted_passes(read, kinds[Pass.kind]))
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
    units = units_of(fields, told.of(Planting), told.of(Zone), events, today)
    walks = _grouped((w.field, w) for w in sorted(told.of(Walk), key=walk_order) if w.walked <= today)
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
    inputs = inputs_of(season, today, fields, units, used, events, flights, cells, settings) if cells else None
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
    return Known({one.id: one.planted for one in told.of_field(Planting, field_id)})


def _by_field(events: Sequence[Event], today: date) -> dict[str, tuple[Event, ...]]:
    return _grouped((e.field, e) for e in sorted(events, key=lambda e: e.date) if e.date <= today)


def _grouped(pairs: Iterable[tuple[str, T]]) -> dict[str, tuple[T, ...]]:
    """Things by name, in the order they come."""
    out: dict[str, list[T]] = defaultdict(list)
    for name, thing in pairs:
        out[name].append(thing)
    return {name: tuple(things) for name, things in out.items()}
