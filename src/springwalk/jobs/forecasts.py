"""Forecasts of a station on the days of the season: which one counts this morning, and what it is called."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from springwalk.jobs.results import Reason
from springwalk.records import Forecast, Station
from springwalk.records.weather import Series

Array = NDArray[np.float64]

OLDEST_DAYS = 3
"""A forecast issued longer ago than this is not used (assumption): past years know the days ahead about as well."""
MOST_C = 60.0
"""Air is never further from 0 °C than this: such a value is a misprint (the bound of intake)."""
MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
          "November", "December")  # fmt: skip


@dataclass(frozen=True)
class Ahead:
    """The forecast of station ``station`` (its place in the list): extremes (member, day) in °C, NaN = not forecast.

    ``end`` is the last day index it reaches.
    """

    station: int
    min_c: Array
    max_c: Array
    end: int


def ahead_of(
    forecasts: Sequence[Forecast], stations: Sequence[Station], days: Sequence[date], *, today: date
) -> tuple[dict[int, Ahead], tuple[Reason, ...]]:
    """The newest usable forecast of each station (by its place in ``stations``) on ``days``, and what to say of others.

    Usable: issued on ``today`` or up to three days before, with a whole member that reaches ``today`` or later.
    """
    found: dict[int, Ahead] = {}
    notes: list[Reason] = []
    for k, station in enumerate(stations):
        mine = sorted((f for f in forecasts if f.station == station.id and f.issued <= today), key=lambda f: f.issued)
        fresh = [f for f in mine if (today - f.issued).days <= OLDEST_DAYS]
        usable = [one for one in (_placed(f, k, days, today) for f in reversed(fresh)) if one]
        if usable:
            found[k] = usable[0]
        elif mine:
            facts = {"station": station.name or station.id, "date": mine[-1].issued}
            notes.append(Reason(code="forecast_unused", facts=facts))
    return found, tuple(notes)


def _placed(forecast: Forecast, station: int, days: Sequence[date], today: date) -> Ahead | None:
    """A forecast laid on the season's days; members that miss one of its days are left out."""
    low, high = _grid(forecast.min_c), _grid(forecast.max_c)
    if low.shape != high.shape:
        return None
    told = ~np.isnan(low + high)
    reach = told.cumprod(axis=1).sum(axis=1)
    longest = int(reach.max(initial=0))
    whole = reach == longest
    first = (forecast.first - days[0]).days
    begin, stop = max(first, 0), min(first + longest, len(days))
    if longest == 0 or stop <= begin or stop - 1 < (today - days[0]).days:
        return None
    out = []
    for values in (low, high):
        laid = np.full((int(whole.sum()), len(days)), np.nan)
        laid[:, begin:stop] = values[whole, begin - first : stop - first]
        out.append(laid)
    return Ahead(station, out[0], out[1], stop - 1)


def _grid(series: Series) -> Array:
    """Members × days as an array, short rows ending in NaN; what no air can be is NaN too."""
    out = np.full((len(series), max((len(row) for row in series), default=0)), np.nan)
    for m, row in enumerate(series):
        out[m, : len(row)] = [np.nan if value is None else value for value in row]
    return np.where(np.abs(out) <= MOST_C, out, np.nan)


def ahead_of_cell(aheads: Mapping[int, Ahead], weights: Array) -> Ahead | None:
    """The forecast that stands for a cell: of the stations with weight there (station,), the one with most."""
    told = [(float(weights[k]), -k) for k in aheads if weights[k] > 0]
    return aheads[-max(told)[1]] if told else None


def reaches(told: Sequence[Ahead | None], days: Sequence[date]) -> date | None:
    """The last day that every forecast in use reaches; None where there is none."""
    ends = [ahead.end for ahead in told if ahead]
    return days[min(ends)] if ends else None


def ahead_words(told: Sequence[Ahead | None], days: Sequence[date], after: str) -> str:
    """Where the days ahead come from, ``told`` for each place: "51 forecast members to 3 May, then 30 past years"."""
    used = [ahead for ahead in told if ahead]
    end = reaches(told, days)
    if end is None:
        return after
    counts = sorted({len(ahead.min_c) for ahead in used})
    if counts == [1]:
        what = "one forecast without a range of its own"
    elif len(counts) == 1:
        what = f"{counts[0]} forecast members"
    else:
        what = f"{counts[0]}–{counts[-1]} forecast members"
    where = "" if len(used) == len(told) else f" for {len(used)} of {len(told)} fields"
    return f"{what} to {end.day} {MONTHS[end.month - 1]}{where}, then {after}"
