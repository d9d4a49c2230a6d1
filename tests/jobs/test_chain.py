"""Where a recommendation stands: every state and its next step, marks, and dates, from steps made by hand."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any

import pytest

from springwalk.records import Step
from tests.jobs.chained import chain, sprayed, step

TOLD, TAKEN, ORDERED = step("told"), step("taken"), step("ordered")
DONE = step("done", 25)
OPENS = datetime.combine(date(2016, 5, 27), time(20, 30))


@pytest.mark.parametrize(
    ("told", "state", "next_", "by"),
    [
        ((), "not told", "told", 25),
        ((TOLD,), "told, no answer", "answer", 25),
        ((TOLD, TAKEN), "taken, not ordered", "ordered", 25),
        ((TOLD, TAKEN, ORDERED), "ordered, not done", "done", 25),
        ((TOLD, TAKEN, step("ordered", wanted_on=date(2016, 5, 26))), "ordered, not done", "done", 26),
        ((TOLD, TAKEN, ORDERED, DONE), "done, not checked", "checked", 29),
        ((TOLD, DONE), "done, not checked", "checked", 29),
        ((TOLD, DONE, step("checked", 27, cut_again_pct=1)), "closed", "worth", None),
        ((TOLD, DONE, step("checked", 27, cut_again_pct=1), step("worth it", 30)), "closed", "", None),
        ((TOLD, DONE, step("not worth it", 30)), "closed", "", None),
        ((TOLD, step("refused")), "closed", "", None),
        ((TOLD, step("refused"), step("taken", 25)), "taken, not ordered", "ordered", 25),
        ((TOLD, TAKEN, ORDERED, step("refused", 25)), "closed", "", None),
        ((TOLD, step("refused"), DONE), "done, not checked", "checked", 29),
        ((TOLD, DONE, step("checked", 27, cut_again_pct=9), step("done", 28)), "done, not checked", "checked", 1),
    ],
)
def test_each_state_says_what_is_next_and_by_when(told: tuple[Step, ...], state: str, next_: str, by: int) -> None:
    """From the first word to the check: a chain that waits says for what, and the day that presses."""
    found = chain(*told)
    assert (found.state, found.next, found.by.day if found.by else None) == (state, next_, by)
    assert found.open == (state != "closed")


def test_the_order_of_telling_does_not_matter() -> None:
    """Steps typed in late stand by their day; on one day in the order such things go."""
    told = (step("checked", 27, cut_again_pct=1), DONE, ORDERED, TAKEN, TOLD)
    assert [one.what for one in chain(*told).steps] == ["told", "taken", "ordered", "done", "checked"]
    assert chain(*told).state == chain(*reversed(told)).state


def test_leaving_it_alone_ends_when_it_is_told() -> None:
    """Nobody orders nothing: advice that treats nothing is closed once the grower has heard it."""
    assert chain(treats=False, act_on=None).next == "told"
    assert chain(TOLD, treats=False, act_on=None).state == "closed"
    assert chain(TOLD, DONE, treats=False, act_on=None).state == "done, not checked", "he sprayed all the same"


def test_the_recheck_waits_for_the_field_to_open() -> None:
    """2–4 days after the pass by common practice (no source), never before its entry interval ends."""
    plain = chain(TOLD, DONE, passes=[sprayed(25, entry_hours=24)])
    assert (plain.opens, plain.by) == (date(2016, 5, 27), date(2016, 5, 29))
    long = chain(TOLD, DONE, passes=[sprayed(25, entry_hours=120, at=time(14, 30))])
    assert (long.opens, long.by) == (date(2016, 5, 31), date(2016, 6, 1))
    untyped = chain(TOLD, DONE, passes=[sprayed(25)])
    assert untyped.opens == date(2016, 6, 2), "with no interval typed the field is held for a week"
    hoe = chain(TOLD, step("done", 25, pass_key="k"), passes=[sprayed(25).model_copy(update={"what": "rotary hoe"})])
    assert hoe.opens == date(2016, 5, 27)


def test_what_is_late_is_the_day_that_passed() -> None:
    """The day itself is not over yet."""
    assert not chain(TOLD, today=25).late
    assert chain(TOLD, today=26).late
    assert not chain(TOLD, step("refused"), today=30).late


def test_marks_say_what_steps_alone_do_not() -> None:
    """Done before it was told is kept and marked; so is what is missing of the treatment."""
    assert chain().marks == ()
    assert chain(TAKEN).marks == ("not told",)
    strip = step("untreated strip", 25)
    assert chain(step("told", 26), DONE, strip).marks == ("done before told", "no pass")
    assert chain(TOLD, step("refused"), DONE, strip, passes=[sprayed(25)]).marks == ("done after refused",)
    assert chain(TOLD, DONE).marks == ("no pass", "no strip")
    assert chain(TOLD, DONE, passes=[sprayed(25, untreated="row 40")]).marks == ()
    assert "pass not held" in chain(TOLD, step("done", 25, pass_key="gone")).marks
    torn = chain(TOLD, step("refused"), ORDERED)
    assert (torn.marks, torn.state) == (("refused and ordered on one day",), "ordered, not done")
    timed = chain(TOLD, step("refused", at=time(17)), step("ordered", at=time(9)))
    assert (timed.marks, timed.state) == ((), "closed")


@pytest.mark.parametrize(
    ("check", "spray", "opens"),
    [
        (step("checked", 27, cut_again_pct=1), {"entry_hours": 48, "at": time(20, 30)}, OPENS),
        (step("checked", 26, cut_again_pct=1), {"entry_hours": 48, "at": time(8)},
         datetime.combine(date(2016, 5, 27), time(8))),
        (step("checked", 27, at=time(20), cut_again_pct=1), {"entry_hours": 48, "at": time(20, 30)}, OPENS),
        (step("checked", 27, at=time(21), cut_again_pct=1), {"entry_hours": 48, "at": time(20, 30)}, "fine"),
        (step("checked", 28, cut_again_pct=1), {"entry_hours": 48, "at": time(20, 30)}, "fine"),
        (step("checked", 27, cut_again_pct=1), {"entry_hours": 48, "at": time(8)}, "fine"),
        (step("checked", 24, cut_again_pct=1), {"entry_hours": 48}, "fine"),
        (step("checked", 27, cut_again_pct=1), {}, None),
    ],
)  # fmt: skip
def test_a_check_before_the_field_opened_is_kept_and_marked(
    check: Step, spray: dict[str, Any], opens: datetime | str | None
) -> None:
    """Someone was in the field while nobody may be, or the day is wrong; a check of before the treatment is neither."""
    found = chain(TOLD, DONE, check, passes=[sprayed(25, **spray)], today=30)
    assert ("checked too early" in found.marks) is (opens != "fine")
    assert (found.early.opens if found.early else "fine") == opens


def test_two_passes_of_a_day_are_not_guessed_between() -> None:
    """Which of them did it is for a person to say: both are offered, none is tied."""
    two = [sprayed(25, product="a"), sprayed(25, product="b"), sprayed(20)]
    found = chain(TOLD, DONE, passes=two, today=26)
    assert [one.product for one in found.passes] == ["b", "a"]
    assert "no pass" in found.marks
    tied = chain(TOLD, step("done", 25, pass_key=two[0].natural_key()), passes=two, today=26)
    assert [one.product for one in tied.passes] == ["b"]
    assert "no pass" not in tied.marks


def test_a_newer_one_takes_the_place_of_what_was_never_told() -> None:
    """What nobody heard is not waited for any more; what was told still is."""
    assert (chain(newer=True).state, chain(newer=True).open) == ("replaced", False)
    assert chain(TOLD, newer=True).state == "told, no answer"


def test_who_is_meant_next() -> None:
    """The grower until somebody was told, then whoever was told or answered last."""
    assert chain().to == "Ann"
    assert chain(step("told", who="Ben")).to == "Ben"
    assert chain(step("told", who="Ben"), step("taken", 25, who="Carl")).to == "Carl"
