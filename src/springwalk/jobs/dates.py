"""Day indices of the engine to dates and ranges of results."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from springwalk.jobs.results import DateRange, Range


def day_to_date(first: date, day: float) -> date | None:
    """The date of a day with a fraction: the midnight nearest to it; None for infinite (not within the season).

    Heat is gained by day and larvae cut by night, so 21.8 May is the night that ends on 22 May.
    """
    if not np.isfinite(day):
        return None
    return first + timedelta(days=int(np.floor(day + 0.5)))


def date_range(first: date, days: NDArray[np.float64]) -> DateRange:
    """An estimated date from its 10, 50 and 90 % day indices."""
    early, mid, late = (day_to_date(first, float(d)) for d in days)
    return DateRange(early=early, mid=mid, late=late)


def whole_day(first: date, day: float) -> date | None:
    """The date of a whole day index; None for infinite."""
    return first + timedelta(days=int(day)) if np.isfinite(day) else None


def range_of(values: NDArray[np.float64]) -> Range:
    """An estimate from its low, middle and high value."""
    low, mid, high = (float(v) for v in values)
    return Range(low=low, mid=mid, high=high)
