"""Heat from the real 2016 days; invented past years and invented rain."""

from __future__ import annotations

import csv
import math
from datetime import date, timedelta

import numpy as np

from example_parts.draws import Draws
from example_parts.files import REAL_2016, csv_text

ONE_DAY = timedelta(days=1)
FIRST, LAST = (3, 1), (7, 31)  # the part of the year that is written for past years and rain
PAST_YEARS = range(1986, 2016)
DAILY_MEMORY = 0.65  # share of a day's departure that is left the next day
YEAR_SD_F = 2.0
WET_AFTER_DRY, WET_AFTER_WET = 0.24, 0.45
RAIN_MEAN_IN = 0.34  # on a wet day
WET_RANGE_LOSS_F = 7.0


def real_days() -> dict[date, tuple[int, int]]:
    """Maximum and minimum °F of the real 2016 days; a day without both is not in it."""
    with REAL_2016.open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["TMAX"] and row["TMIN"]]
    return {date.fromisoformat(row["DATE"]): (int(row["TMAX"]), int(row["TMIN"])) for row in rows}


def gdd_8650(high_f: float, low_f: float) -> float:
    """Corn heat of one day, °F·day: both extremes held within 50 and 86 °F, their mean less 50."""
    return (min(max(high_f, 50.0), 86.0) + min(max(low_f, 50.0), 86.0)) / 2 - 50.0


def heat_between(days: dict[date, tuple[int, int]], planted: date, seen: date) -> float:
    """Corn heat from the day after planting up to and with the day seen, °F·day."""
    return sum(gdd_8650(*days[day]) for day in days if planted < day <= seen)


def span(year: int) -> list[date]:
    """The written days of one year, 1 March to 31 July."""
    first, last = date(year, *FIRST), date(year, *LAST)
    return [first + k * ONE_DAY for k in range((last - first).days + 1)]


def _harmonics(number: np.ndarray) -> np.ndarray:
    """The columns of a yearly curve with two harmonics, for days of the year."""
    turn = 2 * np.pi * number / 366
    return np.stack([np.ones_like(turn), np.cos(turn), np.sin(turn), np.cos(2 * turn), np.sin(2 * turn)], axis=1)


def _smoothed(number: np.ndarray, values: np.ndarray) -> np.ndarray:
    """The least-squares yearly curve through ``values`` on days ``number``, for days 1 to 366."""
    weights, *_ = np.linalg.lstsq(_harmonics(number), values, rcond=None)
    return np.asarray(_harmonics(np.arange(1, 367)) @ weights)


def normal_curves() -> tuple[dict[int, float], dict[int, float]]:
    """Mean temperature and daily range in °F by day of year.

    The mean is half 2016 smoothed (a warm year) and half a typical eastern Nebraska cycle
    (51.5 °F, ± 26.5, warmest on day 200: from memory). The range is 2016 smoothed.
    """
    days = real_days()
    number = np.array([day.timetuple().tm_yday for day in days])
    high, low = np.array(list(days.values()), dtype=float).T
    every = np.arange(1, 367)
    typical = 51.5 + 26.5 * np.cos(2 * np.pi * (every - 200) / 366)
    mean = 0.5 * _smoothed(number, (high + low) / 2) + 0.5 * typical
    wide = _smoothed(number, high - low)
    # one decimal, so that a last-bit difference between machines can't reach a written value
    return (
        {int(n): round(float(m), 1) for n, m in zip(every, mean, strict=True)},
        {int(n): round(float(w), 1) for n, w in zip(every, wide, strict=True)},
    )


def _day_sd_f(number: int) -> float:
    """Spread of a day's mean about its curve, °F: 9 in early spring, 5.5 in high summer."""
    return 7.25 + 1.75 * math.cos(2 * math.pi * (number - 80) / 240)


def past_years(seed: int) -> str:
    """CSV of invented days, 1 March to 31 July, 1986–2015: whole °F and rain in inches."""
    draws, (mean, wide) = Draws(seed), normal_curves()
    rows: list[tuple[object, ...]] = []
    for year in PAST_YEARS:
        year_shift, departure, wet = YEAR_SD_F * draws.normal(), draws.normal(), False
        for day in span(year):
            number = day.timetuple().tm_yday
            departure = DAILY_MEMORY * departure + math.sqrt(1 - DAILY_MEMORY**2) * draws.normal()
            wet, rain = _rain_day(draws, wet, 1.0)
            middle = mean[number] + year_shift + _day_sd_f(number) * departure
            width = max(6.0, wide[number] + 7.0 * draws.normal() + (-WET_RANGE_LOSS_F if wet else 2.0))
            rows.append((day, round(middle + width / 2), round(middle - width / 2), f"{rain:.2f}"))
    return csv_text(("day", "invented_max_f", "invented_min_f", "invented_rain_in"), rows)


def _rain_day(draws: Draws, wet_before: bool, factor: float) -> tuple[bool, float]:
    """Whether one day is wet, and its rain in inches (at least 0.01 on a wet day)."""
    wet = draws.uniform() < factor * (WET_AFTER_WET if wet_before else WET_AFTER_DRY)
    amount = draws.half_gamma(RAIN_MEAN_IN)
    return wet, max(0.01, amount) if wet else 0.0


def rain_2016(seed: int) -> str:
    """CSV of invented rain in inches for 2016, likelier on real days with a narrow temperature range."""
    draws, days, wet = Draws(seed), real_days(), False
    rows: list[tuple[object, ...]] = []
    for day in span(2016):
        high, low = days.get(day, (70, 50))
        wet, rain = _rain_day(draws, wet, 1.7 if high - low < 14 else 0.6 if high - low > 26 else 1.0)
        rows.append((day, f"{rain:.2f}"))
    return csv_text(("day", "invented_rain_in"), rows)
