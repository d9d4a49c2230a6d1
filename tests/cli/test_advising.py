"""The command on what to do in a field that was walked: advise."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.conftest import Tell
from tests.seasons import write_season

TERMS = ("--yield", "200", "--price", "4.50", "--pass-cost", "16")
TODAY = ("--today", "2016-05-24")
WALK = (
    "walk,field,date,person,places,fresh_cut_at,old_cut,collars,searched,larvae_mm\n"
    "w9,north,2016-05-23,Ann,100,5,0,2,{searched},{larvae}\n"
)


@pytest.fixture
def walked(tell: Tell, tmp_path: Path) -> Path:
    """The small season's folder, with one walk that found 5 of 100 plants cut, taken in by its test."""
    write_season(tmp_path / "farm")
    return tmp_path / "farm"


def take(tell: Tell, farm: Path, searched: str, larvae: str) -> None:
    """Take the season in with that walk."""
    (farm / "walks.csv").write_text(WALK.format(searched=searched, larvae=larvae), "utf-8")
    assert tell("intake", "farm", *TODAY).code == 0


def test_live_larvae_of_size_can_make_it_spray(tell: Tell, walked: Path) -> None:
    """5 % cut with half-inch larvae found: the answer first, the money, and the cautions."""
    take(tell, walked, "20", "13 14 15")
    said = tell("advise", "north", *TERMS, *TODAY)
    assert (said.code, said.err) == (0, "")
    assert "spray on" in said.out.splitlines()[0]
    assert "$" in said.out
    assert "The product label is the law" in said.out
    made = json.loads(tell("advise", "north", *TERMS, *TODAY, "--json").out)
    assert made["field"] == "north"
    assert made["parts"][0]["larvae_found"] == 3


def test_no_spray_without_live_larvae(tell: Tell, walked: Path) -> None:
    """The same cuts and nothing searched: never spray."""
    take(tell, walked, "", "")
    first = tell("advise", "north", *TERMS, *TODAY).out.splitlines()[0]
    assert "spray" not in first


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (("nowhere", *TERMS), 6, "field = nowhere: no such field in this store;"),
        (("south", *TERMS), 6, "advice = south: no walk of the last week says anything of larvae here"),
        (("north", *TERMS[:-1], "0"), 3, "cost of a pass = 0: must be above 0; check the number."),
    ],
)
def test_refusals(tell: Tell, walked: Path, words: tuple[str, ...], code: int, told: str) -> None:
    """A slip ends with one line that says what to do."""
    take(tell, walked, "20", "13")
    said = tell("advise", *words, *TODAY)
    assert said.code == code
    assert told in said.err
