"""The command for a walk typed in the field: walk."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from springwalk.records import Walk
from springwalk.store import open_store
from springwalk.store.entries import heads
from tests.cli.conftest import Tell

TODAY = ("--today", "2016-05-17")
TOLD = ("walk", "north", "--stop", "20 places: 1 fresh at, 2 leaf-fed", "--worst", "10 places: 3 fresh below",
        "--larva", "12mm", "--larva", "0.5in", "--searched", "40", "--collars", "V2", "--soil", "moist", "--hour", "20",
        "--person", "Ann", *TODAY)  # fmt: skip


def typed_walks(path: Path) -> list[Walk]:
    """Walks of the store that were typed."""
    with open_store(str(path)) as opened, opened.reading() as read:
        found = [entry.record for entry in heads(read, "walk")]
    return [one for one in found if isinstance(one, Walk) and one.id.startswith("typed-")]


def test_a_walk_is_kept_stop_by_stop(tell: Tell, taken: Path) -> None:
    """What is said of each stop, where it looked worst, larvae, stage, soil and hour go into one record."""
    said = tell(*TOLD)
    assert (said.code, said.err) == (0, "")
    assert said.out.startswith("Walk on 17 May: 30 places, two larvae noted at The north field.")
    (walk,) = typed_walks(taken)
    assert [(s.places, s.fresh_cut_at, s.leaf_fed, s.fresh_cut_below, s.counted) for s in walk.stops] == [
        (20, 1, 2, 0, True), (10, 0, 0, 3, False),
    ]  # fmt: skip
    assert [round(x.length_mm or 0, 3) for x in walk.larvae] == [12.0, 12.7]
    assert (walk.collars, walk.plants_searched, walk.soil, walk.hour, walk.person) == (2.0, 40, "moist", 20, "Ann")


def test_the_same_walk_twice_is_once_and_it_can_be_undone(tell: Tell, taken: Path) -> None:
    """A command run again from the shell's history must not count plants twice."""
    first = tell(*TOLD, "--json")
    assert "Nothing changed" in tell(*TOLD).out
    assert len(typed_walks(taken)) == 1
    assert tell("undo", json.loads(first.out)["entry"]).code == 0
    assert typed_walks(taken) == []


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--stop", "twenty"), "stop = twenty: not a stop; write it like '20 places: 1 fresh at, 2 leaf-fed',"),
        (("--stop", "20 places: 2 chewed"), "'2 chewed' is no count of a plant state; use fresh cut above,"),
        (("--stop", "20 places: 1 fresh, 2 fresh"), "fresh cut at is told twice; tell it once."),
        (("--stop", "5 places: 6 leaf-fed"), "6 plants in 5 places; correct one of the two."),
        (("--stop", "moon: 5 places: none"), "zone = moon: field 'north' has no such zone;"),
        (("--larva", "12 bushels"), "larva = 12 bushels: unit 'bushels' does not fit"),
        (("--larva", "instar six"), "larva = instar six: not an instar;"),
        (("--soil", "muddy", "--collars", "1"), "soil = muddy: not one of the words known here;"),
        (("--collars", "V2-V3"), "collars = V2-V3: two stages, not one;"),
        ((), "walk = north: nothing of it was told; give --stop, --larva, --collars or --note."),
        (("--stop", "5 places", "--date", "2016-05-18"), "walked = 2016-05-18: after today (2016-05-17);"),
    ],
)
def test_refusals(tell: Tell, taken: Path, words: tuple[str, ...], told: str) -> None:
    """Each slip has its own line and what to do, and nothing is kept."""
    said = tell("walk", "north", *words, *TODAY)
    assert said.code in (3, 6)
    assert told in said.err
    assert typed_walks(taken) == []
