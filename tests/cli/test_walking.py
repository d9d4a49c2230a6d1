"""The command for a walk typed in the field: walk."""

from __future__ import annotations

import json
import re
import shlex
from pathlib import Path

import pytest

from springwalk.records import Walk
from springwalk.store import open_store
from springwalk.store.entries import heads
from tests.cli.conftest import Tell

TODAY = ("--today", "2016-05-17")
QUIET = (*TODAY, "--no-advice")
TOLD = ("walk", "north", "--stop", "20 places: 1 fresh at, 2 leaf-fed", "--worst", "10 places: 3 fresh below",
        "--larva", "12mm", "--larva", "0.5in", "--searched", "40", "--collars", "V2", "--soil", "moist", "--hour", "20",
        "--person", "Ann", *TODAY)  # fmt: skip
ALREADY = "Nothing changed. The same walk is already kept; add --hour or --note if it is another."


def typed_walks(path: Path) -> list[Walk]:
    """Walks of the store that were typed, by date and id."""
    with open_store(str(path)) as opened, opened.reading() as read:
        found = [entry.record for entry in heads(read, "walk")]
    mine = [one for one in found if isinstance(one, Walk) and one.id.startswith("typed-")]
    return sorted(mine, key=lambda one: (one.walked, one.id))


def test_a_walk_is_kept_stop_by_stop(tell: Tell, taken: Path) -> None:
    """What is said of each stop, where it looked worst, larvae, stage, soil and hour go into one record."""
    said = tell(*TOLD)
    assert said.code == 0
    assert re.fullmatch(r"To take it back: springwalk undo \S+\n", said.err)
    assert said.out.startswith("Walk on 17 May: 30 places, two larvae noted at The north field.\n")
    (walk,) = typed_walks(taken)
    assert [(s.places, s.fresh_cut_at, s.leaf_fed, s.fresh_cut_below, s.counted) for s in walk.stops] == [
        (20, 1, 2, 0, True), (10, 0, 0, 3, False),
    ]  # fmt: skip
    assert [x.length_mm for x in walk.larvae] == [12.0, 12.7]
    assert (walk.collars, walk.plants_searched, walk.soil, walk.hour, walk.person) == (2.0, 40, "moist", 20, "Ann")


def test_the_advice_follows_the_receipt(tell: Tell, taken: Path) -> None:
    """Whoever stands in the field reads at once what it means; --no-advice prints the receipt alone."""
    said = tell(*TOLD).out
    asked = tell("advise", "north", *TODAY).out
    receipt, advice, changed = said.rstrip("\n").split("\n\n")
    assert receipt.startswith("Walk on 17 May")
    assert advice + "\n" == asked
    assert changed == tell("changed", "north", *TODAY).out.rstrip("\n")
    assert "Fields nobody walked: The south field, " in changed
    assert tell(*TOLD, "--no-advice").out.count("\n") == 1


def test_without_advice_the_reason_is_one_line(tell: Tell, taken: Path) -> None:
    """A walk before anything counts, or without stops, still says why nothing is advised."""
    said = tell("walk", "south", "--note", "too dry to plant", *TODAY)
    assert said.code == 0
    assert said.out.splitlines()[-1] == (
        "No advice yet: no walk of the last week says anything of larvae here, or the corn is past them, or it was"
        " treated; walk the field, take the walk in, and ask again."
    )


def test_where_nothing_counted_holds_that_is_the_reason(tell: Tell, taken: Path) -> None:
    """No advice rests on counts that can't be true, and it says so; after a treatment that is the reason."""
    said = tell("walk", "north", "--stop", "5 places: 9 old", *TODAY).out
    assert said.splitlines()[-1] == (
        "No advice yet: the walks of the last week contradict themselves, so that nothing counted is left to go by; see"
        " what is asked: springwalk field north; and correct it."
    )
    tell("pass", "north", "insecticide", "--date", "2016-05-16", *TODAY)
    assert "or it was treated" in tell("advise", "north", *TODAY).err


def test_json_has_receipt_questions_and_advice(tell: Tell, taken: Path) -> None:
    """A program reads the four parts by name; where there is no advice it is null and the reason is told aside."""
    made = json.loads(tell(*TOLD, "--row", "A: 5 places: 6 leaf-fed", "--json").out)
    assert list(made) == ["entered", "questions", "advice", "changed"]
    assert made["changed"]["own"]["field"] == "north"
    assert made["entered"]["walk"].startswith("typed-2016-05-17-")
    assert made["entered"]["words"].startswith("Walk on 17 May: 35 places")
    assert [(one["code"], one["facts"]["seen"]) for one in made["questions"]] == [("walk_more_than_places", 6)]
    assert made["advice"]["field"] == "north"
    assert made["advice"]["parts"][0]["places"] == 20
    none = tell("walk", "south", "--note", "wet", *TODAY, "--json")
    assert json.loads(none.out)["advice"] is None
    assert none.err.startswith("advice = south: no walk of the last week")
    assert json.loads(tell(*TOLD, "--no-advice", "--json").out)["advice"] is None


