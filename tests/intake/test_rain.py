"""rain.csv: a person's own gauge."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

import pytest

from springwalk.intake import Repair

HEADS = "field,date,rain,hard,person\n"


def test_gauges_of_a_field_and_of_every_field(folder):
    """Rain is patchy: a reading says which fields it speaks for, and whether it beat the soil."""
    rows = "north,2016-05-18,1.3,yes,Wren\n,2016-05-19,33 mm,n,\nall,2016-05-20,T,,\n"
    assert folder.told("rain.csv", HEADS + rows) == []
    told = [(one.field, one.rain_mm, one.hard, one.person) for one in folder.read()["rain.csv"].records]
    assert told == [("north", pytest.approx(33.02), True, "Wren"), ("", 33.0, False, ""), ("", 0.0, None, "")]


def test_a_field_called_all_is_that_field(folder):
    """A name that is there goes before what the word usually means."""
    folder.write("fields.geojson", folder.outlines(folder.feature("all")))
    folder.write("rain.csv", HEADS + "all,2016-05-18,1,,\n")
    assert folder.read()["rain.csv"].records[0].field == "all"


def test_more_than_six_inches_is_held_back_until_said_to_be_right(folder):
    """13 bare is 13 mm far more often than 13 in.; a flood is confirmed by one command."""
    told = folder.told("rain.csv", HEADS + "north,2016-05-18,13,,\nnorth,2016-05-19,6,,\n")
    assert told == [
        "suspected rain.csv, row 2, column rain = 13: 13.0 in. (330 mm) in a day is more than 6 in.; the row is held back; "
        "write the unit behind it (33 mm, 1.3in); if it is right: springwalk intake FOLDER --repair rain.csv:as-is."
    ]
    read = folder.read()["rain.csv"]
    assert (len(read.records), read.rows, read.left_out, read.complete) == (1, 2, 1, False)
    read = folder.read(repairs={"rain.csv": Repair(as_is=True)})["rain.csv"]
    assert ([round(one.rain_mm, 1) for one in read.records], read.faults) == ([330.2, 152.4], ())


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("north,2016-05-18,33", "column rain = 33: above 20 in. (500 mm) in a day; if it is mm, write mm behind it: 33 mm."),
        ("north,2016-05-18,-1", "column rain = -1: below zero; write how much rain fell, such as 1.3 (inches) or 33 mm."),
        ("north,2016-05-18,", "column rain = (blank): is needed; fill it in."),
        ("north,,1", "column date = (blank): is needed; fill it in."),
        ("north,2016-07-01,1", "column date = 2016-07-01: after today (2016-06-30); write the day it was seen."),
        ("north,2016-05-18,1,hard", "column hard = hard: not on the list; write one of: yes, no."),
        ("nort,2016-05-18,1", "column field = nort: no field has this id or name; did you mean 'north'? Correct it, or add its outline to fields.geojson."),
    ],
)  # fmt: skip
def test_fault_texts(folder, row, told):
    """Each refusal says what is wrong and what to do."""
    assert folder.told("rain.csv", HEADS + row + "\n") == [f"refused rain.csv, row 2, {told}"]


def test_a_stations_own_rain_file_is_no_table_of_gauges(folder):
    """A folder that names rain.csv as weather must be read as before."""
    folder.write("season.toml", folder.season + folder.station.replace("weather/yard.csv", "rain.csv"))
    folder.write("rain.csv", "date,max,min,rain\n2016-05-18,70,50,1.3\n")
    read = folder.read()["rain.csv"]
    assert (len(read.records), len(read.days)) == (0, 1)
