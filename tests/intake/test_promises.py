"""promises.csv and done.csv."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

from datetime import date

import pytest

from springwalk.intake import Known
from springwalk.records import Done, Field, Promise

HEADS = "grower,field,every,since,until,note\n"


@pytest.fixture
def growers(folder):
    """The folder with a grower for each field."""
    folder.write(
        "fields.geojson",
        folder.outlines(
            folder.feature("north", grower="Invented Farms"),
            folder.feature("south", folder.square(lat=40.72), grower="Made-up Bros"),
        ),
    )
    return folder


def test_promises_to_a_grower_and_for_a_field(growers):
    """A promise may begin and end after today; a blank beginning is the season's first day."""
    rows = (
        "invented farms,,weekly,,2016-07-10,after rain sooner\n,South,10 days,2016-07-01,,\nMade-up Bros,south,5,,,\n"
    )
    told = growers.told("promises.csv", HEADS + rows.replace("Made-up Bros,south,5,,,\n", ""))
    assert told == []
    assert growers.read()["promises.csv"].records == (
        Promise(
            grower="Invented Farms",
            every_days=7,
            since=date(2016, 3, 1),
            until=date(2016, 7, 10),
            note="after rain sooner",
        ),
        Promise(field="south", every_days=10, since=date(2016, 7, 1)),
    )


def test_a_field_beside_its_own_grower_is_the_field(growers):
    """People fill both cells; that is no contradiction."""
    assert growers.told("promises.csv", HEADS + "Made-up Bros,south,5,,,\n") == []
    (one,) = growers.read()["promises.csv"].records
    assert (one.grower, one.field) == ("", "south")


def test_a_grower_held_in_the_store_counts_where_the_outlines_tell_none(folder):
    """A folder whose outlines have no growers keeps those of before."""
    held = Field(
        id="north", name="north", grower="Invented Farms", outline={}, area_ha=30, latitude=40.7, longitude=-96.85
    )
    folder.write("promises.csv", HEADS + "Invented Farms,,7,,,\n")
    read = folder.read(known=Known(fields=frozenset({"north"}), land={"north": held}))["promises.csv"]
    assert (len(read.records), read.faults) == (1, ())


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("Inventd Farms,,7,,,", "column grower = Inventd Farms: no field has this grower; did you mean 'Invented Farms'? Correct it."),
        ("Quux,,7,,,", "column grower = Quux: no field has this grower; there are: Invented Farms, Made-up Bros."),
        (",,7,,,", "column grower = (blank): is needed; write the grower, or one field."),
        ("Made-up Bros,north,7,,,", "column grower = Made-up Bros: not the grower of field 'north'; write the grower or the field, not both."),
        (",north,,,,", "column every = (blank): is needed; fill it in."),
        (",north,often,,,", "column every = often: not a number of days; write it like 7, 7 days or weekly."),
        (",north,7,2016-06-01,2016-05-01,", "column until = 2016-05-01: before since (2016-06-01); correct one of the two."),
        (",north,7,2017-06-01,,", "column since = 2017-06-01: outside the season 2016 (2015-07-01 to 2016-12-31); correct the date, or take it in with its own season."),
    ],
)  # fmt: skip
def test_fault_texts_of_promises(growers, row, told):
    """A promise to nobody would never come due."""
    assert growers.told("promises.csv", HEADS + row + "\n") == [f"refused promises.csv, row 2, {told}"]


def test_a_grower_where_no_field_tells_one(folder):
    """The cause lies with the outlines."""
    assert folder.told("promises.csv", HEADS + "Quux,,7,,,\n") == [
        "refused promises.csv, row 2, column grower = Quux: no field has this grower; tell the growers of the fields with their outlines."
    ]


def test_looks_done_and_set_aside(folder):
    """Who ticks the sheet at the kitchen table types it here."""
    rows = "look,field,on,outcome,person,note\ndig_cold:north::2016-05-02,north,2016-05-09,,Wren,\nhail:south:,south,2016-05-10,Set aside,,missed us\n"
    assert folder.told("done.csv", rows) == []
    assert folder.read()["done.csv"].records == (
        Done(look="dig_cold:north::2016-05-02", field="north", on=date(2016, 5, 9), person="Wren"),
        Done(look="hail:south:", field="south", on=date(2016, 5, 10), outcome="set aside", note="missed us"),
    )


@pytest.mark.parametrize(
    ("row", "told"),
    [
        (",north,2016-05-09,,,", "column look = (blank): is needed; copy its key from the list: springwalk due."),
        ("a,,2016-05-09,,,", "column field = (blank): is needed; fill it in."),
        ("a,north,,,,", "column on = (blank): is needed; fill it in."),
        ("a,north,2016-07-09,,,", "column on = 2016-07-09: after today (2016-06-30); write the day it was seen."),
        ("a,north,2016-05-09,set aside,,", "column note = (blank): a look is set aside with a reason; say why in a few words."),
        ("a,north,2016-05-09,later,,", "column outcome = later: not on the list; write one of: done, set aside."),
    ],
)  # fmt: skip
def test_fault_texts_of_done(folder, row, told):
    """Each refusal says what is wrong and what to do."""
    assert folder.told("done.csv", "look,field,on,outcome,person,note\n" + row + "\n") == [
        f"refused done.csv, row 2, {told}"
    ]
