"""Properties of outlines as other programs name them, and rows that name fields their own way."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

import pytest

from springwalk.records import Field


def exported(folder, *properties: dict[str, object]) -> str:  # type: ignore[no-untyped-def]
    """Outlines with these properties."""
    rings = [folder.square(lat=40.60 + 0.02 * number) for number in range(len(properties))]
    features = [{**folder.feature("", ring), "properties": told} for ring, told in zip(rings, properties, strict=True)]
    return folder.outlines(*features)


@pytest.mark.parametrize(
    "told",
    [
        {"ID": 7, "Name": "Mill", "Grower": "A"},
        {"Field_ID": "7", "Field Name": "Mill", "Client": "A"},
        {"FieldID": "7", "FIELD": "Mill", "owner": "A", "Farm": ""},
    ],
)
def test_properties_in_any_case_and_by_plain_other_names(folder, told):
    """Mapping programs each have their own headings for the same three things."""
    assert folder.told("fields.geojson", exported(folder, told)) == []
    (field,) = folder.read()["fields.geojson"].records
    assert (field.id, field.name, field.grower) == ("7", "Mill", "A")


def test_properties_mapped_in_season_toml(folder):
    """Any heading will do once it is named; one named in vain is noted."""
    columns = '[columns.fields]\nid = "PARCEL"\nname = "Label"\nelevation = "Feet"\nnote = "Remarks"\n'
    folder.write("season.toml", folder.season + columns)
    told = folder.told("fields.geojson", exported(folder, {"id": "x", "parcel": "P1", "label": "Mill", "FEET": 1000}))
    assert told == [
        "note fields.geojson, columns.fields.note = Remarks: no outline has this property (properties found: id, parcel, label, FEET); "
        "correct the name in season.toml."
    ]
    (field,) = folder.read()["fields.geojson"].records
    assert (field.id, field.name, field.elevation_m) == ("P1", "Mill", pytest.approx(304.8))


def test_a_property_of_ours_that_does_not_exist(folder):
    """[columns.fields] takes only our names on the left."""
    folder.write("season.toml", folder.season + '[columns.fields]\nidd = "PARCEL"\n')
    assert folder.told("fields.geojson") == [
        "refused fields.geojson, columns.fields.idd = PARCEL: [columns.fields] in season.toml names a column not known here; "
        "did you mean 'id'? Correct it."
    ]


def test_outlines_without_ids_are_one_fault_that_says_what_could_serve(folder):
    """Thirty lines of 'id is needed' hide the one cause; names are never taken for ids unasked."""
    names = ("Mill", "Creek", "Hill")
    told = [{"OBJECTID": at, "Field Name": name, "Client": "A", "Crop": "corn"} for at, name in enumerate(names)]
    assert folder.told("fields.geojson", exported(folder, *told)) == [
        "refused fields.geojson, id = (blank): 3 of 3 outlines have no id; properties found: OBJECTID, Field Name, Client, Crop; "
        'write id = "Field Name" or id = "OBJECTID" under [columns.fields] in season.toml, or give each field an id that stays the same through the season.'
    ]
    read = folder.read()["fields.geojson"]
    assert (read.records, read.rows, read.left_out, read.faults[0].whole) == ((), 3, 3, True)
    folder.write("season.toml", folder.season + '[columns.fields]\nid = "Field Name"\n')
    assert [field.id for field in folder.read()["fields.geojson"].records] == ["Mill", "Creek", "Hill"]


def test_one_outline_without_an_id_leaves_the_others(folder):
    """Good rows are kept."""
    assert folder.told("fields.geojson", exported(folder, {"id": "a"}, {"name": "Mill"})) == [
        "refused fields.geojson, id = (blank): 1 of 2 outlines has no id (first: feature 2); properties found: id, name; "
        "give each field an id that stays the same through the season."
    ]
    read = folder.read()["fields.geojson"]
    assert ([type(record) for record in read.records], read.rows, read.left_out) == ([Field], 2, 1)


def test_rows_name_a_field_by_its_id_in_any_case_or_by_its_name(folder):
    """The scout's table says 'Mill field', the map says m-1."""
    folder.write(
        "fields.geojson", exported(folder, {"id": "M-1", "name": "Mill field"}, {"id": "c-2", "name": "Creek"})
    )
    assert folder.told("plantings.csv", "field,planting\nm-1,1\nmill FIELD,2\nC-2,1\ncreek,2\n") == []
    assert [one.id for one in folder.read()["plantings.csv"].records] == ["M-1/1", "M-1/2", "c-2/1", "c-2/2"]


