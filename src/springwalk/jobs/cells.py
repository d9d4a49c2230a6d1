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
from springwalk.jobs.rules import Rules
from springwalk.records import Season, Station

Array = NDArray[np.float64]
DayRow = tuple[str, float | None, float | None, float | None]

WEIGHT_STEP = 0.1
"""Fields whose station weights agree when rounded to this step, in one height band, share a cell."""
FEW_PAST_YEARS = 10
Place = tuple[float, float, float | None]
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
    places: Sequence[Place],
    *,
    today: date,
    params: WeatherParams,
    rules: Rules,
) -> tuple[Cells | None, tuple[Reason, ...]]:
    """Cells for places (latitude, longitude, elevation m or None) as known on the morning of ``today``, and notes.

    Nothing dated today or later is looked at. No cells where no station has a believable day of this season.
    """
    days = season_days(season)
    every = [_series(season, s, rows.get(s.id, ()), days, today, params) for s in stations]
    every = _filled(every, params)
    notes = [note for s in every for note in s.notes]
    series = [s for s in every if not np.isnan(s.seen[0] + s.seen[1]).all()]
    if not series or not places:
        return None, tuple(notes)
    at = _place_weights(places, series, params)
    count, cell = _keys(places, at, params)
    weights, lapse = _cell_weights(places, at, cell, count, series, params)
    seen = [weather.cell_series(np.array([s.seen[k] for s in series]), weights, lapse) for k in (0, 1)]
    continued = [_continued(season, series, seen, weights, c, params) for c in range(count)]
    members = min(len(m[0]) for m in continued)
    lows, highs = (np.array([m[k][:members] for m in continued]) for k in (0, 1))
    basis, more = _basis(series, seen, days, cell, members=members, today=today, rules=rules)
    notes += [*more, *_far(places, series, rules)]
    return Cells(lows, highs, cell, basis, tuple(notes)), tuple(notes)


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
    return (low, high), tuple(notes)


def _filled(series: list[StationSeries], params: WeatherParams) -> list[StationSeries]:
    """Short gaps filled from the mean of the other stations, else straight across, and said."""
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
        out.append(StationSeries(s.station, (low, high), s.past, notes))
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


def _keys(places: Sequence[Place], weights: Array, params: WeatherParams) -> tuple[int, NDArray[np.int64]]:
    """(number of cells, cell of each place): alike in station weights and height band."""
    steps = np.round(weights / WEIGHT_STEP).astype(int).tolist()
    bands = [None if height is None else int(height // params.elevation_band_m) for _, _, height in places]
    keys: dict[tuple[object, ...], int] = {}
    cell = [keys.setdefault((*step, band), len(keys)) for step, band in zip(steps, bands, strict=True)]
    return len(keys), np.array(cell, np.int64)


def _place_weights(places: Sequence[Place], series: list[StationSeries], params: WeatherParams) -> Array:
    lat, lon = (np.array([p[k] for p in places], float) for k in (0, 1))
    at_lat, at_lon = np.array([s.station.latitude for s in series]), np.array([s.station.longitude for s in series])
    return weather.station_weights(lat, lon, at_lat, at_lon, params)


def _cell_weights(
    places: Sequence[Place], weights: Array, cell: NDArray[np.int64], cells: int,
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
    season: Season, series: list[StationSeries], seen: list[Array], weights: Array, c: int, params: WeatherParams
) -> tuple[Array, Array]:
    """Members of one cell: past years of its best station moved to the cell, else this spring's own last weeks."""
    told = [(len(s.past[0]) > 0, weights[c, k], k) for k, s in enumerate(series)]
    has_past, _, k = max(told)
    out = []
    for part in (0, 1):
        here = seen[part][c]
        if not has_past:
            start = season.begins.timetuple().tm_yday
            out.append(weather.without_past(here, params, first_day_of_year=start))
            continue
        moved = np.nanmean(here - series[k].seen[part]) if np.any(~np.isnan(here - series[k].seen[part])) else 0.0
        past = series[k].past[part][-params.members :] + moved
        out.append(weather.continue_season(here, past, params))
    return weather.order_extremes(out[0], out[1])


def _basis(
    series: list[StationSeries], seen: list[Array], days: list[date], cell: NDArray[np.int64],
    *, members: int, today: date, rules: Rules,
) -> tuple[WeatherBasis, tuple[Reason, ...]]:  # fmt: skip
    """What the heat rests on; gaps and stale weather are looked for in every cell and said with its fields."""
    known = ~np.isnan(seen[0] + seen[1])
    last = [int(np.flatnonzero(row)[-1]) for row in known]
    notes, missing = [], []
    holes: dict[tuple[int, int], int] = {}
    for c, row in enumerate(known):
        begin = int(np.flatnonzero(row)[0])
        leading = [(0, begin - 1)] if begin else []
        for hole in [*leading, *weather.gaps(np.where(row, 0.0, np.nan))]:
            holes[hole] = holes.get(hole, 0) + int((cell == c).sum())
    for (first, end), fields in sorted(holes.items()):
        facts = {"fields": fields, "from": days[first], "to": days[end], "days": end - first + 1}
        missing.append(Reason(code="weather_gap", facts=facts))
    stale = [c for c in range(len(last)) if (today - days[last[c]]).days > rules.old_weather]
    if stale:
        oldest = min(days[last[c]] for c in stale)
        facts = {"date": oldest, "days": (today - oldest).days, "fields": int(np.isin(cell, stale).sum())}
        notes.append(Reason(code="weather_old", facts=facts))
    years = max(len(s.past[0]) for s in series)
    if years == 0:
        notes.append(Reason(code="no_past_years"))
    elif years < FEW_PAST_YEARS:
        notes.append(Reason(code="few_past_years", facts={"n": years}))
    basis = WeatherBasis(
        stations=tuple(s.station.name or s.station.id for s in series),
        attribution=tuple(dict.fromkeys(s.station.attribution for s in series if s.station.attribution)),
        observed_to=days[min(last)],
        members=members,
        members_from=f"{members} past years" if years else "this spring's own last weeks",
        gaps=tuple(missing),
    )
    return basis, (*notes, *missing)


def _far(places: Sequence[Place], series: list[StationSeries], rules: Rules) -> list[Reason]:
    """Fields whose nearest station is far off."""
    lat, lon = (np.array([p[k] for p in places], float) for k in (0, 1))
    at_lat, at_lon = np.array([s.station.latitude for s in series]), np.array([s.station.longitude for s in series])
    nearest = weather.distance_km(lat[:, None], lon[:, None], at_lat[None, :], at_lon[None, :]).min(axis=1)
    far = nearest > rules.station_far
    if not far.any():
        return []
    return [Reason(code="station_far", facts={"fields": int(far.sum()), "km": float(nearest[far].max())})]
