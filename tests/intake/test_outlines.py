"""Outlines: shape, place, size, ids."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

import pytest

from springwalk.intake import Known
from springwalk.records import Field

BOW = [[-96.86, 40.69], [-96.85, 40.70], [-96.85, 40.69], [-96.86, 40.70], [-96.86, 40.69]]
LINE = [[-96.86, 40.69], [-96.85, 40.70], [-96.84, 40.71], [-96.86, 40.69]]


def test_area_is_geodesic_with_holes_taken_off(folder):
    """0.01° of latitude here is 1110.4 m and of longitude 845.3 m (WGS 84): 93.86 ha, whichever way the ring runs."""
    hole = folder.square(-96.858, 40.692, 0.002)
    whole = folder.feature("whole")
    holed = folder.feature("holed")
    holed["geometry"]["coordinates"].append(hole)
    turned = folder.feature("turned", folder.square()[::-1])
    folder.write("fields.geojson", folder.outlines(whole, holed, turned))
    fields = {field.id: field for field in folder.read()["fields.geojson"].records}
    assert fields["whole"].area_ha == pytest.approx(93.86, abs=0.05)
    assert fields["turned"].area_ha == pytest.approx(fields["whole"].area_ha, rel=1e-9)
    assert fields["holed"].area_ha == pytest.approx(fields["whole"].area_ha * 0.96, rel=1e-3)
    assert (fields["whole"].latitude, fields["whole"].longitude) == pytest.approx((40.695, -96.855))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("{", "refused fields.geojson, line 1, character 2 = (blank): not JSON (Expecting property name enclosed in "
              "double quotes); export it again as GeoJSON."),
        ("[NaN]", "refused fields.geojson, text = [NaN]: not JSON that can be read; export it again as GeoJSON."),
        ("[" * 100_000, "refused fields.geojson, text = " + "[" * 20 + ": not JSON that can be read; export it again as GeoJSON."),
        ("{}", "refused fields.geojson, type = None: not a FeatureCollection with a list of features; "
               "export all fields as one GeoJSON FeatureCollection."),
        ('{"type":"FeatureCollection","features":[]}', "note fields.geojson, features = 0: no outlines yet; add the fields."),
        ('{"type":"FeatureCollection","features":[3]}',
         "refused fields.geojson, feature 1: type = int: not a Feature; export it again as GeoJSON."),
    ],
)  # fmt: skip
def test_fault_texts_of_outline_files(folder, text, expected):
    """A file that is no collection of outlines is told apart from one that is empty."""
    assert folder.told("fields.geojson", text) == [expected]


@pytest.mark.parametrize(
    ("ring", "expected"),
    [
        (BOW, "refused fields.geojson, feature 1 (a): geometry = outline: the outline crosses itself at longitude "
              "-96.855000, latitude 40.695000; move the corner there so that no side crosses another."),
        (LINE, "refused fields.geojson, feature 1 (a): geometry = outline: the outline has no area (its corners lie on "
               "one line); draw it again."),
        ([[-96.8, 40.7], [-96.9, 40.7]], "refused fields.geojson, feature 1 (a): geometry = Polygon: a ring has fewer "
                                         "than three corners; draw it again."),
        ([[-96.8, "40"]], "refused fields.geojson, feature 1 (a): geometry = Polygon: a position holds something that is "
                          "not a number in degrees; export it again as GeoJSON."),
        ([[[-96.8]]], "refused fields.geojson, feature 1 (a): geometry = Polygon: a position holds something that is "
                      "not a number in degrees; export it again as GeoJSON."),
        ([[700000.0, 4500000.0], [700100.0, 4500000.0], [700100.0, 4500100.0]],
         "refused fields.geojson, feature 1 (a): geometry = 700067, 4.50003e+06: not longitude and latitude in degrees; "
         "export it again in WGS 84 (EPSG:4326)."),
    ],
)  # fmt: skip
def test_fault_texts_of_outlines(folder, ring, expected):
    """An outline that can't be a field is refused with the place to look at."""
    if ring == [[[-96.8]]]:
        ring = [[[-96.8], [40]]]
    assert folder.told("fields.geojson", folder.outlines(folder.feature("a", ring))) == [expected]


