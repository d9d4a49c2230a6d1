"""Faults counted = faults made: k faults put in a sound file of each kind give exactly k refusals or suspicions."""

# ruff: noqa: E501 (the tables of kinds are read across)

from __future__ import annotations

import json
import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings, strategies as st

from springwalk.intake import Known, read_folder
from springwalk.intake.faults import FileRead
from tests.drawn import examples
from tests.intake.shapefiles import parts, ring, zipped

TODAY = date(2016, 6, 30)
KNOWN = Known(
    fields=frozenset({"north", "south"}), traps=frozenset({"mill", "yard"}), places=((40.7, -96.8),)
)  # fmt: skip
SEASON = '[season]\nname = "a"\nyear = 2016\n'
STATION = '[[station]]\nid = "US1MADEUP01"\nlatitude = 40.7\nlongitude = -96.8\nfile = "weather.csv"\n'
DAYS = [date(2016, 5, 1) + timedelta(days=k) for k in range(30)]
Rows = list[list[str]]


@dataclass(frozen=True)
class Kind:
    """A sound file of one kind, what breaks each column, and how many of its rows are among what was read."""

    file: str
    heads: list[str]
    rows: Rows
    breakers: Mapping[str, list[str]]
    toml: str = ""
    headed: bool = True
    kept: Callable[[FileRead], int] = lambda made: len(made.records) + len(made.days)
    write: Callable[[list[str], Rows], bytes] | None = None
    others: Mapping[str, str] = field(default_factory=dict)


def as_csv(kind: Kind, rows: Rows) -> bytes:
    """The file's bytes."""
    if kind.write:
        return kind.write(kind.heads, rows)
    lines = ([kind.heads] if kind.headed else []) + rows
    return "".join(",".join(row) + "\n" for row in lines).encode()


def geojson(heads: list[str], rows: Rows) -> bytes:
    """Outlines in a column of squares; the geometry cell says what each is."""
    listed = []
    for at, row in enumerate(rows):
        told = dict(zip(heads, row, strict=True))
        square: object = {"type": "Polygon", "coordinates": [ring(lat=40.3 + at * 0.02)]}
        shapes = {"square": square, "none": None, "point": {"type": "Point", "coordinates": [-96.8, 40.7]}}
        shapes["bow"] = {"type": "Polygon", "coordinates": [[[-96.8, 40], [-96.7, 41], [-96.7, 40], [-96.8, 41]]]}
        shapes["far"] = {"type": "Polygon", "coordinates": [ring(2.3, 48.8)]}
        shapes["metres"] = {"type": "Polygon", "coordinates": [ring(700000.0, 4500000.0, 300.0)]}
        properties = {name: value for name, value in told.items() if name != "geometry" and value}
        listed.append({"type": "Feature", "properties": properties, "geometry": shapes[told["geometry"]]})
    return json.dumps({"type": "FeatureCollection", "features": listed}).encode()


def shapes(heads: list[str], rows: Rows) -> bytes:
    """The same as a zipped shapefile."""
    listed = []
    for at, row in enumerate(rows):
        told = dict(zip(heads, row, strict=True))
        rings = {"square": [ring(lat=40.3 + at * 0.02)], "none": None, "far": [ring(2.3, 48.8)]}
        rings["bow"] = [[[-96.8, 40.0], [-96.7, 41.0], [-96.7, 40.0], [-96.8, 41.0], [-96.8, 40.0]]]
        listed.append((told["id"], rings[told["geometry"]]))
    return zipped(parts(listed, head="id"))


def measured(made: FileRead) -> int:
    """Values of days: what a row of the long station form is."""
    return sum(value is not None for day in made.days for value in (day.max_c, day.min_c, day.rain_mm))


def forecast(made: FileRead) -> int:
    """Days of members."""
    return sum(value is not None for record in made.records for row in record.min_c for value in row)


