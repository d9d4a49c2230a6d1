from __future__ import annotations

import math
import re
from datetime import date, datetime

import numpy as np
import pytest

from springwalk.jobs.results import DateRange, Range
from springwalk.show import numbers as n


def _dates(early: date | None, mid: date | None, late: date | None) -> DateRange:
    return DateRange(early=early, mid=mid, late=late)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (Range(low=1.6, mid=2.1, high=3.0), "2.1 (1.6–3.0) per 100 plants"),
        (Range(low=0.0, mid=0.04, high=0.1), "0.04 (0.00–0.10) per 100 plants"),
        (Range(low=8.4, mid=12.2, high=19.6), "8 (12–20) per 100 plants".replace("8 (12", "12 (8")),
        (Range(low=0.0, mid=0.0, high=0.001), "under 0.01 per 100 plants"),
        (Range(low=0.0, mid=0.004, high=0.012), "under 0.02 per 100 plants"),
        (Range(low=3.0, mid=3.0, high=3.0), "3.0 per 100 plants"),
        (Range(low=0.0, mid=math.nan, high=1.0), "not known"),
    ],
)
def test_an_estimate_shows_value_range_and_unit(value: Range, text: str) -> None:
    """A number without its range and unit cannot be judged; decimals follow the top of the range."""
    assert n.per_100(value) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (_dates(date(2016, 5, 19), date(2016, 5, 22), date(2016, 5, 26)), "22 May (19–26)"),
        (_dates(date(2016, 5, 26), date(2016, 5, 30), date(2016, 6, 4)), "30 May (26 May–4 June)"),
        (_dates(date(2016, 5, 22), date(2016, 5, 22), date(2016, 5, 22)), "22 May"),
        (_dates(date(2016, 6, 1), date(2016, 6, 9), None), "9 June (1 June or later, perhaps not this season)"),
        (_dates(None, date(2016, 6, 9), None), "9 June"),
        (_dates(None, date(2016, 6, 9), date(2016, 6, 12)), "9 June (up to 12 June)"),
        (_dates(date(2016, 7, 1), None, None), "not this season (at the earliest 1 July)"),
        (_dates(None, None, None), "not this season"),
        (date(2016, 5, 22), "22 May"),
        (None, "not known"),
    ],
)
def test_an_estimated_date_shows_its_range(value: DateRange | date | None, text: str) -> None:
    """The month is said once where one month holds the range; an open end is said in words."""
    assert n.dates(value) == text


def test_units_are_us_customary_at_the_edge() -> None:
    """SI inside, degrees Fahrenheit and acres on a page (1 °C·day = 1.8 °F·day; 1 ha = 2.47105 acres)."""
    assert n.heat(100.0) == "180 °F·day"
    assert n.area(10.0) == "24.7 acres"
    assert n.area(100.0) == "247 acres"
    assert n.heat(None) == "not known"
    assert n.number(-1234.5, "°F", decimals=0) == "−1,234 °F"


def test_counts_read_as_words() -> None:
    """Small counts are words with their noun; large ones are digits."""
    assert [n.count(k, "field") for k in (0, 1, 5, 19)] == ["no fields", "one field", "five fields", "19 fields"]
    assert n.count(2, "larva", "larvae") == "two larvae"
    assert n.collars(1.0) == "1 leaf collar"
    assert [n.ago(k) for k in (0, 1, 3)] == ["today", "yesterday", "three days ago"]


def test_dates_and_spans_read_as_said() -> None:
    """A span names a shared month once."""
    assert n.weekday(date(2016, 5, 17)) == "Tuesday 17 May"
    assert n.full_day(date(2016, 5, 17)) == "17 May 2016"
    assert n.span(date(2016, 5, 3), date(2016, 5, 5)) == "3–5 May"
    assert n.span(date(2016, 5, 28), date(2016, 6, 3)) == "28 May–3 June"
    assert n.span(date(2016, 5, 3), date(2016, 5, 3)) == "3 May"


def test_rain_temperature_and_hours_are_in_the_trades_units() -> None:
    """Inches, degrees Fahrenheit and clock times, each with its range where it is an estimate."""
    assert n.rain(33.02) == "1.3 in."
    assert n.rain(5.08) == "0.20 in."
    assert n.rain(Range(low=2.54, mid=5.08, high=7.62)) == "0.20 (0.10–0.30) in."
    assert n.temperature(7.0) == "45 °F"
    assert n.temperature(Range(low=9.0, mid=10.0, high=12.0)) == "50 (48–54) °F"
    assert n.temperature(-20.0) == "−4 °F"
    assert n.percent(71.0) == "71 %"
    assert n.moment(datetime.fromisoformat("2016-05-08T06:05")) == "Sunday 8 May, 06:05"


def test_basis_goes_with_the_number() -> None:
    """A number remembers where it comes from, and an unknown basis is refused."""
    shown = n.per_100(Range(low=1, mid=2, high=3))
    assert shown.basis == "assumption"
    assert shown.with_basis() == "2.0 (1.0–3.0) per 100 plants (assumption)"
    with pytest.raises(ValueError, match=r"basis = hearsay: not a known basis; use one of: observed"):
        n.Shown("2", "hearsay")


@pytest.mark.parametrize(
    "bare",
    [
        3,
        2.5,
        True,
        np.float64(1.0),
        np.int64(4),
        date(2016, 5, 17),
        Range(low=0, mid=1, high=2),
        [1.5],
        {"a": 2.5},
        (1,),
    ],
)
def test_a_bare_number_or_date_cannot_be_printed(bare: object) -> None:
    """A template that prints a bare number fails and names the way out, whatever kind of number it is."""
    from springwalk.desk.render import environment

    with pytest.raises(TypeError, match=r"a bare number or date cannot be printed; use show\.numbers\."):
        environment().from_string("{{ value }}").render(value=bare)


def test_shown_text_is_printed_and_escaped() -> None:
    """Shown text passes the check and is still escaped, so a name cannot become markup."""
    from springwalk.desk.render import environment

    page = environment().from_string("{{ a }}|{{ b }}|{{ c }}")
    assert page.render(a=n.day(date(2016, 5, 17)), b=n.Shown("<b>"), c=None) == "17 May|&lt;b&gt;|"


def test_templates_make_no_text_of_numbers_themselves() -> None:
    """Joining, formatting and filters could slip a bare number past the check: templates hold none of them."""
    from pathlib import Path

    folder = Path(__file__).parents[2] / "src" / "springwalk" / "desk" / "templates"
    found = [
        f"{path.name}: {printed}"
        for path in sorted(folder.glob("*.html"))
        for printed in re.findall(r"\{\{(.*?)\}\}", path.read_text(encoding="utf-8"))
        if re.search(r"[~|%+*/]", printed)
    ]
    assert found == []


def test_an_interval_is_never_rounded() -> None:
    """People wait by it: 12.5 hours must not read as 12."""
    assert [str(n.hours(h)) for h in (24.0, 1.0, 12.5, 36.25)] == ["24 hours", "1 hour", "12.5 hours", "36.25 hours"]
