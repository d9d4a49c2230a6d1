"""No bytes whatever may end in a traceback, and every seeded fault is found once."""

# ruff: noqa: E501

from __future__ import annotations

import gzip
import json
import random
import tempfile
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings, strategies as st

from springwalk.intake import Known, read_folder, read_weather
from springwalk.intake.faults import FileRead
from tests.drawn import examples
from tests.intake.shapefiles import parts, ring, zipped

TODAY = date(2016, 6, 30)
SEASON = b'[season]\nname = "a"\nyear = 2016\n'
STATION = b'[[station]]\nid = "US1"\nlatitude = 40.7\nlongitude = -96.8\nfile = "weather.csv"\nforecast = "fc.csv"\n'
KNOWN = Known(
    fields=frozenset({"north"}), zones=frozenset({"north/low"}), traps=frozenset({"mill"}), places=((40.7, -96.8),)
)
STARTS = {
    "season.toml": SEASON + STATION,
    "fields.geojson": b'{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"id":"a"},"geometry":'
    b'{"type":"Polygon","coordinates":[[[-96.86,40.69],[-96.85,40.69],[-96.85,40.7],[-96.86,40.69]]]}}]}',
    "plantings.csv": b"field,planting,planted,seeds_per_acre,row_width,acres\nnorth,1,2016-04-28,34000,30in,80\n",
    "zones.csv": b"field,zone,acres\nnorth,ends,3\n",
    "events.csv": b"field,date,event,cover,zone,planting\nnorth,2016-04-10,weeds seen,dense,low,\nnorth,2016-05-01,planted,,,\n",
    "traps.csv": b"trap,kind,latitude,longitude\nyard,wing,40.7,-96.8\n",
    "catches.csv": b"trap,since,read,moths,kind,latitude,longitude\nmill,2016-04-10,2016-04-11,3,,,\n"
    b"log,,2016-04-10,set,wing trap,40.7,-96.8\nlog,,2016-04-11,2,,,\n",
    "walks.csv": b"walk,field,date,places,collars,larvae_mm,part,hour,searched\nw1,north,2016-05-20,20,V2.5,8 12,low,8 am,40\n"
    b"w1,North,2016-05-20,20,,,,,\n",
    "fc.csv": b"# issued: 2016-06-29\ndate,min_01,max_01,rain_01,min_02,max_02\n2016-06-30,50,70,0,51,71\n",
    "weather.csv": b"date,max,min,rain\n2016-04-01,70,50,0\n2016-04-02,71,51,0.1\n",
}
PIECES = [b",", b'"', b"\n", b"\r", b"\0", b"\xff", b"\xef\xbb\xbf", b"-", b"9" * 30, b"1e999", b"nan", b";", b"[", b"]", b"{", b"}",
          b"null", b"\\ud800", b"=", b"2016-04-31", b"4/5/2016", "°–é".encode(), b"north", b"\xe2\x80\xa8", b"9" * 5000]  # fmt: skip


@st.composite
def damaged(draw: st.DrawFn, start: bytes) -> bytes:
    """A sound file with a few pieces cut out, put in or exchanged: nearer to real faults than noise alone."""
    text = bytearray(start)
    for _ in range(draw(st.integers(0, 4))):
        at = draw(st.integers(0, len(text)))
        cut = draw(st.integers(0, 6))
        text[at : at + cut] = draw(st.sampled_from(PIECES))
    return bytes(text)


def read_all(name: str, data: bytes) -> list[FileRead]:
    """A folder whose other files are sound."""
    with tempfile.TemporaryDirectory() as place:
        for other, start in STARTS.items():
            (Path(place) / other).write_bytes(start)
        (Path(place) / name).write_bytes(data)
        return list(read_folder(Path(place), today=TODAY, known=KNOWN))


@pytest.mark.parametrize("name", STARTS)
@settings(derandomize=True, max_examples=examples(60), deadline=None, database=None)
@given(data=st.data())
def test_any_bytes_in_any_file_give_faults_not_tracebacks(name, data):
    """A broken file must never stop the reading of the others; each fault prints on one line, each record saves."""
    made = data.draw(st.one_of(damaged(STARTS[name]), st.binary(max_size=60)))
    for read in read_all(name, made):
        for fault in read.faults:
            assert str(fault).isprintable()
            assert str(fault).encode()
            assert fault.file == read.name
        for record in [*read.records, *read.days]:
            assert record.body().encode()


@settings(derandomize=True, max_examples=examples(60), deadline=None, database=None)
@given(value=st.recursive(st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=4),
                          lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(
                              ["type", "features", "properties", "geometry", "coordinates", "id", "plantings", "zones", "events"]),
                              inner, max_size=4), max_leaves=12))  # fmt: skip
def test_any_json_in_the_place_of_a_feature(value):
    """JSON of any shape is still no reason for a traceback."""
    whole = {
        "type": "FeatureCollection",
        "features": [value, {"type": "Feature", "properties": value, "geometry": value}],
    }
    square = {"type": "Polygon", "coordinates": [[[-96.8, 40.7], [-96.7, 40.7], [-96.7, 40.71]]]}
    whole["features"].append(
        {"type": "Feature", "properties": {"id": "x", "plantings": value, "events": [value]}, "geometry": square}
    )
    for read in read_all("fields.geojson", json.dumps(whole).encode()):
        assert all(str(fault).isprintable() for fault in read.faults)


