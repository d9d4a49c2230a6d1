"""An intake keeps good rows, changes nothing twice, lists what it revised, and is whole or not at all per file."""

from __future__ import annotations

import signal
import subprocess
import sys
import textwrap
from datetime import date
from pathlib import Path

import pytest

from springwalk.errors import BadFile, BadValue
from springwalk.jobs.receipt import FileReceipt, Receipt
from springwalk.jobs.take_in import take_in
from springwalk.records import Event, Planting
from springwalk.store import Store, open_store
from springwalk.store.days import days
from springwalk.store.entries import heads
from springwalk.store.files import files
from tests.seasons import PLANTINGS, SEASON, TODAY, weather, write_season


def of(receipt: Receipt, name: str) -> FileReceipt:
    """The receipt of one file."""
    return next(file for file in receipt.files if file.name == name)


def test_a_clean_folder_is_all_new(store: Store, tmp_path: Path) -> None:
    """A folder without faults must be taken whole, with no fault invented."""
    receipt = take_in(store, write_season(tmp_path / "farm"), today=TODAY)
    assert [str(fault) for file in receipt.files for fault in file.faults if fault.severity != "note"] == []
    assert receipt.changed
    assert of(receipt, "fields.geojson").new == 3
    assert of(receipt, "catches.csv").new == 4
    assert of(receipt, "walks.csv").new == 1
    assert of(receipt, "weather/station.csv").new == 77
    assert all(file.same == 0 and file.revised == () for file in receipt.files)


def test_the_same_folder_twice_changes_nothing(store: Store, tmp_path: Path) -> None:
    """Taking a folder in every morning must be free of effect until a file changes."""
    folder = write_season(tmp_path / "farm")
    first = take_in(store, folder, today=TODAY, person="A")
    counter = store.counter
    again = take_in(store, folder, today=TODAY, person="B")
    assert store.counter == counter
    assert not again.changed
    assert [(file.name, file.new, file.revised) for file in again.files] == [(f.name, 0, ()) for f in first.files]
    assert sum(file.same for file in again.files) == sum(file.new for file in first.files)


def test_a_changed_value_is_a_listed_revision(store: Store, tmp_path: Path) -> None:
    """A corrected date or temperature must be told with its old and new value, and nothing else."""
    folder = write_season(tmp_path / "farm")
    take_in(store, folder, today=TODAY)
    rows = weather().splitlines()
    rows[40] = rows[40].split(",")[0] + ",99,41,0"
    changes = {"plantings.csv": PLANTINGS.replace("2016-05-05", "2016-05-06"), "weather/station.csv": "\n".join(rows)}
    receipt = take_in(store, write_season(folder, changes), today=TODAY)
    (planting,) = of(receipt, "plantings.csv").revised
    assert (planting.what, planting.before, planting.after) == (
        "planting:north/1", "planted 2016-05-05", "planted 2016-05-06",
    )  # fmt: skip
    (day,) = of(receipt, "weather/station.csv").revised
    assert day.what.startswith("day:TEST1:2016-04-")
    assert "max 37.22 °C" in day.after
    assert sum(len(file.revised) for file in receipt.files) == 2
    assert receipt.changed


def test_planted_event_dates_a_planting_once(store: Store, tmp_path: Path) -> None:
    """A planting date told as an event must not be undone and set again by every intake."""
    undated = PLANTINGS.replace("north,1,2016-05-05", "north,1,")
    events = "field,date,event\nnorth,2016-05-07,planted\n"
    folder = write_season(tmp_path / "farm", {"plantings.csv": undated, "events.csv": events})
    take_in(store, folder, today=TODAY)
    counter = store.counter
    with store.reading() as read:
        dates = {e.record.id: e.record.planted for e in heads(read, "planting") if isinstance(e.record, Planting)}
    assert dates["north/1"] == date(2016, 5, 7)
    again = take_in(store, folder, today=TODAY)
    assert store.counter == counter
    assert [file.revised for file in again.files if file.revised] == []


def test_rain_and_extremes_may_come_from_two_files(store: Store, tmp_path: Path) -> None:
    """A blank in one file must not erase what another file tells of the same day."""
    rain = "date,rain\n2016-04-10,0.5\n"
    season = SEASON.replace('file = "weather/station.csv"', 'file = ["weather/station.csv", "weather/rain.csv"]')
    dry = "\n".join(line.rpartition(",")[0] for line in weather().splitlines())
    folder = write_season(
        tmp_path / "farm", {"season.toml": season, "weather/station.csv": dry, "weather/rain.csv": rain}
    )
    take_in(store, folder, today=TODAY)
    counter = store.counter
    take_in(store, folder, today=TODAY)
    assert store.counter == counter
    with store.reading() as read:
        (row,) = [row for row in days(read, "TEST1")["TEST1"] if row[0] == "2016-04-10"]
    assert row[1] is not None
    assert row[2] is not None
    assert row[3] == pytest.approx(12.7)


