"""Walks: stops put together by walk id."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

import pytest

HEADS = "walk,field,date,places,planting,collars,staging,part,counted,marked_row,fresh_cut_above,sound,searched,hour,soil,larvae_mm,note\n"
GOOD = "w1,north,2016-05-20,20,,2.5,leaves,,yes,,1,19,40,7,moist,8 12.5,edge\n"


@pytest.fixture
def walked(folder):
    """The folder with a zone and a planting."""
    folder.write("zones.csv", "field,zone,acres\nnorth,low,10\n")
    folder.write("plantings.csv", "field,planting\nnorth,east\n")
    return folder


def test_stops_of_one_walk_come_together(walked):
    """Later rows may leave the walk's own columns blank; larvae add up."""
    rows = GOOD + "w1,north,2016-05-20,100,east,,,low,no,r3,4,,,,,15,\n"
    assert walked.told("walks.csv", HEADS + rows) == []
    (walk,) = walked.read()["walks.csv"].records
    assert (walk.id, walk.planting, walk.collars, walk.staging, walk.plants_searched) == (
        "w1",
        "north/east",
        2.5,
        "leaves",
        40,
    )
    assert [
        (stop.places, stop.part, stop.counted, stop.marked_row, stop.fresh_cut_above, stop.sound) for stop in walk.stops
    ] == [
        (20, "", True, "", 1, 19),
        (100, "north/low", False, "r3", 4, None),
    ]
    assert [larva.length_mm for larva in walk.larvae] == [8.0, 12.5, 15.0]


def test_counts_above_the_places_are_kept_and_suspected(walked):
    """The scout was there: the stop stays as written and a person looks."""
    told = walked.told("walks.csv", HEADS + "w1,north,2016-05-20,20,,,,,,,4,19,,,,,\n")
    assert told == [
        "suspected walks.csv, row 2, column places = 20 places: counts add to 23 of 20 places; the stop is kept as written; "
        "check the counts of this stop."
    ]
    assert len(walked.read()["walks.csv"].records) == 1


def test_collars_without_staging_are_leaf_collars(walked):
    """Three ways of staging differ by one or two: which was meant is said."""
    assert walked.told("walks.csv", HEADS + "w1,north,2016-05-20,20,,3,,,,,,,,,,,\n") == [
        "note walks.csv, row 2, column staging = (blank): not told; collars are taken as leaf collars; "
        "fill in staging if they are leaves."
    ]


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("w1,north,2016-05-20,20,,,,lwo,,,,,,,,,", "column part = lwo: field 'north' has no such zone; did you mean 'low'? "
         "Correct it, or add it to zones.csv."),
        ("w1,north,2016-05-20,20,west,,,,,,,,,,,,", "column planting = west: field 'north' has no such planting; "
         "did you mean 'east'? Correct it, or add it to plantings.csv."),
        ("w1,north,2016-05-20,20,,,,,,,,,,,,8 81,", "column larvae_mm = 8 81: 81 mm is not a larva's length (above 0, at "
         "most 80 mm); correct it; lengths are in mm."),
        ("w1,north,2016-05-20,20,,,,,,,,,,,,8 big,", "column larvae_mm = 8 big: 'big' is not a length; write lengths in mm "
         "with blanks between: 8 12 15."),
        ("w1,north,2016-05-20,0,,,,,,,,,,,,,", "column places = 0: below 1; write a number from 1 to 2000."),
        ("w1,north,2016-05-20,20,,,,,maybe,,,,,,,,", "column counted = maybe: not on the list; write one of: yes, no."),
        ("w1,north,2016-05-20,20,,2,collar,,,,,,,,,,", "column staging = collar: not on the list; did you mean 'collars'? "
         "(One of: collars, leaves, horizontal leaf)."),
        ("w1,north,2016-05-20,20,,,,,,,,,,25,,,", "column hour = 25: above 23; write a number from 0 to 23."),
        ("w1,north,2016-05-20,20,,,,,,,-1,,,,,,", "column fresh_cut_above = -1: below zero; write a number from 0 to 2000."),
        (",north,2016-05-20,20,,,,,,,,,,,,,", "column walk = (blank): is needed; fill it in."),
        ("w1,north,2016-07-20,20,,,,,,,,,,,,,", "column date = 2016-07-20: after today (2016-06-30); write the day it was seen."),
    ],
)  # fmt: skip
def test_fault_texts_of_walks(walked, row, expected):
    """A stop that can't be so is left out; another walk in the file stays."""
    told = walked.told("walks.csv", HEADS + row + "\n" + GOOD.replace("w1", "w2"))
    assert told == ["refused walks.csv, row 2, " + expected]
    assert [walk.id for walk in walked.read()["walks.csv"].records] == ["w2"]


