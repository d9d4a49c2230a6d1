"""Chains in words: every state, step and mark has its sentence, and what is next is said with its day."""

from __future__ import annotations

import json
from datetime import date, time
from typing import Any, get_args

import pytest

from springwalk.jobs.entered import Entered
from springwalk.jobs.recommended import Chain, Mark, Next, Recommendations, State
from springwalk.jobs.results import Reason
from springwalk.records.advice import StepKind
from springwalk.show import chain_words as words
from springwalk.show.entry_words import receipt
from springwalk.show.step_words import HOW, STEPS, step_line, step_text
from tests.jobs.chained import MAY_24, advised, chain, sprayed, step

TOLD = step("told", how="phone")


def line(what: str, day: int = 24, **more: Any) -> str:
    """A step as a sentence."""
    return step_line(step(what, day, **more).model_dump())


@pytest.mark.parametrize(
    ("said", "told"),
    [
        (line("told", how="phone"), "Told Ann by phone on 24 May."),
        (line("told", how="text", at=time(6, 30)), "Told Ann by text on 24 May, 06:30."),
        (line("told"), "Told Ann on 24 May."),
        (line("taken", who="Ann"), "Taken by Ann on 24 May."),
        (line("refused", note="no sprayer"), "Refused on 24 May: no sprayer."),
        (line("ordered", who="the co-op", wanted_on=date(2016, 5, 26)),
         "Ordered from the co-op on 24 May, for 26 May."),
        (line("done", 25, who="the co-op", where="low end"), "Done by the co-op on 25 May, low end."),
        (line("checked", 27, cut_again_pct=2.5, places=100, larvae=0),
         "Checked on 27 May (2.5 % of 100 plants cut again, no live larvae)."),
        (line("checked", 27, cut_again_pct=0, larvae=1), "Checked on 27 May (0 % of the plants cut again, one live"
                                                         " larva)."),
        (line("untreated strip", 27, cut_again_pct=12), "Untreated strip at row 40, noted on 27 May (12 % of the plants"
                                                        " cut)."),
        (line("worth it", 30, note="yes!"), "Worth it, said on 30 May: yes!"),
        (line("not worth it", 30, who="Ann"), "Not worth it, said by Ann on 30 May."),
    ],
)  # fmt: skip
def test_each_step_reads_as_it_is_said(said: str, told: str) -> None:
    """Who, how, when, and what was found, in the order a person tells it."""
    assert said == told


def test_every_code_has_words() -> None:
    """A code on a page would tell a grower nothing; each list of codes is the jobs' own."""
    assert set(words.STATES) == set(get_args(State))
    assert set(words.MARKS) == set(get_args(Mark))
    assert set(STEPS) == set(get_args(StepKind))
    assert set(HOW) == {"phone", "text", "in person", "letter"}
    for what in get_args(StepKind):
        assert step_text(step(what).model_dump())


@pytest.mark.parametrize(
    ("made", "state", "told"),
    [
        (chain(), "Not told yet", "Tell Ann by 25 May."),
        (chain(today=26), "Not told yet", "Tell Ann by 25 May. That day is over."),
        (chain(TOLD), "Told, no answer yet", "Wait for the answer of Ann, taken or refused, by 25 May."),
        (chain(TOLD, step("taken")), "Taken, not ordered yet", "Order it, to be done by 25 May."),
        (chain(TOLD, step("ordered", wanted_on=date(2016, 5, 27))), "Ordered, not done yet",
         "To be done by 27 May; note the pass and its entry interval then."),
        (chain(TOLD, step("done", 25)), "Done, not checked yet",
         "Count the same flags again 27–29 May, and the untreated strip."),
        (chain(TOLD, step("done", 25), step("checked", 27, cut_again_pct=1)), "Closed",
         "Say whether it was worth it."),
        (chain(TOLD, step("refused")), "Closed", ""),
        (chain(newer=True), "Never told; a newer one is there", ""),
    ],
)  # fmt: skip
def test_what_is_next_is_said_with_its_day(made: Chain, state: str, told: str) -> None:
    """Whoever opens the list knows what to do first."""
    assert (words.state(made), words.next_words(made)) == (state, told)


