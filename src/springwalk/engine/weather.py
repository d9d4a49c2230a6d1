"""Station days to weather cells: masks, short gaps, weights, and the members that continue the season.

Axes: station k, cell c, member m, year y, day d of the season. Temperatures in °C, NaN = missing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

EARTH_RADIUS_KM = 6371.0


@dataclass(frozen=True)
class WeatherParams:
    """How weather is screened, filled and continued (see tables/data/weather_model.csv)."""

    gap_days_filled: int
    anomaly_efold_days: float
    anomaly_window_days: int
    repeat_suspicious_days: int
    jump_suspicious_c: float
    lapse_c_per_m: float
    elevation_band_m: float
    members: int
    spring_warming_c_per_day: float
    station_reach_km: float
    station_smooth_km: float


def distance_km(lat_a: Array, lon_a: Array, lat_b: Array, lon_b: Array) -> Array:
    """Great-circle distance in km on a sphere (error below 0.6 %, enough to choose stations); degrees in."""
    a, b, c, d = (np.radians(x) for x in (lat_a, lon_a, lat_b, lon_b))
    half = np.sin((c - a) / 2) ** 2 + np.cos(a) * np.cos(c) * np.sin((d - b) / 2) ** 2
    return np.asarray(2 * EARTH_RADIUS_KM * np.arcsin(np.sqrt(np.clip(half, 0, 1))))


def repeated(min_c: Array, max_c: Array, params: WeatherParams) -> Mask:
    """Days inside a run in which both extremes stay exactly the same for ``repeat_suspicious_days`` or more."""
    n = len(min_c)
    same = np.zeros(n, bool)
    same[1:] = (min_c[1:] == min_c[:-1]) & (max_c[1:] == max_c[:-1])
    starts = np.flatnonzero(~same)
    lengths = np.diff(np.append(starts, n))
    return np.asarray(np.repeat(lengths >= params.repeat_suspicious_days, lengths))


def jumped(values_c: Array, params: WeatherParams) -> Mask:
    """Days whose extreme lies further than ``jump_suspicious_c`` from both neighbours on the same side.

    The neighbours are the nearest observed days; the first and the newest day have one only.
    """
    out = np.zeros(len(values_c), bool)
    seen = np.flatnonzero(~np.isnan(values_c))
    if len(seen) < 2:
        return out
    step = np.diff(values_c[seen])
    from_before = np.concatenate([[-step[0]], step])
    from_after = np.concatenate([-step, [step[-1]]])
    up = np.minimum(from_before, from_after) > params.jump_suspicious_c
    down = np.maximum(from_before, from_after) < -params.jump_suspicious_c
    out[seen] = up | down
    return out


def gaps(values: Array) -> list[tuple[int, int]]:
    """Runs of missing days strictly between observed ones, as (first, last) indices."""
    seen = np.flatnonzero(~np.isnan(values))
    if len(seen) < 2:
        return []
    jumps = np.flatnonzero(np.diff(seen) > 1)
    return [(int(seen[j]) + 1, int(seen[j + 1]) - 1) for j in jumps]


def fill_short_gaps(values: Array, params: WeatherParams, *, neighbour: Array | None = None) -> Array:
    """Short gaps (up to ``gap_days_filled`` days) filled from a neighbour, its mean difference removed, else straight.

    ``values`` and ``neighbour`` are one series of days; longer gaps and both ends stay NaN.
    """
    out = values.copy()
    days = np.arange(len(values), dtype=np.float64)
    seen = ~np.isnan(values)
    for first, last in gaps(values):
        if last - first + 1 > params.gap_days_filled:
            continue
        out[first : last + 1] = np.interp(days[first : last + 1], days[seen], values[seen])
        if neighbour is not None:
            shift = np.nanmean(values - neighbour) if np.any(seen & ~np.isnan(neighbour)) else np.nan
            lent = neighbour[first : last + 1] + shift
            out[first : last + 1] = np.where(np.isnan(lent), out[first : last + 1], lent)
    return out


def station_weights(
    lat: Array, lon: Array, station_lat: Array, station_lon: Array, params: WeatherParams, *, nearest: int = 3
) -> Array:
    """Weight of each station for each place, shape (place, station), rows sum to 1.

    Inverse squared distance over the ``nearest`` stations within ``station_reach_km`` (at least the nearest one), with
    ``station_smooth_km`` added so that a station next door does not silence all others.
    """
    apart = distance_km(lat[:, None], lon[:, None], station_lat[None, :], station_lon[None, :])
    rank = np.argsort(np.argsort(apart, axis=1, kind="stable"), axis=1, kind="stable")
    use = (rank == 0) | ((rank < nearest) & (apart <= params.station_reach_km))
    weight = np.where(use, 1.0 / (apart + params.station_smooth_km) ** 2, 0.0)
    return np.asarray(weight / weight.sum(axis=1, keepdims=True))


def cell_series(station_values: Array, weights: Array, lapse_shift_c: Array) -> Array:
    """Daily values of each cell from station values (station, day): weighted over stations that reported.

    ``weights`` and ``lapse_shift_c`` have shape (cell, station). NaN where no station of the cell reported.
    """
    seen = ~np.isnan(station_values)
    filled = np.where(seen, station_values, 0.0)
    total = weights @ filled + (weights * lapse_shift_c) @ seen.astype(float)
    share = weights @ seen.astype(float)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(share > 0, total / share, np.nan)


def continue_season(observed: Array, past: Array, params: WeatherParams) -> Array:
    """Members (m, d) of one extreme at one cell: what was observed, then past years in sequence.

    ``observed`` (d,) is NaN where not seen (after today, or inside a long gap); ``past`` (y, d) whole past years of
    the same calendar days, already moved to the cell. The first days after the last observation are shifted by the
    last week's departure from the past years' mean, fading with ``anomaly_efold_days``.
    """
    last = _last_seen(observed)
    normal = past.mean(axis=0)
    window = slice(max(0, last + 1 - params.anomaly_window_days), last + 1)
    departure = observed[window] - normal[window]
    anomaly = float(np.nanmean(departure)) if np.any(~np.isnan(departure)) else 0.0
    ahead = np.arange(len(observed)) - last
    shift = np.where(ahead > 0, anomaly * np.exp(-np.maximum(ahead, 0) / params.anomaly_efold_days), 0.0)
    return np.where(np.isnan(observed)[None, :], past + shift[None, :], observed[None, :])


def evenly(have: int, want: int) -> NDArray[np.int64]:
    """Which of ``have`` members stand in ``want`` places (want,): evenly in their order, each used if they all fit."""
    return np.arange(want) * have // want


def with_forecast(observed: Array, past: Array, forecast: Array, params: WeatherParams) -> Array:
    """Members (``params.members``, d) of one extreme at one cell: observed, then forecast, then past years in sequence.

    ``observed`` (d,) and ``past`` (y, d) as in ``continue_season``; ``forecast`` (f, d), already moved to the cell, is
    NaN where it says nothing and reaches beyond the last observation. An observed day is never replaced. Forecast
    members are thinned evenly, or used in turn where there are fewer than places; every past year is used. After the
    forecast's last day a past year is shifted by its own member's departure from the past years' mean over the last
    ``anomaly_window_days`` known or forecast days, fading with ``anomaly_efold_days`` (assumption, as after the last
    observation).
    """
    places, n = params.members, len(forecast)
    ahead = forecast[evenly(n, places) if n >= places else np.arange(places) % n]
    years = evenly(len(past), places)
    end = _last_seen(ahead[0])
    unseen = np.isnan(observed)[None, :]
    window = slice(max(0, end + 1 - params.anomaly_window_days), end + 1)
    known = np.where(unseen, ahead, observed[None, :])[:, window] - past.mean(axis=0)[window]
    departure = np.nanmean(known, axis=1)
    beyond = np.arange(len(observed)) - end
    faded = past[years] + departure[:, None] * np.exp(-np.maximum(beyond, 0) / params.anomaly_efold_days)
    out = np.where(unseen & (beyond > 0), faded, continue_season(observed, past, params)[years])
    return np.where(unseen & ~np.isnan(ahead), ahead, out)


def without_past(observed: Array, params: WeatherParams, *, first_day_of_year: int = 60) -> Array:
    """Members (m, d) where no past year is given: this spring's own last weeks replayed on a steady spring warming.

    A stopgap with an assumed warming (0.18 °C a day until 20 June, day 171 of the year); its ranges are too narrow and
    callers say so.
    """
    seen = np.flatnonzero(~np.isnan(observed))
    days = np.arange(len(observed), dtype=np.float64)
    trend = np.minimum(days + first_day_of_year, 171.0) * params.spring_warming_c_per_day
    recent = seen[-min(len(seen), 30) :]
    level = float(np.mean(observed[recent] - trend[recent])) if len(recent) else 0.0
    residual = observed[recent] - trend[recent] - level if len(recent) else np.zeros(1)
    starts = (np.arange(params.members) * max(1, len(residual) // params.members)) % len(residual)
    replay = residual[(starts[:, None] + np.arange(len(observed))[None, :]) % len(residual)]
    return np.where(np.isnan(observed)[None, :], (trend + level)[None, :] + replay, observed[None, :])


def order_extremes(min_c: Array, max_c: Array) -> tuple[Array, Array]:
    """Keep every member's minimum at or below its maximum after both were shifted (crossed pairs meet half-way)."""
    middle = (min_c + max_c) / 2.0
    return np.minimum(min_c, middle), np.maximum(max_c, middle)


def _last_seen(observed: Array) -> int:
    seen = np.flatnonzero(~np.isnan(observed))
    return int(seen[-1]) if len(seen) else -1
