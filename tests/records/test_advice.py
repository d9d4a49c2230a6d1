"""Recommendations and their steps: what is one thing and what is another, and which steps can't be so."""

from __future__ import annotations

from datetime import date, time
from typing import Any, get_args

import pytest

from springwalk.records import Recommendation, Step
from springwalk.records.advice import GOES_WITH, StepKind, misplaced

DAY = date(2016, 5, 24)
SOUND: dict[str, dict[str, Any]] = {
    "told": {"who": "Ann", "how": "phone"}, "taken": {"who": "Ann"}, "refused": {"note": "too late"},
    "ordered": {"who": "the co-op", "wanted_on": DAY}, "done": {"who": "the co-op", "pass_key": "pass:n"},
    "checked": {"cut_again_pct": 2.5, "places": 100, "larvae": 0}, "untreated strip": {"where": "row 40"},
    "worth it": {}, "not worth it": {},
}  # fmt: skip


def made(what: str, **more: Any) -> Step:
    """A step of a made-up recommendation."""
    return Step(recommendation="n:1", field="n", **{"date": DAY, "what": what, **SOUND[what], **more})


def key(what: str, **more: Any) -> str:
    """The natural key of a step."""
    return made(what, **more).natural_key()


def test_every_step_has_a_sound_form() -> None:
    """The list of steps and what goes with them is one list: each can be told as it is meant."""
    assert set(SOUND) == set(get_args(StepKind))
    for what in SOUND:
        assert misplaced(made(what)) is None, what


def test_the_same_told_twice_is_one_and_a_correction_is_a_revision() -> None:
    """A name in another case, another teller, a time, a day it was ordered for or a count changes what is held."""
    assert key("told") == key("told", who=" ANN ", person="B", note="n", at=time(14, 30))
    assert key("ordered") == key("ordered", wanted_on=date(2016, 5, 26))
    assert key("done", where="low") == key("done", where="Low", pass_key="", who="B")
    assert key("checked") == key("checked", cut_again_pct=9.0)
    assert key("taken") == key("refused", who="Ann"), "a second answer of a day takes the place of the first"
    assert key("worth it") == key("not worth it", date=date(2016, 8, 1)), "one verdict"


def test_different_steps_stand_side_by_side() -> None:
    """Ann by phone, Ann by letter, Ben, the next day, another part: nobody's word may hide another's."""
    keys = [
        key("told"), key("told", how="letter"), key("told", who="Ben"), key("told", date=date(2016, 5, 25)),
        key("told", how=None), key("taken"), key("taken", who="Ben"), key("ordered"), key("ordered", who="Ben"),
        key("done"), key("done", where="low"), key("checked"), key("checked", where="low"), key("untreated strip"),
        key("untreated strip", where="row 9"), key("worth it"), made("told").model_copy(update={
            "recommendation": "n:2"}).natural_key(),
    ]  # fmt: skip
    assert len(set(keys)) == len(keys)


def test_a_recommendation_is_one_by_its_id() -> None:
    """Who kept it and a note correct it; another answer of the same day has another id."""
    first = Recommendation(id="n:2016-05-24:a", field="n", date=DAY, said="Spray.")
    assert first.natural_key() == first.model_copy(update={"person": "A", "note": "b"}).natural_key()
    assert first.natural_key() != first.model_copy(update={"id": "n:2016-05-24:b"}).natural_key()
    assert first.treats, "what was typed by hand is answered and done unless it says otherwise"


@pytest.mark.parametrize(
    ("step", "wrong"),
    [
        (made("taken", how="phone"), ("how", "goes with told only", "leave it out")),
        (made("told", where="low"), ("where", "goes with done or checked or untreated strip only", "leave it out")),
        (made("done", larvae=0), ("larvae", "goes with checked or untreated strip only", "leave it out")),
        (made("told", who=" "), ("who", "nobody is named", "say who was told")),
        (made("refused", note=""), ("note", "a refusal is kept with its reason", "say why in a few words")),
        (made("untreated strip", where=""),
         ("where", "a strip is found again by its place", "say where it was left")),
        (made("checked", cut_again_pct=None),
         ("cut_again_pct", "nothing is said of what was found", "give the per cent cut again, or a note")),
    ],
)  # fmt: skip
def test_what_a_step_cannot_have_or_lacks_is_named(step: Step, wrong: tuple[str, str, str]) -> None:
    """Whoever types it reads which part is wrong, why, and what to do."""
    assert misplaced(step) == wrong


def test_each_part_that_only_some_steps_have_is_refused_on_the_others() -> None:
    """No part is kept where nobody would look for it."""
    values = {"how": "phone", "wanted_on": DAY, "pass_key": "p", "where": "x", "cut_again_pct": 1.0, "places": 9,
              "larvae": 0}  # fmt: skip
    assert set(values) == set(GOES_WITH)
    for name, steps in GOES_WITH.items():
        for what in SOUND:
            wrong = misplaced(made(what, **{name: values[name]}))
            assert (wrong is None) == (what in steps), (name, what)
