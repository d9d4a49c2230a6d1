"""How mild the winter was: the index of December to February means by which corn flea beetle is expected."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from springwalk.engine.winter_index import winter_sum_f
from springwalk.jobs.station_series import DayRow
from springwalk.records import Season
from springwalk.tables import rows

SCHEME = "Ohio"
LEAST_DAYS = 25
"""A month with fewer days of weather has no mean."""


def mild_winter(season: Season, days_of: Mapping[str, Sequence[DayRow]]) -> bool | None:
    """Whether the winter before a season was mild enough for corn flea beetle; None where weather of it is missing.

    ``days_of`` are station days (date text, min °C, max °C, rain mm). The mean over the stations that have all three
    months is held against the lowest break of the Ohio classes.
    """
    sums = [total for days in days_of.values() if not np.isnan(total := _sum_f(season.year, days))]
    if not sums:
        return None
    breaks = [float(row["low"]) for row in rows("flea_beetle_index") if row["scheme"] == SCHEME and row["low"]]
    return float(np.mean(sums)) >= min(breaks)


def _sum_f(year: int, days: Sequence[DayRow]) -> float:
    months = [_mean_c(days, f"{y}-{m:02d}-") for y, m in ((year - 1, 12), (year, 1), (year, 2))]
    return winter_sum_f(*months)


def _mean_c(days: Sequence[DayRow], month: str) -> float:
    found = [(low + high) / 2 for day, low, high, _ in days
             if day.startswith(month) and low is not None and high is not None]  # fmt: skip
    return float(np.mean(found)) if len(found) >= LEAST_DAYS else float("nan")