def test_a_station_told_in_several_blocks(store: Store, tmp_path: Path) -> None:
    """This year's export, typed rain and the past years of a station are seldom written in one way."""
    head, _, block = SEASON.partition("[[station]]")
    place = "".join(line for line in block.splitlines(keepends=True) if line.startswith(("id", "lat", "lon")))
    past = f'[[station]]\n{place}file = "past.csv"\ntemperature_unit = "C"\n'
    rain = f'[[station]]\n{place}file = "rain.csv"\nrain_unit = "mm"\n[station.columns]\nrain = "gauge"\n'
    changes = {
        "season.toml": f"{head}[[station]]{block}\n{past}\n{rain}",
        "weather/station.csv": "\n".join(line.rpartition(",")[0] for line in weather().splitlines()),
        "past.csv": "date,max,min\n2015-05-01,20,8\n2015-05-02,21,9\n",
        "rain.csv": "date,gauge\n2016-03-02,3.5\n",
    }
    folder = write_season(tmp_path / "farm", changes)
    receipt = take_in(store, folder, today=TODAY)
    assert receipt.refused == 0
    assert [of(receipt, name).new for name in ("season.toml", "past.csv", "rain.csv")] == [2, 2, 1]
    with store.reading() as read:
        held = {row[0]: row[1:] for row in days(read, "TEST1")["TEST1"]}
    assert held["2015-05-01"] == (8.0, 20.0, None)
    assert held["2016-03-02"][2] == 3.5
    assert None not in held["2016-03-02"]
    assert not take_in(store, folder, today=TODAY).changed


def test_a_killed_cover_and_a_trap_log_change_nothing_the_second_time(store: Store, tmp_path: Path) -> None:
    """A row that stands for two events, a trap told by its log and a name in place of an id must settle at once."""
    events = "field,date,event,cover\nThe North Field,2016-04-20,burndown,dense\n"
    log = "trap,kind,latitude,longitude,read,moths\nT9,wing,40.705,-96.855,2016-04-08,set\nT9,,,,2016-04-10,3\n"
    folder = write_season(tmp_path / "farm", {"events.csv": events, "catches.csv": log})
    receipt = take_in(store, folder, today=TODAY)
    assert (receipt.refused, receipt.left_out) == (0, 0)
    assert (of(receipt, "events.csv").rows, of(receipt, "events.csv").new, of(receipt, "catches.csv").new) == (1, 2, 2)
    with store.reading() as read:
        kept = {e.record.what: e.record for e in heads(read, "event") if isinstance(e.record, Event)}
    assert {what: (one.field, one.cover) for what, one in kept.items()} == {
        "weeds seen": ("north", "dense"), "cover killed": ("north", "residue"),
    }  # fmt: skip
    assert not take_in(store, folder, today=TODAY).changed


def test_names_of_fields_held_resolve_without_their_outlines(store: Store, tmp_path: Path) -> None:
    """A folder with only this week's events may speak of fields as before."""
    folder = write_season(tmp_path / "farm")
    take_in(store, folder, today=TODAY)
    (folder / "fields.geojson").unlink()
    (folder / "events.csv").write_text("field,date,event\nthe SOUTH field,2016-04-25,tilled\n", encoding="utf-8")
    receipt = take_in(store, folder, today=TODAY)
    assert (of(receipt, "events.csv").new, of(receipt, "events.csv").faults) == (1, ())


def test_a_station_at_two_places(store: Store, tmp_path: Path) -> None:
    """Two blocks of one id at two places are two stations, and one id is wrong."""
    _, _, block = SEASON.partition("[[station]]")
    season = f"{SEASON}\n[[station]]{block.replace('40.70', '41.70')}"
    receipt = take_in(store, write_season(tmp_path / "farm", {"season.toml": season}), today=TODAY)
    (told,) = [str(fault) for fault in of(receipt, "season.toml").faults if fault.severity == "refused"]
    rule = "a station of this id is at another place; give each its own id, or correct the place."
    assert told == f"season.toml, station 2.id = TEST1: {rule}"


def test_two_files_that_contradict_each_other(store: Store, tmp_path: Path) -> None:
    """Which of two values is right is not for the program to guess, nor may they take turns."""
    other = "date,max,min\n2016-04-10,75,40\n"
    season = SEASON.replace('file = "weather/station.csv"', 'file = ["weather/station.csv", "weather/other.csv"]')
    folder = write_season(tmp_path / "farm", {"season.toml": season, "weather/other.csv": other})
    receipt = take_in(store, folder, today=TODAY)
    assert (of(receipt, "weather/station.csv").refused, of(receipt, "weather/other.csv").refused) == (1, 1)
    counter = store.counter
    take_in(store, folder, today=TODAY)
    assert store.counter == counter
    with store.reading() as read:
        assert "2016-04-10" not in [row[0] for row in days(read, "TEST1")["TEST1"]]