NUMBERS = ["x", "1e999", "7O", "1;5"]
DATES = ["2016-02-30", "soon", "5/1/2016", ""]
# outlines without an id are one fault together (test_properties): the cause is one
FIELDS = [[f"f{k}", "square"] for k in range(12)]
KINDS = {
    "weather": Kind("weather.csv", ["date", "max", "min", "rain"], [[str(d), "75", "50", "0.1"] for d in DAYS],
                    {"date": DATES, "max": [*NUMBERS, "190", "40"], "min": [*NUMBERS, "-99", "80"],
                     "rain": [*NUMBERS, "-1", "100"]}),
    "ghcn": Kind("weather.csv", ["id", "day", "element", "value"],
                 [["US1MADEUP01", f"{d:%Y%m%d}", e, v] for d in DAYS for e, v in (("TMAX", "230"), ("TMIN", "100"), ("PRCP", "5"))],
                 {"value": NUMBERS, "day": ["20160230", "soon", ""]}, toml='format = "ghcn-daily"\n', headed=False, kept=measured),
    "catches": Kind("catches.csv", ["trap", "since", "read", "moths"],
                    [[t, str(d), str(d + timedelta(days=1)), "3"] for d in DAYS for t in ("mill", "yard")],
                    {"trap": ["", "elsewhere"], "read": [*DATES[:2], "2016-07-30"], "moths": [*NUMBERS, "-1", "2.5", ""]}),
    "events": Kind("events.csv", ["field", "date", "event"], [[f, str(d), "cover killed"] for d in DAYS[:10] for f in ("north", "south")],
                   {"field": ["", "elsewhere"], "date": [*DATES[:2], "2016-07-30"], "event": ["", "frogs"]}),
    "walks": Kind("walks.csv", ["walk", "field", "date", "places"], [[f"w{k}", "north", str(d), "20"] for k, d in enumerate(DAYS)],
                  {"field": ["", "elsewhere"], "date": [*DATES[:2], "2016-07-30"], "places": [*NUMBERS, "-1"]}),
    "geojson": Kind("fields.geojson", ["id", "geometry"], FIELDS,
                    {"id": ["a/b"], "geometry": ["none", "point", "bow", "far", "metres"]}, write=geojson),
    "shapefile": Kind("fields.zip", ["id", "geometry"], FIELDS, {"geometry": ["none", "bow", "far"], "id": ["a/b"]},
                      write=shapes, toml='[files]\nfields = "fields.zip"\n'),
    "forecast": Kind("fc.csv", ["issued", "date", "member", "min", "max"],
                     [["2016-06-29", str(date(2016, 6, 30) + timedelta(days=k)), str(m), "60", "80"] for k in range(8) for m in range(5)],
                     {"issued": DATES[:2], "date": DATES, "member": [""], "min": [*NUMBERS, "-99", "90"], "max": [*NUMBERS, "190", "40"]},
                     toml='forecast = "fc.csv"\n', kept=forecast,
                     others={"weather.csv": "date,max,min\n" + "".join(f"2016-06-{k:02d},80,60\n" for k in range(1, 31))}),
    "passes": Kind("passes.csv", ["field", "date", "pass"], [[f, str(d), "spray"] for d in DAYS[:10] for f in ("north", "south")],
                   {"field": ["", "elsewhere"], "date": [*DATES[:2], "2016-07-30"], "pass": ["", "frogs"]}),
    "rain": Kind("rain.csv", ["date", "rain", "field", "hard"], [[str(d), "0.4", "north", "yes"] for d in DAYS],
                 {"date": [*DATES[:2], "2016-07-30"], "rain": ["x", "-1", "9", "9in"], "field": ["elsewhere"], "hard": ["perhaps"]}),
    "progress": Kind("progress.csv", ["field", "date", "acres"], [[f, str(d), "5"] for d in DAYS[:10] for f in ("north", "south")],
                     {"field": ["", "elsewhere"], "date": [*DATES[:2], "2016-07-30"], "acres": ["x", "-1"]},
                     kept=lambda made: sum(record.kind == "progress" for record in made.records)),
    "flight reports": Kind("flight_reports.csv", ["source", "night", "latitude", "longitude"], [["radio", str(d), "40.7", "-96.8"] for d in DAYS],
                           {"source": [""], "night": [*DATES[:2], "2016-07-30"], "latitude": ["x", "95"]}),
    "seed lots": Kind("seed_lots.csv", ["lot", "warm", "cold"], [[f"L{k}", "95", "88"] for k in range(12)],
                      {"lot": [""], "warm": ["x", "101"], "cold": ["x", "-1"]}),
    "pest counts": Kind("pest_counts.csv", ["field", "date", "pest", "looked", "insects"], [["north", str(d), "wireworm", "20", "3"] for d in DAYS],
                        {"field": ["", "elsewhere"], "date": [*DATES[:2], "2016-07-30"], "pest": ["", "frogs"], "looked": ["x", "-1"], "insects": ["x", "-1", ""]}),
}  # fmt: skip


def read(kind: Kind, rows: Rows) -> FileRead:
    """The one file in a folder of its own."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        station = STATION if kind.file in ("weather.csv", "fc.csv") else ""
        (folder / "season.toml").write_text(SEASON + station + kind.toml, encoding="utf-8")
        for name, text in kind.others.items():
            (folder / name).write_text(text, encoding="utf-8")
        (folder / kind.file).write_bytes(as_csv(kind, rows))
        return {each.name: each for each in read_folder(folder, today=TODAY, known=KNOWN)}[kind.file]


def wrong(made: FileRead) -> list[str]:
    """All that is not a note."""
    return [str(fault) for fault in made.faults if fault.severity != "note"]


def held_back(made: FileRead) -> int:
    """Rows under suspicion: neither kept nor refused."""
    return sum(fault.rows for fault in made.faults if fault.severity == "suspected")


@pytest.mark.parametrize("name", KINDS)
def test_the_sound_file_has_no_fault(name):
    """A mutator that begins with a faulty file would count the wrong thing."""
    kind = KINDS[name]
    made = read(kind, kind.rows)
    assert wrong(made) == []
    assert (made.rows, made.left_out, kind.kept(made)) == (len(kind.rows), 0, len(kind.rows))


@pytest.mark.parametrize("name", KINDS)
@settings(derandomize=True, max_examples=examples(25), deadline=None, database=None)
@given(data=st.data())
def test_k_faults_made_are_k_faults_listed_and_nothing_else_is_lost(name, data):
    """A fault missed is wrong advice; a fault listed twice, or a good row gone with it, is trust lost."""
    kind = KINDS[name]
    places = st.lists(st.integers(0, len(kind.rows) - 1), min_size=1, max_size=min(8, len(kind.rows) // 2), unique=True)
    rows = [list(row) for row in kind.rows]
    made_here = data.draw(places)
    for at in made_here:
        column = data.draw(st.sampled_from(sorted(kind.breakers)))
        rows[at][kind.heads.index(column)] = data.draw(st.sampled_from(kind.breakers[column]))
    made = read(kind, rows)
    assert len(wrong(made)) == len(made_here), wrong(made)
    assert made.rows == len(kind.rows)
    assert kind.kept(made) == len(kind.rows) - len(made_here)
    # a row under suspicion may be counted among those left out or not; either way it is told
    assert made.left_out <= made.rows - kind.kept(made) <= made.left_out + held_back(made)