def test_a_name_of_two_fields_is_not_guessed(folder):
    """Home quarters are many."""
    folder.write("fields.geojson", exported(folder, {"id": "a", "name": "Home"}, {"id": "b", "name": "home"}))
    assert folder.told("plantings.csv", "field\nHome\n") == [
        "refused plantings.csv, row 2, column field = Home: 2 fields are called so (a, b); write the id of the one meant."
    ]


def test_rows_of_fields_whose_outlines_were_not_read_are_one_fault(folder):
    """The cause is the outline file: it is named, and the rows are counted, not listed."""
    folder.write("season.toml", folder.season + '[files]\nfields = ["fields_export.geojson"]\n')
    folder.write("fields_export.geojson", exported(folder, {"Field Name": "Mill"}, {"Field Name": "Creek"}))
    rows = "".join(f"F{number}\n" for number in range(30))
    assert folder.told("plantings.csv", "field\n" + rows) == [
        "refused plantings.csv, field = F0, F1, F2 and 27 more: 30 rows name fields that have no outline (first: rows 2, 3, 4); "
        "the outlines in fields_export.geojson were not read: correct those first."
    ]
    read = folder.read()["plantings.csv"]
    assert (read.rows, read.left_out, read.faults[0].rows) == (30, 30, 30)


def test_rows_of_fields_where_nothing_is_outlined_yet(folder):
    """A newcomer may begin with the table."""
    folder.write("fields.geojson", folder.outlines())
    assert folder.told("plantings.csv", "field\nnorth\n") == [
        "refused plantings.csv, field = north: 1 row names fields that have no outline (first: row 2); "
        "there are no outlines yet: put them in fields.geojson."
    ]


def test_an_unknown_field_points_to_the_real_outline_file(folder):
    """The default's name would send them to a file they don't have."""
    folder.write("season.toml", folder.season + '[files]\nfields = ["map.geojson"]\n')
    folder.write("map.geojson", exported(folder, {"id": "m"}))
    assert folder.told("plantings.csv", "field\nzzz\n") == [
        "refused plantings.csv, row 2, column field = zzz: no field has this id or name; add its outline to map.geojson (there are: m)."
    ]


def test_soil_previous_crop_and_history(folder):
    """What draws a pest, and how wet ground dries, stands in the outline's own properties."""
    told = {"id": "a", "soil": "Silty clay loam", "Last crop": "Soybeans", "history": ["sod before", "nutsedge"]}
    other = {
        "id": "b",
        "Texture": "SL",
        "previous_crop": "corn",
        "HISTORY": "pasture; low wet ground;  ; nutsedge; sod before",
    }
    assert folder.told("fields.geojson", exported(folder, told, other)) == [
        "note fields.geojson, feature 2 (b): history = pasture: read as 'sod before'; nothing, or say what it means under "
        "[values.history] in season.toml."
    ]
    first, second = folder.read()["fields.geojson"].records
    assert (first.texture, first.previous_crop, first.history) == (
        "silt clay loam",
        "Soybeans",
        ("sod before", "nutsedge"),
    )
    assert (second.texture, second.previous_crop) == ("sandy loam", "corn")
    assert second.history == ("sod before", "low wet ground", "nutsedge")


def test_a_soil_not_known_here_is_noted_and_the_field_kept(folder):
    """A map unit's number in a property called soil must not cost the outline."""
    told = folder.told("fields.geojson", exported(folder, {"id": "a", "soil": 3864, "history": "gophers"}))
    assert [line.split(";")[0] for line in told] == [
        "note fields.geojson, feature 1 (a): texture = 3864: not on the list",
        "note fields.geojson, feature 1 (a): history = gophers: not on the list",
    ]
    assert (
        "write one of: sand, loamy sand, sandy loam, loam, silt loam, silt, silt clay loam, silty clay, clay" in told[0]
    )
    (field,) = folder.read()["fields.geojson"].records
    assert (field.texture, field.history) == (None, ())


def test_own_words_for_soil_and_history(folder):
    """Local names are mapped once."""
    folder.write(
        "season.toml", folder.season + '[values.texture]\n3864 = "loam"\n[values.history]\ngophers = "sod before"\n'
    )
    assert folder.told("fields.geojson", exported(folder, {"id": "a", "soil": 3864, "history": "gophers"})) == []
    (field,) = folder.read()["fields.geojson"].records
    assert (field.texture, field.history) == ("loam", ("sod before",))
