"""Plantings, zones and events, inside outlines and in CSV files."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

import json
from datetime import date

import pytest

from springwalk.intake import Known, UnreadableError
from springwalk.intake.land import seeds_per_ha
from springwalk.records import Event, Planting

BOW = [[-96.86, 40.69], [-96.85, 40.70], [-96.85, 40.69], [-96.86, 40.70], [-96.86, 40.69]]


def test_plantings_zones_and_events_inside_an_outline(folder):
    """One file may tell all about a field; its ids are whole, its events need no order."""
    folder.write(
        "fields.geojson",
        folder.outlines(
            folder.feature(
                "north",
                elevation=1200,
                plantings=[{"planting": "east", "planted": "2016-04-28", "row_width": 30, "acres": "10ha"}],
                zones=json.dumps([{"zone": "low", "acres": 10}]),
                events=[
                    {"date": "2016-04-10", "event": "Weeds seen", "cover": "dense", "zone": "low"},
                    {"date": "2016-05-08", "event": "emerged", "planting": "east"},
                ],
            )
        ),
    )
    read = folder.read()["fields.geojson"]
    field, planting, zone, weeds, emerged = read.records
    assert read.faults == ()
    assert field.elevation_m == pytest.approx(365.76)
    assert (planting.id, planting.row_width_m, planting.area_ha) == ("north/east", pytest.approx(0.762), 10.0)
    assert (zone.id, zone.name, zone.area_ha) == ("north/low", "low", pytest.approx(4.04686, abs=1e-5))
    assert (weeds.zone, weeds.cover, emerged.planting) == ("north/low", "dense", "north/east")


def test_faults_inside_an_outline_name_their_place(folder):
    """There is no row to name, so the place is told in words."""
    text = folder.outlines(
        folder.feature(
            "north",
            plantings=[{"planted": "soon"}],
            zones=3,
            events=[{"date": "2016-04-10", "event": "snow", "colour": 1}],
        )
    )
    assert folder.told("fields.geojson", text) == [
        "refused fields.geojson, feature 1 (north): zones = 3: not a list of objects; write [{…}, {…}].",
        "refused fields.geojson, feature 1 (north): plantings 1 planted = soon: not a date; write it like 2016-04-30.",
        "note fields.geojson, feature 1 (north): events 1 colour = 1: no such name here; it is not read; "
        "write one of: field, date, event, cover, zone, planting, hours, person, note.",
        "refused fields.geojson, feature 1 (north): events 1 event = snow: not on the list; write one of: "
        "weeds seen, cover killed, tilled, emerged, planted, hail, ponding, water gone, wind, frost, crust, baits set, torn up; or say what your word means under [values.events] in season.toml.",
    ]


def test_planting_of_a_refused_outline_points_there(folder):
    """The cause is the outline: sending the user to look for a spelling would waste a morning."""
    folder.write("fields.geojson", folder.outlines(folder.feature("a", BOW), folder.feature("north")))
    assert folder.told("plantings.csv", "field\na\n") == [
        "refused plantings.csv, row 2, column field = a: this field's outline was left out; mend the outline first."
    ]


def test_planting_told_twice(folder):
    """Two rows for one planting with different facts can't both count."""
    told = folder.told("plantings.csv", "field,planted\nnorth,2016-04-28\nnorth,2016-04-29\nsouth,\nsouth,\n")
    assert told == [
        "refused plantings.csv, row 2, column field = north: told twice with different values (also in row 3); "
        "keep the right one, delete the other.",
        "refused plantings.csv, row 3, column field = north: told twice with different values (also in row 2); "
        "keep the right one, delete the other.",
        "note plantings.csv, row 5, column field = south: told twice, with the same values; delete one of the two.",
    ]


def test_seed_rate_and_widths_become_si(folder):
    """34,000 seeds an acre are 84,016 a hectare; 30 in. rows 0.762 m."""
    folder.write(
        "plantings.csv", "field,seeds_per_acre,row_width,acres\nnorth,34000,30in,80\nsouth,34000,0.76m,32.4ha\n"
    )
    north, south = folder.read()["plantings.csv"].records
    assert north.seeds_per_ha == pytest.approx(84015.8, abs=0.1)
    assert (north.row_width_m, south.row_width_m) == pytest.approx((0.762, 0.76))
    assert (north.area_ha, south.area_ha) == pytest.approx((32.3749, 32.4), abs=1e-4)


def test_planting_may_stand_in_one_zone(folder):
    """A replant of the low ground stands there and nowhere else; zones are known whichever file is read first."""
    folder.write("zones.csv", "field,zone,acres\nnorth,low,10\n")
    folder.write("plantings.csv", "field,planting,planted,zone\nnorth,1,2016-04-20,\nnorth,2,2016-05-20,LOW\n")
    first, second = folder.read()["plantings.csv"].records
    assert (first.zone, second.zone) == (None, "north/low")


