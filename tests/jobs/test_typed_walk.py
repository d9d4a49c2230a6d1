"""Stops, marked rows and larvae as people type them: the usual ways are read, anything else is one line of words."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, strategies as st

from springwalk.errors import BadValue
from springwalk.jobs import typed_walk
from springwalk.records.walks import Stop


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("", []), ("12", [12.0]), ("12 15 18", [12.0, 15.0, 18.0]), ("12 15 18 mm", [12.0, 15.0, 18.0]),
        ("12mm, 1.5cm; 0.5in", [12.0, 15.0, 12.7]), ("1/2in", [12.7]), ("1/2 in 5/8in", [12.7, 15.875]),
        ('1/2"', [12.7]), ("1 1/4in", [31.75]), ("1-1/2in", [38.1]), ("20 1/2in", [20.0, 12.7]), ("0.5", [0.5]),
    ],
)  # fmt: skip
def test_lengths_are_read_as_they_are_spoken(text: str, mm: list[float]) -> None:
    """Bare numbers are mm, parts of an inch come with their unit, and several stand in one line."""
    assert [x.length_mm for x in typed_walk.larvae(text)] == mm


def test_instars_stand_among_lengths() -> None:
    """Where the head was read, the instar is told in the same box."""
    found = typed_walk.larvae("instar 5 12mm instar 6")
    assert [(x.instar, x.length_mm) for x in found] == [(5, None), (None, 12.0), (6, None)]


@pytest.mark.parametrize(
    ("read", "text", "told"),
    [
        (typed_walk.larvae, "12 1/2", "larva = 1/2: a part of what is not told; write lengths like '12 15 18' (mm) or"),
        (typed_walk.larvae, "1/0in", "larva = 1/0in: a part of what is not told;"),
        (typed_walk.larvae, "big", "larva = big: not a number with a unit; write lengths like '12 15 18' (mm) or"),
        (typed_walk.larvae, "0", "larva = 0: not a larva's length (above 0, at most 80 mm);"),
        (typed_walk.larvae, "instar 12", "larva = instar 12: not an instar; write it like 'instar 5', or a length"),
        (typed_walk.row, "A", "row = A: no name and count of a marked row; write it like 'A: 20 places: 2 fresh',"),
        (typed_walk.row, ": 20 places", "row = : 20 places: no name and count of a marked row;"),
        (typed_walk.row, "A\x07: 20 places", "row = A\\x07: 20 places: holds a character that can't be printed"),
        (typed_walk.stop, "3000 places", "stop = 3000 places: a stop has 1 to 2000 places; count the places"),
        (lambda text: typed_walk.count(text, most=40), "41", "count = 41: above 40; write a number from 0 to 40."),
        (lambda text: typed_walk.count(text, most=40), "2.5", "count = 2.5: not a whole number; write a count"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_says_how_to_write_it(read: Callable[[str], Any], text: str, told: str) -> None:
    """A slip is answered with the form that is read."""
    with pytest.raises(BadValue) as error:
        read(text)
    assert told in str(error.value)


def test_a_row_is_a_stop_with_a_name() -> None:
    """With or without the word row, with or without a zone; the name is kept as it was written."""
    plain = Stop(places=20, marked_row="Flag 2", fresh_cut_at=2)
    assert typed_walk.row("Flag  2: 20 places: 2 fresh") == plain
    assert typed_walk.row("row Flag 2: low: 20 places: 2 fresh") == plain.model_copy(update={"part": "low"})
    assert typed_walk.stop("low: 20 places", counted=False) == Stop(places=20, part="low", counted=False)


def test_more_plants_than_places_is_no_slip_of_the_typing() -> None:
    """It is kept as it was told, and asked about."""
    assert typed_walk.stop("5 places: 6 leaf-fed").leaf_fed == 6


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused_in_one_line(text: str) -> None:
    """Whatever is typed or pasted, the answer is a value or one printable line; never a fault of ours."""
    told = []
    for read in (typed_walk.larvae, typed_walk.larva, typed_walk.row, typed_walk.stop, typed_walk.collars,
                 typed_walk.row_name, lambda one: typed_walk.count(one, most=9)):  # fmt: skip
        try:
            read(text)
        except BadValue as error:
            told.append(str(error))
    assert [line for line in told if not line.isprintable()] == []


@given(st.from_regex(r"(?:[0-9./ ]{1,12}(?:in|mm|cm|\"|ft)?[ ,;]?){1,4}", fullmatch=True))
def test_any_lengths_are_larvae_or_one_line(text: str) -> None:
    """What looks like lengths gives lengths a record can hold, or a line that says what is wrong."""
    try:
        found = typed_walk.larvae(text)
    except BadValue:
        return  # its line is tested above
    assert all(larva.length_mm is not None and 0 < larva.length_mm <= 80 for larva in found)
