"""The command on how long to search for larvae: search-table."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.conftest import Tell

TODAY = ("--today", "2016-05-17")


def test_search_table_as_text_and_json(tell: Tell, taken: Path) -> None:
    """Text answers first; JSON has every batch, and says the same twice."""
    said = tell("search-table", "The north field", *TODAY)
    assert (said.code, said.err) == (0, "")
    assert said.out.startswith("The north field: a search at 20:00 in moist soil is worth about $")
    made = tell("search-table", "north", *TODAY, "--json").out
    part = json.loads(made)["parts"][0]
    assert set(part["table"][0]) == {
        "plants", "chance_none", "none", "none_on", "found", "found_on", "found_margin_per_ac"
    }  # fmt: skip
    assert tell("search-table", "north", *TODAY, "--json").out == made
    assert (
        json.loads(tell("search-table", "north", "--hour", "12", "--soil", "dry", *TODAY, "--json").out)["hour"] == 12
    )


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (("nowhere",), 6, "field = nowhere: no such field in this store;"),
        (("north", "--hour", "24"), 3, "hour = 24: not an hour of the day; give 0 to 23."),
        (("north", "--soil", "muddy"), 3, "soil = muddy: not one of the words known here;"),
        (("north", "--wage", "-5"), 3, "wage = -5: must be 0 or above and below 10,000; give money an hour."),
    ],
)
def test_search_table_refusals(tell: Tell, taken: Path, words: tuple[str, ...], code: int, told: str) -> None:
    """A slip ends with one line that says what to do."""
    said = tell("search-table", *words, *TODAY)
    assert said.code == code
    assert told in said.err
