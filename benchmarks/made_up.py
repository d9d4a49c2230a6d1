"""A made-up season of any size as a snapshot, without a store."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np

from springwalk.jobs.snapshot import Snapshot, Told, build
from springwalk.records import Catch, Event, Field, Pass, Planting, Season, Station, Stop, Trap, Walk, Zone

TODAY = date(2016, 5, 17)
YEARS = range(1986, 2017)
DayRow = tuple[str, float | None, float | None, float | None]


def snapshot(fields: int, *, seed: int = 1, walked: float = 0.0) -> Snapshot:
    """A season of ``fields`` fields around 4 stations with 30 past years; at most 60 weather cells.

    ``walked`` is the share of fields walked in the days before; where there are any, every field has a pass too.
    """
    told, rows = told_of(fields, seed=seed, walked=walked)
    return build(told, rows, today=TODAY)


def told_of(fields: int, *, seed: int = 1, walked: float = 0.0) -> tuple[Told, dict[str, list[DayRow]]]:
    """The records of that season, and the days of its stations."""
    rng = np.random.default_rng(seed)
    stations = [Station(id=f"S{k}", latitude=40.5 + 0.4 * (k // 3), longitude=-96.9 + 0.3 * (k % 3)) for k in range(4)]
    rows = {s.id: _days(rng) for s in stations}
    traps = [Trap(id=f"T{k}", trap_kind="wing", latitude=40.5 + 0.2 * k, longitude=-96.6) for k in range(4)]
    catches = [
        Catch(trap=t.id, since=date(2016, 4, d), read=date(2016, 4, d + 1), moths=int(m))
        for t in traps
        for d, m in zip(range(5, 29), rng.poisson(np.where(np.isin(np.arange(24), (8, 9, 17)), 6.0, 0.6)), strict=True)
    ]
    land: list[Field] = []
    plantings: list[Planting] = []
    events: list[Event] = []
    for k in range(fields):
        lat, lon = 40.6 + 0.25 * rng.random(), -96.8 + 0.3 * rng.random()
        name = f"f{k:04d}"
        land.append(Field(id=name, name=name, outline={}, area_ha=30.0, latitude=lat, longitude=lon))
        planted = date(2016, 4, 18) + timedelta(days=int(rng.integers(0, 28)))
        plantings.append(Planting(id=f"{name}/1", field=name, planted=planted))
        events.append(Event(field=name, date=date(2016, 4, 2), what="weeds seen", cover="some weeds"))
        events.append(Event(field=name, date=planted - timedelta(days=int(rng.integers(0, 20))), what="cover killed"))
    season = Season(name="made up", year=2016)
    told = Told(season, {
        Field.kind: tuple(land), Planting.kind: tuple(plantings), Event.kind: tuple(events), Trap.kind: tuple(traps),
        Catch.kind: tuple(catches), Station.kind: tuple(stations), Zone.kind: (),
        Walk.kind: _walks(land, walked), Pass.kind: _passes(land) if walked else (),
    })  # fmt: skip
    return told, rows


def _walks(land: list[Field], share: float, seed: int = 3) -> tuple[Walk, ...]:
    """Walks of some fields in the days before: five stops of twenty, most of them clean."""
    rng = np.random.default_rng(seed)
    walks = []
    for field in land:
        if rng.random() > share:
            continue
        day = TODAY - timedelta(days=int(rng.integers(1, 6)))
        cuts = rng.poisson(rng.choice([0.0, 0.2, 1.0], p=[0.7, 0.2, 0.1]), 5)
        stops = tuple(Stop(places=20, fresh_cut_at=int(min(cut, 20))) for cut in cuts)
        walks.append(Walk(id=f"w-{field.id}", field=field.id, walked=day, stops=stops))
    return tuple(walks)


def _passes(land: list[Field]) -> tuple[Pass, ...]:
    return tuple(Pass(field=field.id, date=TODAY - timedelta(days=3), what="rotary hoe") for field in land)


def _days(rng: np.random.Generator) -> list[DayRow]:
    out: list[DayRow] = []
    for year in YEARS:
        first, n = date(year, 3, 1), 137
        mean = 4 + 0.17 * np.arange(n) + np.cumsum(rng.normal(0, 1.0, n)) * 0.3 + rng.normal(0, 1)
        half = 5 + rng.random(n) * 3
        for d in range(n):
            day = (first + timedelta(days=d)).isoformat()
            out.append((day, float(mean[d] - half[d]), float(mean[d] + half[d]), 0.0))
    return out