def test_planting_in_a_zone_nobody_told_is_refused(folder):
    """It would stand nowhere."""
    assert folder.told("plantings.csv", "field,planting,zone\nnorth,2,low\n") == [
        "refused plantings.csv, row 2, column zone = low: field 'north' has no such zone; add it to zones.csv."
    ]


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("north,2016-04-10,tiled,", "column event = tiled: not on the list; did you mean 'tilled'? "
         "(One of: weeds seen, cover killed, tilled, emerged, planted, hail, ponding, water gone, wind, frost, crust, baits set, torn up); or say what your word means under [values.events] in season.toml."),
        ("north,2016-04-10,tilled,gren weeds", "column cover = gren weeds: not on the list; did you mean 'few weeds'? "
         "(One of: black, residue, clean, few weeds, some weeds, many weeds, dense); or say what your word means under [values.cover] in season.toml."),
        ("north,2016-07-01,tilled,", "column date = 2016-07-01: after today (2016-06-30); write the day it was seen."),
        ("north,2015-04-10,tilled,", "column date = 2015-04-10: outside the season 2016 (2015-07-01 to 2016-12-31); correct the date, or take "
         "it in with its own season."),
        ("north,,tilled,", "column date = (blank): is needed; fill it in."),
        (",2016-04-10,tilled,", "column field = (blank): is needed; fill it in."),
    ],
)  # fmt: skip
def test_fault_texts_of_events(folder, row, expected):
    """Events come from fixed lists and from this season."""
    assert folder.told("events.csv", "field,date,event,cover\n" + row + "\n") == [
        "refused events.csv, row 2, " + expected
    ]


def test_unknown_zone_names_the_zones_there_are(folder):
    """A zone belongs to its field."""
    folder.write("zones.csv", "field,zone,acres\nnorth,low ground,10\nsouth,ends,3\n")
    assert folder.told(
        "events.csv", "field,date,event,zone\nnorth,2016-04-10,tilled,low-ground\nnorth,2016-04-10,tilled,ends\n"
    ) == [
        "refused events.csv, row 2, column zone = low-ground: field 'north' has no such zone; did you mean 'low ground'? "
        "Correct it, or add it to zones.csv.",
        "refused events.csv, row 3, column zone = ends: field 'north' has no such zone; add it to zones.csv (there are: low ground).",
    ]


def test_tilled_ground_is_black_unless_said(folder):
    """Tillage leaves black ground; a pass that leaves residue must be able to say so."""
    folder.write("events.csv", "field,date,event,cover\nnorth,2016-04-10,tilled,\nsouth,2016-04-10,tilled,residue\n")
    assert [event.cover for event in folder.read()["events.csv"].records] == ["black", "residue"]


def test_planted_event_dates_the_planting_where_it_was_told(folder):
    """One planting, one record: taking the folder in twice must change nothing."""
    folder.write("plantings.csv", "field,planting,planted,hybrid\nnorth,east,2016-04-28,A1\n")
    told = folder.told("events.csv", "field,date,event\nnorth,2016-05-01,planted\n")
    assert told == [
        "note events.csv, row 2, column date = 2016-05-01: the planting was dated 2016-04-28 before; the event counts; "
        "correct the one that is wrong."
    ]
    reads = folder.read()
    (planting,) = reads["plantings.csv"].records
    assert (planting.id, planting.hybrid, planting.planted) == ("north/east", "A1", date(2016, 5, 1))
    assert reads["events.csv"].records == ()


def test_planted_event_of_a_stored_planting_keeps_its_other_facts(folder):
    """A folder with only events must not wipe the hybrid out of the store."""
    (folder.path / "fields.geojson").unlink()
    stored = Planting(id="north/1", field="north", hybrid="A1")
    known = Known(fields=frozenset({"north"}), plantings={"north/1": stored})
    folder.write("events.csv", "field,date,event\nnorth,2016-05-01,planted\n")
    (planting,) = folder.read(known=known)["events.csv"].records
    assert planting == stored.model_copy(update={"planted": date(2016, 5, 1)})


def test_planted_event_of_a_field_without_plantings_makes_one(folder):
    """The shortest way to say when a field was planted."""
    folder.write("events.csv", "field,date,event\nnorth,2016-05-01,planted\n")
    assert folder.read()["events.csv"].records == (Planting(id="north/1", field="north", planted=date(2016, 5, 1)),)


def test_planted_event_must_say_which_of_several(folder):
    """With two plantings a bare date could be either's; two dates for one are one too many."""
    folder.write("plantings.csv", "field,planting\nnorth,east\nnorth,west\n")
    text = "field,date,event,planting\nnorth,2016-05-01,planted,\nnorth,2016-05-01,planted,eats\n"
    text += "north,2016-05-02,planted,west\nnorth,2016-05-03,planted,west\nnorth,2016-05-04,planted,3\n"
    assert folder.told("events.csv", text) == [
        "refused events.csv, row 2, column planting = (blank): field 'north' has 2 plantings; say which one (east, west).",
        "refused events.csv, row 3, column planting = eats: field 'north' has no such planting; did you mean 'east'? "
        "Correct it, or add it to plantings.csv.",
        "refused events.csv, row 4, column date = 2016-05-02: planting 'north/west' has two planting dates; "
        "keep the right one; give a replant its own planting id.",
        "refused events.csv, row 5, column date = 2016-05-03: planting 'north/west' has two planting dates; "
        "keep the right one; give a replant its own planting id.",
        "note events.csv, row 6, column planting = 3: a planting not told before; this row makes it; "
        "correct the name if it is another.",
    ]