@pytest.mark.parametrize(
    ("geometry", "expected"),
    [
        (None, "geometry = none: the feature has no geometry; draw its outline again."),
        ({"type": "Point", "coordinates": [1, 2]}, "geometry = Point: not a Polygon or MultiPolygon; draw the field as an area."),
        ({"type": "Polygon", "coordinates": []}, "geometry = Polygon: the outline is empty; draw it again."),
        ({"type": "MultiPolygon", "coordinates": [[]]}, "geometry = MultiPolygon: a part of the outline is empty; draw it again."),
        ({"type": "Polygon", "coordinates": [[]]}, "geometry = Polygon: a ring is empty; draw it again."),
    ],
)  # fmt: skip
def test_fault_texts_of_geometries(folder, geometry, expected):
    """Geometries of other kinds, or with nothing in them."""
    told = folder.outlines({"type": "Feature", "properties": {"id": "a"}, "geometry": geometry})
    assert folder.told("fields.geojson", told) == ["refused fields.geojson, feature 1 (a): " + expected]


def test_open_ring_is_closed_and_said(folder):
    """Closing a ring changes what was written, so it is noted."""
    (fault,) = folder.told("fields.geojson", folder.outlines(folder.feature("a", folder.square()[:-1])))
    assert fault == (
        "note fields.geojson, feature 1 (a): geometry = 1 open ring: the last point is not the first; "
        "the ring was closed; check the outline."
    )
    (field,) = folder.read()["fields.geojson"].records
    assert field.outline["coordinates"][0][0] == field.outline["coordinates"][0][-1]


def test_id_is_needed_and_may_stand_beside_the_properties(folder):
    """GeoJSON allows a feature's id outside its properties; numbers are ids too."""
    told = folder.told("fields.geojson", folder.outlines(folder.feature(None)))
    assert told == [
        "refused fields.geojson, id = (blank): 1 of 1 outline has no id; properties found: none; "
        "give each field an id that stays the same through the season."
    ]
    folder.write("fields.geojson", folder.outlines({**folder.feature(None), "id": 7}))
    assert folder.read()["fields.geojson"].records[0].id == "7"


def test_doubled_ids_are_both_refused_unless_the_same(folder):
    """Nobody but the user can tell which outline is right."""
    text = folder.outlines(folder.feature("a"), folder.feature("a", folder.square(lat=40.71)))
    assert folder.told("fields.geojson", text) == [
        f"refused fields.geojson, feature {n} (a): id = a: told twice with different values (also told elsewhere); "
        "keep the right one, delete the other."
        for n in (1, 2)
    ]
    text = folder.outlines(folder.feature("a"), folder.feature("a"))
    assert folder.told("fields.geojson", text) == [
        "note fields.geojson, feature 2 (a): id = a: told twice, with the same values; delete one of the two."
    ]
    assert len(folder.read()["fields.geojson"].records) == 1


@pytest.mark.parametrize("lon", [-96.86, -84.5])
def test_swapped_positions_are_held_back_and_repaired_when_told(folder, lon):
    """East of 90° W a swapped outline still looks like degrees: then only where it lies tells."""
    folder.write("season.toml", folder.season + folder.station.replace("-96.85", str(lon)))
    folder.write("weather/yard.csv", folder.csv(folder.days()))
    turned = [[lat, lon] for lon, lat in folder.square(lon)]
    (fault,) = folder.told("fields.geojson", folder.outlines(folder.feature("a", turned)))
    assert fault == (
        f"refused fields.geojson, feature 1 (a): geometry = 40.695, {lon + 0.005:g}: longitude and latitude are exchanged; "
        "export it again, or: springwalk intake FOLDER --repair fields.geojson:swap."
    )
    assert folder.read()["fields.geojson"].records == ()
    read = folder.read(repairs={"fields.geojson": "swap"})["fields.geojson"]
    assert [round(field.latitude, 3) for field in read.records] == [40.695]
    assert str(read.faults[0]).endswith("longitude and latitude were exchanged, as told; mend the file too.")


