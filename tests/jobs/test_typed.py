from __future__ import annotations

from collections.abc import Callable
from datetime import date, time
from typing import Any

import pytest
from hypothesis import given, strategies as st

from springwalk.errors import BadValue
from springwalk.jobs import typed
from springwalk.records import Pass

NO_RAIN = "not a number with a unit of this kind; write it like 12in (units: m, cm, mm, in, ft; none means in)."
NO_WAY = "not a direction; write degrees (90), or N, NE, E, SE, S, SW, W, NW, or N-S, E-W."


@pytest.mark.parametrize(
    ("read", "text", "value"),
    [
        (typed.hours, "6", 6.0), (typed.hours, " 6.5h ", 6.5), (typed.hours, "2d", 48.0), (typed.hours, "1 day", 24.0),
        (typed.hours, "", None), (typed.rain_mm, "1.3in", 33.02), (typed.rain_mm, "1.3", 33.02),
        (typed.rain_mm, "33mm", 33.0), (typed.rain_mm, "0", 0.0), (typed.clock, "14:30", time(14, 30)),
        (typed.clock, "2:30 pm", time(14, 30)), (typed.clock, "12:05am", time(0, 5)), (typed.clock, " ", None),
        (typed.heading, "ne", 45.0), (typed.heading, "360", 0.0), (typed.heading, "91.5", 91.5),
        (typed.hours, "24 hrs", 24.0), (typed.hours, "2160", 2160.0), (typed.rain_mm, "T", 0.0),
        (typed.rain_mm, "3.3 cm", 33.0), (typed.rain_mm, '1.3"', 33.02), (typed.clock, "1430", time(14, 30)),
        (typed.clock, "2 pm", time(14)), (typed.heading, "north east", 45.0), (typed.heading, "E-W", 90.0),
        (typed.heading, "", None), (typed.day, "2016-05-17", date(2016, 5, 17)), (typed.day, "", None),
    ],
)  # fmt: skip
def test_what_people_type_is_read(read: Callable[[str], Any], text: str, value: Any) -> None:
    """The usual ways to write an amount must not need a second try."""
    assert read(text) == (pytest.approx(value) if isinstance(value, float) else value)


@pytest.mark.parametrize(
    ("read", "text", "told"),
    [
        (typed.hours, "a while", "hours = a while: not a number of hours; write it like 24, 24 h or 2 days."),
        (typed.hours, "-3", "hours = -3: not a number of hours; write it like 24, 24 h or 2 days."),
        (typed.rain_mm, "lots", f"rain = lots: {NO_RAIN}"),
        (typed.rain_mm, "", f"rain = (blank): {NO_RAIN}"),
        (typed.rain_mm, "28F", f"rain = 28F: {NO_RAIN}"),
        (typed.rain_mm, "33", "rain = 33: above 20 in. (500 mm) in a day; if it is mm, write mm behind it: 33 mm."),
        (typed.rain_mm, "-1mm", "rain = -1mm: below zero; write how much rain fell, such as 1.3 (inches) or 33 mm."),
        (typed.rain_mm, "1e400", "rain = 1e400: not a number; write a plain number such as 12 or 4.5."),
        (typed.clock, "25:00", "at = 25:00: not a time of day; write it like 14:30 or 2:30 pm."),
        (typed.clock, "13:00pm", "at = 13:00pm: not a time of day; write it like 14:30 or 2:30 pm."),
        (typed.clock, "noon", "at = noon: not a time of day; write it like 14:30 or 2:30 pm."),
        (typed.heading, "up", f"direction = up: {NO_WAY}"),
        (typed.heading, "400", f"direction = 400: {NO_WAY}"),
        (typed.hours, "100d", "hours = 100d: above 2160; write a number from 0 to 2160."),
        (typed.clock, "9", "at = 9: not a time of day; write it like 14:30 or 2:30 pm."),
        (typed.day, "5/17/2016",
         "date = 5/17/2016: day and month can't be told apart in this form; write it like 2016-05-17."),
        (typed.day, "17 May", "date = 17 May: not a date; write it like 2016-05-17."),
        (typed.day, "2016-02-30", "date = 2016-02-30: no such day in the calendar; write it like 2016-05-17."),
    ],
)  # fmt: skip
def test_what_cannot_be_read_says_how_to_write_it(read: Callable[[str], Any], text: str, told: str) -> None:
    """A person in a hurry needs the form, not the name of a parser."""
    with pytest.raises(BadValue) as error:
        read(text)
    assert str(error.value) == told


def test_a_word_of_a_list_in_any_case_and_with_hyphens() -> None:
    """A phone's keyboard writes capitals, and a shell is easier without quotes."""
    assert typed.one_of("Water-Gone", ("hail", "water gone"), name="what") == "water gone"


def test_a_word_not_on_the_list_names_the_nearest_or_all() -> None:
    """A slip is mended by one word; another thing by the list."""
    with pytest.raises(BadValue) as near:
        typed.one_of("hial", ("hail", "wind"), name="what")
    assert str(near.value) == (
        "what = hial: not one of the words known here; did you mean 'hail'? (One of: hail, wind)."
    )
    with pytest.raises(BadValue) as none:
        typed.one_of("fire", ("hail", "ponding"), name="what")
    assert str(none.value) == "what = fire: not one of the words known here; write one of: hail, ponding."


def test_a_record_that_breaks_a_rule_is_said_in_the_error_form() -> None:
    """The last guard behind the readers must not show the insides of a library."""
    with pytest.raises(BadValue) as error:
        typed.made(Pass, field="f", date=date(2016, 5, 1), what="insecticide", entry_hours=5000.0)
    assert str(error.value) == ("entry_hours = 5000.0: input should be less than or equal to 2160; correct it.")


@given(st.text(max_size=300))
def test_any_text_is_read_or_refused_in_one_line(text: str) -> None:
    """Whatever is typed or pasted, the answer is a value or one printable line; never a fault of ours."""
    readers = (typed.hours, typed.rain_mm, typed.clock, typed.heading, typed.day)
    told = []
    for read in (*readers, lambda word: typed.one_of(word, ("hail", "wind"), name="what")):
        try:
            read(text)
        except BadValue as error:
            told.append(str(error))
    assert [line for line in told if not line.isprintable()] == []


@pytest.mark.parametrize(("told", "meant"), [("hailed", "hail"), ("up", "emerged"), ("Froze", "frost")])
def test_words_of_the_files_are_known_when_typed(told: str, meant: str) -> None:
    """What a table may say for a tap can be typed too."""
    assert typed.one_of(told, ("hail", "frost", "emerged"), name="what") == meant


@pytest.mark.parametrize("told", ["stinkbugs", "Stink-Bugs", "stink bug", "stinkbug"])
def test_a_pest_is_found_however_its_name_is_parted(told: str) -> None:
    """Blanks, hyphens and plurals are how people differ, not pests."""
    from springwalk.jobs.pest_tables import find

    assert find(told).name == "stink bug"
