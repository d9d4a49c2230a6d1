"""What every field of a sheet is given for its looks: weather seen by day, and records by field."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from springwalk.jobs.dates import whole_range
from springwalk.jobs.looks.facts import Given, PestClocks, Sky
from springwalk.jobs.parts import Answers
from springwalk.jobs.pest_tables import clock
from springwalk.jobs.rain import FieldRain, rain_of_fields
from springwalk.jobs.results import DateRange, Reason, Seedbed
from springwalk.jobs.seedbed import SeedbedDays, of_days, seedbed_days
from springwalk.jobs.snapshot import Snapshot
from springwalk.jobs.year_heat import peak_days
from springwalk.records import Done, Gauge, Pass, PestCount, Progress, Promise, SeedLot

Array = NDArray[np.float64]
R = TypeVar("R", Pass, PestCount, Progress)

NO_UPPER_F = 140.0
"""An upper threshold no day reaches, where none is published."""


def given_of(snap: Snapshot, answers: Answers | None, now: datetime) -> Given:
    """What the looks of a snapshot's fields rest on; nothing dated after the morning, no pass after the hour asked."""
    told, today = snap.told, snap.today
    sky: tuple[Sky | None, ...] = ()
    beds: tuple[Seedbed | None, ...] = (None,) * len(snap.fields)
    wet: tuple[Reason | None, ...] = (None,) * len(snap.fields)
    if snap.cells is not None:
        rain = rain_of_fields(snap.fields, snap.cells, told.of(Gauge), snap.season, today)
        days = seedbed_days(snap, rain.rain_mm, rain.known)
        if days is not None:
            beds = of_days(days, snap)
            sky = _sky(snap, rain, days)
            least = snap.settings.looks.table["least_wet"]
            wet = tuple(_too_wet(snap.season.begins, rain, days, k, bed, least) for k, bed in enumerate(beds))
    return Given(
        assessed=answers.assessed if answers else None, sky=sky, beds=beds, wet=wet,
        progress=_by_field(told.of(Progress), today), clocks=pest_clocks(snap),
        passes=_by_field([p for p in told.of(Pass) if _made(p, now)], today),
        counts=_by_field(told.of(PestCount), today),
        promises=told.of(Promise), done={d.look: d for d in told.of(Done) if d.on <= today},
        lots={lot.id: lot for lot in told.of(SeedLot)},
    )  # fmt: skip


def _made(done: Pass, now: datetime) -> bool:
    """Whether a pass counts at an hour; asked of a whole day, or told without its hour, it does: the safe side."""
    if now.time() == time.min:
        return done.date <= now.date()
    return datetime.combine(done.date, done.at or time.min) <= now


def _by_field(records: Iterable[R], today: date) -> dict[str, tuple[R, ...]]:
    out: dict[str, list[R]] = defaultdict(list)
    for record in sorted(records, key=lambda r: r.date):
        if record.date <= today:
            out[record.field].append(record)
    return {key: tuple(value) for key, value in out.items()}


def _sky(snap: Snapshot, rain: FieldRain, days: SeedbedDays) -> tuple[Sky, ...]:
    """Weather seen by field and day."""
    assert snap.cells is not None
    cells, today = snap.cells, days.today
    seen = cells.observed & (np.arange(cells.observed.shape[1])[None, :] < today)
    low = np.where(seen, cells.min_c[:, 0], np.nan)
    high = np.where(seen, cells.max_c[:, 0], np.nan)
    hard = np.where(rain.hard < 0, np.nan, rain.hard).astype(np.float64)
    out = []
    for k, c in enumerate(cells.cell.tolist()):
        soil = np.where(seen[c], days.soil_c[k], np.nan)
        out.append(
            Sky(
                low_c=low[c], high_c=high[c], mean_c=(low[c] + high[c]) / 2.0, soil_c=soil,
                rain_mm=np.where(rain.known[k], rain.rain_mm[k], np.nan), rain_known=rain.known[k], hard=hard[k],
                soil_sd_c=days.params.soil.sd_c, drained_mm=days.de_mm[k], holds_mm=float(days.tew_mm[k]),
            )
        )  # fmt: skip
    return tuple(out)


def _too_wet(
    first: date, rain: FieldRain, days: SeedbedDays, k: int, bed: Seedbed | None, least_mm: float
) -> Reason | None:
    """Why a field is too wet to walk this morning; None where it is fit, or too little rain is known to hold it.

    Where rain of most days is not known the rain that is known still counts: what is not known can only add to it.
    """
    wet = days.params.wet
    back = slice(max(0, days.today - wet.wet_days), days.today + 1)
    fell = np.where(rain.known[k, back], rain.rain_mm[k, back], 0.0)
    if fell.sum() < least_mm:
        return None
    known = bed is not None and bed.rain_known
    until = bed.fit_on if bed is not None and known else None
    if (known and until is None) or (not known and fell.sum() < wet.wet_rain_mm):
        return None
    last = days.today - (len(fell) - 1 - int(np.flatnonzero(fell)[-1]))
    facts = {"rain_mm": float(fell.sum()), "date": first + timedelta(days=last), "until": until}
    return Reason(code="too_wet", facts=facts)


def pest_clocks(snap: Snapshot) -> PestClocks | None:
    """Dates of insects timed by heat from 1 January, by weather cell; None where it can't be counted."""
    if snap.year_heat is None:
        return None
    first = snap.season.begins
    flies = peak_days(
        snap.year_heat, [clock(f"maggot_peak_{n}") for n in (1, 2, 3)], clock("maggot_base"), clock("maggot_upper")
    )
    borer = peak_days(snap.year_heat, [clock("borer_move")], clock("borer_base"), NO_UPPER_F)
    return PestClocks(
        fly_peaks=tuple(tuple(r for r in (_dates(first, three) for three in cell) if r) for cell in flies),
        borer_move=tuple(_dates(first, cell[0]) for cell in borer),
    )


def _dates(first: date, days: Array) -> DateRange | None:
    """An estimated date of whole day indices, which may lie before the season; None where it can't be said."""
    found = whole_range(first, days)
    return found if found.mid else None