def test_all_outlines_exchanged_and_no_station(folder):
    """East of 90° W such a file is a sound map of a piece of Antarctica: only where corn grows can tell."""
    turned = [[[lat, lon] for lon, lat in folder.square(-84.5, lat=lat)] for lat in (40.69, 40.72)]
    text = folder.outlines(*(folder.feature(name, ring) for name, ring in zip("ab", turned, strict=True)))
    told = folder.told("fields.geojson", text)
    assert told == [
        f"refused fields.geojson, feature {n} ({name}): geometry = {place}: longitude and latitude are exchanged; "
        "export it again, or: springwalk intake FOLDER --repair fields.geojson:swap."
        for n, name, place in ((1, "a", "40.695, -84.495"), (2, "b", "40.725, -84.495"))
    ]
    assert folder.read(repairs={"fields.geojson": "as-is"})["fields.geojson"].records == ()
    swapped = folder.read(repairs={"fields.geojson": "swap"})["fields.geojson"].records
    assert [round(field.latitude, 3) for field in swapped] == [40.695, 40.725]


def test_outlines_where_no_corn_grows(folder):
    """Beyond 60° of latitude something is wrong with the map, unless a person says otherwise."""
    ask = "springwalk intake FOLDER --repair fields.geojson:"
    far = folder.outlines(folder.feature("a", folder.square(lon=80.0, lat=65.0)))
    assert folder.told("fields.geojson", far) == [
        "suspected fields.geojson, feature 1 (a): geometry = 80.005, 65.005: beyond 60° of latitude, where no corn grows; "
        f"the outline is held back; correct it; if it is right: {ask}as-is."
    ]
    assert len(folder.read(repairs={"fields.geojson": "as-is"})["fields.geojson"].records) == 1
    turned = folder.outlines(folder.feature("a", folder.square(lon=45.0, lat=65.0)))
    assert folder.told("fields.geojson", turned) == [
        "suspected fields.geojson, feature 1 (a): geometry = 45.005, 65.005: longitude and latitude look exchanged; "
        f"the outline is held back; if so: {ask}swap; if it is right: {ask}as-is."
    ]


def test_fields_held_at_the_wrong_place_do_not_make_right_ones_far(folder):
    """A store that once took exchanged outlines must not turn away the corrected file."""
    known = Known(places=((-84.5, 40.69),))
    assert folder.told("fields.geojson", folder.outlines(folder.feature("a", folder.square(-84.5))), known=known) == []


def test_swap_leaves_right_outlines_alone(folder):
    """The repair is for the suspected outlines of the file, not for all."""
    turned = [[lat, lon] for lon, lat in folder.square(lat=40.75)]
    folder.write(
        "fields.geojson", folder.outlines(folder.feature("a"), folder.feature("b"), folder.feature("c", turned))
    )
    fields = folder.read(repairs={"fields.geojson": "swap"})["fields.geojson"].records
    assert [round(field.latitude, 3) for field in fields] == [40.695, 40.695, 40.755]


def test_far_and_oversized_outlines_wait_for_a_word(folder):
    """A field 1,000 km away or of 9,000 ha is likelier a slip than a field."""
    known = Known(places=((40.7, -96.85),))
    far = folder.outlines(folder.feature("far", folder.square(-85.0)))
    (fault,) = folder.told("fields.geojson", far, known=known)
    assert fault.startswith(
        "suspected fields.geojson, feature 1 (far): geometry = -84.995, 40.695: 1001 km from the other fields and stations;"
    )
    assert fault.endswith(
        "the outline is held back; correct it; if it is right: springwalk intake FOLDER --repair fields.geojson:as-is."
    )
    big = folder.outlines(folder.feature("big", folder.square(size=0.1)))
    (fault,) = folder.told("fields.geojson", big)
    assert fault.startswith("suspected fields.geojson, feature 1 (big): area = 93")
    assert "ha: over 2000 ha, larger than a field; the outline is held back; draw the field alone;" in fault
    assert folder.told("fields.geojson", big, repairs={"fields.geojson": "as-is"}) == []
    assert len(folder.read(repairs={"fields.geojson": "as-is"})["fields.geojson"].records) == 1


def test_second_outline_file_may_not_repeat_an_id(folder):
    """Field ids are one list over all outline files."""
    folder.write("season.toml", folder.season + '[files]\nfields = ["fields.geojson", "more.geojson"]\n')
    assert folder.told("more.geojson", folder.outlines(folder.feature("north"), folder.feature("west"))) == [
        "refused more.geojson, feature 1 (north): id = north: another outline file has this id; give each field its own id."
    ]
    assert [type(record) for record in folder.read()["more.geojson"].records] == [Field]
