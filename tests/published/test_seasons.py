"""Heat of real days: a Nebraska station in 2016 and the hours of a typical year at Greensboro.

The data and their licences are described in README.md beside this module.
"""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from numpy.typing import NDArray

from springwalk.engine.heat import CORN, NAMED, SINE, degree_days
from springwalk.units import DDF_PER_DDC, f_to_c
from tests.published.reading import rows

Array = NDArray[np.float64]


@pytest.fixture(scope="module")
def lincoln() -> tuple[list[date], Array, Array]:
    """Days, minima and maxima (°C) of Lincoln 11 SW in 2016; a missing extreme is NaN."""
    days = rows("lincoln_2016")
    low, high = (np.array([float(d[k] or "nan") for d in days]) for k in ("min_f", "max_f"))
    return [date.fromisoformat(d["date"]) for d in days], f_to_c(low), f_to_c(high)


@pytest.fixture(scope="module")
def greensboro() -> Array:
    """Hourly °C of April to June at Greensboro, axes (day, hour)."""
    return np.array([float(h["temp_c"]) for h in rows("greensboro_hourly")]).reshape(-1, 24)


def test_lincoln_corn_heat(lincoln: tuple[list[date], Array, Array]) -> None:
    """86/50 heat of a real Corn Belt spring, 20 April to 10 June with both days, is 682.5 °F·day."""
    days, low, high = lincoln
    span = slice(days.index(date(2016, 4, 20)), days.index(date(2016, 6, 10)) + 1)
    total = degree_days(low[span], high[span], CORN).sum() * DDF_PER_DDC
    assert total == pytest.approx(682.5, abs=0.05)


def test_lincoln_is_whole_but_for_one_day(lincoln: tuple[list[date], Array, Array]) -> None:
    """The one missing day must come out missing, not as no heat."""
    days, low, high = lincoln
    heat = degree_days(low, high, SINE)
    assert len(days) == 366
    assert days == [days[0] + timedelta(days=k) for k in range(366)]
    assert [str(d) for d, h in zip(days, heat, strict=True) if np.isnan(h)] == ["2016-06-17"]


@pytest.mark.parametrize(("method", "expected"), [("86/50", "11"), ("sine", "15"), ("average", "20")])
def test_lincoln_rule_date(lincoln: tuple[list[date], Array, Array], method: str, expected: str) -> None:
    """The date of 300 °F·day moves by nine days with the method; counted from the day after 10 April, ±1 day."""
    days, low, high = lincoln
    start = days.index(date(2016, 4, 10)) + 1
    total = np.cumsum(degree_days(low[start:], high[start:], NAMED[method])) * DDF_PER_DDC
    reached = days[start + int(np.argmax(total >= 300.0))]
    assert abs(reached - date(2016, 5, int(expected))) <= timedelta(days=1)


def test_greensboro_hours(greensboro: Array) -> None:
    """The referee: hours clipped to 10–30 °C, over 10, divided by 24, give 845.6 °C·day."""
    assert greensboro.shape == (91, 24)
    assert (np.clip(greensboro, 10.0, 30.0) - 10.0).sum() / 24.0 == pytest.approx(845.6, abs=0.05)


@pytest.mark.parametrize(("method", "expected"), [("sine", 855.9), ("86/50", 873.2)])
def test_greensboro_from_extremes(greensboro: Array, method: str, expected: float) -> None:
    """From the hours' daily extremes the sine stays within 2 % of the referee and the clipped average within 4 %.

    873.15 is printed as 873.2, so the tolerance is a half unit of its last place and no less.
    """
    total = degree_days(greensboro.min(axis=1), greensboro.max(axis=1), NAMED[method]).sum()
    assert total == pytest.approx(expected, abs=0.05 + 1e-9)
    assert abs(total / 845.6 - 1.0) < {"sine": 0.02, "86/50": 0.04}[method]