def test_same_event_twice_is_noted(folder):
    """An event is told by field, part, day and kind."""
    told = folder.told("events.csv", "field,date,event\nnorth,2016-04-10,tilled\nnorth,2016-04-10,tilled\n")
    assert told == [
        "note events.csv, row 3, column event = tilled: told twice, with the same values; delete one of the two."
    ]
    assert [type(record) for record in folder.read()["events.csv"].records] == [Event]


def test_planting_told_in_two_files(folder):
    """The outline file and plantings.csv may say the same; where they differ the row is left out."""
    folder.write("fields.geojson", folder.outlines(folder.feature("north", plantings=[{"planted": "2016-04-28"}])))
    assert folder.told("plantings.csv", "field,planted\nnorth,2016-04-28\n") == [
        "note plantings.csv, row 2, column field = north: told twice, with the same values; delete one of the two."
    ]
    assert folder.told("plantings.csv", "field,planted\nnorth,2016-04-29\n") == [
        "refused plantings.csv, row 2, column field = north: told twice with different values (also told elsewhere); "
        "keep the right one, delete the other."
    ]
    reads = folder.read()
    assert [str(one.planted) for one in reads["fields.geojson"].records if isinstance(one, Planting)] == ["2016-04-28"]
    assert reads["plantings.csv"].records == ()


def test_reading_a_folder_twice_gives_the_same(folder):
    """Taking the same folder in twice must change nothing in the store."""
    folder.write("plantings.csv", "field,planted\nnorth,2016-04-28\n")
    folder.write("events.csv", "field,date,event\nnorth,2016-05-01,planted\nsouth,2016-05-02,planted\n")
    assert folder.read() == folder.read()
    told = [one for read in folder.read().values() for one in read.records if isinstance(one, Planting)]
    assert len({one.id for one in told}) == len(told) == 2


NEW_EVENTS = [
    ("hailed", "hail"), ("standing water", "ponding"), ("flooded", "ponding"), ("drained", "water gone"),
    ("sandblasted", "wind"), ("froze", "frost"), ("crusted", "crust"), ("bait stations", "baits set"),
]  # fmt: skip


@pytest.mark.parametrize(("word", "ours"), NEW_EVENTS)
def test_weather_that_hurt_is_an_event(folder, word, ours):
    """What hail, water, wind or frost did makes a look; the words people use for it are read, and said once."""
    assert folder.told("events.csv", f"field,date,event\nnorth,2016-05-10,{word}\nsouth,2016-05-10,{ours}\n") == [
        f"note events.csv, row 2, column event = {word}: read as {ours!r}; nothing, or say what it means under [values.events] in season.toml."
    ]
    assert [(one.what, one.cover, one.hours) for one in folder.read()["events.csv"].records] == [(ours, None, None)] * 2


def test_hours_of_water_and_frost(folder):
    """How long water stood decides whether young corn lived."""
    rows = "north,2016-05-10,ponding,2 days,\nnorth,2016-05-11,frost,6,\nsouth,2016-05-12,hail,3,dense\n"
    assert folder.told("events.csv", "field,date,event,hours,cover\n" + rows) == [
        "note events.csv, row 4, column cover = dense: not read beside hail; write the cover in a row of its own: weeds seen.",
        "note events.csv, row 4, column hours = 3: not read beside hail; hours go with ponding, water gone, frost.",
    ]
    told = [(one.what, one.hours, one.cover) for one in folder.read()["events.csv"].records]
    assert told == [("ponding", 48.0, None), ("frost", 6.0, None), ("hail", None, None)]


def test_hours_that_cannot_be_read(folder):
    """A guess at them would be worse than none."""
    assert folder.told("events.csv", "field,date,event,hours\nnorth,2016-05-10,ponding,long\n") == [
        "refused events.csv, row 2, column hours = long: not a number of hours; write it like 24, 24 h or 2 days."
    ]


def test_cover_beside_planted_is_noted(folder):
    """The date counts; what stood there that day is another event."""
    assert folder.told("events.csv", "field,date,event,cover,hours\nnorth,2016-05-10,planted,dense,3\n") == [
        "note events.csv, row 2, column cover = dense: not read beside planted; write the cover in a row of its own: weeds seen.",
        "note events.csv, row 2, column hours = 3: not read beside planted; hours go with ponding, water gone, frost.",
    ]


def test_seeds_per_ha_are_read_beside_seeds_per_acre() -> None:
    """A bare number is per acre; /ha says per hectare and is kept to the last digit."""
    assert seeds_per_ha("80000/ha") == 80000.0
    assert seeds_per_ha("34000") == pytest.approx(84015.8, abs=0.1)
    with pytest.raises(UnreadableError, match="not a number; write a plain number such as 12"):
        seeds_per_ha("many/ha")
