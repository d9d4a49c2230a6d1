"""Station days to weather cells: screened, filled, weighted, and continued to the end of the season."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from springwalk.engine import weather
from springwalk.engine.weather import WeatherParams
from springwalk.jobs.forecasts import Ahead, ahead_of, ahead_of_cell, ahead_words, reaches
from springwalk.jobs.results import Reason, WeatherBasis
from springwalk.jobs.rules import Rules
from springwalk.jobs.station_series import DayRow, StationSeries, filled, season_days, station_series
from springwalk.records import Forecast, Season, Station

Array = NDArray[np.float64]

WEIGHT_STEP = 0.1
"""Fields whose station weights agree when rounded to this step, in one height band, share a cell."""
FEW_PAST_YEARS = 10
Place = tuple[float, float, float | None]


@dataclass(frozen=True)
class Cells:
    """Weather of the season: extremes (cell, member, day) in °C, the cell of each place, and what it rests on.

    ``rain_mm`` (cell, day) is observed only: NaN where no station of the cell told of rain, and from today on.
    ``observed`` (cell, day): the extremes were observed (or a short gap filled), not forecast or of past years.
    ``stations`` are those used; ``weights`` and ``lapse_c`` (cell, station) say how they make a cell.
    """

    min_c: Array
    max_c: Array
    rain_mm: Array
    cell: NDArray[np.int64]
    basis: WeatherBasis
    notes: tuple[Reason, ...]
    stations: tuple[Station, ...]
    weights: Array
    lapse_c: Array
    observed: NDArray[np.bool_]


def build_cells(
    season: Season,
    stations: Sequence[Station],
    rows: Mapping[str, Sequence[DayRow]],
    places: Sequence[Place],
    *,
    today: date,
    params: WeatherParams,
    rules: Rules,
    forecasts: Sequence[Forecast] = (),
) -> tuple[Cells | None, tuple[Reason, ...]]:
    """Cells for places (latitude, longitude, elevation m or None) as known on the morning of ``today``, and notes.

    No observation dated today or later is looked at. No cells where no station has a believable day of this season.
    The newest ``forecasts`` of a station, at most three days old, stand for days nobody has observed.
    """
    days = season_days(season)
    every = [station_series(s, rows.get(s.id, ()), days, today=today, params=params) for s in stations]
    every = filled(every, params)
    notes = [note for s in every for note in s.notes]
    series = [s for s in every if not np.isnan(s.seen[0] + s.seen[1]).all()]
    if not series or not places:
        return None, tuple(notes)
    at = _place_weights(places, series, params)
    count, cell = _keys(places, at, params)
    weights, lapse = _cell_weights(places, at, cell, count, series, params)
    seen = [weather.cell_series(np.array([s.seen[k] for s in series]), weights, lapse) for k in (0, 1)]
    rain_mm = weather.cell_series(np.array([s.rain_mm for s in series]), weights, np.zeros_like(weights))
    aheads, unused = ahead_of(forecasts, [s.station for s in series], days, today=today)
    ahead = [ahead_of_cell(aheads, row) for row in weights]
    best = [_best(series, row) for row in weights]
    years = min(len(series[k].past[0][-params.members :]) for k in best)
    continued = [
        _continued(season, series[best[c]], [s[c] for s in seen], params, ahead=ahead[c]) for c in range(count)
    ]
    lows, highs = _alike(continued, params, forecast=any(ahead))
    basis, more = _basis(series, seen, days, cell, members=lows.shape[1], years=years, today=today, rules=rules)
    told = [ahead[c] for c in cell.tolist()]
    from_words = ahead_words(told, days, basis.members_from)
    basis = basis.model_copy(update={"members_from": from_words, "forecast_to": reaches(told, days)})
    notes += [*more, *unused, *_far(places, series, rules)]
    used = tuple(s.station for s in series)
    known = ~np.isnan(seen[0] + seen[1])
    return Cells(lows, highs, rain_mm, cell, basis, tuple(notes), used, weights, lapse, known), tuple(notes)


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


def _best(series: list[StationSeries], weights: Array) -> int:
    """The station whose past years continue a cell: one that has any, then the one with most weight there."""
    told = [(len(s.past[0]) > 0, weights[k], k) for k, s in enumerate(series)]
    return max(told)[2]


def _moved(here: Array, there: Array) -> float:
    """How much warmer a cell was than a station on the days both are known (°C)."""
    apart = here - there
    return float(np.nanmean(apart)) if np.any(~np.isnan(apart)) else 0.0


def _continued(
    season: Season, best: StationSeries, seen: list[Array], params: WeatherParams, *, ahead: Ahead | None
) -> tuple[Array, Array]:
    """Members of one cell: its forecast, then past years of its best station moved to it (or its own last weeks)."""
    out = []
    for part, here in enumerate(seen):
        moved = _moved(here, best.seen[part])
        past = best.past[part][-params.members :] + moved
        if not len(past):
            past = weather.without_past(here, params, first_day_of_year=season.begins.timetuple().tm_yday)
        if ahead is not None:
            at_cell = (ahead.min_c, ahead.max_c)[part] + moved
            out.append(weather.with_forecast(here, past, at_cell, params))
        elif len(best.past[part]):
            out.append(weather.continue_season(here, past, params))
        else:
            out.append(past)
    return weather.order_extremes(out[0], out[1])


def _alike(continued: list[tuple[Array, Array]], params: WeatherParams, *, forecast: bool) -> tuple[Array, Array]:
    """Members of all cells (cell, member, day), as many in each: beside a forecast the full number everywhere."""
    if forecast:
        spread = [[x[weather.evenly(len(x), params.members)] for x in pair] for pair in continued]
        return np.array([pair[0] for pair in spread]), np.array([pair[1] for pair in spread])
    members = min(len(pair[0]) for pair in continued)
    return np.array([p[0][:members] for p in continued]), np.array([p[1][:members] for p in continued])


def _basis(
    series: list[StationSeries], seen: list[Array], days: list[date], cell: NDArray[np.int64],
    *, members: int, years: int, today: date, rules: Rules,
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
    most = max(len(s.past[0]) for s in series)
    if most == 0:
        notes.append(Reason(code="no_past_years"))
    elif most < FEW_PAST_YEARS:
        notes.append(Reason(code="few_past_years", facts={"n": most}))
    basis = WeatherBasis(
        stations=tuple(s.station.name or s.station.id for s in series),
        attribution=tuple(dict.fromkeys(s.station.attribution for s in series if s.station.attribution)),
        observed_to=days[min(last)],
        members=members,
        members_from=f"{years} past years" if most else "this spring's own last weeks",
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
