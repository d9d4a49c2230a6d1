"""Station days to weather cells: screened, filled, weighted, and continued to the end of the season."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from springwalk.engine import weather
from springwalk.engine.weather import WeatherParams
from springwalk.jobs.results import Reason, WeatherBasis
from springwalk.records import Season, Station

Array = NDArray[np.float64]
DayRow = tuple[str, float | None, float | None, float | None]

WEIGHT_STEP = 0.2
"""Fields whose station weights agree when rounded to this step, in one height band, share a cell."""
FEW_PAST_YEARS = 10
LEAST_YEAR_SHARE = 0.95
"""A past year with a smaller share of its days is left out."""


@dataclass(frozen=True)
class Cells:
    """Weather of the season: extremes (cell, member, day) in °C, the cell of each place, and what it rests on."""

    min_c: Array
    max_c: Array
    cell: NDArray[np.int64]
    basis: WeatherBasis
    notes: tuple[Reason, ...]


@dataclass(frozen=True)
class StationSeries:
    """One station on the season's days: extremes seen this year (day,) and in past years (year, day)."""

    station: Station
    seen: tuple[Array, Array]
    past: tuple[Array, Array]
    notes: tuple[Reason, ...]


def season_days(season: Season) -> list[date]:
    """Every day of the season, first to last."""
    return [season.begins + timedelta(days=k) for k in range((season.ends - season.begins).days + 1)]


def build_cells(
    season: Season,
    stations: Sequence[Station],
    rows: Mapping[str, Sequence[DayRow]],
    places: Sequence[tuple[float, float, float | None]],
    *,
    today: date,
    params: WeatherParams,
) -> Cells | None:
    """Cells for places (latitude, longitude, elevation m or None) as known on the morning of ``today``.

    Nothing dated today or later is looked at. None where no station has a day of this season.
    """
    days = season_days(season)
    series = [_series(season, s, rows.get(s.id, ()), days, today, params) for s in stations]
    series = [s for s in series if not np.isnan(s.seen[0]).all()]
    if not series or not places:
        return None
    at = _place_weights(places, series)
    count, cell = _keys(places, at, params)
    weights, lapse = _cell_weights(places, at, cell, count, series, params)
    seen = [weather.cell_series(np.array([s.seen[k] for s in series]), weights, lapse) for k in (0, 1)]
    continued = [_continued(series, seen, weights, c, params) for c in range(count)]
    members = min(len(m[0]) for m in continued)
    lows, highs = (np.array([m[k][:members] for m in continued]) for k in (0, 1))
    basis, notes = _basis(series, seen, days, members=members)
    return Cells(lows, highs, cell, basis, notes)


def _series(
    season: Season, station: Station, rows: Sequence[DayRow], days: list[date], today: date, params: WeatherParams
) -> StationSeries:
    index = {day.strftime("%m-%d"): k for k, day in enumerate(days)}
    years: dict[int, tuple[Array, Array]] = {}
    for text, low, high, _ in rows:
        place = index.get(text[5:])
        year = int(text[:4])
        if place is None or year > season.year or text >= today.isoformat():
            continue
        pair = years.setdefault(year, (np.full(len(days), np.nan), np.full(len(days), np.nan)))
        pair[0][place] = np.nan if low is None else low
        pair[1][place] = np.nan if high is None else high
    seen = years.pop(season.year, (np.full(len(days), np.nan), np.full(len(days), np.nan)))
    seen, notes = _screened(station, seen, days, params)
    whole = [pair for _, pair in sorted(years.items()) if np.mean(~np.isnan(pair[0] + pair[1])) >= LEAST_YEAR_SHARE]
    past = tuple(np.array([_complete(pair[k]) for pair in whole]).reshape(len(whole), len(days)) for k in (0, 1))
    return StationSeries(station, seen, (past[0], past[1]), notes)


def _screened(
    station: Station, seen: tuple[Array, Array], days: list[date], params: WeatherParams
) -> tuple[tuple[Array, Array], tuple[Reason, ...]]:
    """Doubtful days masked with a reason (the raw value stays in the store), then short gaps filled."""
    low, high = (s.copy() for s in seen)
    doubt = {
        "repeated": weather.repeated(low, high, params) & ~np.isnan(low),
        "jumped": weather.jumped(low, params) | weather.jumped(high, params),
    }
    notes = []
    for why, mask in doubt.items():
        if mask.any():
            where = [days[k] for k in np.flatnonzero(mask)]
            facts = {"station": station.name or station.id, "from": where[0], "to": where[-1], "days": len(where)}
            notes.append(Reason(code=f"weather_{why}", facts=facts))
            low[mask], high[mask] = np.nan, np.nan
    return (weather.fill_short_gaps(low, params), weather.fill_short_gaps(high, params)), tuple(notes)


