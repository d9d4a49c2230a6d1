"""The command on counting in a field today: stop-table."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.conftest import Tell

TODAY = ("--today", "2016-05-20")
TERMS = ("--yield", "180", "--price", "4.50", "--pass-cost", "16", "--wage", "40")


def test_stop_table_as_text_and_json(tell: Tell, taken: Path) -> None:
    """Text answers first; JSON has every count that can come up, and says the same twice."""
    said = tell("stop-table", "north", *TERMS, *TODAY)
    assert (said.code, said.err) == (0, "")
    assert said.out.startswith("The north field: a count today is worth about $")
    made = tell("stop-table", "north", *TERMS, *TODAY, "--json")
    part = json.loads(made.out)["parts"][0]
    assert {"stops", "cut", "stops_with", "chance", "answer", "on"} == set(part["table"][0])
    assert tell("stop-table", "north", *TERMS, *TODAY, "--json").out == made.out


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (("nowhere", *TERMS), 6, "field = nowhere: no such field in this store;"),
        (("north", *TERMS[:-1], "-5"), 3, "wage = -5: must be 0 or above and below 10,000; give money an hour."),
        (("north", *TERMS, "--spray-in", "-1"), 3, "days to the sprayer = -1: must be 0 or more;"),
    ],
)
def test_stop_table_refusals(tell: Tell, taken: Path, words: tuple[str, ...], code: int, told: str) -> None:
    """A slip ends with one line that says what to do."""
    said = tell("stop-table", *words, *TODAY)
    assert said.code == code
    assert told in said.err
