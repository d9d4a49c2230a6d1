"""Cells of what was done: times of day, hours, headings, rain, how often."""

# ruff: noqa: E501

from __future__ import annotations

from collections.abc import Callable
from datetime import time

import pytest

from springwalk.intake import work_cells as cells
from springwalk.intake.cells import UnreadableError

GOOD = [
    (cells.clock, "14:30", time(14, 30)), (cells.clock, "2:30 pm", time(14, 30)), (cells.clock, "2:30PM", time(14, 30)),
    (cells.clock, "2 pm", time(14)), (cells.clock, "12 am", time(0)), (cells.clock, "12:15 p.m.", time(12, 15)),
    (cells.clock, "1430", time(14, 30)), (cells.clock, "06:05:00", time(6, 5)), (cells.clock, "0905 hrs", time(9, 5)),
    (cells.entry_hours, "24", 24.0), (cells.entry_hours, "24 h", 24.0), (cells.entry_hours, "2 days", 48.0),
    (cells.entry_hours, "2d", 48.0), (cells.entry_hours, "12 hrs", 12.0), (cells.entry_hours, "48-hour", 48.0),
    (cells.heading, "90", 90.0), (cells.heading, "360", 0.0), (cells.heading, "45°", 45.0), (cells.heading, "ne", 45.0),
    (cells.heading, "E-W", 90.0), (cells.heading, "north/south", 0.0), (cells.heading, "North East", 45.0),
    (cells.heading, "north-east", 45.0), (cells.heading, "WNW", 292.5), (cells.heading, "SE-NW", 135.0),
    (cells.rain_mm, "1.3", 33.02), (cells.rain_mm, "1.3in", 33.02), (cells.rain_mm, "33 mm", 33.0),
    (cells.rain_mm, "3.3 cm", 33.0), (cells.rain_mm, '1.3"', 33.02), (cells.rain_mm, "1.3 in.", 33.02),
    (cells.rain_mm, "1.3 inches", 33.02), (cells.rain_mm, "T", 0.0), (cells.rain_mm, "0", 0.0),
    (cells.length_mm, "12", 12.0), (cells.length_mm, "0.5in", 12.7),
    (cells.every_days, "7", 7), (cells.every_days, "7 days", 7), (cells.every_days, "weekly", 7),
    (cells.every_days, "every 10 days", 10), (cells.every_days, "2 weeks", 14), (cells.every_days, "Every other day", 2),
]  # fmt: skip
BAD = [
    (cells.clock, "2", "not a time of day; write it like 14:30 or 2:30 pm"),
    (cells.clock, "25:00", "not a time of day; write it like 14:30 or 2:30 pm"),
    (cells.clock, "13:00 pm", "not a time of day; write it like 14:30 or 2:30 pm"),
    (cells.clock, "9:61", "not a time of day; write it like 14:30 or 2:30 pm"),
    (cells.entry_hours, "a day", "not a number of hours; write it like 24, 24 h or 2 days"),
    (cells.entry_hours, "100 days", "above 2160; write a number from 0 to 2160"),
    (cells.hours, "-3", "not a number of hours; write it like 24, 24 h or 2 days"),
    (cells.heading, "361", "not a direction; write degrees (90), or N, NE, E, SE, S, SW, W, NW, or N-S, E-W"),
    (cells.heading, "N-NE", "not a direction; write degrees (90), or N, NE, E, SE, S, SW, W, NW, or N-S, E-W"),
    (cells.heading, "uphill", "not a direction; write degrees (90), or N, NE, E, SE, S, SW, W, NW, or N-S, E-W"),
    (cells.rain_mm, "33", "above 20 in. (500 mm) in a day; if it is mm, write mm behind it: 33 mm"),
    (cells.rain_mm, "-1", "below zero; write how much rain fell, such as 1.3 (inches) or 33 mm"),
    (cells.rain_mm, "lots", "not a number with a unit of this kind; write it like 12in (units: m, cm, mm, in, ft; none means in)"),
    (cells.length_mm, "0", "not above 0 and at most 80 mm; write the length in mm, such as 12"),
    (cells.every_days, "now and then", "not a number of days; write it like 7, 7 days or weekly"),
    (cells.every_days, "0", "below 1; write a number from 1 to 60"),
    (cells.every_days, "61", "above 60; write a number from 1 to 60"),
]  # fmt: skip


@pytest.mark.parametrize(("reader", "text", "value"), GOOD)
def test_what_people_write_is_read(reader: Callable[[str], object], text: str, value: object) -> None:
    """A time, an interval or a rain is written in many ways that mean one thing."""
    assert reader(text) == (pytest.approx(value) if isinstance(value, float) else value)


@pytest.mark.parametrize(("reader", "text", "told"), BAD)
def test_what_could_be_two_things_is_refused(reader: Callable[[str], object], text: str, told: str) -> None:
    """A guess at an entry interval or a time of day could send a person into a treated field."""
    with pytest.raises(UnreadableError) as error:
        reader(text)
    assert str(error.value) == told


@pytest.mark.parametrize(("text", "dash"), [("-", True), (" – ", True), ("---", True), ("", False), ("-1", False)])
def test_a_drawn_dash_is_told_from_a_number(text: str, dash: bool) -> None:
    """People draw a dash where there is nothing; -1 is a slip and must stay one."""
    assert cells.is_dash(text) is dash


def test_millimetres_keep_their_last_digit() -> None:
    """By way of metres 125.375 mm would come back changed: what is written in mm is taken as it is."""
    assert cells.rain_mm("125.375mm") == 125.375
    assert cells.length_mm("11.3") == 11.3
    assert cells.length_mm("11.3 mm") == 11.3