def _complete(values: Array) -> Array:
    """A past year's few missing days, straight across."""
    seen = np.flatnonzero(~np.isnan(values))
    return np.interp(np.arange(len(values)), seen, values[seen])


def _keys(
    places: Sequence[tuple[float, float, float | None]], weights: Array, params: WeatherParams
) -> tuple[int, NDArray[np.int64]]:
    """(number of cells, cell of each place): alike in station weights and height band."""
    steps = np.round(weights / WEIGHT_STEP).astype(int).tolist()
    bands = [None if height is None else int(height // params.elevation_band_m) for _, _, height in places]
    keys: dict[tuple[object, ...], int] = {}
    cell = [keys.setdefault((*step, band), len(keys)) for step, band in zip(steps, bands, strict=True)]
    return len(keys), np.array(cell, np.int64)


def _place_weights(places: Sequence[tuple[float, float, float | None]], series: list[StationSeries]) -> Array:
    lat, lon = (np.array([p[k] for p in places], float) for k in (0, 1))
    at_lat, at_lon = np.array([s.station.latitude for s in series]), np.array([s.station.longitude for s in series])
    return weather.station_weights(lat, lon, at_lat, at_lon)


def _cell_weights(
    places: Sequence[tuple[float, float, float | None]], weights: Array, cell: NDArray[np.int64], cells: int,
    series: list[StationSeries], params: WeatherParams,
) -> tuple[Array, Array]:  # fmt: skip
    """Station weights (cell, station), the mean of its fields', and what height adds to each station there (°C)."""
    mean = np.array([weights[cell == c].mean(axis=0) for c in range(cells)])
    lapse = np.zeros_like(mean)
    for c in range(cells):
        heights = [places[i][2] for i in np.flatnonzero(cell == c).tolist()]
        known = [h for h in heights if h is not None]
        for k, s in enumerate(series):
            if known and s.station.elevation_m is not None:
                lapse[c, k] = -(float(np.mean(known)) - s.station.elevation_m) * params.lapse_c_per_m
    return mean, lapse


def _continued(
    series: list[StationSeries], seen: list[Array], weights: Array, c: int, params: WeatherParams
) -> tuple[Array, Array]:
    """Members of one cell: past years of its best station moved to the cell, else this spring's own last weeks."""
    told = [(len(s.past[0]) > 0, weights[c, k], k) for k, s in enumerate(series)]
    has_past, _, k = max(told)
    out = []
    for part in (0, 1):
        here = seen[part][c]
        if not has_past:
            out.append(weather.without_past(here, params))
            continue
        moved = np.nanmean(here - series[k].seen[part]) if np.any(~np.isnan(here - series[k].seen[part])) else 0.0
        past = series[k].past[part][-params.members :] + moved
        out.append(weather.continue_season(here, past, params))
    return weather.order_extremes(out[0], out[1])


def _basis(
    series: list[StationSeries], seen: list[Array], days: list[date], *, members: int
) -> tuple[WeatherBasis, tuple[Reason, ...]]:
    known = ~np.isnan(seen[0] + seen[1]).all(axis=0)
    last = int(np.flatnonzero(known)[-1])
    notes = [note for s in series for note in s.notes]
    missing = []
    for first, end in weather.gaps(np.where(known, 0.0, np.nan)):
        facts = {"station": "every station", "from": days[first], "to": days[end], "days": end - first + 1}
        missing.append(Reason(code="weather_gap", facts=facts))
    years = max(len(s.past[0]) for s in series)
    if years == 0:
        notes.append(Reason(code="no_past_years"))
    elif years < FEW_PAST_YEARS:
        notes.append(Reason(code="few_past_years", facts={"n": years}))
    basis = WeatherBasis(
        stations=tuple(s.station.name or s.station.id for s in series),
        attribution=tuple(dict.fromkeys(s.station.attribution for s in series if s.station.attribution)),
        observed_to=days[last],
        members=members,
        members_from="past years" if years else "this spring's own last weeks",
        gaps=tuple(missing),
    )
    return basis, tuple(notes + missing)
