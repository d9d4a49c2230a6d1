"""Taking in what was done and seen: passes, rain, progress, lots, promises, counts, reports, looks done."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from springwalk.jobs.receipt import FileReceipt, Receipt
from springwalk.jobs.take_in import take_in
from springwalk.records import Planting
from springwalk.store import Store
from springwalk.store.entries import heads
from tests.seasons import PLANTINGS, TODAY, write_season

TABLES = {
    "passes.csv": "field,date,pass,at,product,entry_hours,person,note\nnorth,2016-05-12,insecticide,2:30 pm,made-up 1,24,A,\n",
    "rain.csv": "field,date,rain,hard,person\nnorth,2016-05-13,1.3,yes,A\n,2016-05-14,20 mm,,\n",
    "progress.csv": "field,planting,date,acres,person\nnorth,1,2016-05-05,30,A\n",
    "seed_lots.csv": "lot,hybrid,trait,treatment,warm,cold,note\nL1,Invented 1,,treated,95,80,\n",
    "promises.csv": "grower,field,every,since,until,note\nInvented Farms,,weekly,2016-05-01,,\n,east,10,,,\n",
    "pest_counts.csv": "field,date,pest,unit,looked,insects,with,size,person,note\neast,2016-05-14,slugs,plant,50,4,3,,A,\n",
    "flight_reports.csv": "source,near,latitude,longitude,night,either_way,note\nletter,Mill Town,40.9,-96.7,2016-04-18,1,\n",
    "done.csv": "look,field,on,outcome,person,note\nhail:east:,east,2016-05-15,done,A,\n",
}
WORDS = {
    "passes.csv": ["insecticide pass of 12 May in north"],
    "rain.csv": ["rain of 13 May in north", "rain of 14 May for every field"],
    "progress.csv": ["planting of 5 May in north/1"],
    "seed_lots.csv": ["seed lot L1"],
    "promises.csv": ["promise for east", "promise to Invented Farms"],
    "pest_counts.csv": ["slug count of 14 May in east"],
    "flight_reports.csv": ["flight report of 18 April by letter"],
    "done.csv": ["look hail:east: done"],
}


@pytest.fixture
def farm(store: Store, tmp_path: Path) -> Path:
    """The small season folder with a row or two in every table, taken in once."""
    folder = write_season(tmp_path / "farm", TABLES)
    take_in(store, folder, today=TODAY)
    return folder


def of(receipt: Receipt, name: str) -> FileReceipt:
    """The receipt of one file."""
    return next(file for file in receipt.files if file.name == name)


def dated(store: Store) -> dict[str, date | None]:
    """Planting dates as the store holds them."""
    with store.reading() as read:
        return {e.record.id: e.record.planted for e in heads(read, "planting") if isinstance(e.record, Planting)}


def test_every_table_is_taken_in_whole_and_twice_is_nothing_new(store: Store, tmp_path: Path) -> None:
    """The folder is taken in every morning: only a change may change anything."""
    folder = write_season(tmp_path / "farm", TABLES)
    first = take_in(store, folder, today=TODAY)
    assert [str(fault) for file in first.files for fault in file.faults if fault.severity != "note"] == []
    assert {name: of(first, name).new for name in TABLES} == {name: len(words) for name, words in WORDS.items()}
    counter = store.counter
    again = take_in(store, folder, today=TODAY)
    assert (store.counter, again.changed) == (counter, False)
    assert {name: (of(again, name).new, of(again, name).same) for name in TABLES} == {
        name: (0, len(words)) for name, words in WORDS.items()
    }


@pytest.mark.parametrize("name", TABLES)
def test_a_row_that_is_gone_is_named_as_a_person_would(store: Store, farm: Path, name: str) -> None:
    """Nobody knows a pass by its key."""
    write_season(farm, {name: TABLES[name].splitlines()[0] + "\n"})
    receipt = of(take_in(store, farm, today=TODAY), name)
    assert list(receipt.gone) == WORDS[name]
    assert list(of(take_in(store, farm, today=TODAY, take_back=[name]), name).taken_back) == WORDS[name]


def test_a_revision_names_the_pass(store: Store, farm: Path) -> None:
    """A corrected entry interval moves a keep-out: the receipt must say of what."""
    write_season(farm, {"passes.csv": TABLES["passes.csv"].replace(",24,", ",48,")})
    (item,) = of(take_in(store, farm, today=TODAY), "passes.csv").revised
    assert (item.what, item.before, item.after) == (
        "insecticide pass of 12 May in north", "entry_hours 24", "entry_hours 48",
    )  # fmt: skip


def test_a_column_left_out_keeps_and_a_blank_erases(store: Store, farm: Path) -> None:
    """A second list without the label's column must not unlock the gate."""
    write_season(farm, {"passes.csv": "field,date,pass,product\nnorth,2016-05-12,insecticide,made-up 1\n"})
    assert of(take_in(store, farm, today=TODAY), "passes.csv").same == 1
    write_season(farm, {"passes.csv": TABLES["passes.csv"].replace(",24,", ",,")})
    (item,) = of(take_in(store, farm, today=TODAY), "passes.csv").revised
    assert item.after == "entry_hours not told"


