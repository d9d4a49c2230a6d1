"""progress.csv: acres planted day by day, and what that says of a planting's date."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

from datetime import date

import pytest

from springwalk.intake import Known, Repair
from springwalk.records import Planting, Progress

HEADS = "field,planting,date,acres,person\n"
DAYS = HEADS + "north,,2016-05-06,50,Wren\nnorth,,2016-05-05,20ha,\n"


def planted(folder, file: str, **options) -> dict[str, date | None]:  # type: ignore[no-untyped-def]
    """Planting dates that a file tells."""
    return {one.id: one.planted for one in folder.read(**options)[file].records if isinstance(one, Planting)}


def test_days_are_kept_and_the_first_dates_an_undated_planting(folder):
    """The monitor's log is often all that says when a field was planted."""
    folder.write("plantings.csv", "field,hybrid\nnorth,Made-up 5\n")
    assert folder.told("progress.csv", DAYS) == []
    days = [one for one in folder.read()["progress.csv"].records if isinstance(one, Progress)]
    assert [(one.planting, one.date, one.person) for one in days] == [
        ("north/1", date(2016, 5, 6), "Wren"), ("north/1", date(2016, 5, 5), ""),
    ]  # fmt: skip
    assert [one.area_ha for one in days] == pytest.approx([20.234, 20.0], abs=1e-3)
    assert planted(folder, "plantings.csv") == {"north/1": date(2016, 5, 5)}
    assert planted(folder, "progress.csv") == {}


def test_a_planting_not_told_elsewhere_is_made(folder):
    """Without plantings.csv the log alone makes the planting, and says so where it was named."""
    folder.write("plantings.csv", "field,planting\nsouth,east\n")
    assert folder.told("progress.csv", HEADS + "north,,2016-05-05,20,\nsouth,9,2016-05-07,10,\n") == [
        "note progress.csv, row 3, column planting = 9: a planting not told before; this row makes it; correct the name if it is another."
    ]
    assert planted(folder, "progress.csv") == {"north/1": date(2016, 5, 5), "south/9": date(2016, 5, 7)}


def test_plantings_csv_counts_over_progress_and_the_difference_is_noted(folder):
    """Two dates for one planting: one counts, and a person sees both."""
    folder.write("plantings.csv", "field,planted\nnorth,2016-05-03\n")
    assert folder.told("progress.csv", DAYS) == [
        "note progress.csv, row 3, column date = 2016-05-05: the planting is dated 2016-05-03 elsewhere; that counts; correct the one that is wrong."
    ]
    assert planted(folder, "plantings.csv") == {"north/1": date(2016, 5, 3)}


def test_an_event_planted_counts_over_progress(folder):
    """An event was written for its own sake; the first day of a log may be a test pass."""
    folder.write("events.csv", "field,date,event\nnorth,2016-05-06,planted\n")
    assert "the planting is dated 2016-05-06 elsewhere; that counts" in folder.told("progress.csv", DAYS)[0]
    assert planted(folder, "events.csv") == {"north/1": date(2016, 5, 6)}
    assert planted(folder, "progress.csv") == {}


@pytest.mark.parametrize(("file", "expected"), [("progress.csv", date(2016, 5, 5)), ("plantings.csv", None)])
def test_a_date_held_from_progress_is_corrected_by_it_and_no_other(folder, file, expected):
    """A mended first day must count; a part of a log must not put off a date that plantings.csv told."""
    held = Planting(id="north/1", field="north", planted=date(2016, 5, 2), hybrid="Made-up 5")
    known = Known(plantings={"north/1": held}, planting_files={"north/1": file})
    folder.write("progress.csv", DAYS)
    assert planted(folder, "progress.csv", known=known).get("north/1") == expected


def test_a_day_of_more_acres_than_the_field_has_is_held_back(folder):
    """232 acres is the outline; 800 is a slip of the key."""
    told = folder.told("progress.csv", HEADS + "north,,2016-05-05,800,\n")
    assert told == [
        "suspected progress.csv, row 2, column acres = 800: more than the field has (232 ac); the row is held back; "
        "correct it; if it is right: springwalk intake FOLDER --repair progress.csv:as-is."
    ]
    read = folder.read()["progress.csv"]
    assert (read.records, read.rows, read.left_out) == ((), 1, 1)
    read = folder.read(repairs={"progress.csv": Repair(as_is=True)})["progress.csv"]
    assert (len(read.records), read.faults) == (2, ())


def test_days_that_add_to_more_than_the_field_are_kept_and_suspected(folder):
    """Acres so far, written each day, is the usual slip."""
    told = folder.told("progress.csv", HEADS + "north,,2016-05-05,100,\nnorth,,2016-05-06,200,\n")
    assert told == [
        "suspected progress.csv, row 3, column acres = 200 ac: the days of this field add to 300 of 232 ac; they are kept as written; "
        "write the acres of each day alone, not the acres so far."
    ]
    assert len(folder.read()["progress.csv"].records) == 3


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("north,,2016-05-05,", "column acres = (blank): is needed; fill it in."),
        ("north,,2016-05-05,0", "column acres = 0: not above zero; correct it."),
        ("north,,,5", "column date = (blank): is needed; fill it in."),
        ("north,,2016-07-05,5", "column date = 2016-07-05: after today (2016-06-30); write the day it was seen."),
        ("south,,2016-05-05,5", "column planting = (blank): field 'south' has 2 plantings; say which one (east, west)."),
        ("south,eats,2016-05-05,5", "column planting = eats: field 'south' has no such planting; did you mean 'east'? Correct it, or add it to plantings.csv."),
    ],
)  # fmt: skip
def test_fault_texts(folder, row, told):
    """Each refusal says what is wrong and what to do."""
    folder.write("plantings.csv", "field,planting\nsouth,east\nsouth,west\n")
    assert folder.told("progress.csv", HEADS + row + "\n") == [f"refused progress.csv, row 2, {told}"]
