"""Outlines as a shapefile: zipped or loose, in any coordinate system, one layer at a time."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

import io
import zipfile

import pytest

from tests.intake.shapefiles import UTM14, in_utm14, parts, ring, zipped

ROWS = [
    ("a", [ring()]),
    ("b", [ring(lat=40.72), ring(-96.858, 40.722, 0.002, hole=True)]),
    ("c", [ring(lat=40.75, size=0.004), ring(lat=40.755, size=0.004)]),
]
NAMED = '[files]\nfields = "fields.zip"\n'


def read(folder, data, name="fields.zip"):
    """The FileRead of the outlines, season.toml naming them."""
    folder.write("season.toml", folder.season + f'[files]\nfields = "{name}"\n')
    folder.write(name, data)
    return folder.read()[name]


def told(folder, data, name="fields.zip"):
    """The faults as text."""
    return [f"{fault.severity} {fault}" for fault in read(folder, data, name).faults]


def test_a_zipped_shapefile_gives_the_fields_its_geojson_gives(folder):
    """Whichever form a mapping program writes, the same land must come out: area, hole and parts."""
    made = read(folder, zipped(parts(ROWS)))
    assert (made.faults, made.rows, made.left_out) == ((), 3, 0)
    features = [folder.feature(name, rings[0]) for name, rings in ROWS]
    features[1]["geometry"]["coordinates"].append(ROWS[1][1][1])
    features[2]["geometry"] = {"type": "MultiPolygon", "coordinates": [[one] for one in ROWS[2][1]]}
    folder.write("season.toml", folder.season)
    folder.write("fields.geojson", folder.outlines(*features))
    same = folder.read()["fields.geojson"].records
    assert [field.id for field in made.records] == ["a", "b", "c"]
    for one, other in zip(made.records, same, strict=True):
        assert one.area_ha == pytest.approx(other.area_ha, rel=1e-9)
        assert (one.latitude, one.longitude) == pytest.approx((other.latitude, other.longitude))
        assert one.outline["type"] == other.outline["type"]


def test_metres_become_degrees_by_the_prj(folder):
    """Most mapping programs export in metres: the .prj says which."""
    metres = parts([(name, [in_utm14(one) for one in rings]) for name, rings in ROWS])
    made = read(folder, zipped(metres, prj=UTM14))
    assert made.faults == ()
    assert [round(field.area_ha, 1) for field in made.records] == [93.9, 90.1, 30.0]
    assert made.records[0].latitude == pytest.approx(40.695, abs=1e-5)


def test_a_loose_shapefile_and_its_parts_in_the_folder(folder):
    """Unzipped parts are found by their stem, whatever the case of their endings."""
    for suffix, data in parts(ROWS).items():
        folder.write(f"Fields{suffix.upper()}", data)
    made = read(folder, parts(ROWS)[".shp"], "Fields.shp")
    assert len(made.records) == 3
    assert [fault.column for fault in made.faults] == ["coordinates"]


def test_names_in_an_older_encoding_are_read_by_the_cpg_or_said(folder):
    """A name must come out as it was typed; where nothing tells the encoding, that is said."""
    old = parts([("Ährenfeld", [ring()])], encoding="cp1252")
    made = read(folder, zipped(old, cpg=b"1252"))
    assert ([field.id for field in made.records], made.faults) == (["Ährenfeld"], ())
    made = read(folder, zipped(old))
    assert [field.id for field in made.records] == ["Ährenfeld"]
    assert [f"{fault.severity} {fault}" for fault in made.faults] == [
        "note fields.zip, encoding = cp1252: nothing tells the encoding of the table; this one was taken; "
        "check the names; export with a .cpg file if one is wrong."
    ]
    assert told(folder, zipped(old, cpg=b"UTF-8")) == [
        "refused fields.zip, encoding = (unreadable): the names can't be read as utf-8; export again as UTF-8, with its .cpg file."
    ]


def test_properties_are_renamed_as_for_geojson(folder):
    """season.toml names the user's own columns in the same way for both forms."""
    folder.write("fields.zip", zipped(parts([("x1", [ring()])], head="PARCEL", grower="A. Nobody")))
    folder.write("season.toml", folder.season + NAMED + '[columns.fields]\nid = "PARCEL"\n')
    (field,) = folder.read()["fields.zip"].records
    assert (field.id, field.grower) == ("x1", "A. Nobody")


