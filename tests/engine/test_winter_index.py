"""The winter index: its sum, its bounds and its refusals."""

from __future__ import annotations

import math
import re

import pytest

from springwalk.engine.winter_index import class_of, winter_sum_f
from springwalk.errors import BadValue

OHIO = (90.0, 95.0, 100.0)


def test_sum_is_of_fahrenheit_means() -> None:
    """Three months at the freezing point are 96 °F in sum, and each °C above adds 1.8."""
    assert winter_sum_f(0.0, 0.0, 0.0) == pytest.approx(96.0)
    assert winter_sum_f(1.0, -4.0, 2.0) == pytest.approx(96.0 - 1.8)


def test_missing_month_gives_no_sum() -> None:
    """A missing month may not pass for one at 0."""
    assert math.isnan(winter_sum_f(1.0, math.nan, 2.0))


@pytest.mark.parametrize(
    ("sum_f", "expected"),
    [(89.9, 0), (90.0, 1), (94.4, 1), (94.999, 1), (95.0, 2), (100.0, 2), (100.1, 3), (113.0, 3)],
)
def test_class_at_its_bounds(sum_f: float, expected: int) -> None:
    """A class begins at its lower break; only the top class is printed as "over" and leaves its break below."""
    assert class_of(sum_f, OHIO) == expected


def test_one_break_parts_two_classes() -> None:
    """A scheme with a single break has an upper class that begins above it."""
    assert [class_of(s, [90.0]) for s in (89.0, 90.0, 90.1)] == [0, 0, 1]


@pytest.mark.parametrize(
    ("sum_f", "breaks", "told"),
    [
        (92.0, [95.0, 90.0], "breaks = [95.0, 90.0]: must ascend and hold at least one; give them as 90, 95, 100."),
        (92.0, [], "breaks = []: must ascend and hold at least one; give them as 90, 95, 100."),
        (math.nan, OHIO, "winter sum = nan °F: a month is missing; give all three monthly means."),
    ],
)
def test_refusal_says_what_to_do(sum_f: float, breaks: list[float], told: str) -> None:
    """A class from a missing month or muddled breaks would look like an answer."""
    with pytest.raises(BadValue, match=f"^{re.escape(told)}$"):
        class_of(sum_f, breaks)
