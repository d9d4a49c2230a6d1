"""The commands that type one thing in: tap, rain, pass, pest-count, done, undo."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from springwalk.jobs import enter as module
from springwalk.store import open_store
from springwalk.store.entries import heads
from tests.cli.conftest import Said, Tell
from tests.jobs.test_enter import with_look

TODAY = ("--today", "2016-05-17")


def ok(said: Said) -> str:
    """What a command that went well printed."""
    assert said.code == 0, said.err
    return said.out.strip()


def kept(store: Path, kind: str) -> list[dict[str, object]]:
    """The records of a kind that the store holds now."""
    with open_store(str(store)) as opened, opened.reading() as read:
        found = [entry.record for entry in heads(read, kind)]
    return [record.model_dump(mode="json") for record in found if record is not None]


def test_a_tap_is_told_once_and_taken_back(tell: Tell, taken: Path) -> None:
    """Told, told again, undone by the line its receipt prints: the store ends as it began."""
    before = kept(taken, "event")
    first = tell("tap", "north", "hail", "--date", "2016-05-15", "--person", "Ada", *TODAY)
    assert ok(first).startswith("Hail on 15 May noted at The north field.")
    (line,) = first.err.splitlines()
    assert line.startswith("To take it back: springwalk undo ")
    again = tell("tap", "the north field", "HAIL", "--date", "2016-05-15", *TODAY)
    assert ok(again).startswith("Hail on 15 May was noted at The north field already. Nothing changed.")
    assert again.err == ""
    assert ok(tell(*line.split()[-2:])) == "Taken back: hail on 15 May at The north field."
    assert kept(taken, "event") == before


def test_a_tap_takes_today_hours_and_part(tell: Tell, taken: Path) -> None:
    """What is not said is today and the whole field; hours and planting go into the record."""
    said = ok(tell("tap", "north", "water-gone", "--hours", "2d", "--planting", "1", "--note", "low end", *TODAY))
    assert said.startswith("Water gone on 17 May (48 hours) noted at The north field.")
    (event,) = [one for one in kept(taken, "event") if one["what"] == "water gone"]
    assert (event["date"], event["hours"], event["planting"], event["note"]) == (
        "2016-05-17", 48.0, "north/1", "low end",
    )  # fmt: skip


@pytest.mark.parametrize("what", ["hail", "ponding", "water gone", "wind", "frost", "crust", "emerged", "baits set"])
def test_every_tap_leaves_a_sheet_that_can_be_made(tell: Tell, taken: Path, what: str) -> None:
    """No word that may be tapped can break the next morning's sheet."""
    ok(tell("tap", "north", what, *TODAY))
    assert "The north field" in ok(tell("sheet", *TODAY))
    assert "The north field" in ok(tell("field", "north", *TODAY))


def test_rain_for_one_field_and_for_all(tell: Tell, taken: Path) -> None:
    """Bare inches, millimetres, hard or not: kept in mm."""
    assert ok(tell("rain", "1.3", "--field", "north", "--hard", *TODAY)).startswith(
        "1.30 in. of rain on 17 May (fell hard) noted at The north field."
    )
    assert ok(tell("rain", "33mm", "--date", "2016-05-16", "--soft", "--person", "Ada", *TODAY)).startswith(
        "1.30 in. of rain on 16 May (did not fall hard) noted at every field."
    )
    found = {str(one["field"]): (one["rain_mm"], one["hard"]) for one in kept(taken, "gauge")}
    assert found == {"north": (pytest.approx(33.02), True), "": (33.0, False)}


def test_a_pass_says_when_the_field_opens(tell: Tell, taken: Path) -> None:
    """Interval typed: the hour it opens. Not typed: held out, and the line says what to do."""
    said = ok(tell("pass", "north", "insecticide", "--at", "14:30", "--entry", "24h", "--direction", "E",
                   "--untreated", "row 40", "--product", "Made-up 2", *TODAY))  # fmt: skip
    assert said.startswith(
        "Insecticide (Made-up 2) on 17 May noted at The north field. Nobody enters before Wednesday 18 May, 14:30."
    )
    (spray,) = kept(taken, "pass")
    assert (spray["at"], spray["entry_hours"], spray["direction_deg"], spray["untreated"]) == (
        "14:30:00", 24.0, 90.0, "row 40",
    )  # fmt: skip
    untyped = ok(tell("pass", "south", "herbicide", *TODAY))
    assert "No entry interval typed: held out for 168 hours, until it is typed from the label in hand." in untyped


def test_a_pest_count_is_kept(tell: Tell, taken: Path) -> None:
    """Insects, places with any, and none at all are all counts."""
    assert ok(tell("pest-count", "north", "slug", "--looked", 20, "--insects", 0, *TODAY)).startswith(
        "Slug counted on 17 May (0 insects, of 20 "
    )
    ok(tell("pest-count", "north", "wireworm", "--looked", 10, "--insects", 4, "--with", 3, *TODAY))
    assert {(one["pest"], one["insects"], one["units_with"]) for one in kept(taken, "pest count")} == {
        ("slug", 0, None), ("wireworm", 4, 3),
    }  # fmt: skip


def test_what_was_told_makes_a_look_and_done_ends_it(tell: Tell, taken: Path) -> None:
    """The whole way: a tap says when to look, the due list has it, done takes it off, undo puts it back."""

    def due() -> set[str]:
        return set(re.findall(r"springwalk done (hail:\S+)", ok(tell("due", *TODAY))))

    assert due() == set()
    said = ok(tell("tap", "north", "hail", "--date", "2016-05-14", *TODAY))
    assert re.fullmatch(r"Hail on 14 May noted at The north field\. Look \d+–\d+ May\.", said)
    (key,) = due()
    ended = tell("done", key, *TODAY)
    assert ok(ended).startswith("Look “After hail” done on 17 May noted at The north field.")
    assert due() == set()
    assert ok(tell("done", key, *TODAY)).endswith("already. Nothing changed.")
    ok(tell(*ended.err.split()[-2:]))
    assert due() == {key}


