"""The commands of recommendations and their chain: recommend, step, recommendations."""

from __future__ import annotations

import json
import re
import shlex
from pathlib import Path

import pytest

from springwalk.show.caution import USUAL
from springwalk.store import open_store
from tests.cli.conftest import Said, Tell
from tests.jobs.chained import walked

TODAY = ("--today", "2016-05-24")


@pytest.fixture
def farm(tell: Tell, tmp_path: Path) -> Path:
    """The store of a field that was walked, at ./season.db."""
    with walked(tmp_path) as store:
        return store.path.rename(tmp_path / "season.db")


def ok(said: Said) -> str:
    """What a command that went well printed."""
    assert said.code == 0, said.err
    return said.out.strip()


def chains(tell: Tell) -> list[dict[str, object]]:
    """The chains of the store as JSON."""
    found: list[dict[str, object]] = json.loads(ok(tell("recommendations", *TODAY, "--json")))["chains"]
    return found


def test_one_command_says_ann_was_told_by_phone_and_takes_it(tell: Tell, farm: Path) -> None:
    """All of it in one line typed in a truck: advice, the grower's three lines, what was kept and how to undo it."""
    said = tell("recommend", "north", "--to", "Ann", "--how", "phone", "--taken", "--person", "Wren", *TODAY)
    text = ok(said)
    head, sms, kept, said_first, *_ = text.split("\n\n")
    assert head == "For the grower, to copy:"
    assert sms.startswith("The north field, 24 May: spray on 26 May, in the evening, ")
    assert said_first.startswith("The north field: spray on 26 May, in the evening.\n")
    for line in USUAL:
        assert line in text
    assert "Assumed, not typed: the yield, the price" in text
    assert len(sms.splitlines()) == 3
    receipts = kept.splitlines()
    assert receipts[:3] == [
        "Recommendation of 24 May noted at The north field.",
        "Told Ann by phone on 24 May noted at The north field.",
        "Taken by Ann on 24 May noted at The north field.",
    ]
    assert re.fullmatch(r"Its id is north:2016-05-24:[0-9a-f]{8}", receipts[3])
    undos = [line for line in said.err.splitlines() if line.startswith("To take it back: springwalk undo ")]
    assert len(undos) == 3
    for line in undos:  # in the order printed the whole chain can be taken back
        ok(tell(*line.split()[-2:]))
    assert chains(tell) == []


def test_what_undoes_it_names_the_store_that_was_named(tell: Tell, farm: Path) -> None:
    """Pasted from another folder, or with another season.db beside it, undo must reach the very store."""
    farm.rename(farm.parent / "other farm.db")
    store = ("--store", "other farm.db")
    said = tell("recommend", "north", *store, *TODAY)
    step = tell("step", "north", "told", "--to", "Ann", *store, *TODAY)
    for one in (step, said):
        (line,) = one.err.splitlines()
        words = shlex.split(line.removeprefix("To take it back: "))
        assert words[:2] == ["springwalk", "undo"]
        assert words[3:] == [*store]
        ok(tell(*words[1:]))
    assert json.loads(ok(tell("recommendations", *store, *TODAY, "--json")))["chains"] == []


def test_the_whole_chain_by_steps(tell: Tell, farm: Path) -> None:
    """From the call to the verdict; the list says at each point what is waited for."""
    ok(tell("recommend", "north", *TODAY))
    said = ok(tell("step", "north", "told", "taken", "--to", "Ann", "--how", "in-person", "--at", "6:30 am", *TODAY))
    assert said.splitlines() == [
        "Told Ann in person on 24 May, 06:30 noted at The north field.",
        "Taken by Ann on 24 May, 06:30 noted at The north field.",
    ]
    ok(tell("step", "north", "ordered", "--to", "the co-op", "--for", "2016-05-25", *TODAY))
    on = ("--today", "2016-05-25")
    ok(tell("pass", "north", "insecticide", "--entry", "24h", *on))
    assert ok(tell("step", "north", "done", "--by", "the co-op", *on)) == (
        "Done by the co-op on 25 May noted at The north field."
    )
    text = ok(tell("recommendations", "north", *on))
    assert text.startswith("Wednesday 25 May: one recommendation open\n")
    assert "Done, not checked yet. Count the same flags again 27–29 May, and the untreated strip." in text
    assert re.search(r"springwalk step north:2016-05-24:[0-9a-f]{8} checked$", text)
    after = ("--today", "2016-05-28")
    ok(tell("step", "north", "untreated-strip", "checked", "--where", "row 40", "--cut", 2.5, "--of", 100, *after))
    ok(tell("step", "north", "worth-it", *after))
    (chain,) = chains(tell)
    assert (chain["state"], chain["next"], chain["open"]) == ("closed", "", False)
    assert [step["what"] for step in chain["steps"]] == [  # type: ignore[attr-defined]
        "told", "taken", "ordered", "done", "checked", "untreated strip", "worth it",
    ]  # fmt: skip


