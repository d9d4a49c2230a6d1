"""A small invented season folder for tests: three fields, one flight, smooth made-up weather."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from datetime import date, timedelta
from pathlib import Path

YEAR = 2016
TODAY = date(YEAR, 5, 17)

SEASON = """\
[season]
name = "Test flats 2016"
year = 2016

[[station]]
id = "TEST1"
name = "Test station"
latitude = 40.70
longitude = -96.85
elevation = "362m"
file = "weather/station.csv"
temperature_unit = "F"
rain_unit = "in"
"""
PLANTINGS = """\
field,planting,planted,hybrid
north,1,2016-05-05,Invented 1
south,1,2016-05-12,Invented 2
east,1,2016-04-28,Invented 1
"""
EVENTS = """\
field,date,event,cover,person
north,2016-04-10,weeds seen,dense,A
south,2016-04-10,weeds seen,dense,A
south,2016-04-22,cover killed,,A
east,2016-04-08,tilled,black,A
"""
TRAPS = "trap,name,kind,latitude,longitude\nT1,Creek,wing,40.705,-96.855\n"
CATCHES = """\
trap,since,read,moths,person
T1,2016-04-10,2016-04-12,1,A
T1,2016-04-12,2016-04-14,0,A
T1,2016-04-14,2016-04-16,12,A
T1,2016-04-16,2016-04-18,1,A
"""
WALKS = """\
walk,field,date,person,collars,staging,places,fresh_cut_at,larvae_mm
W1,east,2016-05-14,A,2,collars,20,0,
W1,east,2016-05-14,A,2,collars,20,1,14
"""


def outline(west: float, south: float, *, size: float = 0.006) -> list[list[float]]:
    """A closed square ring, longitude before latitude, counter-clockwise."""
    east, north = west + size, south + size
    return [[west, south], [east, south], [east, north], [west, north], [west, south]]


def feature(name: str, west: float, south: float) -> dict[str, object]:
    """One field of an invented grower."""
    return {
        "type": "Feature",
        "properties": {"id": name, "name": f"The {name} field", "grower": "Invented Farms"},
        "geometry": {"type": "Polygon", "coordinates": [outline(west, south)]},
    }


def outlines() -> str:
    """fields.geojson of the three fields."""
    rows = (("north", -96.86, 40.71), ("south", -96.86, 40.69), ("east", -96.84, 40.70))
    return json.dumps({"type": "FeatureCollection", "features": [feature(*row) for row in rows]}, indent=1)


def weather(first: date = date(YEAR, 3, 1), last: date = date(YEAR, 5, 16)) -> str:
    """Daily extremes in whole °F: a spring that warms and swings, made by a formula."""
    lines = ["date,max,min,rain"]
    for k in range((last - first).days + 1):
        day = first + timedelta(days=k)
        mean = 62 - 26 * math.cos(2 * math.pi * (day.timetuple().tm_yday - 20) / 365) + 6 * math.sin(k / 3)
        lines.append(f"{day},{mean + 11:.0f},{mean - 11:.0f},{0.4 if k % 9 == 0 else 0:g}")
    return "\n".join(lines) + "\n"


def write_season(folder: Path, changes: Mapping[str, str | bytes] | None = None) -> Path:
    """Write the season folder; ``changes`` replaces files by name."""
    files: dict[str, str | bytes] = {
        "season.toml": SEASON,
        "fields.geojson": outlines(),
        "plantings.csv": PLANTINGS,
        "events.csv": EVENTS,
        "traps.csv": TRAPS,
        "catches.csv": CATCHES,
        "walks.csv": WALKS,
        "weather/station.csv": weather(),
        **(changes or {}),
    }
    for name, content in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
    return folder
