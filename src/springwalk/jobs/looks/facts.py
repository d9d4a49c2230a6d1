"""The dated facts of one field that the looks are made from: corn, weather seen, what was told and done."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field as part, replace
from datetime import date, timedelta
from typing import Any

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.assess import Assessed
from springwalk.jobs.dates import date_range, whole_range
from springwalk.jobs.results import DateRange, Range, Reason, Seedbed
from springwalk.jobs.rules import LookRules
from springwalk.jobs.seedbed import SD_10_90
from springwalk.jobs.snapshot import Snapshot
from springwalk.jobs.units import Unit
from springwalk.records import Done, Event, Pass, PestCount, Planting, Progress, Promise, SeedLot, Walk

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
LOW_WORDS = {"low", "lower", "wet", "bottom", "pothole", "slough", "draw", "swale"}
"""A zone whose name has one of these words is low ground."""


@dataclass(frozen=True)
class Sky:
    """Weather of one field by day of the season, yesterday and before; NaN = not known. °C, mm."""

    low_c: Array
    high_c: Array
    mean_c: Array
    rain_mm: Array
    rain_known: Mask
    hard: Array
    """1 = told to have fallen hard, 0 = told not to, NaN = not told."""
    soil_c: Array
    soil_sd_c: float
    drained_mm: Array
    """(day, 3) water dried out of the surface layer, low, middle, high."""
    holds_mm: float

    def soil_on(self, day: int) -> Range | None:
        """Soil temperature of a day with its 10–90 % range; None where it is not known."""
        mid = float(self.soil_c[day])
        spread = SD_10_90 * self.soil_sd_c
        return None if np.isnan(mid) else Range(low=mid - spread, mid=mid, high=mid + spread)

    def dry_on(self, day: int, share: float) -> bool:
        """Whether the surface had lost a share of the water it can lose by that evening; False where not known."""
        return bool(self.drained_mm[day, 1] >= share * self.holds_mm)


@dataclass(frozen=True)
class Sown:
    """One planting of a field and when its corn comes: estimated dates, and the first day somebody saw it up."""

    planting: Planting | None
    planted: date | None
    spike: DateRange | None = None
    up_seen: date | None = None
    spike_told: date | None = None
    heat: Mapping[str, DateRange] = part(default_factory=dict)
    """Days on which heat since planting reaches ``dig_from``, ``dig_to``, ``spike_heat``."""
    collar: Mapping[str, DateRange] = part(default_factory=dict)
    """Days on which leaf collars reach ``root_from``, ``root_to``, ``last_collar``."""
    collars: Range | None = None
    green_killed: date | None = None

    @property
    def id(self) -> str | None:
        """The planting's id."""
        return self.planting.id if self.planting else None

    @property
    def up(self) -> date | None:
        """The day the spike was told, else the median day by the corn's heat, at the latest when it was seen up."""
        found = self.spike.mid if self.spike else None
        if self.spike_told is not None:
            return self.spike_told
        return min((d for d in (found, self.up_seen) if d), default=None)

    def up_on(self, day: date) -> bool:
        """Whether the corn was likely up on a day."""
        return self.up is not None and self.up <= day

    def may_be_up(self, day: date) -> bool:
        """Whether it may have been up: from the early end of its dates on, or where nothing is known of them."""
        if self.up_seen is not None and self.up_seen <= day:
            return True
        if self.spike_told is not None:
            return False
        early = self.spike.early if self.spike else None
        return (
            self.planting is not None
            and (self.planted is None or self.planted <= day)
            and (early is None or early <= day)
        )


@dataclass(frozen=True)
class PestClocks:
    """Dates by heat from 1 January in each weather cell: fly peaks, and stalk borer leaving grass."""

    fly_peaks: tuple[tuple[DateRange, ...], ...]
    borer_move: tuple[DateRange | None, ...]


@dataclass(frozen=True)
class FieldFacts:
    """All that is known of one field on a morning."""

    field: str
    grower: str
    today: date
    first: date
    rules: LookRules
    sown: tuple[Sown, ...]
    sky: Sky | None
    events: tuple[Event, ...]
    passes: tuple[Pass, ...]
    walks: tuple[Walk, ...]
    counts: tuple[PestCount, ...]
    promises: tuple[Promise, ...]
    done: Mapping[str, Done]
    lots: Mapping[str, SeedLot]
    progress: tuple[Progress, ...]
    area_ha: float
    low_ground: str | None
    state: str
    previous_crop: str
    history: tuple[str, ...]
    fly_peaks: tuple[DateRange, ...]
    """Peaks of seedcorn maggot flies by heat from 1 January; none where it is not known."""
    borer_move: DateRange | None
    mild_winter: bool | None

    def day(self, index: float) -> date:
        """The date of a day index."""
        return self.first + timedelta(days=int(index))

    def span(self, first: date, last: date) -> slice:
        """The season's days from ``first`` to ``last``, both inside; empty where they lie before the season."""
        return slice(max(0, self.index(first)), max(0, self.index(last) + 1))

    def index(self, day: date) -> int:
        """The index of a date."""
        return (day - self.first).days

    def ended_on(self, code: str, planting: str | None) -> date:
        """The newest day on which a look of a code was ended by word; long ago where none was."""
        start = f"{code}:{self.field}:{planting or ''}:"
        return max((d.on for key, d in self.done.items() if key.startswith(start)), default=date.min)

    def told(self, what: str, planting: str | None = None) -> list[Event]:
        """Events of a kind that speak of a planting (None: of any), oldest first."""
        return [e for e in self.events if e.what == what and (planting is None or e.planting in (None, planting))]