def test_rows_of_one_walk_must_agree(walked):
    """One id with two fields is two walks, or a slip."""
    assert walked.told("walks.csv", HEADS + GOOD + GOOD.replace("north", "south")) == [
        "refused walks.csv, row 2, column field = north: rows 2, 3 of walk 'w1' differ here; make them the same, or give two walk ids.",
        "refused walks.csv, row 3, column field = south: rows 2, 3 of walk 'w1' differ here; make them the same, or give two walk ids.",
    ]
    assert walked.read()["walks.csv"].records == ()


def test_a_walk_with_a_bad_stop_is_held_back_whole(walked):
    """Three stops of five would be read as the whole walk; another walk in the file stays."""
    bad = GOOD.replace(",20,", ",many,", 1)
    text = HEADS + GOOD + bad + GOOD + bad + GOOD + GOOD.replace("w1", "w2")
    told = walked.told("walks.csv", text)
    assert told == [
        "refused walks.csv, row 2, column walk = w1: 2 of 5 stops can't be read; the whole walk is left out until they are "
        "corrected; correct the rows listed here.",
        "refused walks.csv, row 3, column places = many: not a number; write a plain number such as 12 or 4.5.",
        "refused walks.csv, row 5, column places = many: not a number; write a plain number such as 12 or 4.5.",
    ]
    read = walked.read()["walks.csv"]
    assert ([walk.id for walk in read.records], read.rows, read.left_out) == (["w2"], 6, 5)


@pytest.mark.parametrize(
    "bad",
    [
        GOOD.replace("\n", ",8,9\n"),
        GOOD.replace("w1", ""),
        'w1,north,2016-05-20,20,,"2"5,leaves\n',
    ],
    ids=["too many cells", "no walk id", "broken quotes"],
)
def test_a_stop_that_names_no_walk_belongs_to_the_walk_around_it(walked, bad):
    """However a row is broken, its stop is missing from the walk it stands in."""
    told = walked.told("walks.csv", HEADS + GOOD + bad + GOOD + GOOD.replace("w1", "w2"))
    assert any("row 2, column walk = w1: 1 of 3 stops can't be read" in line for line in told)
    assert [walk.id for walk in walked.read()["walks.csv"].records] == ["w2"]


@pytest.mark.parametrize(("told", "collars"), [("V2", 2.0), ("v 3", 3.0), ("VE", 0.0), ("V2.5", 2.5)])
def test_v_stages_are_collars(walked, told, collars):
    """V stages are told by leaf collar, so the way of staging need not be asked."""
    assert walked.told("walks.csv", HEADS + f"w1,north,2016-05-20,20,,{told},,,,,,,,,,,\n") == []
    (walk,) = walked.read()["walks.csv"].records
    assert (walk.collars, walk.staging) == (collars, "collars")


@pytest.mark.parametrize(
    ("told", "hour"),
    [("8 am", 8), ("5 pm", 17), ("17:30", 17), ("7", 7), ("12 am", 0), ("12:15 PM", 12), ("8a", 8), ("6 p.m.", 18)],
)
def test_hours_as_people_write_them(walked, told, hour):
    """Larvae are up early and late: the hour says how well they could be found."""
    assert walked.told("walks.csv", HEADS + f"w1,north,2016-05-20,20,,,,,,,,,,{told},,,\n") == []
    assert walked.read()["walks.csv"].records[0].hour == hour


@pytest.mark.parametrize(
    ("column", "told", "expected"),
    [
        (
            "searched",
            "yes",
            "a number of plants is meant, not yes or no; write how many plants were searched for larvae, or blank it.",
        ),
        ("searched", "2.5", "not a whole number; write a count such as 3."),
        ("hour", "13 pm", "not an hour of the day; write it like 8, 17:30 or 5 pm."),
        ("hour", "8:75", "not an hour of the day; write it like 8, 17:30 or 5 pm."),
        ("hour", "noon", "not a number; write a plain number such as 12 or 4.5."),
        ("collars", "V25", "above 20; write a number from 0 to 20."),
        ("collars", "knee", "not a number; write a plain number such as 12 or 4.5."),
    ],
)
def test_fault_texts_of_looser_cells(walked, column, told, expected):
    """More ways of writing are read; the others still say what to write."""
    text = f"walk,field,date,places,{column}\nw1,north,2016-05-20,20,{told}\n"
    assert walked.told("walks.csv", text) == [f"refused walks.csv, row 2, column {column} = {told}: {expected}"]