def test_a_folder_of_new_rows_alone_speaks_of_what_the_store_holds(store: Store, farm: Path) -> None:
    """A scout sends one file: its growers, lots, places and acres are known from before."""
    for name in ("fields.geojson", "seed_lots.csv", "promises.csv", "flight_reports.csv", "progress.csv"):
        (farm / name).unlink()
    write_season(farm, {
        "promises.csv": "grower,every\ninvented farms,5\nInvented Frms,5\n",
        "plantings.csv": "field,planting,lot\nnorth,1,l1\nsouth,1,L2\n",
        "flight_reports.csv": "source,field,night\nneighbor,east,2016-04-20\n",
        "progress.csv": "field,date,acres\neast,2016-04-28,900\n",
    })  # fmt: skip
    (farm / "fields.geojson").unlink()
    receipt = take_in(store, farm, today=TODAY)
    assert [str(fault) for fault in of(receipt, "promises.csv").faults] == [
        "promises.csv, row 3, column grower = Invented Frms: no field has this grower; did you mean 'Invented Farms'? Correct it."
    ]
    assert [str(fault) for fault in of(receipt, "plantings.csv").faults] == [
        "plantings.csv, row 3, column lot = L2: no seed lot has this id; it is kept as written; add it to seed_lots.csv."
    ]
    assert of(receipt, "flight_reports.csv").new == 1
    assert "more than the field has" in str(of(receipt, "progress.csv").faults[0])


def test_progress_dates_a_planting_once_and_a_mended_first_day_counts(store: Store, tmp_path: Path) -> None:
    """A date taken from progress must not be set back and forth, and follows its correction."""
    undated = PLANTINGS.replace("north,1,2016-05-05", "north,1,")
    days = "field,date,acres\nnorth,2016-05-06,20\nnorth,2016-05-07,20\n"
    folder = write_season(tmp_path / "farm", {"plantings.csv": undated, "progress.csv": days})
    take_in(store, folder, today=TODAY)
    assert dated(store)["north/1"] == date(2016, 5, 6)
    counter = store.counter
    take_in(store, folder, today=TODAY)
    assert store.counter == counter
    write_season(folder, {"plantings.csv": undated, "progress.csv": days.replace("05-06", "05-04")})
    take_in(store, folder, today=TODAY)
    assert dated(store)["north/1"] == date(2016, 5, 4)


def test_a_planting_that_only_progress_tells_is_held_and_mended(store: Store, tmp_path: Path) -> None:
    """Without plantings.csv the log is all there is: taken in again it is the same, mended it is mended."""
    days = "field,date,acres\nnorth,2016-05-06,20\n"
    folder = write_season(tmp_path / "farm", {"progress.csv": days})
    (folder / "plantings.csv").unlink()
    take_in(store, folder, today=TODAY)
    counter = store.counter
    again = take_in(store, folder, today=TODAY)
    assert (store.counter, of(again, "progress.csv").gone) == (counter, ())
    write_season(folder, {"progress.csv": days.replace("05-06", "05-03")})
    (folder / "plantings.csv").unlink()
    receipt = of(take_in(store, folder, today=TODAY), "progress.csv")
    assert [item.after for item in receipt.revised] == ["planted 2016-05-03"]
    assert dated(store)["north/1"] == date(2016, 5, 3)