@dataclass(frozen=True)
class Given:
    """What is given to every field of a sheet: seedbeds and rain by field, the assessment, and records by field."""

    assessed: Assessed | None
    sky: tuple[Sky | None, ...]
    beds: tuple[Seedbed | None, ...]
    wet: tuple[Reason | None, ...]
    clocks: PestClocks | None
    passes: Mapping[str, tuple[Pass, ...]]
    counts: Mapping[str, tuple[PestCount, ...]]
    promises: tuple[Promise, ...]
    done: Mapping[str, Done]
    lots: Mapping[str, SeedLot]
    progress: Mapping[str, tuple[Progress, ...]]


def field_facts(snap: Snapshot, given: Given, at: int, units: list[int]) -> FieldFacts:
    """The facts of field ``at``, whose units are ``units``."""
    found = snap.fields[at]
    events, walks = snap.events.get(found.id, ()), snap.walks.get(found.id, ())
    whole: dict[str | None, int] = {}
    for k in units:
        unit = snap.units[k]
        key = unit.planting.id if unit.planting else None
        if key not in whole or unit.zone is None:
            whole[key] = k
    names = [u.zone.name for u in (snap.units[k] for k in units) if u.zone]
    low = [name for name in names if LOW_WORDS & set(re.findall(r"[a-z]+", name.casefold()))]
    return FieldFacts(
        field=found.id, grower=found.grower, today=snap.today, first=snap.season.begins, rules=snap.settings.looks,
        sown=tuple(_sown(snap, given.assessed, snap.units[k], k, events, walks) for k in whole.values()),
        sky=given.sky[at] if given.sky else None, events=events, passes=given.passes.get(found.id, ()), walks=walks,
        counts=given.counts.get(found.id, ()),
        promises=tuple(p for p in given.promises if p.field == found.id or (p.grower and p.grower == found.grower)),
        done=given.done, lots=given.lots, progress=given.progress.get(found.id, ()),
        area_ha=found.area_ha, low_ground=low[0] if low else None, state=snap.season.state,
        previous_crop=found.previous_crop, history=found.history,
        mild_winter=snap.mild_winter, **_clocks(snap, given, at),
    )  # fmt: skip


def _clocks(snap: Snapshot, given: Given, at: int) -> dict[str, Any]:
    if given.clocks is None or snap.cells is None:
        return {"fly_peaks": (), "borer_move": None}
    cell = int(snap.cells.cell[at])
    return {"fly_peaks": given.clocks.fly_peaks[cell], "borer_move": given.clocks.borer_move[cell]}


def _sown(
    snap: Snapshot, assessed: Assessed | None, unit: Unit, k: int, events: tuple[Event, ...], walks: tuple[Walk, ...]
) -> Sown:
    planted = unit.planting.planted if unit.planting else None
    killed = [e.date for e in events if e.what == "cover killed" and e.zone is None and _of(e.planting, unit)]
    spike_told, collars_seen = _seen_up(unit, planted, events, walks)
    told = Sown(
        unit.planting, planted, up_seen=min((d for d in (spike_told, collars_seen) if d), default=None),
        spike_told=spike_told, green_killed=max(killed, default=None),
    )  # fmt: skip
    if assessed is None or not np.isfinite(assessed.collars[k, 1]):
        return told
    first = snap.season.begins
    heats = ("dig_from", "dig_to", "spike_heat")
    stages = ("root_from", "root_to", "last_collar")
    low, mid, high = (float(v) for v in assessed.collars[k])
    return replace(
        told, spike=date_range(first, assessed.emergence_day[k]), collars=Range(low=low, mid=mid, high=high),
        heat=_days(first, heats, assessed.planted_heat_day[k]), collar=_days(first, stages, assessed.collar_day[k]),
    )  # fmt: skip


def _days(first: date, names: tuple[str, ...], days: Array) -> dict[str, DateRange]:
    """Days during which each mark is reached; a mark not reached by its median within the season is left out."""
    named = zip(names, days, strict=True)
    return {name: whole_range(first, three) for name, three in named if np.isfinite(three[1])}


def _of(planting: str | None, unit: Unit) -> bool:
    return planting is None or (unit.planting is not None and planting == unit.planting.id)


def saw_plants(walk: Walk) -> bool:
    """Whether a walk saw corn: collars told (0 = just up) or plant places counted."""
    return walk.collars is not None or bool(walk.stops)


def _seen_up(
    unit: Unit, planted: date | None, events: tuple[Event, ...], walks: tuple[Walk, ...]
) -> tuple[date | None, date | None]:  # fmt: skip
    """The day the spike of this planting was told, and the first walk that saw plants of it."""
    spikes = [e.date for e in events if e.what == "emerged" and _of(e.planting, unit)]
    collars = [w.walked for w in walks if saw_plants(w) and _of(w.planting, unit)]
    told, counted = (
        min((d for d in days if planted is None or d >= planted), default=None) for days in (spikes, collars)
    )
    return told, counted
