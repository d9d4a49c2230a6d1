"""One field, answer first: its row of the sheet, the season's series for the figure, what was told and seen."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Any

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.series import UnitSeries, unit_series
from springwalk.engine.working import Inputs
from springwalk.jobs.pest_counts import counted_reason
from springwalk.jobs.results import FieldPage, Reason, Row, Series
from springwalk.jobs.row import summary
from springwalk.jobs.sheet import asked_at, basis_of, row_of, rule_key
from springwalk.jobs.snapshot import Snapshot, field_at, season_of, snapshot
from springwalk.jobs.sources import used_numbers
from springwalk.jobs.units import Unit
from springwalk.records import Gauge, Pass, PestCount, Record, SeedLot, Walk
from springwalk.store import Store

Array = NDArray[np.float64]


def field(store: Store, field_id: str, *, today: date | None = None, at: time | None = None) -> FieldPage:
    """The page of one field for ``today`` at ``at`` (the season's local date and time if None); NotFound if unknown."""
    now = asked_at(season_of(store), today, at)
    return field_of(snapshot(store, today=now.date()), field_id, now=now)


def field_of(snap: Snapshot, field_id: str, *, now: datetime | None = None) -> FieldPage:
    """The page of one field from a snapshot; pure."""
    field_id = snap.fields[field_at(snap, field_id)].id
    row = row_of(snap, field_id, now=now)
    walks = snap.walks.get(field_id, ())
    return FieldPage(
        sheet_today=snap.today, season=snap.season.name, row=row, series=_series(snap, row, walks),
        walks=tuple(summary(w) for w in reversed(walks)),
        events=told_of(snap, field_id), weather=basis_of(snap),
        heat_method=snap.season.heat_method, capture_rule=rule_key(snap.season), sources=used_numbers(),
        questions=tuple(asked for one in snap.checked.get(field_id, ()) for asked in one.questions),
    )  # fmt: skip


def told_of(snap: Snapshot, field_id: str) -> tuple[Reason, ...]:
    """What was told of a field up to the morning, oldest first: seed lots, then events and passes by date."""
    told = snap.told
    lots = {lot.id: lot for lot in told.of(SeedLot)}
    mine = [snap.units[k].planting for k in snap.units_of_field(field_id)]
    sown = [one.lot for one in mine if one and one.lot]
    seeds = [_facts("lot_told", lots[name], "hybrid", "trait", "treatment", "warm_pct", "cold_pct", lot=name)
             for name in dict.fromkeys(sown) if name in lots]  # fmt: skip
    dated = [(e.date, _facts("event", e, "date", "what", "cover", "zone", "person"))
             for e in snap.events.get(field_id, ())]  # fmt: skip
    dated += [(p.date, _facts("pass_told", p, "date", "what", "product", "zone", "entry_hours", "person"))
              for p in told.of_field(Pass, field_id) if p.date <= snap.today]  # fmt: skip
    dated += [(g.date, _facts("rain_told", g, "date", "rain_mm", "hard", "person"))
              for g in told.of(Gauge) if g.field in ("", field_id) and g.date <= snap.today]  # fmt: skip
    counts = [(c.date, counted_reason(c, state=snap.season.state))
              for c in told.of_field(PestCount, field_id) if c.date <= snap.today]  # fmt: skip
    dated += [(day, said) for day, said in counts if said is not None]
    return (*seeds, *(reason for _, reason in sorted(dated, key=lambda pair: pair[0])))


def _facts(code: str, record: Record, *names: str, **more: Any) -> Reason:
    return Reason(code=code, facts={**{name: getattr(record, name) for name in names}, **more})


def _series(snap: Snapshot, row: Row, walks: tuple[Walk, ...]) -> Series | None:
    """The series of the part that leads; None without weather."""
    if snap.inputs is None:
        return None
    k = _lead(snap, row)
    one = _only(snap.inputs, k)
    got = unit_series(one, snap.settings.engine)
    moths, significant = _moths(snap, row)
    days = tuple(snap.season.begins + timedelta(days=d) for d in range(got.stages.shape[0]))
    return Series(
        days=days, moths_per_night=_tuple(moths), significant=tuple(bool(s) for s in significant),
        shares={name: _tuple(got.stages[:, i]) for i, name in enumerate(
            ("egg", "instars 1–3", "instar 4", "instar 5", "instar 6", "pupa"))},
        **_bands(got), seen_collars=tuple(
            (w.walked, w.collars) for w in walks if w.collars is not None and w.staging == "collars"
        ),
        seen_cut=tuple((w.walked, 100.0 * s.fresh_cut / s.places) for w in walks if (s := summary(w)).places),
    )  # fmt: skip


def _bands(got: UnitSeries) -> dict[str, tuple[float, ...]]:
    names = ("low", "mid", "high")
    collars = {f"collars_{name}": _tuple(got.collars[:, i]) for i, name in enumerate(names)}
    return {**collars, **{f"cut_{name}": _tuple(got.cut_per_100[:, i]) for i, name in enumerate(names)}}


def _tuple(values: Array) -> tuple[float, ...]:
    return tuple(float(v) for v in values)


def _lead(snap: Snapshot, row: Row) -> int:
    """Index of the unit that leads the row's parts."""
    part = row.parts[0]

    def same(unit: Unit) -> bool:
        planting = unit.planting.id if unit.planting else None
        zone = unit.zone.name if unit.zone else None
        return unit.field.id == row.field and (planting, zone) == (part.planting, part.zone)

    return next(k for k, unit in enumerate(snap.units) if same(unit))


def _only(inputs: Inputs, k: int) -> Inputs:
    """The inputs of one unit alone, on its own cell."""
    c, mine = int(inputs.cell[k]), inputs.seen_unit == k
    return Inputs(
        min_c=inputs.min_c[c : c + 1], max_c=inputs.max_c[c : c + 1], today=inputs.today, cell=np.zeros(1, np.int64),
        arrived=inputs.arrived[k : k + 1], cover=inputs.cover[k : k + 1], planted=inputs.planted[k : k + 1],
        green_end=inputs.green_end[k : k + 1], seen_unit=np.zeros(int(mine.sum()), np.int64),
        seen_day=inputs.seen_day[mine], seen_collars=inputs.seen_collars[mine],
        first_planted=None if inputs.first_planted is None else inputs.first_planted[k : k + 1],
    )  # fmt: skip


def _moths(snap: Snapshot, row: Row) -> tuple[Array, NDArray[np.bool_]]:
    """Moths a night in the trap with the most say at the field, and the nights inside its significant captures."""
    nights = snap.flights.arrived.shape[1]
    place = field_at(snap, row.field)
    if not snap.flights.traps:
        return np.zeros(nights), np.zeros(nights, bool)
    trap = snap.flights.traps[int(np.argmax(snap.flights.say[place]))]
    significant = np.zeros(nights, bool)
    for flight in trap.flights:
        significant[flight.first : flight.last + 1] = True
    return trap.moths, significant
