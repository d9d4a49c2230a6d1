"""The reference page of the files: what it shows is read as it says."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from springwalk import intake
from springwalk.intake import start_folder
from springwalk.intake.season import TABLES
from springwalk.intake.start import HEADINGS, explained
from springwalk.intake.tables import Columns
from springwalk.intake.walks import WALK_COLUMNS
from springwalk.records import Catch, Trap

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "reference" / "files.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```(?:toml)?\n(.*?)^```", PAGE, re.MULTILINE | re.DOTALL)


def test_start_and_the_program_carry_the_page_itself(tmp_path):
    """A person who installed the program has no docs folder: FILES.md is the same text, word for word."""
    assert explained() == PAGE
    start_folder(tmp_path / "new", year=2016)
    assert (tmp_path / "new" / "FILES.md").read_text(encoding="utf-8") == PAGE


def test_nothing_said_points_to_a_page_that_is_not_installed():
    """Words of the program may only send people to what they have."""
    source = Path(intake.__file__).resolve().parents[1]
    pages = [path for path in source.rglob("*.py") if "docs/" in path.read_text(encoding="utf-8")]
    assert pages == []
    package = tomllib.loads((source.parents[1] / "pyproject.toml").read_text(encoding="utf-8"))
    assert "intake/*.md" in package["tool"]["setuptools"]["package-data"]["springwalk"]


def block(start: str) -> str:
    """The one example of the page that begins so."""
    (found,) = [each for each in BLOCKS if each.startswith(start)]
    return found


def test_walk_of_two_stops(folder):
    """People copy the example: it must come in without a word."""
    assert folder.told("walks.csv", block("walk,")) == []
    (walk,) = folder.read()["walks.csv"].records
    assert [(stop.places, stop.fresh_cut_at, stop.sound) for stop in walk.stops] == [(20, 0, 20), (20, 1, 19)]
    assert (walk.collars, walk.staging, walk.plants_searched, walk.hour) == (2.0, "collars", 40, 8)
    assert [larva.length_mm for larva in walk.larvae] == [14.0]


def test_combined_trap_log(folder):
    """The same for the log."""
    assert folder.told("catches.csv", block("trap,")) == []
    assert [type(one) for one in folder.read()["catches.csv"].records] == [Trap, Catch, Catch]


def test_season_file(folder):
    """Every key shown is a key that is read."""
    folder.write("weather/lincoln.csv", "STATION,DATE,TMAX,TMIN\nUSW00094996,2016-04-01,70,50\n")
    for name in TABLES:
        folder.write(f"{name}.csv", "")
    text = block("[season]") + block("[columns.fields]")
    assert [line for line in folder.told("season.toml", text) if "refused" in line] == []


def test_every_table_is_started_and_read():
    """A table that start does not write is one that nobody learns of."""
    assert sorted(HEADINGS) == sorted(f"{table}.csv" for table in TABLES)


@pytest.mark.parametrize(("file", "columns"), HEADINGS.items(), ids=HEADINGS)
def test_every_column_is_in_the_files_line_of_the_table(file: str, columns: Columns):
    """A column nobody explains is filled in by guessing; a needed one stands out."""
    if file == "walks.csv":
        return
    (line,) = [line for line in PAGE.splitlines() if line.startswith(f"| {file} |")]
    assert [column for column in columns.all if column not in re.findall(r"[a-z_]+", line)] == []
    assert set(columns.needed) == set(re.findall(r"\*\*([a-z_]+)\*\*", line))


def test_walk_columns_are_each_explained():
    """One line of the table for each, or together with its kin."""
    table = PAGE.split("### walks.csv")[1].split("```")[0]
    first_cells = " ".join(line.split("|")[1] for line in table.splitlines() if line.startswith("|"))
    assert set(WALK_COLUMNS.all) <= set(re.findall(r"[a-z_]+", first_cells))
