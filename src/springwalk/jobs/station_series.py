"""Stored days of one station on the days of a season: screened, short gaps filled, past years beside them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from springwalk.engine import weather
from springwalk.engine.weather import WeatherParams
from springwalk.jobs.results import Reason
from springwalk.records import Season, Station

Array = NDArray[np.float64]
DayRow = tuple[str, float | None, float | None, float | None]

LEAST_YEAR_SHARE = 0.95
"""A past year with a smaller share of its days is left out."""


@dataclass(frozen=True)
class StationSeries:
    """One station on a run of days: extremes seen this year (day,) and in past years (year, day) in °C; rain in mm."""

    station: Station
    seen: tuple[Array, Array]
    past: tuple[Array, Array]
    rain_mm: Array
    """Rain of this year (day,); NaN where none was reported. Never filled: a gap in rain is not a dry day."""
    notes: tuple[Reason, ...]


def season_days(season: Season) -> list[date]:
    """Every day of the season, first to last."""
    return [season.begins + timedelta(days=k) for k in range((season.ends - season.begins).days + 1)]


def station_series(
    station: Station, rows: Sequence[DayRow], days: Sequence[date], *, today: date, params: WeatherParams
) -> StationSeries:
    """A station's rows on ``days`` (of one year), screened; past years on the same calendar days.

    Nothing dated ``today`` or later is looked at. A past year with less than 95 % of its days is left out.
    """
    this_year = days[0].year
    index = {day.strftime("%m-%d"): k for k, day in enumerate(days)}
    years: dict[int, tuple[Array, Array]] = {}
    rain_mm, until = np.full(len(days), np.nan), today.isoformat()
    for text, low, high, rain in rows:
        place = index.get(text[5:])
        year = int(text[:4])
        if place is None or year > this_year or text >= until:
            continue
        if year not in years:
            years[year] = (np.full(len(days), np.nan), np.full(len(days), np.nan))
        pair = years[year]
        pair[0][place] = np.nan if low is None else low
        pair[1][place] = np.nan if high is None else high
        if year == this_year and rain is not None:
            rain_mm[place] = rain
    seen = years.pop(this_year, (np.full(len(days), np.nan), np.full(len(days), np.nan)))
    seen, notes = _screened(station, seen, days, params)
    whole = [pair for _, pair in sorted(years.items()) if np.mean(~np.isnan(pair[0] + pair[1])) >= LEAST_YEAR_SHARE]
    past = tuple(np.array([_complete(pair[k]) for pair in whole]).reshape(len(whole), len(days)) for k in (0, 1))
    return StationSeries(station, seen, (past[0], past[1]), rain_mm, notes)


def _screened(
    station: Station, seen: tuple[Array, Array], days: Sequence[date], params: WeatherParams
) -> tuple[tuple[Array, Array], tuple[Reason, ...]]:
    """Doubtful days masked with a reason (the raw value stays in the store)."""
    low, high = (s.copy() for s in seen)
    doubt = {
        "repeated": weather.repeated(low, high, params) & ~np.isnan(low),
        "jumped": weather.jumped(low, params) | weather.jumped(high, params),
    }
    notes = []
    for why, mask in doubt.items():
        if mask.any():
            where = [days[k] for k in np.flatnonzero(mask).tolist()]
            facts = {"station": station.name or station.id, "from": where[0], "to": where[-1], "days": len(where)}
            notes.append(Reason(code=f"weather_{why}", facts=facts))
            low[mask], high[mask] = np.nan, np.nan
    return (low, high), tuple(notes)


def filled(series: list[StationSeries], params: WeatherParams) -> list[StationSeries]:
    """Short gaps of the extremes filled from the mean of the other stations, else straight across, and said."""
    out = []
    for s in series:
        others = [o.seen for o in series if o is not s and not np.isnan(o.seen[0]).all()]
        parts = []
        for k in (0, 1):
            beside = _mean_seen([o[k] for o in others]) if others else None
            parts.append(weather.fill_short_gaps(s.seen[k], params, neighbour=beside))
        low, high = weather.order_extremes(parts[0], parts[1])
        gained = int((np.isnan(s.seen[0] + s.seen[1]) & ~np.isnan(low + high)).sum())
        facts = {"station": s.station.name or s.station.id, "days": gained}
        notes = (*s.notes, *((Reason(code="weather_filled", facts=facts),) if gained else ()))
        out.append(replace(s, seen=(low, high), notes=notes))
    return out


def _mean_seen(values: list[Array]) -> Array:
    """Mean over stations of the days any of them reported; NaN where none did."""
    stack = np.array(values)
    count = (~np.isnan(stack)).sum(axis=0)
    total = np.where(np.isnan(stack), 0.0, stack).sum(axis=0)
    return np.asarray(np.divide(total, count, out=np.full(stack.shape[1], np.nan), where=count > 0))


def _complete(values: Array) -> Array:
    """A past year's few missing days, straight across."""
    seen = np.flatnonzero(~np.isnan(values))
    return np.interp(np.arange(len(values)), seen, values[seen])
