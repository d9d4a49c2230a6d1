"""The export on the command line: what it prints, and that the folder it wrote is taken in again."""

from __future__ import annotations

import csv
import json
from pathlib import Path

from springwalk.store import open_store
from springwalk.store.entries import append_raw, heads
from tests.cli.conftest import Tell
from tests.seasons import write_season

TODAY = ("--today", "2016-05-17")


def bodies(store: str) -> set[tuple[str, str]]:
    """Every current record of a store: the thing and its exact text."""
    with open_store(store) as opened, opened.reading() as read:
        return {(entry.thing, entry.body) for entry in heads(read)}


def test_export_is_taken_in_again_by_the_command_it_prints(tell: Tell, tmp_path: Path) -> None:
    """The last line is a command that works, and the new store holds the same records."""
    write_season(tmp_path / "farm")
    assert tell("intake", "farm", *TODAY).code == 0
    said = tell("export", "out", *TODAY)
    assert (said.code, said.err) == (0, "")
    lines = said.out.splitlines()
    assert lines[0].startswith("Wrote out: ")
    assert lines[-1] == "To take it in again: springwalk intake out --store NEW.db"
    back = tell("intake", "out", "--store", "NEW.db", *TODAY)
    assert back.code == 0, back.err
    assert "nothing reads this file" not in back.out + back.err
    assert bodies("season.db") == bodies("NEW.db")


def test_export_says_sentences_beside_the_codes(tell: Tell, tmp_path: Path) -> None:
    """A table for other programs still tells a person what a look is and why."""
    write_season(tmp_path / "farm")
    tell("intake", "farm", *TODAY)
    assert tell("export", "out", *TODAY).code == 0
    with Path("out/today/looks.csv").open(encoding="utf-8-sig", newline="") as handle:
        rows = list(csv.DictReader(handle))
    assert rows
    assert all(row["title"] and row["why_words"] for row in rows)
    layer = json.loads(Path("out/today/sheet.geojson").read_text(encoding="utf-8"))
    assert all(one["properties"]["why"] for one in layer["features"])


def test_export_says_what_it_kept_as_it_is(tell: Tell, tmp_path: Path) -> None:
    """An entry that is not understood is counted on stdout, with the file it went to."""
    write_season(tmp_path / "farm")
    tell("intake", "farm", *TODAY)
    with open_store("season.db") as store, store.writing() as write:
        append_raw(write, "drone flight", 1, "{}", thing="d-1")
    said = tell("export", "out", *TODAY)
    line = "Kept as they are in not_understood.jsonl, which intake does not read: 1 not understood."
    assert line in said.out.splitlines()
    values = json.loads(tell("export", "out2", "--json", *TODAY).out)
    assert values["kept_as_they_are"] == {"not understood": 1}


def test_export_refuses_in_one_line(tell: Tell, tmp_path: Path) -> None:
    """A folder that is not empty, a blank name and a missing store: the error form and its exit code, no traceback."""
    assert tell("export", "out").code == 5
    write_season(tmp_path / "farm")
    tell("intake", "farm", *TODAY)
    said = tell("export", "farm", *TODAY)
    rule = "there is something in it, and nothing is written over; name a new folder, or an empty one."
    assert (said.code, said.err) == (4, f"folder = farm: {rule}\n")
    said = tell("export", " ", *TODAY)
    assert (said.code, said.err) == (3, "folder = ' ': not a folder's name; write it like myfarms-2016.\n")


def test_export_without_a_day_of_the_season_says_so(tell: Tell, tmp_path: Path) -> None:
    """Years after the season the records still go out; the looks of no day are left out aloud."""
    write_season(tmp_path / "farm")
    tell("intake", "farm", *TODAY)
    said = tell("export", "out")
    assert said.code == 0
    assert "No looks: today is not in this season. Ask for a day of it: --today DATE" in said.out.splitlines()
