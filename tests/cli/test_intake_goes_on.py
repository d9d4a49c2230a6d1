"""An intake that is broken off says what it kept; what was taken back and what is only held is said too."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from springwalk.errors import StoreError
from springwalk.jobs import take_in as take_in_module
from tests.cli.conftest import Tell
from tests.seasons import PLANTINGS, WALKS, write_season

INTAKE = ("intake", "farm", "--today", "2016-05-17")
FULL = "store = season.db: the disk is full; nothing of this step was kept; make room, then do the step again.\n"


@pytest.fixture
def farm(tmp_path: Path) -> Path:
    """The small season folder, beside where commands run."""
    return write_season(tmp_path / "farm")


@pytest.fixture
def full_at_weather(monkeypatch: pytest.MonkeyPatch) -> None:
    """A disk that is full when the last file, the weather, is to be written."""
    real = take_in_module.put_days

    def put(write: Any, days: Any) -> Any:
        if days:
            raise StoreError("store", "season.db", "the disk is full; nothing of this step was kept",
                             "make room, then do the step again")  # fmt: skip
        return real(write, days)

    monkeypatch.setattr(take_in_module, "put_days", put)


@pytest.mark.usefixtures("full_at_weather")
def test_what_was_kept_is_said_before_the_error(tell: Tell, farm: Path) -> None:
    """Revisions are told once only: a later failure must not swallow them, nor the faults of the files kept."""
    write_season(farm, {"plantings.csv": PLANTINGS + "nort,1,2016-05-01,Invented 3\n"})
    said = tell(*INTAKE)
    assert (said.code, said.err) == (5, FULL)
    lines = said.out.splitlines()
    assert " ".join(lines[3].split()) == "plantings.csv 4 1 0 3 0 0"
    assert "  plantings.csv, row 5, column field = nort: no field has this id or name; " in said.out
    assert lines[-1] == "7 of 8 files were kept in season.db; take the folder in again: nothing is doubled."
    assert "weather/station.csv" not in said.out


@pytest.mark.usefixtures("full_at_weather")
def test_what_was_kept_as_json(tell: Tell, farm: Path) -> None:
    """A program must be able to read what was kept and that it was broken off."""
    said = tell(*INTAKE, "--json")
    plain = json.loads(said.out)
    assert (said.code, said.err) == (5, FULL)
    assert (len(plain["files"]), plain["files_in_folder"], plain["changed"]) == (7, 8, True)
    assert plain["broken_off"] == FULL.strip()


def test_each_receipt_is_printed_as_its_file_is_kept(tell: Tell, farm: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A program that is killed later has said what it did: nothing waits for the end."""
    heard: list[str] = []
    real = take_in_module.put_record
    monkeypatch.setattr("springwalk.cli.receipt.say", heard.append)

    def put(write: Any, record: Any, **named: Any) -> Any:
        if record.kind == "walk":
            assert [text.split()[0] for text in heard] == [
                "file", "season.toml", "fields.geojson", "plantings.csv", "events.csv", "traps.csv", "catches.csv",
            ]  # fmt: skip
        return real(write, record, **named)

    monkeypatch.setattr(take_in_module, "put_record", put)
    assert tell(*INTAKE).code == 0
    assert len(heard) == 10


@pytest.mark.slow
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_an_intake_nobody_hears_is_whole(process: Tell, farm: Path) -> None:
    """A full disk under the output, or a closed pipe, must not stop the taking in half-way."""
    code = "from springwalk.cli import run; run()"
    kept = {name: value for name, value in os.environ.items() if not name.startswith("SPRINGWALK_")}
    with Path("/dev/full").open("w") as nowhere:
        done = subprocess.run(
            [sys.executable, "-c", code, *INTAKE],
            cwd=farm.parent, env=kept, stdout=nowhere, stderr=subprocess.PIPE, text=True, check=False, timeout=60,
        )  # fmt: skip
    assert (done.returncode, done.stderr) == (
        4, "output = stdout: no space left on the disk; make room, or write elsewhere.\n",
    )  # fmt: skip
    assert process(*INTAKE).out.splitlines()[-1] == "Taken into season.db. Nothing was new."


def test_what_a_file_no_longer_holds_is_said_with_the_command(tell: Tell, farm: Path) -> None:
    """The command must be ready to paste, and do what it says."""
    tell(*INTAKE, "--store", "my farm.db")
    write_season(farm, {"walks.csv": WALKS.replace("W1", "W7")})
    said = tell(*INTAKE, "--store", "my farm.db")
    command = "springwalk intake farm --store 'my farm.db' --today 2016-05-17 --take-back walks.csv"
    assert (said.code, said.err) == (0, "")
    assert (
        "    held from an earlier walks.csv, not in it now: 1 (walk W1 of east on 2016-05-14); kept\n"
        f"    to take back: {command}\n"
    ) in said.out
    done = tell(*INTAKE, "--store", "my farm.db", "--take-back", "walks.csv")
    assert (done.code, "    taken back: 1 (walk W1 of east on 2016-05-14)\n" in done.out) == (0, True)
    write_season(farm)
    plain = json.loads(tell(*INTAKE, "--store", "my farm.db", "--json").out)
    (file,) = [each for each in plain["files"] if each["name"] == "walks.csv"]
    assert file["held_from_earlier"] == ["walk W7 of east on 2016-05-14"]
    assert (file["to_take_back"], file["taken_back"]) == (command, [])


def test_taking_back_from_a_file_that_is_not_there(tell: Tell, farm: Path) -> None:
    """A slip in the name is told in one line."""
    tell(*INTAKE)
    said = tell(*INTAKE, "--take-back", "walk.csv")
    told = "take-back = walk.csv: no file of this name was read; did you mean 'walks.csv'.\n"
    assert (said.code, said.out, said.err) == (3, "", told)
