"""Values at forecast steps to local days: the highest, the lowest, or the sum."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
DAILY_HOURS = 23.0
"""Steps at least this far apart are days already, and named by the date they are written with."""
FEWEST_FOR_TOTAL = 4
_OVER_DAY: Mapping[str, Callable[[list[float]], float]] = {"max": max, "min": min, "rain": sum}


@dataclass(frozen=True)
class Steps:
    """The instants of a file's steps (UTC) and the season's time zone."""

    instants: tuple[datetime, ...]
    zone: ZoneInfo

    @cached_property
    def hours(self) -> float:
        """Hours from step to step: the commonest, 24 where there is only one."""
        gaps = [(b - a).total_seconds() / 3600.0 for a, b in zip(self.instants, self.instants[1:], strict=False)]
        return float(np.median(gaps)) if gaps else 24.0

    def days(self) -> list[date]:
        """The local day of each step. A rain or extreme over a step is of the day its middle falls on."""
        if self.hours >= DAILY_HOURS:
            return [one.date() for one in self.instants]
        return [(one - timedelta(hours=self.hours / 2)).astimezone(self.zone).date() for one in self.instants]


def daily(row: Array, steps: Steps, ours: str) -> dict[date, float | None]:
    """One member's values by local day; a day without all its steps is left out, a missing step makes it None.

    A day that the forecast only begins or ends in has too few steps to tell its extremes. A day of 23 hours, when
    clocks go forward, counts as whole.
    """
    found: dict[date, list[float]] = {}
    for day, value in zip(steps.days(), row, strict=True):
        found.setdefault(day, []).append(float(value))
    whole = max(int(DAILY_HOURS / steps.hours), 1)
    return {
        day: float(_OVER_DAY[ours](values)) if np.isfinite(values).all() else None
        for day, values in found.items()
        if len(values) >= whole
    }


def running_total(values: Array) -> bool:
    """Whether rain (member, step) never falls in any member although it rains: a total since the start."""
    if values.shape[1] < FEWEST_FOR_TOTAL:
        return False
    grown = np.diff(values, axis=1)
    return bool(np.nanmax(values, initial=0.0) > 0 and np.all(grown[np.isfinite(grown)] >= 0) and (grown > 0).any())