def test_the_same_walk_twice_is_once_and_it_can_be_undone(tell: Tell, taken: Path) -> None:
    """A command run again from the shell's history must not count plants twice, and says how to tell another walk."""
    first = tell(*TOLD, "--no-advice", "--json")
    again = tell(*TOLD, "--no-advice")
    assert again.out.splitlines()[0].endswith(f"already. {ALREADY}")
    assert again.err == ""
    assert len(typed_walks(taken)) == 1
    assert tell("undo", json.loads(first.out)["entered"]["entry"]).code == 0
    assert typed_walks(taken) == []


@pytest.mark.parametrize(
    "other",
    [("--hour", "21"), ("--note", "east side"), ("--person", "Ben"), ("--date", "2016-05-16"), ("--larva", "9mm")],
)
def test_another_walk_is_another(tell: Tell, taken: Path, other: tuple[str, str]) -> None:
    """Hour, note, person, date and whatever else was told make two walks of one day two."""
    told = [*TOLD, "--no-advice"]
    tell(*told)
    if other[0] in told and other[0] != "--larva":
        told[told.index(other[0]) + 1] = other[1]
    else:
        told += other
    assert "noted at" in tell(*told).out.splitlines()[0]
    assert len(typed_walks(taken)) == 2


def test_the_same_walk_in_other_spelling_is_the_same(tell: Tell, taken: Path) -> None:
    """A field by its name and a length in other words are what was told before: no plant is counted twice."""
    tell("walk", "north", "--stop", "20 places: 2 fresh", "--larva", "12.7mm", "--searched", "20", *QUIET)
    for field, larva in (("The North field", "0.5in"), ("NORTH", "1/2 in"), ("north", "1.27cm")):
        said = tell("walk", field, "--stop", "20 places: 2 fresh cut at", "--larva", larva, "--searched", "20", *QUIET)
        assert ALREADY in said.out
    assert len(typed_walks(taken)) == 1


def test_a_search_alone_is_a_walk(tell: Tell, taken: Path) -> None:
    """None found round forty plants is worth keeping, and the count made before it is advised on with it."""
    tell("walk", "north", "--stop", "20 places: 1 fresh", "--stop", "20 places: 1 fresh", *TODAY)
    said = tell("walk", "north", "--searched", "40", "--hour", "20", "--soil", "moist", *TODAY)
    assert said.out.startswith("Search on 17 May: 40 plants, no larvae noted at The north field.")
    assert "Seen 17 May: 5 % of 40 plants cut, fresh and old; no larvae found." in said.out
    assert "Nobody has searched" not in said.out
    found = tell("walk", "north", "--searched", "5", "--larva", "13mm", "--hour", "21", *TODAY)
    assert "Seen 17 May: 5 % of 40 plants cut, fresh and old; one larva found." in found.out


def test_a_marked_row_keeps_its_name_and_zone(tell: Tell, taken_with_zone: Path) -> None:
    """The recount of row A is typed in any case and without its zone, and stands where the row stood."""
    tell("walk", "north", "--row", "A: low: 20 places: 2 fresh", "--date", "2016-05-14", *QUIET)
    said = tell("walk", "north", "--row", "row a: 20 places: 2 old, 1 fresh", *QUIET, "--json")
    assert json.loads(said.out)["questions"] == []
    stops = [walk.stops[0] for walk in typed_walks(taken_with_zone)]
    assert [(s.marked_row, s.part, s.fresh_cut_at, s.old_cut) for s in stops] == [
        ("A", "north/low", 2, 0), ("A", "north/low", 1, 2),
    ]  # fmt: skip


def test_a_walk_that_contradicts_itself_is_kept_and_asked_about(tell: Tell, taken: Path) -> None:
    """Nothing of it is lost, each odd thing has its question, and the advice does without it until it is corrected."""
    odd = ("walk", "north", "--stop", "5 places: 6 leaf-fed", "--stop", "20 places: 1 fresh", *TODAY)
    said = tell(*odd)
    assert said.code == 0
    (walk,) = typed_walks(taken)
    assert walk.stops[0].leaf_fed == 6
    lines = said.out.splitlines()
    assert lines[1] == (
        "Walk of 17 May: stop 1 tells 6 plants in 5 places: which of the two is right? That stop is left out of the"
        " advice until it is corrected."
    )
    assert lines[2] == f"To correct it tell the walk again with: springwalk walk … --correct {walk.id}"
    assert "Seen 17 May: 5 % of 20 plants cut, fresh and old." in said.out
    assert said.out.count(lines[1]) == 1
    assert lines[1] in tell("advise", "north", *TODAY).out
    assert "stop 1 tells 6 plants in 5 places" in " ".join(tell("field", "north", *TODAY).out.split())
    sheet = " ".join(tell("sheet", *TODAY).out.split())
    assert "The walk of 17 May can't be right as told" in sheet


