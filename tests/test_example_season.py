"""The example season: rebuilt byte for byte, real where it says so, invented where it says so."""

from __future__ import annotations

import csv
import hashlib
import itertools
import json
import re
import subprocess
import sys
import tomllib
from collections import defaultdict
from collections.abc import Iterable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from pyproj import Geod
from shapely.geometry import shape

ROOT = Path(__file__).resolve().parent.parent
SEASON = ROOT / "src" / "springwalk" / "example" / "season"
BUILDER = ROOT / "builders" / "example_season.py"
# Published with the package the real file comes from: bokeh-sampledata 2026.1, licenses/datasets.json.
REAL_SHA256 = "5e61412c924eed96506430b1f1089543fd172e286f10592cc4a4845d6fc845f3"
ACRE_M2 = 4046.8564224
WEATHER = ("hail", "ponding", "water gone", "wind", "frost", "crust")


def rows(name: str) -> list[dict[str, str]]:
    """The rows of one shipped CSV file."""
    with (SEASON / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def features() -> list[dict[str, Any]]:
    """The shipped outlines."""
    found: list[dict[str, Any]] = json.loads((SEASON / "invented_fields.geojson").read_text("utf-8"))["features"]
    return found


def files(folder: Path) -> dict[str, bytes]:
    """Every file below a folder by its path inside it."""
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def real_days() -> dict[date, tuple[int, int]]:
    """The real maximum and minimum, °F, of days that have both."""
    return {
        date.fromisoformat(r["DATE"]): (int(r["TMAX"]), int(r["TMIN"]))
        for r in rows("weather/lincoln_2016.csv")
        if r["TMAX"]
    }


def heat_8650(days: Iterable[tuple[int, int]]) -> float:
    """Corn heat, °F·day, worked out here and not by the builder."""
    return sum((min(max(high, 50), 86) + min(max(low, 50), 86)) / 2 - 50 for high, low in days)


def heat_after(planted: date, seen: date) -> float:
    """Corn heat from the day after planting to the day seen, °F·day."""
    return heat_8650(value for day, value in real_days().items() if planted < day <= seen)


def test_running_the_builder_gives_the_shipped_bytes(tmp_path: Path) -> None:
    """What ships can be made again by anyone, so nothing in it was edited by hand."""
    subprocess.run([sys.executable, str(BUILDER), "--to", str(tmp_path)], check=True, capture_output=True)
    assert files(tmp_path) == files(SEASON)


def test_folder_is_small() -> None:
    """It travels inside the package."""
    assert sum(len(content) for content in files(SEASON).values()) < 1_500_000


def test_real_file_is_the_packaged_one() -> None:
    """The real temperatures are the packaged file itself (SHA-256 from its datasets.json)."""
    assert hashlib.sha256((SEASON / "weather/lincoln_2016.csv").read_bytes()).hexdigest() == REAL_SHA256


@pytest.mark.parametrize(
    ("day", "high", "low"),
    [("2016-01-01", "36", "15"), ("2016-04-13", "76", "43"), ("2016-06-17", "", ""), ("2016-12-31", "34", "20")],
)
def test_real_spot_rows(day: str, high: str, low: str) -> None:
    """Rows read off the source by eye; 17 June is its one missing day."""
    found = {r["DATE"]: (r["TMAX"], r["TMIN"]) for r in rows("weather/lincoln_2016.csv")}
    assert found[day] == (high, low)
    assert len(found) == 366
    assert sum(not high for high, _ in found.values()) == 1


def test_real_heat_sum() -> None:
    """86/50 from 20 April to 10 June 2016 is the sum worked out before the builder existed."""
    days = real_days()
    assert heat_8650(v for d, v in days.items() if date(2016, 4, 20) <= d <= date(2016, 6, 10)) == pytest.approx(682.5)


def test_thirty_past_years_each_whole() -> None:
    """The forecast draws 30 members from past years, so none may have holes."""
    by_year: dict[int, list[dict[str, str]]] = defaultdict(list)
    for row in rows("weather/invented_past_years.csv"):
        by_year[date.fromisoformat(row["day"]).year].append(row)
    assert sorted(by_year) == list(range(1986, 2016))
    for year, days in by_year.items():
        expected = [(date(year, 3, 1) + timedelta(days=k)).isoformat() for k in range(153)]
        assert [row["day"] for row in days] == expected


def test_past_years_are_like_the_place() -> None:
    """Spring heat, daily memory and wet days stay near what eastern Nebraska has, or the forecast misleads."""
    past = rows("weather/invented_past_years.csv")
    assert all(int(r["invented_max_f"]) > int(r["invented_min_f"]) for r in past)
    sums: dict[str, float] = defaultdict(float)
    means: dict[str, list[float]] = defaultdict(list)
    for r in past:
        high, low = int(r["invented_max_f"]), int(r["invented_min_f"])
        means[r["day"][5:]].append((high + low) / 2)
        if "04-20" <= r["day"][5:] <= "06-10":
            sums[r["day"][:4]] += heat_8650([(high, low)])
    middle = sum(sums.values()) / len(sums)
    assert 550 < middle < 780
    normal = {day: sum(v) / len(v) for day, v in means.items()}
    departures = [(int(r["invented_max_f"]) + int(r["invented_min_f"])) / 2 - normal[r["day"][5:]] for r in past]
    pairs = [(a, b) for k, (a, b) in enumerate(itertools.pairwise(departures)) if (k + 1) % 153]
    memory = sum(a * b for a, b in pairs) / sum(a * a for a, _ in pairs)
    assert 0.55 < memory < 0.75
    wet = sum(float(r["invented_rain_in"]) > 0 for r in past) / len(past)
    assert 0.2 < wet < 0.4


def test_every_invented_thing_says_so() -> None:
    """Nobody should take the made-up years, rain, farms or counts for records of the place."""
    told = {"README.md", "season.toml", "weather/lincoln_2016.csv", "weather/lincoln_2016.LICENSE.txt"}
    for name in set(files(SEASON)) - told:
        assert Path(name).name.startswith("invented_"), name
        assert Path(name).name in (SEASON / "README.md").read_text("utf-8")
    for name in ("weather/invented_past_years.csv", "weather/invented_rain_2016.csv"):
        assert all(heading == "day" or heading.startswith("invented_") for heading in rows(name)[0])
    assert all(f["properties"]["note"].startswith("invented: ") for f in features())
    told_in = tomllib.loads((SEASON / "season.toml").read_text("utf-8"))
    assert all("invented" in s for s in (told_in["season"]["name"], *(x["attribution"] for x in told_in["station"])))


def test_attribution_is_kept() -> None:
    """The source of the real numbers is named, and its licence text travels with them."""
    readme = (SEASON / "README.md").read_text("utf-8")
    for words in ("NOAA", "GHCN-Daily", "USW00094996", "bokeh-sampledata", "BSD-3-Clause", REAL_SHA256):
        assert words in readme
    assert "Redistribution and use" in (SEASON / "weather/lincoln_2016.LICENSE.txt").read_text("utf-8")


def test_station_blocks_agree() -> None:
    """Three files speak of one station; if the blocks differed, each intake would revise it."""
    stations = tomllib.loads((SEASON / "season.toml").read_text("utf-8"))["station"]
    facts = {tuple(s[k] for k in ("id", "name", "latitude", "longitude", "elevation", "attribution")) for s in stations}
    assert (len(stations), len(facts)) == (3, 1)
    assert all((SEASON / s["file"]).is_file() for s in stations)


def test_outlines_are_sound() -> None:
    """Bad outlines would be refused, and overlapping fields would be walked twice."""
    shapes = {f["properties"]["id"]: shape(f["geometry"]) for f in features()}
    assert len(shapes) == len(features()) >= 28
    assert len({f["properties"]["grower"] for f in features()}) in (6, 7)
    assert sum(s.geom_type == "MultiPolygon" for s in shapes.values()) == 1
    assert all(s.is_valid for s in shapes.values())
    assert not [(a, b) for a, b in itertools.combinations(shapes, 2) if shapes[a].intersects(shapes[b])]
    centres = [s.centroid for s in shapes.values()]
    assert all(abs(c.y - 40.69) < 0.05 and abs(c.x + 96.85) < 0.06 for c in centres)


def test_areas_are_real_field_sizes_and_parts_add_up() -> None:
    """Zones and split plantings must fill their field, or the area weights are wrong."""
    geod = Geod(ellps="WGS84")
    acres = {
        f["properties"]["id"]: abs(geod.geometry_area_perimeter(shape(f["geometry"]))[0]) / ACRE_M2 for f in features()
    }
    assert all(15 < a < 162 for a in acres.values())
    assert sum(a >= 60 for a in acres.values()) > len(acres) / 2
    parts: dict[tuple[str, str], float] = defaultdict(float)
    for r in [*rows("invented_zones.csv"), *rows("invented_plantings.csv")]:
        if r["acres"]:
            parts["zone" if "zone" in r else "planting", r["field"]] += float(r["acres"])
    assert len(parts) == 5
    for (_, field), total in parts.items():
        assert total == pytest.approx(acres[field], rel=0.02)


def test_names_meet() -> None:
    """Every row speaks of a field, planting, zone or trap that is there."""
    fields = {f["properties"]["id"] for f in features()}
    plantings = {(r["field"], r["planting"]) for r in rows("invented_plantings.csv")}
    zones = {(r["field"], r["zone"]) for r in rows("invented_zones.csv")}
    assert {field for field, _ in plantings} == fields
    for r in rows("invented_events.csv"):
        assert r["field"] in fields
        assert not r["zone"] or (r["field"], r["zone"]) in zones
        assert not r["planting"] or (r["field"], r["planting"]) in plantings
    for name in ("passes", "rain", "progress", "pest_counts", "done", "promises"):
        for r in rows(f"invented_{name}.csv"):
            assert (key := r["field"]) in {"", *fields}, (name, r)
            assert not r.get("planting") or (key, r["planting"]) in plantings, (name, r)
            assert not r.get("zone") or (key, r["zone"]) in zones, (name, r)
    assert {r["grower"] for r in rows("invented_promises.csv")} <= {f["properties"]["grower"] for f in features()}
    for r in rows("invented_walks.csv"):
        assert (r["field"], r["planting"]) in plantings
        assert not r["part"] or (r["field"], r["part"]) in zones
    assert {r["trap"] for r in rows("invented_catches.csv")} == {r["trap"] for r in rows("invented_traps.csv")}


def test_plantings_told_and_untold() -> None:
    """Two fields have no date on purpose; the rest lie in the planting season."""
    planted = {(r["field"], r["planting"]): r["planted"] for r in rows("invented_plantings.csv")}
    assert [key[0] for key, day in planted.items() if not day] == ["pump-rent", "hollin-back"]
    told = [day for day in planted.values() if day]
    assert (min(told), max(told)) == ("2016-04-18", "2016-05-24")


def test_catches_run_on_without_overlap_and_two_flights_stand_out() -> None:
    """The story has two significant wing-trap flights (8 or more in two nights) and no third by chance."""
    kinds = {r["trap"]: r["kind"] for r in rows("invented_traps.csv")}
    assert sorted(kinds.values()) == ["bucket", "cone", "wing", "wing", "wing"]
    by_trap: dict[str, list[tuple[date, date, int]]] = defaultdict(list)
    for r in rows("invented_catches.csv"):
        by_trap[r["trap"]].append((date.fromisoformat(r["since"]), date.fromisoformat(r["read"]), int(r["moths"])))
    flights, long = [], []
    for trap, readings in by_trap.items():
        assert readings[0][0] == date(2016, 3, 28)
        assert readings[-1][1] == date(2016, 5, 31)
        assert all(a[1] == b[0] for a, b in itertools.pairwise(readings))
        long += [(trap, (read - since).days) for since, read, _ in readings if (read - since).days > 3]
        if kinds[trap] == "wing":
            single = [(trap, s, n) for s, r, n in readings if (r - s).days <= 2 and n >= 8]
            double = [
                (trap, a[0], a[2] + b[2])
                for a, b in itertools.pairwise(readings)
                if (b[1] - a[0]).days <= 2 and a[2] + b[2] >= 8
            ]
            flights += single + double
    assert flights == [("wing-1", date(2016, 4, 12), 13), ("wing-2", date(2016, 4, 20), 9)]
    assert long == [("wing-3", 6)]


def test_walks_agree_with_heat() -> None:
    """Collars on a walk follow from planting by 115 and 82 °F·day, within 0.3, where the date was told."""
    planted = {(r["field"], r["planting"]): r["planted"] for r in rows("invented_plantings.csv")}
    checked = 0
    for r in rows("invented_walks.csv"):
        if day := planted[r["field"], r["planting"]]:
            heat = heat_after(date.fromisoformat(day), date.fromisoformat(r["date"]))
            assert heat >= 115, r  # nobody counts plants before the spike
            assert float(r["collars"]) == pytest.approx(max(0.0, (heat - 115) / 82), abs=0.3), r
            checked += 1
    assert checked > 60


def test_emerged_events_agree_with_heat() -> None:
    """Corn is told as up within two days of 115 °F·day from planting; three are untold on purpose."""
    planted = {(r["field"], r["planting"]): r["planted"] for r in rows("invented_plantings.csv")}
    emerged = [r for r in rows("invented_events.csv") if r["event"] == "emerged"]
    assert len(emerged) >= 25
    for r in emerged:
        start = date.fromisoformat(planted[r["field"], r["planting"]])
        assert abs((date.fromisoformat(r["date"]) - _up(start)).days) <= 2, r
    told = {(r["field"], r["planting"]) for r in emerged}
    up = {key for key, day in planted.items() if day and _up(date.fromisoformat(day)) <= date(2016, 5, 16)}
    assert sorted(up - told) == [("nine-rye", "1"), ("nine-two", "1"), ("pump-green", "1")]


def _up(planted: date) -> date:
    """The day heat since planting reaches 115 °F·day."""
    return next(d for d in sorted(real_days()) if d > planted and heat_after(planted, d) >= 115)


def test_walks_are_whole() -> None:
    """Counts add up to the places looked at, and walks lie on both sides of 17 May."""
    walks = rows("invented_walks.csv")
    states = ("fresh_cut_above", "fresh_cut_at", "fresh_cut_below", "old_cut", "regrown", "empty_place", "leaf_fed")
    assert all(sum(int(r[s]) for s in (*states, "sound")) == int(r["places"]) for r in walks)
    dates = {r["walk"]: r["date"] for r in walks}
    assert len([d for d in dates.values() if d < "2016-05-17"]) >= 30
    assert "2016-05-17" not in dates.values()  # the demo is that morning
    assert (min(dates.values()), max(dates.values())) == ("2016-05-06", "2016-06-05")
    assert {r["person"] for r in walks} == {"Wren", "Ilse"}
    lengths = [float(x) for r in walks for x in re.findall(r"[\d.]+", r["larvae_mm"])]
    assert all(3 <= x <= 45 for x in lengths)


def test_events_only_use_known_words() -> None:
    """An unknown event or cover would be refused at intake."""
    covers = {"", "black", "residue", "clean", "few weeds", "some weeds", "many weeds", "dense"}
    for r in rows("invented_events.csv"):
        assert r["event"] in {"weeds seen", "cover killed", "tilled", "emerged", "planted", *WEATHER, "baits set"}
        assert r["cover"] in covers
