"""Paths no folder can be read from or made at: one line and exit code 4 each, no hang, nothing left behind."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.cli.conftest import Tell
from tests.seasons import write_season

LONG = "a" * 5000
CUT = f"{'a' * 100} … {'a' * 50}"
LOOP = "Too many levels of symbolic links"
ELSE = "something else is there, not a folder; choose a folder you may write in."
# word, folder, told
BAD = [
    ("intake", LONG, f"folder = {CUT}: can't be read (File name too long); check the path, and who may read there."),
    ("intake", "loop", f"folder = loop: can't be read ({LOOP}); check the path, and who may read there."),
    ("intake", "fifo", "folder = fifo: not a folder; check its name, or make it with springwalk start FOLDER."),
    ("intake", "file", "folder = file: not a folder; check its name, or make it with springwalk start FOLDER."),
    ("intake", "here", "folder = here: season.toml is not in it; name the folder it is in, or make one: "
     "springwalk start FOLDER."),
    ("intake", "odd", "season.toml = odd/season.toml: a pipe or device, not a file; put the season's file there."),
    ("start", LONG, f"folder = {CUT}: can't be written (File name too long); choose a folder you may write in."),
    ("start", "loop/new", f"folder = loop/new: {ELSE}"),
    ("start", "fifo", f"folder = fifo: {ELSE}"),
    ("start", "file/new", f"folder = file/new: {ELSE}"),
    ("start", "odd", "file = odd/season.toml: is there already and is never overwritten; choose another folder, or "
     "move it away."),
]  # fmt: skip


@pytest.fixture
def places(tmp_path: Path) -> Path:
    """A loop of links, a pipe, a file, an empty folder, and a folder whose season.toml is a pipe."""
    (tmp_path / "loop").symlink_to("loop")
    os.mkfifo(tmp_path / "fifo")
    (tmp_path / "file").write_text("mine", encoding="utf-8")
    (tmp_path / "here").mkdir()
    (tmp_path / "odd").mkdir()
    os.mkfifo(tmp_path / "odd" / "season.toml")
    return tmp_path


@pytest.mark.parametrize(("word", "folder", "told"), BAD, ids=[f"{word}-{place[:8]}" for word, place, _ in BAD])
def test_places_that_will_not_do(tell: Tell, places: Path, word: str, folder: str, told: str) -> None:
    """Whatever lies at a path, a person gets the reason and what to do."""
    before = sorted(path.name for path in places.rglob("*"))
    said = tell(word, folder)
    assert (said.code, said.out, said.err) == (4, "", f"{told}\n")
    assert sorted(path.name for path in places.rglob("*")) == before


@pytest.mark.parametrize("word", ["start", "intake"])
def test_a_folder_without_a_name(tell: Tell, tmp_path: Path, word: str) -> None:
    """A script with an unset name must not fill the folder it stands in."""
    said = tell(word, "")
    told = "folder = '': not a folder's name; write it like myfarms, or . for this folder.\n"
    assert (said.code, said.err, list(tmp_path.iterdir())) == (3, told, [])


def test_start_may_fill_the_folder_it_stands_in(tell: Tell, tmp_path: Path) -> None:
    """That is what a point means; and FILES.md explains what was made."""
    said = tell("start", ".")
    assert said.code == 0
    assert said.err.splitlines()[-1] == "FILES.md explains every file, column and word."
    assert (tmp_path / "FILES.md").is_file()


def test_a_pipe_as_weather_names_the_option(tell: Tell, places: Path) -> None:
    """There is no season.toml here to look into."""
    said = tell("heat-sum", "--weather", "fifo", "--from", "2016-04-01", "--to", "2016-04-05")
    assert (said.code, said.err) == (4, "fifo = fifo: not an ordinary file; check --weather.\n")


def test_a_pipe_inside_a_season_folder(tell: Tell, tmp_path: Path) -> None:
    """It is told as a fault of that file, and the others are taken in."""
    farm = write_season(tmp_path / "farm")
    (farm / "walks.csv").unlink()
    os.mkfifo(farm / "walks.csv")
    said = tell("intake", "farm", "--today", "2016-05-17")
    assert said.code == 9
    assert "  walks.csv = walks.csv: not an ordinary file; check the name in season.toml.\n" in said.out