@settings(derandomize=True, max_examples=examples(80), deadline=None, database=None)
@given(
    data=st.one_of(
        damaged(b'"STATION","DATE","TMAX","TMAX_ATTRIBUTES","TMIN","PRCP"\n"US1","2016-04-01","211",",,W","100","0"\n'),
        damaged(b"US1MADEUP01,20160401,TMAX,211,,,W,2400\nUS1MADEUP01,20160401,TMIN,100,,,W,2400\n"),
        damaged(b"USMADEUP001201604TMAX" + b"  211  W" * 30 + b"-9999   \n"),
        damaged(gzip.compress(STARTS["weather.csv"], mtime=0)),
        damaged(STARTS["weather.csv"]),
        st.binary(max_size=60),
    )
)
def test_any_bytes_as_weather_alone(data):
    """``heat-sum --weather FILE`` is given whatever lies around."""
    with tempfile.TemporaryDirectory() as place:
        path = Path(place) / "x.csv"
        path.write_bytes(data)
        read = read_weather(path)
        assert all(str(fault).isprintable() for fault in read.faults)


def read_one(name: str, data: bytes, toml: str) -> FileRead:
    """One file in a folder of its own."""
    with tempfile.TemporaryDirectory() as place:
        (Path(place) / "season.toml").write_bytes(SEASON + toml.encode())
        (Path(place) / "weather.csv").write_bytes(STARTS["weather.csv"])
        (Path(place) / name).write_bytes(data)
        return {read.name: read for read in read_folder(Path(place), today=TODAY)}[name]


LAYER = parts([("a", [ring()]), ("b", [ring(lat=40.72), ring(-96.858, 40.722, 0.002, hole=True)]), ("c", None)])


@settings(derandomize=True, max_examples=examples(150), deadline=None, database=None)
@given(data=st.data())
def test_any_bytes_as_a_shapefile(data):
    """A library reads these bytes: whatever it makes of them, a person gets faults in words."""
    suffix = data.draw(st.sampled_from([".shp", ".dbf"]))
    made = {**LAYER, suffix: data.draw(st.one_of(damaged(LAYER[suffix]), st.binary(max_size=200)))}
    whole = data.draw(st.sampled_from(["parts", "zip"]))
    packed = zipped(made) if whole == "parts" else data.draw(damaged(zipped(LAYER)))
    read = read_one("f.zip", packed, '[files]\nfields = "f.zip"\n')
    assert all(str(fault).isprintable() for fault in read.faults)
    assert read.records or read.faults


@settings(derandomize=True, max_examples=examples(60), deadline=None, database=None)
@given(data=damaged(b"issued,date,member,min,max\n2016-06-29,2016-06-30,1,50,70\n2016-06-29,2016-06-30,2,50,70\n"))
def test_any_bytes_as_a_long_forecast(data):
    """The same for a forecast with a row for each member."""
    read = read_one("fc.csv", data, STATION.decode())
    assert all(str(fault).isprintable() for fault in read.faults)
    for record in read.records:
        assert record.body().encode()


@settings(derandomize=True, max_examples=examples(40), deadline=None, database=None)
@given(data=st.binary(max_size=80), start=st.sampled_from([b"", b"CDF\x01", b"CDF\x02", b"\x89HDF\r\n\x1a\n"]))
def test_any_bytes_as_netcdf(data, start):
    """A cut or broken download is one fault."""
    read = read_one("fc.nc", start + data, STATION.decode().replace("fc.csv", "fc.nc"))
    assert read.faults
    assert all(str(fault).isprintable() for fault in read.faults)


BREAKERS = {
    "moths": ["-1", "2.5", "many", "", "1e9"],
    "read": ["2016-02-30", "4/30/2016", "", "2017-04-01", "2016-07-30"],
    "trap": ["", "elsewhere", "a/b"],
}


@pytest.mark.parametrize("seed", range(5))
def test_as_many_faults_as_were_made(tmp_path, seed):
    """Faults listed = faults seeded, each in its own row and column; every other row is kept."""
    draw = random.Random(seed)
    first = date(2016, 3, 1)
    heads = ["trap", "since", "read", "moths"]
    rows = [
        [f"t{k % 4}", str(first + timedelta(days=k // 4)), str(first + timedelta(days=k // 4 + 1)), str(k % 7)]
        for k in range(400)
    ]
    broken = sorted(draw.sample(range(400), 37))
    expected = []
    for at in broken:
        column = draw.choice(sorted(BREAKERS))
        rows[at][heads.index(column)] = draw.choice(BREAKERS[column])
        expected.append((at + 2, column))
    (tmp_path / "season.toml").write_bytes(SEASON)
    text = "\n".join(",".join(row) for row in [heads, *rows])
    (tmp_path / "catches.csv").write_text(text, encoding="utf-8")
    reads = {
        read.name: read
        for read in read_folder(tmp_path, today=TODAY, known=Known(traps=frozenset({"t0", "t1", "t2", "t3"})))
    }
    read = reads["catches.csv"]
    assert [(fault.row, fault.column) for fault in read.faults] == expected
    assert {fault.severity for fault in read.faults} == {"refused"}
    assert len(read.records) == 400 - 37
