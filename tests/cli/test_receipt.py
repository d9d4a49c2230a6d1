"""The receipt as text: rows counted, causes first, like faults together, repairs that can be run."""

# ruff: noqa: E501 (lines are written whole, as a person reads them)

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.conftest import Tell
from tests.seasons import PLANTINGS, weather, write_season

INTAKE = ("intake", "farm", "--today", "2016-05-17")


@pytest.fixture
def farm(tmp_path: Path) -> Path:
    """The small season folder, beside where commands run."""
    return write_season(tmp_path / "farm")


def table(out: str) -> dict[str, list[str]]:
    """The counts by file."""
    lines = [line.split() for line in out.split("\n\n")[0].splitlines()[1:]]
    return {line[0]: line[1:] for line in lines}


def test_rows_are_counted_not_faults(tell: Tell, farm: Path) -> None:
    """Two faults in one row leave one row out."""
    write_season(farm, {"plantings.csv": PLANTINGS + "nort,1,soon,Invented 3\nnorth,2,never,\n"})
    said = tell(*INTAKE)
    assert said.code == 9
    assert table(said.out)["plantings.csv"] == ["5", "2", "0", "3", "0", "0"]


def test_like_faults_are_told_together(tell: Tell, farm: Path) -> None:
    """Thirty lines that say one thing hide the one that says another; JSON and --all-faults hold each."""
    bad = "".join(f"north,b{number},soon,\n" for number in range(30))
    write_season(farm, {"plantings.csv": PLANTINGS + bad})
    said = tell(*INTAKE)
    lines = said.out.split("Left out:\n")[1].splitlines()
    assert lines[0] == "  plantings.csv, row 5, column planted = soon: not a date; write it like 2016-04-30."
    assert lines[3] == "    … and 27 more like it (rows 8, 9, 10, 11, 12, 13 …)"
    assert "\n--all-faults prints each one.\n" in said.out
    every = tell(*INTAKE, "--all-faults").out
    assert every.count("not a date; write it like 2016-04-30.") == 30
    assert "more like it" not in every
    (file,) = [each for each in json.loads(tell(*INTAKE, "--json").out)["files"] if each["name"] == "plantings.csv"]
    assert (len(file["faults"]), file["rows"], file["left_out"]) == (30, 33, 30)


def test_files_not_read_at_all_stand_on_top(tell: Tell, farm: Path) -> None:
    """The first line must be the cause: what follows from it is counted under it."""
    text = (farm / "fields.geojson").read_text(encoding="utf-8").replace('"id"', '"label"')
    write_season(farm, {"fields.geojson": text})
    out = tell(*INTAKE).out
    assert table(out)["fields.geojson"] == ["3", "3", "0", "0", "0", "0"]
    told = out.split("\n\n")[1].splitlines()
    assert told[0] == "Not read at all (correct these first):"
    assert told[1].startswith(
        "  fields.geojson, id = (blank): 3 of 3 outlines have no id; properties found: label, name, grower; "
    )
    assert 'write id = "label" or id = "name" under [columns.fields] in season.toml' in told[1]
    assert (
        "  plantings.csv, field = north, south, east: 3 rows name fields that have no outline (first: rows 2, 3, 4); the outlines in fields.geojson were not read: correct those first."
        in out
    )


def test_a_repair_can_be_pasted(tell: Tell, farm: Path) -> None:
    """It names the same store, day and repairs as the intake that asked for it, quoted for the shell."""
    rows = [line.split(",") for line in weather().splitlines()]
    rows[1:] = [
        [day, f"{(float(high) - 32) / 1.8:.1f}", f"{(float(low) - 32) / 1.8:.1f}", rain]
        for day, high, low, rain in rows[1:]
    ]
    write_season(farm, {"weather/station.csv": "\n".join(",".join(row) for row in rows)})
    out = tell(*INTAKE, "--store", "my farm.db", "--person", "Wren", "--repair", "fields.geojson:as-is").out
    options = "--store 'my farm.db' --today 2016-05-17 --person Wren --repair fields.geojson:as-is"
    assert f"springwalk intake farm {options} --repair weather/station.csv:unit=C" in out
