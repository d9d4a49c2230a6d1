"""How mild the winter was."""

from __future__ import annotations

import pytest

from springwalk.jobs.winter import mild_winter
from springwalk.units import f_to_c
from tests.jobs.made import SEASON, DayRow


def winter(mean_f: float, *, left_out: str = "") -> list[DayRow]:
    """December to February with one mean on every day."""
    days = [f"2015-12-{d:02d}" for d in range(1, 32)] + [f"2016-01-{d:02d}" for d in range(1, 32)]
    days += [f"2016-02-{d:02d}" for d in range(1, 30)]
    mean_c = f_to_c(mean_f)
    return [(day, mean_c - 5, mean_c + 5, None) for day in days if not (left_out and day.startswith(left_out))]


@pytest.mark.parametrize(("mean_f", "mild"), [(29.9, False), (30.1, True), (33.4, True)])
def test_mild_from_a_sum_of_90(mean_f: float, mild: bool) -> None:
    """Ohio State's lowest class ends at a sum of 90 °F over the three months."""
    assert mild_winter(SEASON, {"L": winter(mean_f)}) is mild


def test_a_missing_month_says_nothing() -> None:
    """Two months can't stand for a winter; one station that has all three can."""
    assert mild_winter(SEASON, {"L": winter(33, left_out="2015-12")}) is None
    assert mild_winter(SEASON, {"L": winter(33, left_out="2015-12"), "M": winter(33)}) is True
    assert mild_winter(SEASON, {}) is None
