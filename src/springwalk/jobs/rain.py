"""Rain of each field by day: its own gauge, the gauge for all fields, else the stations."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from springwalk.jobs.cells import Cells
from springwalk.jobs.station_series import season_days
from springwalk.records import Field, Gauge, Season


@dataclass(frozen=True)
class FieldRain:
    """Rain of each field (field, day) in mm; NaN where nobody told of it.

    ``known`` says where it was told. ``hard``: 1 it fell hard, 0 it did not, −1 nobody said. ``own``: by a gauge of the
    farm, the field's or the one for all fields.
    """

    rain_mm: NDArray[np.float64]
    known: NDArray[np.bool_]
    hard: NDArray[np.int8]
    own: NDArray[np.bool_]


def rain_of_fields(
    fields: Sequence[Field], cells: Cells | None, gauges: Sequence[Gauge], season: Season, today: date
) -> FieldRain:
    """Rain of every field as known on the morning of ``today``: stations before today, gauges with today's reading.

    A gauge in the field wins over the gauge for all fields, which wins over the stations; a reading tells the amount
    and whether it fell hard together. Missing rain is never filled: it is not a dry day. Without ``cells`` only gauges
    tell. A gauge for a field that is not there, or outside the season, is not read.
    """
    shape = (len(fields), len(season_days(season)))
    rain = cells.rain_mm[cells.cell].copy() if cells else np.full(shape, np.nan)
    hard, own = np.full(shape, -1, np.int8), np.zeros(shape, bool)
    place = {field.id: [k] for k, field in enumerate(fields)}
    everywhere = list(range(len(fields)))
    for gauge in sorted(gauges, key=lambda g: bool(g.field)):  # the field's own come last, so they stand
        day = (gauge.date - season.begins).days
        mine = place.get(gauge.field, []) if gauge.field else everywhere
        if gauge.date > today or not 0 <= day < shape[1] or not mine:
            continue
        rain[mine, day], own[mine, day] = gauge.rain_mm, True
        hard[mine, day] = -1 if gauge.hard is None else int(gauge.hard)
    return FieldRain(rain, ~np.isnan(rain), hard, own)
