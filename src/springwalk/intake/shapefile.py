"""Outlines as a shapefile, zipped or loose: its records become the GeoJSON that ``outlines`` reads.

Parts of a shapefile: ESRI Shapefile Technical Description (1998). Names inside a zip only tell the layers and the
kind of each part; nothing is ever written to a path of that name.
"""

from __future__ import annotations

import hashlib
import io
import json
import math
import warnings
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from pathlib import Path
from typing import Any

import shapefile as pyshp
from pyproj import CRS, Transformer
from pyproj.exceptions import ProjError

from springwalk.intake.faults import FaultList, counted
from springwalk.intake.files import IN_SEASON, LIMIT_BYTES, NOT_READ, FileText, read_bytes, read_text
from springwalk.intake.rings import MOST_RINGS, group_rings
from springwalk.intake.zipped import PARTS, layer_of_zip, needed_parts

ZIPPED = (".zip", ".shz")
POLYGONS = frozenset((pyshp.POLYGON, pyshp.POLYGONZ, pyshp.POLYGONM))
WGS84 = 4326
EXPORT = "export the layer again as a zipped shapefile or GeoJSON in WGS 84"
ENCODINGS = {"utf8": "utf-8", "65001": "utf-8", "ansi1252": "cp1252", "1252": "cp1252", "ansi": "cp1252"}
CODE_PAGES = {
    0x01: "cp437",
    0x02: "cp850",
    0x03: "cp1252",
    0x57: "cp1252",
    0x64: "cp852",
    0xC8: "cp1250",
    0xC9: "cp1251",
}
"""Language byte of a .dbf header to encoding (xBase file format, memory)."""
MOST_OUTLINES = 200_000
_LANGUAGE_BYTE = 29
_HEADER, _RECORD_HEAD = 100, 8
"""Bytes of the .shp before its first record, and before what each record holds."""
Positions = list[list[float | None]]


def is_shapefile(name: str) -> bool:
    """Whether a file's name says shapefile or zipped shapefile."""
    return name.casefold().endswith((*ZIPPED, ".shp"))


def read_outline_file(
    path: Path, faults: FaultList, *, limit_bytes: int = LIMIT_BYTES, named: str = IN_SEASON
) -> FileText:
    """An outline file as GeoJSON text: a shapefile is turned into it, anything else is its own text.

    Coordinates come out in WGS 84 degrees. A layer that can't be read is listed in ``faults`` as one fault; a record
    without an area stays in the text, so that it is counted and refused where outlines are.
    """
    if not is_shapefile(path.name):
        return read_text(path, faults, limit_bytes=limit_bytes, named=named)
    file = read_bytes(path, faults, limit_bytes=limit_bytes, named=named)
    if file.data is None:
        return NOT_READ
    if path.name.casefold().endswith(ZIPPED):
        parts, sha256 = layer_of_zip(file.data, faults, limit_bytes), file.sha256
    else:
        parts = _beside(path, faults, limit_bytes)
        sha256 = hashlib.sha256(b"".join(parts[suffix] for suffix in sorted(parts))).hexdigest() if parts else ""
    text = None if parts is None else _text(parts, faults)
    return FileText(text, sha256 or file.sha256)


def _beside(path: Path, faults: FaultList, limit_bytes: int) -> dict[str, bytes] | None:
    """The parts of a loose shapefile: files of the same stem, whatever the case of their endings."""
    parts = {}
    for found in sorted(path.parent.iterdir()):
        suffix = found.suffix.casefold()
        if found.stem == path.stem and suffix in PARTS and suffix not in parts:
            data = read_bytes(found, faults, limit_bytes=limit_bytes).data
            if data is None:
                return None
            parts[suffix] = data
    return needed_parts(parts, faults)


def _text(parts: Mapping[str, bytes], faults: FaultList) -> str | None:
    """The layer as GeoJSON text, or None with its one fault listed."""
    outlines, rows = _count(parts[".shp"]), int.from_bytes(parts[".dbf"][4:8], "little")
    if outlines != rows:
        rule = f"the .shp holds {outlines}, the .dbf has {rows} {counted(rows, 'row')}: not parts of one whole layer"
        faults.not_read(0, "outlines", outlines, rule, EXPORT)
        return None
    if outlines > MOST_OUTLINES:
        rule = f"more than {MOST_OUTLINES} outlines in one layer"
        faults.not_read(0, "outlines", outlines, rule, "export the fields of this season alone")
        return None
    places = _places(parts, faults)
    if places is None:
        return None
    for encoding, sure in _encodings(parts):
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")  # a library's warning is no fault; what matters is refused below
                features = list(_features(parts, encoding, places, faults))
        except Exception as error:  # whatever a broken layer makes the library raise
            if isinstance(error, UnicodeError) or "decode" in str(error):  # the library turns one into the other
                continue
            rule = f"not a shapefile that can be read ({type(error).__name__})"
            faults.not_read(0, "shapefile", _one_line(error), rule, EXPORT)
            return None
        if not sure:
            rule = "nothing tells the encoding of the table; this one was taken"
            faults.note(0, "encoding", encoding, rule, "check the names; export with a .cpg file if one is wrong")
        if features and places.assumed:
            rule = "the layer has no .prj; the coordinates look like degrees and are taken as WGS 84"
            faults.note(0, "coordinates", "degrees", rule, "check where the outlines lie; export with the .prj")
        return json.dumps({"type": "FeatureCollection", "features": features})
    rule = f"the names can't be read as {', '.join(name for name, _ in _encodings(parts))}"
    faults.not_read(0, "encoding", "(unreadable)", rule, "export again as UTF-8, with its .cpg file")
    return None


def _one_line(error: Exception) -> str:
    return " ".join(str(error).split())


