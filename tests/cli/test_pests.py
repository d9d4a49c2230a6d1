"""The command ``pest``: cards as text and JSON, and its refusal."""

from __future__ import annotations

import json

from tests.cli.conftest import Tell


def test_card_as_text_and_json(tell: Tell) -> None:
    """The same card for a person and for a program."""
    text = tell("pest", "stink bug")
    assert text.code == 0
    assert text.out.startswith("Stink bug (Euschistus and others)\n")
    made = json.loads(tell("pest", "stink bug", "--json").out)
    assert made["name"] == "stink bug"
    assert made["rules"][0]["states"] == ["North Carolina"]


def test_without_a_name_the_pests_there_are(tell: Tell) -> None:
    """Nobody knows our names by heart."""
    assert "slug: from before planting to 4 collars" in tell("pest").out
    assert len(json.loads(tell("pest", "--json").out)) == 12


def test_unknown_pest_is_not_found(tell: Tell) -> None:
    """Exit code 6 and what was likely meant, no traceback."""
    said = tell("pest", "stinkbigs")
    assert (said.code, said.out) == (6, "")
    assert said.err.startswith("pest = stinkbigs: no such pest here; did you mean stink bug? use one of ")
