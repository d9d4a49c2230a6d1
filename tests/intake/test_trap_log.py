"""Catches without ``since``, and a combined log of traps and catches."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

import pytest

from springwalk.records import Catch, Trap

HEADS = "trap,read,moths\n"
LOG = "trap,kind,latitude,longitude,read,moths\n"


@pytest.fixture
def traps(folder):
    """The folder with two traps."""
    folder.write("traps.csv", "trap,kind,latitude,longitude\nmill,wing,40.7,-96.85\nyard,cone,40.71,-96.86\n")
    return folder


def catches(folder) -> list[tuple[str, str, str, int]]:  # type: ignore[no-untyped-def]
    """What was caught, with its days."""
    read = folder.read()["catches.csv"].records
    return [(one.trap, str(one.since)[5:], str(one.read)[5:], one.moths) for one in read if isinstance(one, Catch)]


@pytest.mark.parametrize("word", ["set", "SET", ""])
def test_since_is_the_reading_before(traps, word):
    """A trap notebook says when each trap was set, then only days and moths; the rows may be mixed."""
    rows = f"mill,2016-04-08,{word}\nyard,2016-04-09,{word}\nmill,2016-04-10,3\nyard,2016-04-10,1\nMill,2016-04-12,0\n"
    assert traps.told("catches.csv", HEADS + rows) == []
    assert catches(traps) == [
        ("mill", "04-08", "04-10", 3), ("yard", "04-09", "04-10", 1), ("mill", "04-10", "04-12", 0),
    ]  # fmt: skip


def test_a_trap_set_again_begins_anew(traps):
    """The nights it stood without a lure are nobody's zero."""
    traps.told(
        "catches.csv", HEADS + "mill,2016-04-08,set\nmill,2016-04-10,3\nmill,2016-04-15,set\nmill,2016-04-16,2\n"
    )
    assert catches(traps) == [("mill", "04-08", "04-10", 3), ("mill", "04-15", "04-16", 2)]


def test_first_reading_without_since(traps):
    """How many nights it stands for nobody can tell; the next reading can be used."""
    assert traps.told("catches.csv", HEADS + "mill,2016-04-10,3\nmill,2016-04-12,4\n") == [
        "refused catches.csv, row 2, column since = (blank): is needed for a trap's first reading; write the day the trap was "
        'set, or put a row before it: that day as read, "set" as moths.'
    ]
    assert catches(traps) == [("mill", "04-10", "04-12", 4)]


def test_a_bad_count_still_ends_its_nights(traps):
    """The moths of row 4 came after the reading of row 3, whatever was in it."""
    told = traps.told("catches.csv", HEADS + "mill,2016-04-08,set\nmill,2016-04-10,many\nmill,2016-04-11,2\n")
    assert [line.partition(":")[0] for line in told] == ["refused catches.csv, row 3, column moths = many"]
    assert catches(traps) == [("mill", "04-10", "04-11", 2)]


def test_a_date_that_cannot_be_read_leaves_the_next_without_since(traps):
    """Reaching back over it would put one reading's moths on the nights of two."""
    told = traps.told(
        "catches.csv", HEADS + "mill,2016-04-08,set\nmill,2016-04-31,1\nmill,2016-05-02,2\nmill,2016-05-03,3\n"
    )
    assert told[1] == (
        "refused catches.csv, row 4, column since = (blank): is needed: the date of the reading before (row 3) can't be read; "
        "correct that date, or write since here."
    )
    assert catches(traps) == [("mill", "05-02", "05-03", 3)]


def test_a_blank_count_further_down_is_no_setting(traps):
    """A forgotten number must not make nights vanish."""
    assert traps.told("catches.csv", HEADS + "mill,2016-04-08,set\nmill,2016-04-10,\n") == [
        'refused catches.csv, row 3, column moths = (blank): is needed; write the count (0 for none), or "set" if the trap was '
        "set again that day."
    ]


def test_a_setting_has_no_since(traps):
    """Two meanings in one row."""
    assert traps.told("catches.csv", "trap,since,read,moths\nmill,2016-04-08,2016-04-10,set\n") == [
        "refused catches.csv, row 2, column since = 2016-04-08: a row that says when the trap was set has no since; "
        "blank since, or write the moths."
    ]


def test_one_log_makes_traps_and_catches(folder):
    """Kind and place once, or the same in each row; traps.csv is not needed."""
    rows = "mill,wing trap,40.7,-96.85,2016-04-08,set\nmill,,,,2016-04-10,3\nyard,cone,40.71,-96.86,2016-04-08,\nyard,cone,40.71,-96.86,2016-04-10,1\n"
    told = folder.told("catches.csv", LOG + rows)
    assert [line.partition(":")[0] for line in told] == ["note catches.csv, row 2, column kind = wing trap"]
    made = [one for one in folder.read()["catches.csv"].records if isinstance(one, Trap)]
    assert [(one.id, one.trap_kind, one.latitude) for one in made] == [("mill", "wing", 40.7), ("yard", "cone", 40.71)]
    assert [catch[0] for catch in catches(folder)] == ["mill", "yard"]


def test_traps_csv_goes_before_the_log(traps):
    """One trap, one record."""
    assert traps.told("catches.csv", LOG + "mill,cone,41,-96,2016-04-08,set\nmill,,,,2016-04-10,3\n") == []
    assert [type(one) for one in traps.read()["catches.csv"].records] == [Catch]


@pytest.mark.parametrize(
    ("rows", "expected"),
    [
        ("mill,wing,40.7,,2016-04-08,set\nmill,,,,2016-04-10,3\n",
         ["row 2, column longitude = (blank): is needed to make trap 'mill'; fill it in once, or tell the trap in traps.csv.",
          "row 3, column trap = mill: this trap's kind or place can't be read (row 2); mend that row first."]),
        ("mill,wing,40.7,-96.85,2016-04-08,set\nmill,cone,40.7,-96.85,2016-04-10,3\n",
         ["row 2, column kind = wing: rows 2, 3 tell trap 'mill' differently; make them the same, or blank all but one.",
          "row 3, column kind = cone: rows 2, 3 tell trap 'mill' differently; make them the same, or blank all but one."]),
        ("mill,wing,north,-96.85,2016-04-08,set\n",
         ["row 2, column latitude = north: not a number; write a plain number such as 12 or 4.5."]),
    ],
)  # fmt: skip
def test_fault_texts_of_a_log(folder, rows, expected):
    """A trap that can't be placed takes its readings with it, and says why once."""
    assert folder.told("catches.csv", LOG + rows) == [f"refused catches.csv, {line}" for line in expected]
    assert folder.read()["catches.csv"].records == ()
