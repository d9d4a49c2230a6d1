"""Traps and catches."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

import pytest

from springwalk.intake import Known

TRAPS = "trap,kind,latitude,longitude\nmill,wing,40.7,-96.85\nyard,cone,40.71,-96.86\n"
HEADS = "trap,since,read,moths\n"


@pytest.fixture
def traps(folder):
    """The folder with two traps."""
    folder.write("traps.csv", TRAPS)
    return folder


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("mil,2016-04-10,2016-04-11,3", "column trap = mil: no trap has this id; did you mean 'mill'? Correct it, or add it to traps.csv, or give its kind, latitude and longitude in columns here."),
        ("far,2016-04-10,2016-04-11,3", "column trap = far: no trap has this id; add it to traps.csv, or give its kind, latitude and longitude in columns here (there are: mill, yard)."),
        ("mill,2016-04-11,2016-04-11,3", "column read = 2016-04-11: not after since (2016-04-11); read is the morning "
         "after the last night; correct one of the two."),
        ("mill,2016-06-29,2016-07-01,3", "column read = 2016-07-01: after today (2016-06-30); write the day it was seen."),
        ("mill,2015-04-10,2016-04-11,3", "column since = 2015-04-10: outside the season 2016 (2015-07-01 to 2016-12-31); correct the date, or "
         "take it in with its own season."),
        ("mill,2016-04-10,2016-04-11,-3", "column moths = -3: below zero; write a number from 0 to 100000."),
        ("mill,2016-04-10,2016-04-11,2.5", "column moths = 2.5: not a whole number; write a count such as 3."),
        ("mill,2016-04-10,2016-04-11,many", "column moths = many: not a number; write a plain number such as 12 or 4.5."),
        ("mill,2016-04-10,2016-04-11,", "column moths = (blank): is needed; fill it in."),
        ('mill,2016-04-10,2016-04-11,"1,200"', "column moths = 1,200: a number can't hold a thousands comma; write 1200."),
        ("mill,2016-04-10,4/30/2016,3", "column read = 4/30/2016: day and month can't be told apart in this form; write it like "
         '2016-04-30, or give date_format = "%m/%d/%Y" in season.toml if month comes first.'),
    ],
)  # fmt: skip
def test_fault_texts_of_catches(traps, row, expected):
    """A catch that can't be so is left out, and the one after it kept."""
    told = traps.told("catches.csv", HEADS + row + "\nyard,2016-04-10,2016-04-12,4\n")
    assert told == ["refused catches.csv, row 2, " + expected]
    assert [catch.moths for catch in traps.read()["catches.csv"].records] == [4]


def test_catch_over_six_nights_is_kept_and_noted(traps):
    """A weekly reading is worth having, but it is no two-night total."""
    told = traps.told("catches.csv", HEADS + "mill,2016-04-10,2016-04-16,14\nmill,2016-04-16,2016-04-18,9\n")
    assert told == [
        "note catches.csv, row 2, column moths = 14 moths: a catch over 6 nights is kept, but it can't be read as a "
        "two-night total; read the trap daily in the flight."
    ]
    assert [len(catch.nights) for catch in traps.read()["catches.csv"].records] == [6, 2]


def test_overlapping_catches_of_one_trap_are_refused(traps):
    """A night counted twice would double its moths; another trap's nights are its own."""
    rows = "mill,2016-04-10,2016-04-12,3\nmill,2016-04-11,2016-04-13,4\nyard,2016-04-10,2016-04-12,1\nmill,2016-04-13,2016-04-14,5\n"
    assert traps.told("catches.csv", HEADS + rows) == [
        "refused catches.csv, row 2, column since = 2016-04-10 to 2016-04-12: shares nights with row 3 of the same trap; "
        "correct the dates, so that each night is counted once.",
        "refused catches.csv, row 3, column since = 2016-04-11 to 2016-04-13: shares nights with row 2 of the same trap; "
        "correct the dates, so that each night is counted once.",
    ]
    assert [catch.moths for catch in traps.read()["catches.csv"].records] == [1, 5]


def test_every_reading_under_a_long_one_is_refused(traps):
    """A long reading overlaps all it spans, also those that do not touch each other."""
    rows = "mill,2016-04-01,2016-04-20,9\nmill,2016-04-02,2016-04-03,1\nmill,2016-04-10,2016-04-11,2\n"
    told = traps.told("catches.csv", HEADS + rows)
    assert [line.split(",")[1] for line in told] == [" row 2", " row 3", " row 4"]
    assert traps.read()["catches.csv"].records == ()


def test_same_catch_twice_is_noted_and_another_number_refused(traps):
    """Two lines for one reading are a copy, or a question."""
    same = "mill,2016-04-10,2016-04-12,3\n"
    assert traps.told("catches.csv", HEADS + same + same) == [
        "note catches.csv, row 3, column trap = mill: told twice, with the same values; delete one of the two."
    ]
    told = traps.told("catches.csv", HEADS + same + "mill,2016-04-10,2016-04-12,4\n")
    assert [line.split(",")[1] for line in told] == [" row 2", " row 3"]
    assert "told twice with different values (also in row 3)" in told[0]


def test_traps_of_the_store_resolve(folder):
    """A folder with only new catches is the usual morning."""
    folder.write("catches.csv", HEADS + "old,2016-04-10,2016-04-12,3\n")
    assert folder.read(known=Known(traps=frozenset({"old"})))["catches.csv"].faults == ()


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("t,wings,40.7,-96.85", "refused traps.csv, row 2, column kind = wings: not on the list; did you mean 'wing'? "
         "(One of: wing, bucket, cone, other); or say what your word means under [values.trap_kind] in season.toml."),
        ("t,wing,140.7,-96.85", "refused traps.csv, row 2, column latitude = 140.7: above 90; write a number from -90 to 90."),
        ("t,wing,40.7,96.85", "suspected traps.csv, row 2, column longitude = 96.85 °: 10881 km from every field and station; "
         "the trap is kept; check latitude and longitude (west is minus)."),
    ],
)  # fmt: skip
def test_fault_texts_of_traps(folder, row, expected):
    """A trap needs its kind and its place."""
    assert folder.told("traps.csv", "trap,kind,latitude,longitude\n" + row + "\n") == [expected]


def test_catch_of_a_refused_trap_points_there(folder):
    """The cause is the trap's row."""
    folder.write("traps.csv", "trap,kind,latitude,longitude\nmill,wing,north,-96.85\n")
    assert folder.told("catches.csv", HEADS + "mill,2016-04-10,2016-04-12,3\n") == [
        "refused catches.csv, row 2, column trap = mill: this trap's row in traps.csv was left out; mend that row first."
    ]
