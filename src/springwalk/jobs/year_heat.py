"""Heat since 1 January at each weather cell, by any base: the clock of insects that wake before the season begins."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from springwalk.engine import weather
from springwalk.engine.heat import Method, Shape, degree_days, running_total
from springwalk.engine.weather import WeatherParams
from springwalk.jobs.cells import Cells
from springwalk.jobs.params import load
from springwalk.jobs.results import Reason
from springwalk.jobs.station_series import DayRow, StationSeries, filled, station_series
from springwalk.records import Season, Station
from springwalk.units import DDF_PER_DDC, f_to_c

Array = NDArray[np.float64]
Extremes = tuple[Array, Array]

MAGGOT_BASE_F, MAGGOT_UPPER_F = 39.0, 84.0
"""Thresholds of the seedcorn maggot (SDSU Extension; Univ. Minnesota after Funderburk et al. 1984)."""


@dataclass(frozen=True)
class YearHeat:
    """Extremes in °C from 1 January to the season's end, to sum heat above any base.

    ``winter`` (cell, day) are the days before the season begins, NaN = not observed; ``past`` holds for each cell the
    same days of past years (year, day), none where they are not stored; ``season`` (cell, member, day).
    """

    winter: Extremes
    past: tuple[Extremes, ...]
    season: Extremes
    notes: tuple[Reason, ...]

    @property
    def winter_days(self) -> int:
        """How many days lie between 1 January and the season's first day."""
        return int(self.winter[0].shape[1])

    def running_ddc(self, method: Method) -> Array:
        """Heat from 1 January to the end of each day (cell, member, day from 1 January), °C·day.

        A winter day nobody observed has the mean heat of that day in past years; NaN from there on where there are
        none.
        """
        ahead = degree_days(*self.season, method)
        before = self._winter_ddc(method)
        shape = (*ahead.shape[:2], before.shape[1])
        return running_total(np.concatenate([np.broadcast_to(before[:, None, :], shape), ahead], axis=2))

    def _winter_ddc(self, method: Method) -> Array:
        heat = degree_days(*self.winter, method)
        for c, past in enumerate(self.past):
            if len(past[0]):
                usual = degree_days(*past, method).mean(axis=0)
                heat[c] = np.where(np.isnan(heat[c]), usual, heat[c])
        return heat


def build_year_heat(
    season: Season, stations: Sequence[Station], rows: Mapping[str, Sequence[DayRow]], cells: Cells, today: date
) -> YearHeat | None:
    """What heat from 1 January needs, at the cells of a season; None for a season that begins before its own year.

    ``stations`` and ``rows`` (date text, min °C, max °C, rain mm) as for the cells. Winter days are screened, filled
    and weighted as the season's are. ``notes`` says what was doubted or filled at a station, and where winter days are
    missing: ``winter_filled`` by past years, ``no_winter_days`` where nothing can be said.
    """
    first = date(season.begins.year, 1, 1)
    days = [first + timedelta(days=k) for k in range((season.begins - first).days)]
    season_part = (cells.min_c, cells.max_c)
    count = len(cells.min_c)
    if season.begins.year != season.year:
        return None
    if not days:
        none = np.zeros((count, 0))
        return YearHeat((none, none), ((none[:0], none[:0]),) * count, season_part, ())
    params = load(season.heat_method).weather
    known = {s.id for s in stations}
    used = [station_series(s, rows.get(s.id, ()) if s.id in known else (), days, today=today, params=params)
            for s in cells.stations]  # fmt: skip
    used = filled(used, params)
    winter = tuple(
        weather.cell_series(np.array([s.seen[k] for s in used]), cells.weights, cells.lapse_c) for k in (0, 1)
    )
    low, high = weather.order_extremes(winter[0], winter[1])
    past = tuple(_past(used, (low[c], high[c]), cells.weights[c], cells.lapse_c[c], params) for c in range(count))
    said = tuple(note for s in used for note in s.notes)
    return YearHeat((low, high), past, season_part, (*said, *_notes(cells, low + high, past)))


def _past(
    series: list[StationSeries], here: Extremes, weights: Array, lapse_c: Array, params: WeatherParams
) -> Extremes:  # fmt: skip
    """Past years' winter days (year, day) of the cell's best station that has any, moved to the cell."""
    k = max((len(s.past[0]) > 0, weights[k], k) for k, s in enumerate(series))[2]
    out = []
    for part in (0, 1):
        apart = here[part] - series[k].seen[part]
        moved = float(np.nanmean(apart)) if np.any(~np.isnan(apart)) else float(lapse_c[k])
        out.append(series[k].past[part][-params.members :] + moved)
    return weather.order_extremes(out[0], out[1])


def _notes(cells: Cells, winter: Array, past: Sequence[Extremes]) -> tuple[Reason, ...]:
    """Fields whose winter days are missing: taken from past years, or not known."""
    missing = np.isnan(winter).sum(axis=1)
    usual = np.array([len(years[0]) > 0 for years in past])
    notes = []
    for code, which in (("winter_filled", usual), ("no_winter_days", ~usual)):
        fields = np.flatnonzero((which & (missing > 0))[cells.cell])
        if len(fields):
            days = int(missing[cells.cell[fields]].max())
            notes.append(Reason(code=code, facts={"fields": len(fields), "days": days}))
    return tuple(notes)


def capped_max(base_f: float, upper_f: float) -> Method:
    """(maximum, capped at ``upper_f``, + minimum) / 2 − ``base_f``, negative days 0; thresholds in °F."""
    shape: Shape = "capped-max"
    return Method(shape=shape, cutoff="none", lower_c=float(f_to_c(base_f)), upper_c=float(f_to_c(upper_f)))


def peak_days(
    year: YearHeat, heats_ddf: Sequence[float], base_f: float = MAGGOT_BASE_F, upper_f: float = MAGGOT_UPPER_F
) -> Array:
    """Days on which heat since 1 January reaches each of ``heats_ddf`` (°F·day): (cell, peak, 3) at 10, 50 and 90 %.

    A day is an index from the season's first day, negative before it, and the day during which the heat is reached;
    infinite = not within the season, NaN = can't be said (winter days missing). ``base_f`` and ``upper_f`` in °F, by
    ``capped_max``. The peaks are published, how the members spread is the weather's only.
    """
    running = year.running_ddc(capped_max(base_f, upper_f))
    members = running.shape[1]
    ranks = [max(0, int(np.ceil(q * members)) - 1) for q in (0.1, 0.5, 0.9)]
    out = np.full((len(running), len(heats_ddf), 3), np.nan)
    can_say = ~np.isnan(running[:, :, -1]).any(axis=1)
    for p, heat in enumerate(heats_ddf):
        reached = running >= heat / DDF_PER_DDC - 1e-9
        day = np.where(reached.any(axis=2), np.argmax(reached, axis=2) - float(year.winter_days), np.inf)
        out[can_say, p] = np.sort(day, axis=1)[can_say][:, ranks]
    return out


def heat_so_far_ddf(
    year: YearHeat, today: int, base_f: float = MAGGOT_BASE_F, upper_f: float = MAGGOT_UPPER_F
) -> Array:  # fmt: skip
    """Heat (cell,) since 1 January up to yesterday evening in °F·day; ``today`` is the day index in the season.

    NaN where it can't be said. The mean over members where yesterday is not observed yet.
    """
    at = year.winter_days + today - 1
    running = year.running_ddc(capped_max(base_f, upper_f))
    return running[:, :, at].mean(axis=1) * DDF_PER_DDC if at >= 0 else np.zeros(len(running))
