"""passes.csv: what was sprayed, spread or hoed."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

from datetime import date, time

import pytest

HEADS = "field,date,pass,at,zone,planting,product,entry_hours,direction,untreated,person,note\n"


@pytest.fixture
def land(folder):
    """The folder with a zone and a planting."""
    folder.write("zones.csv", "field,zone,acres\nnorth,low,10\n")
    folder.write("plantings.csv", "field,planting\nnorth,east\n")
    return folder


def test_a_pass_with_all_its_parts(land):
    """The keep-out lock, the recheck and the strip each need a part of it."""
    row = "North,2016-05-18,Insecticide,2:30 pm,low,east,made-up 1,24 h,E-W,rows by the road,Wren,wind from the west\n"
    assert land.told("passes.csv", HEADS + row) == []
    (one,) = land.read()["passes.csv"].records
    assert (one.field, one.date, one.what, one.at) == ("north", date(2016, 5, 18), "insecticide", time(14, 30))
    assert (one.zone, one.planting, one.product) == ("north/low", "north/east", "made-up 1")
    assert (one.entry_hours, one.direction_deg, one.untreated) == (24.0, 90.0, "rows by the road")
    assert (one.person, one.note) == ("Wren", "wind from the west")


def test_blank_parts_are_not_told(land):
    """No entry interval typed is not one of zero hours."""
    assert land.told("passes.csv", "field,date,pass\nsouth,2016-05-18,rotary hoe\n") == []
    (one,) = land.read()["passes.csv"].records
    assert (one.at, one.entry_hours, one.direction_deg, one.zone, one.planting) == (None,) * 5


@pytest.mark.parametrize(
    ("word", "ours"),
    [
        ("spray", "insecticide"), ("burndown", "herbicide"), ("NH3", "anhydrous"), ("slurry", "manure"),
        ("hoed", "rotary hoe"), ("starter", "fertilizer"),
    ],
)  # fmt: skip
def test_words_that_plainly_mean_a_pass(land, word, ours):
    """What was made of a word is said, as a spray could be another."""
    assert land.told("passes.csv", f"field,date,pass\nnorth,2016-05-18,{word}\n") == [
        f"note passes.csv, row 2, column pass = {word}: read as {ours!r}; nothing, or say what it means under [values.passes] in season.toml."
    ]
    assert land.read()["passes.csv"].records[0].what == ours


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("north,2016-05-18,insectiside", "column pass = insectiside: not on the list; did you mean 'insecticide'? (One of: insecticide, herbicide, "
         "fungicide, manure, anhydrous, fertilizer, rotary hoe, other); or say what your word means under [values.passes] in season.toml."),
        ("north,2016-07-01,other", "column date = 2016-07-01: after today (2016-06-30); write the day it was seen."),
        ("north,2016-05-18,other,2", "column at = 2: not a time of day; write it like 14:30 or 2:30 pm."),
        ("north,2016-05-18,other,,lwo", "column zone = lwo: field 'north' has no such zone; did you mean 'low'? Correct it, or add it to zones.csv."),
        ("north,2016-05-18,other,,,,,soon", "column entry_hours = soon: not a number of hours; write it like 24, 24 h or 2 days."),
        ("north,2016-05-18,other,,,,,,up", "column direction = up: not a direction; write degrees (90), or N, NE, E, SE, S, SW, W, NW, or N-S, E-W."),
        ("nort,2016-05-18,other", "column field = nort: no field has this id or name; did you mean 'north'? Correct it, or add its outline to fields.geojson."),
        ("north,2016-05-18,", "column pass = (blank): is needed; fill it in."),
    ],
)  # fmt: skip
def test_fault_texts(land, row, told):
    """Each refusal says what is wrong and what to do."""
    assert land.told("passes.csv", HEADS + row + "\n") == [f"refused passes.csv, row 2, {told}"]


def test_one_pass_told_twice_differently_is_refused(land):
    """Two entry intervals for one treatment: neither may be taken for the right one."""
    rows = "north,2016-05-18,insecticide,,,,,24\nnorth,2016-05-18,insecticide,,,,,48\n"
    todo = "keep the right one, delete the other."
    assert land.told("passes.csv", HEADS + rows) == [
        f"refused passes.csv, row {row}, column pass = insecticide: told twice with different values (also in row {other}); {todo}"
        for row, other in ((2, 3), (3, 2))
    ]


def test_an_applicators_own_headings_are_read_and_noted(land):
    """A spray log has its own words for the entry interval and the time."""
    (told,) = land.told(
        "passes.csv", "Field,Date,Operation,Time ended,REI,Who\nnorth,2016-05-18,insecticide,9:00,24,Wren\n"
    )
    for read in ("Operation = pass", "Time ended = at", "REI = entry_hours", "Who = person"):
        assert read in told
    (one,) = land.read()["passes.csv"].records
    assert (one.at, one.entry_hours, one.person) == (time(9), 24.0, "Wren")
