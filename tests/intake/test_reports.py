"""flight_reports.csv: a service's word that moths flew."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

from datetime import date

import pytest

HEADS = "source,near,latitude,longitude,field,night,either_way,note\n"


def test_a_report_at_a_place_and_at_a_field(folder):
    """Where there is no trap, a report near a town or a field still starts a clock."""
    rows = "state letter,Mill Town,40.9,-96.7,,2016-04-18,1,many\nneighbor,,,,north,2016-04-20,,\n"
    assert folder.told("flight_reports.csv", HEADS + rows) == []
    town, field = folder.read()["flight_reports.csv"].records
    assert (town.source, town.near, town.latitude, town.longitude) == ("state letter", "Mill Town", 40.9, -96.7)
    assert (town.night, town.nights_either_way, town.note) == (date(2016, 4, 18), 1, "many")
    assert (field.near, field.nights_either_way) == ("north", 2)
    assert (field.latitude, field.longitude) == pytest.approx((40.695, -96.855), abs=1e-3)


@pytest.mark.parametrize(
    ("row", "told"),
    [
        (",a,40.9,-96.7,,2016-04-18,,", "column source = (blank): is needed; write who reported it."),
        ("s,a,40.9,-96.7,,,,", "column night = (blank): is needed; fill it in."),
        ("s,a,,,,2016-04-18,,", "column latitude = (blank): is needed; write latitude and longitude, or a field whose place it takes."),
        ("s,a,40.9,,north,2016-04-18,,", "column longitude = (blank): is needed; write latitude and longitude, or a field whose place it takes."),
        ("s,a,95,-96.7,,2016-04-18,,", "column latitude = 95: above 90; write a number from -90 to 90."),
        ("s,a,40.9,-96.7,,2016-04-18,15,", "column either_way = 15: above 14; write a number from 0 to 14."),
        ("s,a,40.9,-96.7,,2016-07-18,,", "column night = 2016-07-18: after today (2016-06-30); write the day it was seen."),
        ("s,a,,,nort,2016-04-18,,", "column field = nort: no field has this id or name; did you mean 'north'? Correct it, or add its outline to fields.geojson."),
    ],
)  # fmt: skip
def test_fault_texts(folder, row, told):
    """Each refusal says what is wrong and what to do."""
    assert folder.told("flight_reports.csv", HEADS + row + "\n") == [f"refused flight_reports.csv, row 2, {told}"]


def test_a_report_far_from_everything_is_kept_and_suspected(folder):
    """A report without its minus stands in Asia."""
    assert folder.told("flight_reports.csv", HEADS + "s,a,40.9,96.7,,2016-04-18,,\n") == [
        "suspected flight_reports.csv, row 2, column longitude = 96.7 °: 10862 km from every field and station; the report is kept; "
        "check latitude and longitude (west is minus)."
    ]
    assert len(folder.read()["flight_reports.csv"].records) == 1