@dataclass(frozen=True)
class _Places:
    """How a layer's coordinates become longitude and latitude; ``assumed`` where no .prj says what they are."""

    to_degrees: Callable[[float, float], tuple[float, float]]
    assumed: bool = False


def _places(parts: Mapping[str, bytes], faults: FaultList) -> _Places | None:
    told = parts.get(".prj", b"").decode("utf-8-sig", errors="replace").strip().strip("\0")
    if not told:
        return _assumed(parts, faults)
    try:
        system = CRS.from_wkt(told)
        turn = Transformer.from_crs(system, WGS84, always_xy=True)
    except ProjError:
        rule = "the .prj names a coordinate system that can't be read"
        faults.not_read(0, ".prj", told, rule, "export the layer again in WGS 84 (EPSG:4326)")
        return None

    def to_degrees(x: float, y: float) -> tuple[float, float]:
        longitude, latitude = turn.transform(x, y)
        return float(longitude), float(latitude)

    return _Places(to_degrees)


def _assumed(parts: Mapping[str, bytes], faults: FaultList) -> _Places | None:
    """Degrees, where most corners of the layer could be degrees; else one fault."""
    fitting = total = 0
    try:
        reader = pyshp.Reader(shp=io.BytesIO(parts[".shp"]))
    except Exception:  # a broken heading: told once, where the records are read
        return _Places(lambda x, y: (x, y), assumed=True)
    for at in range(_count(parts[".shp"])):
        points = getattr(_shape(reader, at), "points", [])
        total += len(points)
        fitting += sum(abs(point[0]) <= 180 and abs(point[1]) <= 90 for point in points)
    if total and fitting * 2 < total:
        rule = "the layer has no .prj, and its coordinates are no degrees"
        faults.not_read(0, ".prj", "", rule, "put the .prj in the zip too, or export again in WGS 84 (EPSG:4326)")
        return None
    return _Places(lambda x, y: (x, y), assumed=True)


def _encodings(parts: Mapping[str, bytes]) -> list[tuple[str, bool]]:
    """Encodings to try for the table, each with whether the layer itself names it."""
    named = parts.get(".cpg", b"")[:40].decode("ascii", errors="ignore").strip().casefold()
    if named:
        plain = named.replace("-", "").replace("_", "").replace(" ", "")
        encoding = ENCODINGS.get(plain, named)
        try:
            "".encode(encoding)
            return [(encoding, True)]
        except (LookupError, ValueError):
            pass
    table = parts[".dbf"]
    language = CODE_PAGES.get(table[_LANGUAGE_BYTE]) if len(table) > _LANGUAGE_BYTE else None
    known = [(language, True)] if language else []
    plain_text = all(byte < 128 for byte in table[table.find(b"\r") :])
    return [("utf-8", True), *known] if plain_text else [("utf-8", True), *known, ("cp1252", False)]


def _features(
    parts: Mapping[str, bytes], encoding: str, places: _Places, faults: FaultList
) -> Iterator[dict[str, Any]]:
    reader = pyshp.Reader(shp=io.BytesIO(parts[".shp"]), dbf=io.BytesIO(parts[".dbf"]), encoding=encoding)
    rows = reader.records(deleted_as_None=True)
    shapes = [_shape(reader, at) for at in range(len(rows))]
    for number, (shape, row) in enumerate(zip(shapes, rows, strict=True), start=1):
        if row is None:
            faults.note(0, f"record {number}", "deleted", "marked as deleted in the table; it is not read", "nothing")
            continue
        properties = {name: _value(value) for name, value in row.as_dict().items()}
        yield {"type": "Feature", "properties": properties, "geometry": _geometry(shape, places)}


def _count(outlines: bytes) -> int:
    """How many records the .shp holds, by the lengths that stand before each (in words of two bytes)."""
    at, count = _HEADER, 0
    while at + _RECORD_HEAD <= len(outlines):
        at += _RECORD_HEAD + 2 * int.from_bytes(outlines[at + 4 : at + 8], "big")
        count += 1
    return count


def _shape(reader: pyshp.Reader, at: int) -> Any:
    """One outline; what can't be read as one stays a record, to be refused alone."""
    try:
        return reader.shape(at)
    except Exception:  # whatever broken numbers make the library raise
        return None


def _value(value: Any) -> Any:
    """A cell of the table as JSON can hold it; blank and no number are None."""
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, bytes):
        return value.decode("utf-8", errors="replace").strip()
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value.strip() if isinstance(value, str) else value


def _geometry(shape: Any, places: _Places) -> dict[str, Any] | None:
    """A GeoJSON geometry of one record: None for a null shape, only the kind for what is no area."""
    if shape is None:
        return {"type": "broken", "coordinates": []}
    if shape.shapeType == pyshp.NULL:
        return None
    if shape.shapeType not in POLYGONS:
        return {"type": str(shape.shapeTypeName).capitalize(), "coordinates": []}
    starts = [*shape.parts, len(shape.points)]
    rings = [[(point[0], point[1]) for point in shape.points[first:last]] for first, last in pairwise(starts)]
    rings = [ring for ring in rings if ring]
    if len(rings) > MOST_RINGS:
        return {"type": f"{len(rings)} rings", "coordinates": []}
    polygons = [[_turned(ring, places) for ring in group] for group in group_rings(rings)]
    if len(polygons) == 1:
        return {"type": "Polygon", "coordinates": polygons[0]}
    return {"type": "MultiPolygon", "coordinates": polygons}


def _turned(ring: list[tuple[float, float]], places: _Places) -> Positions:
    """A ring in degrees; a corner that the coordinate system can't place is None, and refused with its outline."""
    turned = [places.to_degrees(x, y) for x, y in ring]
    return [[each if math.isfinite(each) else None for each in position] for position in turned]
