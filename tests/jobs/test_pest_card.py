"""Rule cards of stand pests as results."""

from __future__ import annotations

import re

import pytest

from springwalk.errors import NotFound
from springwalk.jobs.pest_card import card, cards


def test_there_is_a_card_of_every_pest() -> None:
    """The desk lists them; none may fail to be made."""
    assert [one.name for one in cards()] == [
        "seedcorn maggot", "wireworm", "white grub", "slug", "true armyworm", "corn flea beetle", "billbug",
        "stink bug", "stalk borer", "grape colaspis", "dingy cutworm", "claybacked cutworm",
    ]  # fmt: skip


@pytest.mark.parametrize("asked", ["Stink Bugs", "stinkbug", "stink_bug", "brown stink bug"])
def test_a_pest_answers_to_its_usual_names(asked: str) -> None:
    """People write it in many ways."""
    assert card(asked).name == "stink bug"


def test_card_carries_rules_with_source_and_mark() -> None:
    """A rule without its state, source and mark is no rule to act on."""
    rules = card("stink bug").rules
    assert rules[0].states == ("North Carolina",)
    assert rules[0].used
    assert rules[0].source == "NC State Extension, thresholds of stink bugs in corn"
    old = next(rule for rule in rules if rule.standing == "superseded")
    assert not old.used
    assert old.source == "NC State, old page on the threshold of stink bugs"


def test_published_lines_name_their_source() -> None:
    """Nothing looks published that has no source behind it."""
    for one in cards():
        for line in (*one.facts, *one.rules, *one.samples, *one.clock):
            assert line.source or line.mark != "published", (one.name, line)


def test_unknown_pest_is_refused_with_what_was_meant() -> None:
    """A slip in a name gets an answer; a name unlike any gets the list."""
    told = "pest = wierworm: no such pest here; did you mean wireworm? use one of seedcorn maggot, wireworm"
    with pytest.raises(NotFound, match=f"^{re.escape(told)}"):
        card("wierworm")
    with pytest.raises(NotFound, match=r"^pest = zebra: no such pest here; use one of seedcorn maggot"):
        card("zebra")