def two_layers():
    """A zip with two layers."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as packed:
        for stem in ("fields", "roads"):
            for suffix, data in parts(ROWS).items():
                packed.writestr(f"export/{stem}{suffix}", data)
    return held.getvalue()


def bomb():
    """A small zip that would unpack to 80 MB."""
    return zipped({".shp": b"\0" * 80_000_000, ".dbf": b"\0" * 100})


METRES = parts([("a", [in_utm14(ring())])])
BROKEN = parts(ROWS)
BROKEN[".shp"] = BROKEN[".shp"][:144] + b"\xff\xff\xff\x7f" + BROKEN[".shp"][148:]
DELETED = parts(ROWS)
_FIRST = int.from_bytes(DELETED[".dbf"][8:10], "little")
DELETED[".dbf"] = DELETED[".dbf"][:_FIRST] + b"*" + DELETED[".dbf"][_FIRST + 1 :]


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        (two_layers(), "refused fields.zip, zip = export/fields, export/roads: several layers in one zip; zip the layer of the fields alone."),
        (zipped({}), "refused fields.zip, zip = (blank): no shapefile in the zip; zip .shp, .dbf and .prj of the layer together."),
        (b"PK\x03\x04", "refused fields.zip, zip = 4 bytes: not a whole zip file (File is not a zip file); zip the layer again."),
        (bomb(), "refused fields.zip, size = 80000245 bytes: unpacks to more than the limit of 67108864 bytes; nothing was read; "
                 "zip the layer of the fields alone."),
        (zipped({".shp": parts(ROWS)[".shp"]}), "refused fields.zip, shapefile = .dbf: the layer lacks this part, or it is empty; "
                                                "put .shp, .dbf and .prj of the layer together."),
        (zipped(METRES, prj=""), "refused fields.zip, .prj = (blank): the layer has no .prj, and its coordinates are no degrees; "
                                 "put the .prj in the zip too, or export again in WGS 84 (EPSG:4326)."),
        (zipped(METRES, prj="metres"), "refused fields.zip, .prj = metres: the .prj names a coordinate system that can't be read; "
                                       "export the layer again in WGS 84 (EPSG:4326)."),
        (zipped(parts(ROWS), prj=""), "note fields.zip, coordinates = degrees: the layer has no .prj; the coordinates look like degrees and "
                                      "are taken as WGS 84; check where the outlines lie; export with the .prj."),
        (zipped({**parts(ROWS), ".shp": parts(ROWS)[".shp"][:150]}),
         "refused fields.zip, outlines = 1: the .shp holds 1, the .dbf has 3 rows: not parts of one whole layer; export the layer again as a "
         "zipped shapefile or GeoJSON in WGS 84."),
        (zipped(parts([*ROWS, ("d", None)])), "refused fields.zip, feature 4 (d): geometry = none: the feature has no geometry; draw its outline again."),
        (zipped(BROKEN), "refused fields.zip, feature 1 (a): geometry = broken: not a Polygon or MultiPolygon; draw the field as an area."),
        (zipped(DELETED), "note fields.zip, record 1 = deleted: marked as deleted in the table; it is not read; nothing."),
    ],
    ids=["layers", "empty", "cut", "bomb", "no table", "no prj", "bad prj", "assumed", "parts differ", "null", "broken", "deleted"],
)  # fmt: skip
def test_fault_texts_of_shapefiles(folder, data, expected):
    """One cause is one fault, in words a person can act on."""
    assert told(folder, data) == [expected]


def test_points_are_refused_record_by_record(folder):
    """A layer of sampling points is no layer of fields, and says so for each."""
    import shapefile

    files = {name: io.BytesIO() for name in ("shp", "shx", "dbf")}
    with shapefile.Writer(**files, shapeType=shapefile.POINT) as writer:
        writer.field("ID", "C", 10)
        writer.point(-96.8, 40.7)
        writer.record("p1")
    made = read(folder, zipped({f".{name}": file.getvalue() for name, file in files.items()}))
    assert (made.rows, made.left_out) == (1, 1)
    assert str(made.faults[0]) == (
        "fields.zip, feature 1 (p1): geometry = Point: not a Polygon or MultiPolygon; draw the field as an area."
    )


@pytest.mark.parametrize("packing", [zipfile.ZIP_LZMA, zipfile.ZIP_BZIP2, zipfile.ZIP_DEFLATED])
def test_a_damaged_zip_of_any_packing_is_a_fault(folder, packing):
    """Each packing breaks in its own way; none of them may end the intake."""
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w", packing) as packed:
        for suffix, data in parts(ROWS).items():
            packed.writestr(f"layer{suffix}", data)
    good = whole.getvalue()
    assert read(folder, good).rows == 3
    for at in range(40, len(good) - 400, 97):
        damaged = good[:at] + bytes([good[at] ^ 0xFF]) + good[at + 1 :]
        made = read(folder, damaged)
        assert made.faults or made.rows == 3