def test_every_next_has_a_command() -> None:
    """What is waited for can be told by the line that stands there."""
    asked = {made.next: words.next_command(made) for made in (
        chain(), chain(TOLD), chain(TOLD, step("taken")), chain(TOLD, step("ordered")), chain(TOLD, step("done", 25)),
        chain(TOLD, step("done", 25), step("checked", 27, cut_again_pct=1)), chain(TOLD, step("refused")),
    )}  # fmt: skip
    assert set(asked) == set(get_args(Next))
    assert asked == {
        "told": "springwalk step n:1 told --to NAME --how phone", "answer": "springwalk step n:1 taken",
        "ordered": "springwalk step n:1 ordered", "done": "springwalk step n:1 done",
        "checked": "springwalk step n:1 checked", "worth": "springwalk step n:1 worth-it", "": "",
    }  # fmt: skip


def test_a_check_too_early_asks_with_both_days() -> None:
    """The question names the day of the check and the hour the field opened, or that no interval was typed."""
    told = TOLD, step("done", 25), step("checked", 27, cut_again_pct=1)
    again = "If not, tell the check again with its time, or take it back."
    late = chain(*told, passes=[sprayed(25, entry_hours=48, at=time(20, 30), untreated="row 40")], today=30)
    assert words.marks(late) == [f"Checked on 27 May, before the field opened on 27 May, 20:30? {again}"]
    untyped = chain(*told, passes=[sprayed(25, untreated="row 40")], today=30)
    assert words.marks(untyped) == [
        f"Checked on 27 May, while the field was held because no entry interval of its pass is typed? {again}"
    ]


def test_the_list_names_what_is_open_and_late_first() -> None:
    """One line for the morning, then each chain; the same as JSON, with its words."""
    found = Recommendations(
        season="s", today=date(2016, 5, 26), chains=(chain(TOLD, today=26), chain(TOLD, step("refused"), ident="n:2")),
        stray=chain(TOLD).steps,
    )  # fmt: skip
    text = words.text(found)
    assert text.startswith("Thursday 26 May: one recommendation open, one late\n\nNorth (Ann), 24 May: Spray.\n")
    assert "    Refused on 24 May: no.\n    n:2\n" in text
    assert text.endswith("Steps whose recommendation is not here:\n    Told Ann by phone on 24 May.\n")
    made = json.loads(words.as_json(found))
    assert [one["words"]["state"] for one in made["chains"]] == ["Told, no answer yet", "Closed"]
    assert made["chains"][0]["recommendation"]["said"] == "Spray."


def test_money_says_what_nobody_typed() -> None:
    """In August it must be plain what was reckoned with, and what of it was only assumed."""
    record = advised(
        crop_bu_ac=180, price_usd_bu=4.5, pass_usd_ac=16, product_usd_ac=7, days_to_sprayer=2,
        assumed=("crop", "own_pass"), engine_version="1", settings_hash="00ff", person="Wren",
    )  # fmt: skip
    assert words.money_words(record) == (
        "Reckoned with 180 bushels an acre, $4.50 a bushel, $16.00 an acre for a pass, $7.00 an acre for the product"
        " alone, two days to the sprayer. Assumed, not typed: the yield, the cost of a pass."
    )
    assert words.made_by(record) == "Kept by Wren. Engine 1, settings 00ff."
    assert words.money_words(advised()) == words.made_by(advised()) == ""


def test_receipts_of_recommendations_and_steps() -> None:
    """What was kept on one line; a treatment without its pass says what is missing."""

    def said(code: str, facts: dict[str, Any], put: str = "new", before: Reason | None = None) -> str:
        reason = Reason(code=f"entered_{code}", facts=facts)
        made = Entered(key="k", entry="e", put=put, field="n", name="North", said=reason, before=before)  # type: ignore[arg-type]
        again = Entered.model_validate_json(made.model_dump_json())
        assert receipt(again) == receipt(made), "a receipt that came over a line reads the same"
        return receipt(made)

    done = step("done", 25, who="co-op").model_dump()
    assert said("recommendation", {"date": MAY_24}) == "Recommendation of 24 May noted at North."
    assert said("recommendation_step", {**done, "at": time(9)}) == (
        "Done by co-op on 25 May, 09:00 noted at North. No pass of that day is noted: note it with its entry interval,"
        " or nobody is kept out of the field."
    )
    assert said("recommendation_step", {**done, "pass_key": "p"}) == "Done by co-op on 25 May noted at North."
    no = Reason(code="entered_recommendation_step", facts=step("refused", who="Ann").model_dump())
    assert said("recommendation_step", step("taken", who="Ann").model_dump(), "revised", no) == (
        "Taken by Ann on 24 May noted at North, in place of refused by Ann on 24 May."
    )
    assert said("recommendation_step", TOLD.model_dump(), "taken back") == (
        "Taken back: told Ann by phone on 24 May at North."
    )
