"""The due list on the command line, from files to text."""

from __future__ import annotations

import json
from pathlib import Path

from tests.cli.conftest import Tell
from tests.seasons import write_season

TODAY = ("--today", "2016-05-17")


def test_due_lists_looks_and_their_commands(tell: Tell, tmp_path: Path) -> None:
    """The small season has corn in the ground, so something is due or coming; JSON holds the same looks."""
    write_season(tmp_path / "farm")
    assert tell("intake", "farm", *TODAY).code == 0
    said = tell("due", *TODAY)
    assert (said.code, said.err) == (0, "")
    assert said.out.startswith("Tuesday 17 May: ")
    data = json.loads(tell("due", *TODAY, "--json").out)
    listed = [one for name in ("overdue", "last_day", "due", "coming", "missed") for one in data[name]]
    assert listed
    for one in listed:
        assert one["done"] in said.out
        assert one["opens"] <= one["closes"]
        assert one["words"]["title"]
    assert tell("due", *TODAY, "--json").out == tell("due", *TODAY, "--json").out


def test_due_without_a_store_says_what_to_do(tell: Tell) -> None:
    """The error form and the exit code of a store that is not there; no traceback."""
    said = tell("due")
    assert said.code == 5
    assert said.err.startswith("store = ")
    assert "Traceback" not in said.err