def test_bad_rows_are_left_out_and_good_ones_kept(store: Store, tmp_path: Path) -> None:
    """One slip must not cost the rest of the file, and must be told in full."""
    bad = PLANTINGS + "nowhere,1,2016-05-01,Invented 3\nnorth,2,2017-05-01,Invented 3\n"
    receipt = take_in(store, write_season(tmp_path / "farm", {"plantings.csv": bad}), today=TODAY)
    file = of(receipt, "plantings.csv")
    assert file.new == 3
    assert file.refused == receipt.refused == 2
    rows = [fault.row for fault in file.faults if fault.severity == "refused"]
    assert rows == [5, 6]


def test_mended_rows_are_taken_although_their_file_is_unchanged(store: Store, tmp_path: Path) -> None:
    """A row refused for an unknown field must come in once the field is told, its own file being as before."""
    folder = write_season(tmp_path / "farm", {"fields.geojson": '{"type": "FeatureCollection", "features": []}'})
    assert take_in(store, folder, today=TODAY).refused > 0
    receipt = take_in(store, write_season(folder), today=TODAY)
    assert receipt.refused == 0
    assert of(receipt, "plantings.csv").new == 3


def test_another_season_is_refused_before_anything_is_written(store: Store, tmp_path: Path) -> None:
    """One store holds one season; a mix would give dates that mean nothing."""
    take_in(store, write_season(tmp_path / "farm"), today=TODAY)
    counter = store.counter
    other = write_season(tmp_path / "next", {"season.toml": SEASON.replace("year = 2016", "year = 2015")})
    with pytest.raises(BadValue, match=r"^year = 2015: this store holds the season 2016; give the new season a store"):
        take_in(store, other, today=TODAY)
    assert store.counter == counter


def test_receipt_as_json_values(store: Store, tmp_path: Path) -> None:
    """A program that reads the receipt must find every fault with its parts and its line."""
    bad = PLANTINGS + "nowhere,1,2016-05-01,Invented 3\n"
    plain = take_in(store, write_season(tmp_path / "farm", {"plantings.csv": bad}), today=TODAY).plain()
    assert (plain["changed"], plain["refused"]) == (True, 1)
    (fault,) = [f for file in plain["files"] for f in file["faults"] if f["severity"] == "refused"]
    assert (fault["file"], fault["row"], fault["column"], fault["value"]) == ("plantings.csv", 5, "field", "nowhere")
    assert fault["text"].startswith("plantings.csv, row 5, column field = nowhere: ")


def test_an_empty_folder_gives_nothing_but_its_fault(store: Store, tmp_path: Path) -> None:
    """A folder without season.toml tells nothing about anything."""
    counter = store.counter
    receipt = take_in(store, tmp_path / ".", today=TODAY)
    assert ([file.name for file in receipt.files], receipt.refused) == (["season.toml"], 1)
    assert (store.counter, receipt.changed) == (counter, False)


def test_a_folder_that_is_not_there(store: Store, tmp_path: Path) -> None:
    """A slip in the path is told as such."""
    with pytest.raises(BadFile, match=r"^folder = .*gone: there is no such folder; "):
        take_in(store, tmp_path / "gone", today=TODAY)


KILLED = """
    import os, signal, sys
    from datetime import date
    from pathlib import Path
    import springwalk.jobs.take_in as job
    from springwalk.store import open_store

    calls = [0]
    real = job.put_record
    def put(*args, **named):
        calls[0] += 1
        if calls[0] == {after}:
            os.kill(os.getpid(), signal.SIGKILL)
        return real(*args, **named)
    job.put_record = put
    with open_store({location!r}) as store:
        job.take_in(store, Path({folder!r}), today=date(2016, 5, 17))
"""


@pytest.mark.slow
@pytest.mark.parametrize("after", [2, 4, 8, 14])
def test_a_killed_intake_leaves_all_or_nothing_of_a_file(store: Store, tmp_path: Path, after: int) -> None:
    """A power cut in the middle must leave a store that a second intake completes."""
    folder = write_season(tmp_path / "farm")
    whole = tmp_path / "whole.db"
    with open_store(str(whole), create=True) as other:
        expected = {file.name: file.new for file in take_in(other, folder, today=TODAY).files}
    code = textwrap.dedent(KILLED.format(after=after, location=store.location, folder=str(folder)))
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, timeout=60)
    assert done.returncode == -signal.SIGKILL, done.stderr
    with store.reading() as read:
        taken = {name for name, _, _ in files(read)}
    receipt = take_in(store, folder, today=TODAY)
    for file in receipt.files:
        counts = (0, expected[file.name]) if file.name in taken else (expected[file.name], 0)
        assert (file.new, file.same) == counts, file.name
