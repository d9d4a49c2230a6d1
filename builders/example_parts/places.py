"""Outlines on a section grid, as GeoJSON."""

from __future__ import annotations

import json
import math
from typing import Any

from example_parts.files import table

SOUTH_WEST = (40.6600, -96.9000)  # latitude and longitude of the corner of section 0, 0
SECTION_M = 1609.344
EIGHTH_M = SECTION_M / 8
ROAD_M = 6.0  # from the line to the edge of the crop
WATERWAY_M = 15.0  # half width of the grass between two pieces
Ring = list[tuple[float, float]]

_PHI = math.radians(40.69)
# Length of a degree on the WGS 84 ellipsoid at 40.69° N (series in cosines of latitude), in m.
LATITUDE_M = 111132.92 - 559.82 * math.cos(2 * _PHI) + 1.175 * math.cos(4 * _PHI)
LONGITUDE_M = 111412.84 * math.cos(_PHI) - 93.5 * math.cos(3 * _PHI)


def _box(x0: float, y0: float, x1: float, y1: float) -> Ring:
    """The corners of a rectangle, counter-clockwise."""
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def _l_shape(x0: float, y0: float, x1: float, y1: float, cut: str) -> Ring:
    """A rectangle without the quarter at corner ``cut`` (ne, nw, se)."""
    mx, my = (x0 + x1) / 2, (y0 + y1) / 2
    notch = {
        "ne": [(x0, y0), (x1, y0), (x1, my), (mx, my), (mx, y1), (x0, y1)],
        "nw": [(x0, y0), (x1, y0), (x1, y1), (mx, y1), (mx, my), (x0, my)],
        "se": [(x0, y0), (mx, y0), (mx, my), (x1, my), (x1, y1), (x0, y1)],
    }
    return notch[cut]


def _creek(x0: float, y0: float, x1: float, y1: float) -> Ring:
    """A rectangle whose east edge follows a winding creek."""
    edge = []
    for k in range(1, 12):
        share = k / 12
        edge.append((x1 - 28.0 - 22.0 * math.sin(7.0 * share) - 9.0 * math.cos(17.0 * share), y0 + share * (y1 - y0)))
    return [(x0, y0), (x1, y0), *edge, (x1, y1), (x0, y1)]


def _pieces(shape: str, box: tuple[float, float, float, float]) -> list[Ring]:
    """The open rings of a field in metres; two for a field parted by a waterway."""
    x0, y0, x1, y1 = box
    kind, _, corner = shape.partition(" ")
    if kind == "L":
        return [_l_shape(*box, corner)]
    if kind == "creek":
        return [_creek(*box)]
    if kind == "two":
        part = x0 + 0.55 * (x1 - x0)
        return [_box(x0, y0, part - WATERWAY_M, y1), _box(part + WATERWAY_M, y0, x1, y1)]
    return [_box(*box)]


def _degrees(ring: Ring) -> list[list[float]]:
    """A closed ring as longitude and latitude, to about 0.1 m."""
    closed = [*ring, ring[0]]
    return [[round(SOUTH_WEST[1] + x / LONGITUDE_M, 6), round(SOUTH_WEST[0] + y / LATITUDE_M, 6)] for x, y in closed]


def outline(row: dict[str, str]) -> dict[str, Any]:
    """The GeoJSON geometry of one row of tables/fields.csv."""
    east, north = int(row["east"]) * SECTION_M, int(row["north"]) * SECTION_M
    box = (
        east + int(row["x0"]) * EIGHTH_M + ROAD_M,
        north + int(row["y0"]) * EIGHTH_M + ROAD_M,
        east + int(row["x1"]) * EIGHTH_M - ROAD_M,
        north + int(row["y1"]) * EIGHTH_M - ROAD_M,
    )
    rings = [[_degrees(ring)] for ring in _pieces(row["shape"], box)]
    if len(rings) == 1:
        return {"type": "Polygon", "coordinates": rings[0]}
    return {"type": "MultiPolygon", "coordinates": rings}


def _soil(row: dict[str, str]) -> dict[str, Any]:
    """Texture, crop before and history of a field; what nobody told is left out."""
    told: dict[str, Any] = {name: row[name] for name in ("texture", "previous_crop") if row[name]}
    return told | ({"history": row["history"].split("; ")} if row["history"] else {})


def fields_geojson() -> str:
    """All outlines as one FeatureCollection, one feature a line."""
    lines = []
    for row in table("fields.csv"):
        properties = {
            "id": row["id"],
            "name": row["name"],
            "grower": row["grower"],
            "note": f"invented: {row['note']}",
        } | _soil(row)
        feature = {"type": "Feature", "properties": properties, "geometry": outline(row)}
        lines.append(json.dumps(feature, ensure_ascii=False))
    return '{"type": "FeatureCollection", "features": [\n' + ",\n".join(lines) + "\n]}\n"
