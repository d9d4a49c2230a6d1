"""Every table of work and of what was seen: nothing is lost without a word, whatever stands in the cells."""

# ruff: noqa: E501

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings, strategies as st

from springwalk.intake import Known, read_folder
from springwalk.intake.faults import FileRead
from springwalk.intake.start import HEADINGS
from springwalk.records import Field, Planting, Progress
from tests.drawn import examples

LAND = Field(id="north", name="North", grower="Invented Farms", outline={}, area_ha=30, latitude=40.7, longitude=-96.85)
KNOWN = Known(
    fields=frozenset({"north"}), names={"north": "North"}, land={"north": LAND}, zones=frozenset({"north/low"}),
    plantings={"north/1": Planting(id="north/1", field="north")}, places=((40.7, -96.85),),
)  # fmt: skip
CELLS = {
    "field": ["north", "NORTH", "nort", "", "a/b"],
    "date": ["2016-05-02", "2016-05-03", "5/2/2016", "2016-09-01", "2015-01-01", ""],
    "night": ["2016-04-18", "2016-04-19", "soon", ""], "on": ["2016-05-02", "2016-05-31", ""],
    "since": ["2016-05-02", "2017-05-02", ""], "until": ["2016-06-02", "2016-04-01", ""],
    "pass": ["insecticide", "spray", "rotary hoe", "dance", ""], "at": ["2:30 pm", "2", ""], "zone": ["low", "high", ""],
    "planting": ["1", "2", ""], "entry_hours": ["24", "2 days", "x", ""], "direction": ["E-W", "400", ""],
    "rain": ["1.3", "33 mm", "13", "33", "-1", "T", ""], "hard": ["yes", "n", "?", ""],
    "acres": ["20", "90", "0", "x", ""], "lot": ["L1", "L2", ""], "warm": ["95", "95%", "101", ""], "cold": ["80", "x", ""],
    "grower": ["Invented Farms", "invented farms", "Quux", ""], "every": ["7", "weekly", "0", "x", ""],
    "pest": ["slug", "Slugs", "wireworms", "dragon", ""], "looked": ["10", "0", "x", ""], "insects": ["0", "4", "II", ""],
    "with": ["0", "4", "40", ""], "size": ["12", "0", ""], "source": ["letter", "radio", ""],
    "latitude": ["40.8", "95", ""], "longitude": ["-96.9", "96.9", ""], "either_way": ["2", "20", ""],
    "look": ["dig:north:1", "hail:north:", ""], "outcome": ["done", "set aside", "later", ""],
    "note": ["fine", "bad\u202etext", "", ""], "person": ["Wren", ""],
}  # fmt: skip
NEW = (
    "passes.csv", "rain.csv", "progress.csv", "seed_lots.csv", "promises.csv", "pest_counts.csv", "flight_reports.csv",
    "done.csv",
)  # fmt: skip


def read_one(file: str, rows: Sequence[Sequence[str]]) -> FileRead:
    """One table of a folder that has nothing else."""
    heads = ",".join(HEADINGS[file].all)
    with tempfile.TemporaryDirectory() as place:
        (Path(place) / "season.toml").write_text('[season]\nname = "a"\nyear = 2016\n')
        (Path(place) / file).write_text("\n".join([heads, *(",".join(row) for row in rows)]) + "\n", encoding="utf-8")
        reads = read_folder(Path(place), today=date(2016, 5, 31), known=KNOWN)
        return next(read for read in reads if read.name == file)


@pytest.mark.parametrize("file", NEW)
@settings(derandomize=True, max_examples=examples(80), deadline=None, database=None)
@given(data=st.data())
def test_rows_are_records_or_left_out_and_each_of_those_is_told(file: str, data: st.DataObject) -> None:
    """A row that gives no record and is in no fault would be lost silently."""
    columns = HEADINGS[file].all
    cell = {column: st.sampled_from(CELLS.get(column, ["", "a thing"])) for column in columns}
    rows = data.draw(st.lists(st.tuples(*(cell[column] for column in columns)), min_size=1, max_size=6))
    rows = [row for row in rows if any(row)]
    read = read_one(file, rows)
    records = [one for one in read.records if file != "progress.csv" or isinstance(one, Progress)]
    twice = [fault for fault in read.faults if fault.rule == "told twice, with the same values"]
    assert read.rows == len(rows) == len(records) + read.left_out + len(twice)
    assert len({one.natural_key() for one in records}) == len(records)
    told = {fault.row for fault in read.faults if fault.severity != "note"}
    assert len(told) >= read.left_out
    assert all(str(fault).isprintable() for fault in read.faults)
    assert read.complete == (read.left_out == 0)


@pytest.mark.parametrize("file", NEW)
def test_a_file_with_headings_only_says_nothing(file: str) -> None:
    """springwalk start writes them all; most stay empty."""
    read = read_one(file, [])
    assert (read.records, read.faults, read.rows) == ((), (), 0)


@pytest.mark.parametrize("file", NEW)
def test_a_missing_needed_heading_is_one_fault(file: str) -> None:
    """Without it no row can be read."""
    with tempfile.TemporaryDirectory() as place:
        (Path(place) / "season.toml").write_text('[season]\nname = "a"\nyear = 2016\n')
        (Path(place) / file).write_text("person\nWren\n")
        reads = read_folder(Path(place), today=date(2016, 5, 31), known=KNOWN)
        read = next(read for read in reads if read.name == file)
    needed = ", ".join(HEADINGS[file].needed)
    assert [str(fault).split(":")[0] for fault in read.faults] == [f"{file}, row 1, column headings = {needed}"]
    assert (read.left_out, read.complete) == (1, False)
