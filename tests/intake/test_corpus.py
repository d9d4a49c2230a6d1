"""Broken files as they come from loggers, spreadsheets and downloads (all made up): each fault is listed once."""

from __future__ import annotations

import csv
from datetime import date
from pathlib import Path

import pytest

CORPUS = Path(__file__).parent / "corpus"
ROWS = list(csv.DictReader((CORPUS / "expected.csv").read_text(encoding="utf-8").splitlines()))
TRAPS = "trap,kind,latitude,longitude\nmill,wing,40.7,-96.8\n"
TABLES = ("catches", "events", "walks")


def read(folder, name, kind):
    """The FileRead of one broken file in a folder that is sound otherwise."""
    target = f"{kind}.csv" if kind in TABLES else name
    station = folder.station.replace("weather/yard.csv", target if kind in ("weather", "ghcn") else "weather/yard.csv")
    if kind == "ghcn":
        station = station.replace('"yard"', '"USMADEUP001"') + 'format = "ghcn-daily"\n'
    if kind == "forecast":
        station += f'forecast = "{name}"\n'
    files = f'[files]\nfields = "{name}"\n' if kind == "fields" else ""
    folder.write("season.toml", folder.season + files + station)
    folder.write("weather/yard.csv", folder.csv(folder.days(date(2016, 6, 1), 20, 80, 60)))
    folder.write("traps.csv", TRAPS)
    folder.write(target, (CORPUS / name).read_bytes())
    return folder.read()[target]


def kept(made, kind):
    """How many rows of the file are among what it gave; of a forecast, days of members with both extremes."""
    if kind == "forecast":
        return sum(
            value is not None and other is not None
            for record in made.records
            for low, high in zip(record.min_c, record.max_c, strict=True)
            for value, other in zip(low, high, strict=True)
        )
    return len(made.days) + len(made.records)


@pytest.mark.parametrize("row", ROWS, ids=[row["file"] for row in ROWS])
def test_as_many_faults_as_the_file_has_and_every_good_row_kept(folder, row):
    """A file that is partly broken must give all the rest, and nothing of it may go in silence."""
    if row["file"].endswith(".nc"):
        pytest.importorskip("netCDF4")
    made = read(folder, row["file"], row["kind"])
    wrong = [fault for fault in made.faults if fault.severity != "note"]
    assert len(wrong) == int(row["faults"]), [str(fault) for fault in made.faults]
    assert kept(made, row["kind"]) == int(row["kept"])
    assert all(str(fault).isprintable() and fault.todo for fault in made.faults)


def test_the_list_and_the_files_are_the_same():
    """A file without an expectation would test nothing."""
    there = {path.name for path in CORPUS.iterdir()} - {"expected.csv"}
    assert there == {row["file"] for row in ROWS}
    assert len(there) >= 25
