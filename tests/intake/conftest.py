"""A small made-up season folder that tests change one file of."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from springwalk.intake import FileRead, read_folder

SEASON = '[season]\nname = "Made-up valley"\nyear = 2016\n'
STATION = """
[[station]]
id = "yard"
latitude = 40.70
longitude = -96.85
file = "weather/yard.csv"
"""
TODAY = date(2016, 6, 30)


def square(lon: float = -96.86, lat: float = 40.69, size: float = 0.01) -> list[list[float]]:
    """A closed square ring."""
    return [[lon, lat], [lon + size, lat], [lon + size, lat + size], [lon, lat + size], [lon, lat]]


def feature(name: object = "north", ring: object = None, **properties: Any) -> dict[str, Any]:
    """One field as a GeoJSON Feature."""
    geometry = {"type": "Polygon", "coordinates": [ring or square()]}
    told = properties if name is None else {"id": name, **properties}
    return {"type": "Feature", "properties": told, "geometry": geometry}


def outlines(*features: object) -> str:
    """A FeatureCollection as text."""
    return json.dumps({"type": "FeatureCollection", "features": list(features)})


def weather(first: date = date(2016, 4, 1), count: int = 60, high: float = 70.0, low: float = 50.0) -> list[list[str]]:
    """Rows of a plain weather table, headings first."""
    days = [first + timedelta(days=k) for k in range(count)]
    return [["date", "max", "min"], *([str(day), f"{high:g}", f"{low:g}"] for day in days)]


def csv_text(rows: list[list[str]]) -> str:
    """Rows as CSV text."""
    return "".join(",".join(row) + "\n" for row in rows)


class Folder:
    """A season folder under test: write files, read it, look at one file's faults."""

    square = staticmethod(square)
    feature = staticmethod(feature)
    outlines = staticmethod(outlines)
    days = staticmethod(weather)
    csv = staticmethod(csv_text)
    season = SEASON
    station = STATION

    def __init__(self, path: Path) -> None:
        self.path = path
        self.write("season.toml", SEASON)
        self.write("fields.geojson", outlines(feature("north"), feature("south", square(lat=40.72))))

    def write(self, name: str, text: str | bytes) -> None:
        """Put a file in the folder."""
        path = self.path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text if isinstance(text, bytes) else text.encode())

    def read(self, **options: Any) -> dict[str, FileRead]:
        """The whole folder by file name."""
        return {read.name: read for read in read_folder(self.path, **{"today": TODAY, **options})}

    def told(self, name: str, text: str | bytes | None = None, **options: Any) -> list[str]:
        """Faults of one file (written first, if given) as ``severity text``, the folder's path shortened."""
        if text is not None:
            self.write(name, text)
        faults = self.read(**options)[name].faults
        return [f"{fault.severity} {fault}".replace(str(self.path), "FOLDER") for fault in faults]

    def weather(self, text: str | bytes, toml: str = "", **options: Any) -> list[str]:
        """Faults of the station's weather file."""
        self.write("season.toml", SEASON + STATION + toml)
        return self.told("weather/yard.csv", text, **options)


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    """The folder."""
    return Folder(tmp_path)