def test_json_is_the_whole_receipt(tell: Tell, taken: Path) -> None:
    """A program reads what was kept, by what name it is undone, and the words."""
    said = json.loads(ok(tell("rain", "33mm", "--field", "north", *TODAY, "--json")))
    assert (said["put"], said["field"], said["said"]["facts"]["rain_mm"]) == ("new", "north", 33.0)
    assert said["words"] == "1.30 in. of rain on 17 May noted at The north field."
    undone = json.loads(ok(tell("undo", said["entry"], "--json")))
    assert (undone["put"], kept(taken, "gauge")) == ("taken back", [])


def test_a_look_is_ended(tell: Tell, taken: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Done and set aside go by the key that the due list prints."""
    key = "hail:north::2016-05-14"
    row = with_look(key=key).rows[0].model_copy(update={"field": "north"})
    monkeypatch.setattr(module, "latest_sheet", lambda store, today: with_look().model_copy(update={"rows": (row,)}))
    assert ok(tell("done", key, *TODAY)).startswith("Look “After hail” done on 17 May noted at The north field.")
    aside = ok(tell("done", key, "--set-aside", "--note", "grower looked.", "--on", "2016-05-16", *TODAY))
    assert aside.startswith("Look “After hail” set aside on 16 May noted at The north field, in place of")
    said = tell("done", key, "--set-aside", *TODAY)
    assert (said.code, said.err) == (
        3, "note = (blank): a look is set aside with a reason; say why in a few words.\n",
    )  # fmt: skip


WORDS = "hail, ponding, water gone, wind, frost, crust, emerged, baits set, torn up"


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (("tap", "nort", "hail"), 6, "field = nort: no such field in this store; did you mean 'north'."),
        (("tap", "north", "fire"), 3, f"what = fire: not one of the words known here; write one of: {WORDS}."),
        (("tap", "north", "hail", "--hours", "6"), 3,
         "hours = 6: hail has no hours; leave --hours out, or tap ponding, water gone, frost."),
        (("tap", "north", "frost", "--hours", "some"), 3,
         "hours = some: not a number of hours; write it like 24, 24 h or 2 days."),
        (("tap", "north", "hail", "--date", "2016-05-18"), 3,
         "date = 2016-05-18: after today (2016-05-17); give the day it was seen or done."),
        (("tap", "north", "hail", "--date", "yesterday"), 3,
         "date = 'yesterday': not a date; write it like 2016-05-17."),
        (("tap", "north", "hail", "--zone", "low"), 6,
         "zone = low: field 'north' has no such zone; take in the folder that tells it first."),
        (("rain", "lots"), 3,
         "rain = lots: not a number with a unit of this kind; write it like 12in (units: m, cm, mm, in, ft; none means"
         " in)."),
        (("rain", "1in", "--field", "zzz"), 6,
         "field = zzz: no such field in this store; there are: east, north, south."),
        (("pass", "north", "insecticide", "--entry", "a day"), 3,
         "entry = a day: not a number of hours; write it like 24, 24 h or 2 days."),
        (("pass", "north", "insecticide", "--at", "noon"), 3,
         "at = noon: not a time of day; write it like 14:30 or 2:30 pm."),
        (("pass", "north", "insecticide", "--direction", "up"), 3,
         "direction = up: not a direction; write degrees (90), or N, NE, E, SE, S, SW, W, NW, or N-S, E-W."),
        (("pest-count", "north", "slag", "--looked", "20", "--insects", "1"), 6, "pest = slag: no such pest here;"),
        (("pest-count", "north", "slug", "--looked", "20"), 3,
         "count = none: neither insects nor places with any were given; give --insects or --with."),
        (("pest-count", "north", "slug", "--looked", "2", "--with", "3"), 3,
         "with = 3: more than the 2 looked at; correct --with or --looked."),
        (("pest-count", "north", "slug", "--looked", "0", "--insects", "0"), 3,
         "looked = 0: input should be greater than or equal to 1; correct it."),
    ],
)  # fmt: skip
def test_what_is_refused_is_said_and_nothing_kept(
    tell: Tell, taken: Path, words: tuple[str, ...], code: int, told: str
) -> None:
    """Each slip has its own line and what to do, and leaves the store as it was."""
    with open_store(str(taken)) as opened:
        before = opened.counter
    said = tell(*words, *TODAY)
    assert (said.code, said.out, said.err.startswith(told), said.err.count("\n")) == (code, "", True, 1)
    with open_store(str(taken)) as opened:
        assert opened.counter == before


def test_an_unknown_look_and_entry_are_refused(tell: Tell, taken: Path) -> None:
    """Keys are copied by hand; a slip says where to copy them from."""
    said = tell("done", "zzz", *TODAY)
    assert (said.code, said.err) == (
        6, "look = zzz: no field has this look; copy a key from the list: springwalk due.\n",
    )  # fmt: skip
    said = tell("undo", "zzz")
    assert (said.code, said.err) == (
        6, "entry = zzz: the store holds no such entry; copy it from the receipt.\n",
    )  # fmt: skip


def test_without_a_store_nothing_is_made(tell: Tell, tmp_path: Path) -> None:
    """A tap in the wrong folder must not make an empty season there."""
    said = tell("tap", "north", "hail", *TODAY)
    assert said.code == 5
    assert list(tmp_path.iterdir()) == []