def test_a_step_without_a_pass_says_so(tell: Tell, farm: Path) -> None:
    """A treatment nobody noted as a pass keeps nobody out of the field: the receipt says what to do."""
    ok(tell("recommend", "north", "--to", "Ann", *TODAY))
    said = ok(tell("step", "north", "done", *TODAY))
    assert said.endswith(
        "No pass of that day is noted: note it with its entry interval, or nobody is kept out of the field."
    )


def test_json_of_each_command(tell: Tell, farm: Path) -> None:
    """Another program reads the same: the answer, the record, the receipts and the chain with its words."""
    kept = json.loads(ok(tell("recommend", "north", "--to", "Ann", *TODAY, "--json")))
    assert kept["advice"] == json.loads(kept["recommendation"]["shown"])
    assert [one["put"] for one in kept["entered"]] == ["new", "new"]
    two = json.loads(ok(tell("step", "north", "told", "taken", "--to", "Ben", *TODAY, "--json")))
    assert [one["words"] for one in two] == [
        "Told Ben on 24 May noted at The north field.", "Taken by Ben on 24 May noted at The north field.",
    ]  # fmt: skip
    one = json.loads(ok(tell("step", "north", "ordered", *TODAY, "--json")))
    assert one["put"] == "new"
    (chain,) = chains(tell)
    assert chain["words"]["next"] == "To be done by 26 May; note the pass and its entry interval then."  # type: ignore[index]
    assert tell("recommendations", "--json", *TODAY).out == tell("recommendations", "--json", *TODAY).out


def test_told_twice_is_told_once(tell: Tell, farm: Path) -> None:
    """The same command again changes nothing and offers nothing to undo."""
    ok(tell("recommend", "north", "--to", "Ann", *TODAY))
    again = tell("recommend", "north", "--to", "Ann", *TODAY)
    assert "Recommendation of 24 May was noted at The north field already. Nothing changed." in ok(again)
    assert again.err == ""


def test_nothing_kept_says_what_to_do(tell: Tell, farm: Path) -> None:
    """An empty list is no dead end."""
    said = ok(tell("recommendations", *TODAY))
    assert said.startswith("Tuesday 24 May: no recommendations open\nNo recommendation is kept yet.")


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (("recommend", "south"), 6, "advice = south: no walk of the last week says anything of larvae here"),
        (("recommend", "north", "--how", "pigeon"), 3, "how = pigeon: not one of the words known here; write one of:"
                                                       " phone, text, in person, letter."),
        (("recommend", "north", "--yield", "600"), 3, "crop_bu_ac = 600.0: input should be less than or equal to 500;"
                                                      " correct it."),
        (("step", "north", "told"), 6, "recommendation = north: no recommendation of this field is kept; keep one"
                                       " first: springwalk recommend north."),
        (("step", "north", "sold"), 3, "step = sold: not one of the words known here; did you mean 'told'?"),
        (("step", "north", "checked", "--cut", "120"), 3, "cut_again_pct = 120.0: input should be less than or equal to"
                                                          " 100; correct it."),
        (("recommendations", "nort"), 6, "field = nort: no such field in this store; did you mean 'north'."),
    ],
)  # fmt: skip
def test_what_is_refused_is_said_and_nothing_kept(
    tell: Tell, farm: Path, words: tuple[str, ...], code: int, told: str
) -> None:
    """Each slip has its line and what to do, and leaves the store as it was."""
    with open_store(str(farm)) as opened:
        before = opened.counter
    said = tell(*words, *TODAY)
    assert (said.code, said.out, said.err.startswith(told), said.err.count("\n")) == (code, "", True, 1), said.err
    with open_store(str(farm)) as opened:
        assert opened.counter == before


def test_a_step_that_is_refused_leaves_nothing_behind(tell: Tell, farm: Path) -> None:
    """A field without a grower and nobody named: the recommendation must not stay without its id being told."""
    outlines = (farm.parent / "farm" / "fields.geojson").read_text("utf-8").replace("Invented Farms", "")
    (farm.parent / "farm" / "fields.geojson").write_text(outlines, "utf-8")
    assert tell("intake", "farm", *TODAY).code == 0
    said = tell("recommend", "north", "--taken", *TODAY)
    assert said.code == 3
    assert said.err.splitlines()[0].startswith("who = (blank): nobody is named")
    assert chains(tell) == []
