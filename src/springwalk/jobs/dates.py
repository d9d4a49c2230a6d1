"""Day indices of the engine to dates and ranges of results."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from springwalk.jobs.results import DateRange, LookState, Range


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


def whole_range(first: date, days: NDArray[np.float64]) -> DateRange:
    """An estimated date from its 10, 50 and 90 % whole day indices: the days during which something happens."""
    early, mid, late = (whole_day(first, float(d)) for d in days)
    return DateRange(early=early, mid=mid, late=late)


def look_state(today: date, opens: date, closes: date, lapses: date) -> LookState:
    """Where a window stands this morning; one of a single day is due on it and overdue after."""
    if today < opens:
        return "coming"
    if today > lapses:
        return "missed"
    if today > closes:
        return "overdue"
    return "last day" if today == closes and opens < closes else "due"


def range_of(values: NDArray[np.float64]) -> Range:
    """An estimate from its low, middle and high value."""
    low, mid, high = (float(v) for v in values)
    return Range(low=low, mid=mid, high=high)