def test_a_corrected_walk_takes_the_place_of_the_first(tell: Tell, taken: Path) -> None:
    """The correction is a version of the same walk: nothing is asked any more, and undo brings the first back."""
    odd = ("walk", "north", "--stop", "5 places: 6 leaf-fed", *TODAY)
    made = json.loads(tell(*odd, "--json").out)["entered"]["walk"]
    said = tell("walk", "north", "--stop", "25 places: 6 leaf-fed", "--correct", made, *TODAY)
    assert said.out.splitlines()[0] == (
        "Walk on 17 May: 25 places noted at The north field, in place of walk on 17 May: 5 places."
    )
    assert "which of the two" not in said.out
    assert [(w.id, w.stops[0].places) for w in typed_walks(taken)] == [(made, 25)]
    again = tell(*odd)
    assert again.code == 3
    assert again.err == (
        f"walk = {made}: told before in these words, and corrected since; add the hour or a note if it is another"
        " walk.\n"
    )
    assert "As before: walk on 17 May: 5 places." in tell("undo", made).out
    assert [w.stops[0].places for w in typed_walks(taken)] == [5]


@pytest.fixture
def taken_with_zone(tell: Tell, taken: Path, tmp_path: Path) -> Path:
    """The small season with a zone low in the north field."""
    (tmp_path / "farm" / "zones.csv").write_text("field,zone,name,area\nnorth,low,Low corner,10ac\n", "utf-8")
    assert tell("intake", "farm", *TODAY).code == 0
    return taken


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--stop", "twenty"), "stop = twenty: not a stop; write it like '20 places: 1 fresh at, 2 leaf-fed',"),
        (("--stop", "20 places: 2 chewed"), "'2 chewed' is no count of a plant state; use fresh cut above,"),
        (("--stop", "20 places: 1 fresh, 2 fresh"), "fresh cut at is told twice; tell it once."),
        (("--stop", "0 places: none"), "a stop has 1 to 2000 places; count the places looked at."),
        (("--stop", "moon: 5 places: none"), "zone = moon: field 'north' has no such zone;"),
        (("--row", "20 places"), "row = 20 places: no name and count of a marked row; write it like 'A: 20 places:"),
        (("--row", "A: some"), "row = A: some: not a stop; write it like 'A: 20 places: 2 fresh', or"),
        (("--larva", "12 bushels"), "larva = 12 bushels: unit 'bushels' does not fit"),
        (("--larva", "12in"), "larva = 12in: not a larva's length (above 0, at most 80 mm); write lengths like"),
        (("--larva", "1/2"), "larva = 1/2: a part of what is not told; write lengths like"),
        (("--larva", "instar six"), "larva = instar six: not an instar;"),
        (("--soil", "muddy", "--collars", "1"), "soil = muddy: not one of the words known here;"),
        (("--staging", "rings", "--collars", "1"), "staging = rings: not one of the words known here;"),
        (("--collars", "V2-V3"), "collars = V2-V3: two stages, not one;"),
        (("--stop", "5 places", "--correct", "typed-1"), "walk = typed-1: no walk with this id was typed; tell it as"),
        ((), "walk = north: nothing of it was told; give --stop, --row, --larva, --searched, --collars or --note."),
        (("--stop", "5 places", "--date", "2016-05-18"), "walked = 2016-05-18: after today (2016-05-17);"),
    ],
)
def test_refusals(tell: Tell, taken: Path, words: tuple[str, ...], told: str) -> None:
    """Each slip that no record can hold has its own line and what to do, and nothing is kept."""
    said = tell("walk", "north", *words, *TODAY)
    assert said.code in (3, 6)
    assert told in said.err
    assert typed_walks(taken) == []


@pytest.mark.parametrize("words", [("walk", "north", "--stop", "20 places: 1 fresh"), ("replanted", "north")])
def test_the_undo_line_names_the_store_and_works_when_pasted(
    words: tuple[str, ...], tell: Tell, taken: Path, tmp_path: Path
) -> None:
    """Where --store named the season, the line must too, or it is pasted onto another season or none."""
    (tmp_path / "my seasons").mkdir()
    moved = str(taken.rename(tmp_path / "my seasons" / "of 2016.db"))
    said = tell(*words, "--store", moved, *TODAY)
    (line,) = [x for x in said.err.splitlines() if x.startswith("To take it back: springwalk ")]
    undone = tell(*shlex.split(line)[5:])
    assert (said.code, undone.code) == (0, 0)
    assert tell(*words, "--store", moved, *TODAY).out == said.out