def test_counted_takes_short_answers(walked):
    """y and n are yes and no."""
    walked.told("walks.csv", "walk,field,date,places,counted\nw1,north,2016-05-20,20,Y\nw1,north,2016-05-20,20,n\n")
    assert [stop.counted for stop in walked.read()["walks.csv"].records[0].stops] == [True, False]


PAPER = "walk,field,date,places,collars,fresh_cut_at,old_cut,sound,searched,hour,soil,larvae_mm,note\n"


def test_a_sheet_typed_from_paper(folder):
    """Field and date stand once at its head, a dash is drawn where there is nothing, none is written for 0."""
    rows = "w1,north,2016-05-20,20,V3,none,-,–,None,-,moist,none,-\nw1,,,20,-,2,—,18,,,,8 12,\nw1,,,20,,-,,20,,,,-,\n"
    assert folder.told("walks.csv", PAPER + rows) == []
    (walk,) = folder.read()["walks.csv"].records
    assert (str(walk.walked), walk.collars, walk.staging, walk.plants_searched) == ("2016-05-20", 3.0, "collars", 0)
    assert [(stop.fresh_cut_at, stop.old_cut, stop.sound) for stop in walk.stops] == [
        (0, 0, None),
        (2, 0, 18),
        (0, 0, 20),
    ]
    assert ([larva.length_mm for larva in walk.larvae], walk.hour, walk.note) == ([8.0, 12.0], None, "")


def test_the_first_line_of_a_walk_still_needs_its_field_and_date(folder):
    """A blank head is nobody's field; lines of another walk do not lend theirs."""
    told = folder.told("walks.csv", PAPER + "w1,north,2016-05-20,20,,,,,,,,,\nw2,,,20,,,,,,,,,\n")
    assert told == [
        "refused walks.csv, row 3, column field = (blank): is needed; fill it in.",
        "refused walks.csv, row 3, column date = (blank): is needed; fill it in.",
    ]


@pytest.mark.parametrize(
    ("column", "told", "expected"),
    [
        ("fresh_cut_at", "II", "tally marks, not a number; count them and write the number."),
        ("fresh_cut_at", "||||", "tally marks, not a number; count them and write the number."),
        ("fresh_cut_at", "-1", "below zero; write a number from 0 to 2000."),
        ("fresh_cut_at", "two", "not a number; write a plain number such as 12 or 4.5."),
        ("collars", "V2-V3", "two stages, not one; write the stage of a usual plant, such as V2 or 2.5."),
        ("collars", "2/3", "two stages, not one; write the stage of a usual plant, such as V2 or 2.5."),
    ],
)
def test_what_paper_cannot_say_in_a_cell(folder, column, told, expected):
    """A tally or a range is a person's reading to do, not ours."""
    heads = PAPER.strip().split(",")
    cells = {"walk": "w1", "field": "north", "date": "2016-05-20", "places": "20", column: told}
    text = PAPER + ",".join(cells.get(name, "") for name in heads) + "\n"
    assert folder.told("walks.csv", text) == [f"refused walks.csv, row 2, column {column} = {told}: {expected}"]


INSTARS = "walk,field,date,places,searched,larvae_mm,instars\n"


def test_larvae_told_by_their_heads_come_after_those_measured(walked):
    """Two columns, other larvae; a row without a count is a search alone."""
    assert walked.told("walks.csv", INSTARS + "w1,north,2016-05-20,,40,12,5 4\nw1,north,2016-05-20,20,,,6\n") == []
    (walk,) = walked.read()["walks.csv"].records
    assert [(larva.length_mm, larva.instar) for larva in walk.larvae] == [(12, None), (None, 5), (None, 4), (None, 6)]
    assert (len(walk.stops), walk.plants_searched) == (1, 40)


@pytest.mark.parametrize(("cell", "word"), [("0", "0"), ("10", "10"), ("5 L4", "L4"), ("4.5", "4.5"), ("²", "²")])
def test_what_is_no_instar_is_refused(walked, cell, word):
    """Instars are whole numbers from 1 to 9, as a typed walk takes them."""
    told = walked.told("walks.csv", INSTARS + f"w1,north,2016-05-20,20,40,,{cell}\n")
    assert (
        f"column instars = {cell}: '{word}' is not an instar (1 to 9); write instars with blanks between: 4 5 5."
        in told[0]
    )


def test_none_and_dashes_in_instars_are_no_larva(walked):
    """As in every other column of larvae."""
    assert walked.told("walks.csv", INSTARS + "w1,north,2016-05-20,20,40,-,none\n") == []
    (walk,) = walked.read()["walks.csv"].records
    assert walk.larvae == ()
