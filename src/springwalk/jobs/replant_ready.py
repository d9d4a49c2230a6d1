"""When a field could really be replanted, and how much heat past years had from then to the first killing frost."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import date, timedelta

import numpy as np

from springwalk.engine.heat import CORN, degree_days
from springwalk.jobs.cells import Cells
from springwalk.jobs.fit import beds_today
from springwalk.jobs.replant import earliest_date
from springwalk.jobs.replant_said import FrostYears, Ready
from springwalk.jobs.results import DateRange, Range
from springwalk.jobs.snapshot import Snapshot
from springwalk.jobs.stand_tables import amount
from springwalk.jobs.station_series import DayRow, station_series
from springwalk.units import DDF_PER_DDC, f_to_c

FALL_FROM, FALL_TO = (8, 1), (11, 30)
"""A killing frost is looked for between these days; corn that lives to the last of them is ripe or past saving."""


def ready_of(
    snap: Snapshot, at: int, *, kill_days: float | None, label_days: float | None, queue_days: float | None
) -> Ready:
    """The earliest real day to replant field ``at`` of a snapshot; days that are not typed count as none."""
    dry = _days_to_dry(snap, at)
    waits = [0.0 if value is None else value for value in (dry, kill_days, label_days, queue_days)]
    on = earliest_date(snap.today, dry=waits[0], kill=waits[1], label=waits[2], queue=waits[3])
    return Ready(
        today=snap.today, dry_days=dry, kill_days=kill_days, label_days=label_days, queue_days=queue_days, on=on
    )  # fmt: skip


def _days_to_dry(snap: Snapshot, at: int) -> int | None:
    """Days until the ground is dry enough to walk if no more rain falls; None where rain is not known."""
    bed = beds_today(snap)[at]
    if bed is None or not bed.rain_known:
        return None
    return 0 if bed.fit_on is None else (bed.fit_on - snap.today).days


def frost_years(
    rows: Mapping[str, Sequence[DayRow]], snap: Snapshot, at: int, day: date
) -> FrostYears | None:  # fmt: skip
    """Heat from ``day`` to the first killing frost of past years at field ``at``; None where no year reaches fall.

    Of the stations that make the field's weather the weightiest with such years, moved by height. ``rows`` are station
    days (date text, min °C, max °C, rain mm). A year needs 95 % of its days to 30 November.
    """
    if snap.cells is None or (day.month, day.day) >= FALL_FROM:
        return None
    last = date(day.year, *FALL_TO)
    days = [day + timedelta(days=k) for k in range((last - day).days + 1)]
    for k in _by_weight(snap.cells, at):
        station = snap.cells.stations[k]
        params = snap.settings.weather
        past = station_series(station, rows.get(station.id, ()), days, today=snap.today, params=params).past
        if len(past[0]):
            moved = float(snap.cells.lapse_c[snap.cells.cell[at], k])
            low, high = (part + moved for part in past)
            return _to_frost(station.name or station.id, days, low, high)
    return None


def _by_weight(cells: Cells, at: int) -> list[int]:
    weight = cells.weights[cells.cell[at]]
    return [int(k) for k in np.argsort(-weight, kind="stable") if weight[k] > 0]


def _to_frost(station: str, days: Sequence[date], low_c: np.ndarray, high_c: np.ndarray) -> FrostYears:
    """Years (year, day) summed up to the evening before each one's frost."""
    fall = np.array([(one.month, one.day) >= FALL_FROM for one in days])
    killing = (low_c <= float(f_to_c(amount("killing_frost"))) + 1e-9) & fall
    frost = np.where(killing.any(axis=1), killing.argmax(axis=1), len(days) - 1)
    heat = np.cumsum(degree_days(low_c, high_c, CORN), axis=1)
    before = heat[np.arange(len(frost)), np.maximum(frost - 1, 0)] * np.where(frost > 0, DDF_PER_DDC, 0.0)
    ranks = [max(0, math.ceil(q * len(frost)) - 1) for q in (0.1, 0.5, 0.9)]
    sums = np.sort(before)[ranks]
    early, mid, late = (days[int(k)] for k in np.sort(frost)[ranks])
    return FrostYears(
        station=station, years=len(frost), heat_ddf=Range(low=sums[0], mid=sums[1], high=sums[2]),
        frost=DateRange(early=early, mid=mid, late=late), by_year_ddf=tuple(before.tolist()),
    )  # fmt: skip
