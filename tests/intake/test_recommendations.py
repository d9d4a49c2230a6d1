"""recommendations.csv and recommendation_steps.csv."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

from datetime import date, time

import pytest

from springwalk.intake import Known
from springwalk.records import Recommendation, Step

HEADS = "id,field,date,said,parts,treats,act_on,yield,assumed,shown\n"
STEP_HEADS = "recommendation,date,step,field,who,how,for,where,cut_again,note\n"
OURS = Recommendation(id="r1", field="north", date=date(2016, 5, 24), said="Spray.")


@pytest.fixture
def advised(folder):
    """The folder with one recommendation for the north field."""
    folder.write("recommendations.csv", "id,field,date,said\nr1,north,2016-05-24,Spray.\n")
    return folder


def test_a_recommendation_is_read_as_it_was_said(folder):
    """Several lines stay several lines; the exact answer is kept letter by letter."""
    row = 'r1,North,2016-05-24,"Spray on 25 May.\nThe label is the law.","Low end: spray.\n\n Rest: leave it.",y,2016-07-01,180,crop; wage,"{""a"": 1e-7}"\n'
    assert folder.told("recommendations.csv", HEADS + row) == []
    assert folder.read()["recommendations.csv"].records == (
        Recommendation(
            id="r1", field="north", date=date(2016, 5, 24), said="Spray on 25 May.\nThe label is the law.",
            parts=("Low end: spray.", "Rest: leave it."), act_on=date(2016, 7, 1), crop_bu_ac=180,
            assumed=("crop", "wage"), shown='{"a": 1e-7}',
        ),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("row", "told"),
    [
        (",north,2016-05-24,x,,,,,,", "column id = (blank): is needed; fill it in."),
        ("a/b,north,2016-05-24,x,,,,,,", "column id = a/b: an id can't hold '/'; use '-' instead."),
        (f"{'a' * 201},north,2016-05-24,x,,,,,,", f"column id = {'a' * 79}…: an id has at most 200 characters; write a shorter one."),
        ("r1,nort,2016-05-24,x,,,,,,", "column field = nort: no field has this id or name; did you mean 'north'? Correct it, or add its outline to fields.geojson."),
        ("r1,north,,x,,,,,,", "column date = (blank): is needed; fill it in."),
        ("r1,north,2016-07-24,x,,,,,,", "column date = 2016-07-24: after today (2016-06-30); write the day it was seen."),
        ("r1,north,2016-05-24,,,,,,,", "column said = (blank): is needed; fill it in."),
        ("r1,north,2016-05-24,x,,maybe,,,,", "column treats = maybe: not on the list; write one of: yes, no."),
        ("r1,north,2016-05-24,x,,,,600,,", "column yield = 600: above 500; write a number from 1 to 500."),
        ("r1,north,2016-05-24,x,,,,,,{a", "column shown = {a: not the JSON text of an answer; leave it as it was exported, or blank it."),
        ("r1,north,2016-05-24,x,,,,,,[1]", "column shown = [1]: not the JSON text of an answer; leave it as it was exported, or blank it."),
    ],
)  # fmt: skip
def test_fault_texts_of_recommendations(folder, row, told):
    """Each refusal says what is wrong and what to do."""
    assert folder.told("recommendations.csv", HEADS + row + "\n") == [f"refused recommendations.csv, row 2, {told}"]


def test_steps_of_the_folder_and_of_the_store(advised):
    """A step names a recommendation of this folder or of the store, and takes its field from there."""
    rows = "r1,2016-05-24,Told,,Ann,in-person,,,,\nr1,2016-05-24,ordered,North,co-op,,2016-07-02,,,\nr1,2016-05-26,untreated-strip,,,,,row 40,12.5,\n"
    assert advised.told("recommendation_steps.csv", STEP_HEADS + rows) == []
    made = advised.read()["recommendation_steps.csv"].records
    assert made[0] == Step(
        recommendation="r1", field="north", date=date(2016, 5, 24), what="told", who="Ann", how="in person"
    )
    assert (made[1].wanted_on, made[2].where, made[2].cut_again_pct) == (date(2016, 7, 2), "row 40", 12.5)
    held = OURS.model_copy(update={"id": "held"})
    advised.write("recommendation_steps.csv", "recommendation,date,step,who,at\nheld,2016-05-24,told,Ann,6:30 am\n")
    known = Known(fields=frozenset({"north"}), recommendations={"held": held})
    (one,) = advised.read(known=known)["recommendation_steps.csv"].records
    assert (one.field, one.at) == ("north", time(6, 30))


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("zzz,2016-05-24,told,,Ann,,,,,", "column recommendation = zzz: no recommendation has this id; add it to recommendations.csv."),
        (",2016-05-24,told,,Ann,,,,,", "column recommendation = (blank): is needed; fill it in."),
        ("r1,,told,,Ann,,,,,", "column date = (blank): is needed; fill it in."),
        ("r1,2016-05-23,told,,Ann,,,,,", "column date = 2016-05-23: before the recommendation (2016-05-24); correct one of the two dates."),
        ("r1,2016-07-23,told,,Ann,,,,,", "column date = 2016-07-23: after today (2016-06-30); write the day it was seen."),
        ("r1,2016-05-24,said,,Ann,,,,,", "column step = said: not on the list; write one of: told, taken, refused, ordered, done, checked, untreated strip, worth it, not worth it."),
        ("r1,2016-05-24,told,south,Ann,,,,,", "column field = south: the recommendation is for field 'north'; correct one of the two."),
        ("r1,2016-05-24,told,,,,,,,", "column who = (blank): nobody is named; say who was told."),
        ("r1,2016-05-24,refused,,Ann,,,,,", "column note = (blank): a refusal is kept with its reason; say why in a few words."),
        ("r1,2016-05-24,taken,,Ann,phone,,,,", "column how = phone: goes with told only; leave it out."),
        ("r1,2016-05-24,told,,Ann,,2016-05-25,,,", "column for = 2016-05-25: goes with ordered only; leave it out."),
        ("r1,2016-05-24,checked,,,,,,,", "column cut_again = (blank): nothing is said of what was found; give the per cent cut again, or a note."),
    ],
)  # fmt: skip
def test_fault_texts_of_steps(advised, row, told):
    """What can't be is refused as on the command line."""
    advised.write(
        "fields.geojson",
        advised.outlines(advised.feature("north"), advised.feature("south", advised.square(lat=40.72))),
    )
    assert advised.told("recommendation_steps.csv", STEP_HEADS + row + "\n") == [
        f"refused recommendation_steps.csv, row 2, {told}"
    ]


def test_two_rows_of_one_step_must_agree(advised):
    """Told twice the same is noted; an answer cannot be yes and no at once."""
    told = advised.told(
        "recommendation_steps.csv", STEP_HEADS + "r1,2016-05-24,taken,,Ann,,,,,\nr1,2016-05-24,refused,,Ann,,,,,late\n"
    )
    assert [line.split(": ", 1)[1] for line in told] == [
        "told twice with different values (also in row 3); keep the right one, delete the other.",
        "told twice with different values (also in row 2); keep the right one, delete the other.",
    ]
