"""Made-up shapefiles for tests, zipped in memory."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Sequence
from typing import Any

import shapefile
from pyproj import CRS, Transformer

Ring = list[list[float]]
WGS84 = CRS.from_epsg(4326).to_wkt("WKT1_ESRI")
UTM14 = CRS.from_epsg(32614).to_wkt("WKT1_ESRI")


def ring(lon: float = -96.86, lat: float = 40.69, size: float = 0.01, *, hole: bool = False) -> Ring:
    """A closed square, clockwise as the format asks of outer rings; a hole runs the other way."""
    around = [[lon, lat], [lon, lat + size], [lon + size, lat + size], [lon + size, lat], [lon, lat]]
    return around[::-1] if hole else around


def in_utm14(told: Ring) -> Ring:
    """The ring in metres of UTM zone 14 north."""
    turn = Transformer.from_crs(4326, 32614, always_xy=True)
    return [list(turn.transform(x, y)) for x, y in told]


def parts(
    rows: Sequence[tuple[str, list[Ring] | None]], *, encoding: str = "utf-8", head: str = "FIELD_ID", **extra: Any
) -> dict[str, bytes]:
    """The .shp and .dbf of (id, rings) rows; rings None is a null shape. ``extra``: a column and its value in each."""
    files = {name: io.BytesIO() for name in ("shp", "shx", "dbf")}
    with shapefile.Writer(**files, shapeType=shapefile.POLYGON, encoding=encoding) as writer:
        writer.field(head, "C", 40)
        for column in extra:
            writer.field(column, "C", 40)
        for name, rings in rows:
            if rings is None:
                writer.null()
            else:
                writer.poly(rings)
            writer.record(name, *extra.values())
    return {f".{name}": file.getvalue() for name, file in files.items()}


def zipped(parts: dict[str, bytes], *, prj: str = WGS84, stem: str = "fields", **more: bytes) -> bytes:
    """The parts as one zip; ``more`` are further endings and their bytes."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as packed:
        for suffix, data in parts.items():
            packed.writestr(stem + suffix, data)
        if prj:
            packed.writestr(f"{stem}.prj", prj)
        for suffix, data in more.items():
            packed.writestr(f"{stem}.{suffix}", data)
    return held.getvalue()
