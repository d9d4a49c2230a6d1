"""Recommendations kept and read back: exactly what was shown, told once, every step tied to the one it is of."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from datetime import date, time
from pathlib import Path

import pytest

from springwalk.engine import ENGINE_VERSION
from springwalk.errors import BadValue, NotFound, OutsideSeason
from springwalk.jobs.advise import advise_field
from springwalk.jobs.advised import FieldAdvice
from springwalk.jobs.enter import enter, undo
from springwalk.jobs.recommend import recommend, recommendations, step as keep_step, steps
from springwalk.jobs.recommended import Chain, Recommended, Saying
from springwalk.jobs.sheet import sheet
from springwalk.jobs.terms import Terms
from springwalk.jobs.typed import made
from springwalk.records import Done, Pass, Recommendation, Step
from springwalk.show.caution import USUAL
from springwalk.show.chain_words import SAYING
from springwalk.show.entry_words import receipt
from springwalk.store import Store
from springwalk.store.entries import heads, put_record, take_back
from tests.jobs.chained import MAY_24, terms, walked

MAY_25 = date(2016, 5, 25)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """A store with a field that was walked."""
    with walked(tmp_path) as opened:
        yield opened


@pytest.fixture
def kept(store: Store) -> Recommended:
    """Its recommendation of 24 May."""
    return recommend(store, "north", terms(), saying=SAYING, person="Wren", today=MAY_24)


def told(what: str, of: str = "north", on: date = MAY_24, **more: object) -> Step:
    """A step as it is typed."""
    return made(Step, recommendation=of, date=on, what=what, **more)


def only(store: Store, today: date = MAY_24) -> Chain:
    """The only chain of the store."""
    (found,) = recommendations(store, today=today).chains
    return found


def test_a_recommendation_is_what_was_shown(store: Store, kept: Recommended) -> None:
    """The very answer, its words with the cautions, the lines for the grower, the money, and what made it."""
    record = kept.record
    assert record.shown == advise_field(store, "north", terms(), today=MAY_24).model_dump_json()
    assert FieldAdvice.model_validate_json(record.shown) == kept.advice
    assert kept.advice.parts[0].verdict == "spray"
    assert (record.treats, record.act_on) == (True, kept.advice.parts[0].on)
    assert all(line in record.said for line in USUAL)
    assert len(record.text.splitlines()) == 3
    assert record.parts == ("Spray on 26 May, in the evening.",)
    assert (record.crop_bu_ac, record.price_usd_bu, record.pass_usd_ac) == (200, 4.5, 16)
    assert "crop" not in record.assumed
    assert "wage" in record.assumed
    assert record.engine_version == ENGINE_VERSION
    assert re.fullmatch("[0-9a-f]{16}", record.settings_hash)
    assert (record.person, kept.entered.put, kept.entered.name) == ("Wren", "new", "The north field")
    assert "shown" not in kept.entered.said.facts, "a receipt is short"
    assert only(store).recommendation == record


def test_the_same_answer_is_kept_once_and_another_beside_it(store: Store, kept: Recommended) -> None:
    """Pressed twice is once, whoever presses; with other money it is another recommendation, and the first stands."""
    again = recommend(store, "The North Field", terms(), saying=SAYING, person="Ben", today=MAY_24)
    assert (again.entered.put, again.entered.entry) == ("same", None)
    assert only(store).recommendation.person == "Wren"
    other = recommend(store, "north", terms(price=5.0), saying=SAYING, today=MAY_24)
    assert other.record.id != kept.record.id
    found = recommendations(store, today=MAY_24)
    assert [one.state for one in found.chains] == ["not told", "replaced"]
    assert found.chains[0].recommendation == other.record


def test_treatment_is_never_recommended_without_the_cautions(store: Store) -> None:
    """Words that leave a caution out are refused and nothing is kept; words without any can't be made."""
    for left_out in range(len(USUAL)):
        said = Saying(
            lambda advice, left=left_out: [one for one in SAYING.lines(advice) if one != USUAL[left]], SAYING.parts,
            SAYING.text, USUAL,
        )  # fmt: skip
        with pytest.raises(BadValue) as caught:
            recommend(store, "north", terms(), saying=said, today=MAY_24)
        assert str(caught.value) == "said = north: advice to treat without the usual cautions; say them with it."
    assert recommendations(store, today=MAY_24).chains == ()
    for none in ((), ("",)):
        with pytest.raises(BadValue, match="advice to treat always bears the usual cautions; give them"):
            Saying(SAYING.lines, SAYING.parts, SAYING.text, none)


def test_terms_must_say_their_money(store: Store) -> None:
    """What advice was reckoned with belongs to it: bare terms can't be kept."""
    bare = Terms.per_acre(bushels=200, price=4.5, own_pass=16, product=7, visit=25)
    with pytest.raises(BadValue, match="terms = without their money: they were not made for a season"):
        recommend(store, "north", bare, saying=SAYING, today=MAY_24)


def test_what_advice_refuses_is_not_kept(store: Store) -> None:
    """No walk, no recommendation; a day outside the season is said as such."""
    with pytest.raises(NotFound, match="no walk of the last week says anything of larvae here"):
        recommend(store, "south", terms(), saying=SAYING, today=MAY_24)
    with pytest.raises(OutsideSeason):
        recommend(store, "north", terms(), saying=SAYING, today=date(2016, 12, 1))


def test_told_and_taken_at_once(store: Store, kept: Recommended) -> None:
    """What is not said is filled: the grower was told, and who was told answers; the field stands for the chain."""
    receipts = steps(store, [told("told", how="phone"), told("taken")], person="Wren", today=MAY_24)
    assert [(one.put, one.name) for one in receipts] == [("new", "The north field")] * 2
    chain = only(store)
    assert [(one.what, one.who, one.how, one.person) for one in chain.steps] == [
        ("told", "Invented Farms", "phone", "Wren"), ("taken", "Invented Farms", None, "Wren"),
    ]  # fmt: skip
    assert (chain.state, chain.next, chain.by) == ("taken, not ordered", "ordered", kept.record.act_on)
    assert {one.put for one in steps(store, [told("told", how="phone"), told("taken")], today=MAY_24)} == {"same"}


@pytest.mark.parametrize("of", ["north", "the north FIELD", "whole", "beginning"])
def test_a_recommendation_is_named_by_field_id_or_beginning(store: Store, kept: Recommended, of: str) -> None:
    """An id is long: a truck has no room for it."""
    name = {"whole": kept.record.id, "beginning": kept.record.id[:-4]}.get(of, of)
    assert keep_step(store, told("told", of=name, who="Ann"), today=MAY_24).put == "new"
    assert [one.who for one in only(store).steps] == ["Ann"]


def test_a_field_stands_for_the_one_that_waits(store: Store, kept: Recommended) -> None:
    """The answer goes to what was told, the next telling to the newer one."""
    keep_step(store, told("told"), today=MAY_24)
    newer = recommend(store, "north", terms(price=5.0), saying=SAYING, today=MAY_24)
    keep_step(store, told("taken"), today=MAY_24)
    keep_step(store, told("told", who="Ben"), today=MAY_24)
    found = {one.recommendation.id: [step.what for step in one.steps] for one in recommendations(store).chains}
    assert found == {kept.record.id: ["told", "taken"], newer.record.id: ["told"]}
    both = steps(store, [told("told", who="Carl"), told("taken", who="Carl")], today=MAY_24)
    assert len({one.key.rsplit(":told", 1)[0].rsplit(":answer", 1)[0] for one in both}) == 1, "one command, one chain"


def test_what_may_not_be_is_refused_and_nothing_is_kept(store: Store, kept: Recommended) -> None:
    """Each refusal says what to do; of steps told together none is kept where one is refused."""
    refused: list[tuple[type[Exception], Step, str]] = [
        (NotFound, told("told", of="zzz"), "recommendation = zzz: no such recommendation is kept; copy its id from"
                                           " the list: springwalk recommendations."),
        (NotFound, told("told", of="south"), "recommendation = south: no recommendation of this field is kept; keep one"
                                             " first: springwalk recommend south."),
        (NotFound, told("told", of="noth"), "recommendation = noth: no such recommendation is kept; did you mean"
                                            " 'north'? (springwalk recommendations lists them)."),
        (NotFound, told("told", of=" "), "recommendation = (blank): no such recommendation is kept; copy its id from"
                                         " the list: springwalk recommendations."),
        (NotFound, told("done", pass_key="2016-05-24"), "pass = 2016-05-24: no such pass of this field is noted; note"
                                                        " the pass first, or leave this out."),
        (BadValue, told("told", on=MAY_25), "date = 2016-05-25: after today (2016-05-24); give the day it was seen or"
                                            " done."),
        (BadValue, told("told", on=date(2016, 5, 23)), "date = 2016-05-23: before the recommendation (2016-05-24);"
                                                       " correct the date, or name the recommendation meant."),
        (BadValue, told("refused"), "note = (blank): a refusal is kept with its reason; say why in a few words."),
        (BadValue, told("taken", how="phone"), "how = phone: goes with told only; leave it out."),
        (BadValue, told("told", who="A\u202eB"), "who = A\\u202eB: holds a character that can't be printed (\\u202e);"
                                                " type the text again."),
    ]  # fmt: skip
    before = store.counter
    for kind, one, text in refused:
        with pytest.raises(kind) as caught:
            steps(store, [told("told", who="Ann"), one], today=MAY_24)
        assert str(caught.value) == text
    assert store.counter == before
    assert only(store).steps == ()


def test_a_treatment_is_tied_to_the_pass_of_its_day(store: Store, kept: Recommended) -> None:
    """The only pesticide pass of the day is the one; told later it is found all the same; two are for a person."""
    keep_step(store, told("told"), today=MAY_24)
    done = keep_step(store, told("done", on=MAY_25, who="the co-op"), today=MAY_25)
    assert done.said.facts["pass_key"] == ""
    assert "no pass" in only(store, MAY_25).marks
    spray = Pass(field="north", date=MAY_25, what="insecticide", entry_hours=24, untreated="row 40")
    enter(store, spray, today=MAY_25)
    assert only(store, MAY_25).marks == ()
    again = keep_step(store, told("done", on=MAY_25), today=MAY_25)
    assert (again.put, again.said.facts["pass_key"], again.said.facts["who"]) == (
        "revised", spray.natural_key(), "the co-op",
    )  # fmt: skip
    other = Pass(field="north", date=MAY_25, what="insecticide", product="b")
    enter(store, other, today=MAY_25)
    by_day = told("done", on=MAY_25, where="low end", pass_key="2016-05-25")
    with pytest.raises(NotFound, match="pass = 2016-05-25: 2 passes of that day are noted"):
        keep_step(store, by_day, today=MAY_25)
    named = told("done", on=MAY_25, where="low end", pass_key=other.natural_key())
    assert keep_step(store, named, today=MAY_25).said.facts["pass_key"] == other.natural_key()


def test_told_again_with_less_keeps_what_was_told(store: Store, kept: Recommended) -> None:
    """A second tap without its details must not blank them; another count or answer stands for itself."""
    keep_step(store, told("ordered", who="co-op", wanted_on=date(2016, 5, 26), note="by six"), today=MAY_24)
    assert keep_step(store, told("ordered", who="co-op"), today=MAY_24).put == "same"
    keep_step(store, told("checked", cut_again_pct=4.0, larvae=2), today=MAY_24)
    keep_step(store, told("checked", cut_again_pct=1.0), today=MAY_24)
    keep_step(store, told("refused", who="Ann", note="late"), today=MAY_24)
    assert keep_step(store, told("taken", who="Ann"), today=MAY_24).put == "revised"
    by = {one.what: one for one in only(store).steps}
    assert set(by) == {"ordered", "checked", "taken"}
    assert (by["checked"].cut_again_pct, by["checked"].larvae, by["taken"].note) == (1.0, None, "")


def test_steps_are_undone_first_the_recommendation_after_them(store: Store, kept: Recommended) -> None:
    """A chain must not lose its beginning; undone from the end it is as if nothing had been said."""
    entry = kept.entered.entry
    step_entry = keep_step(store, told("told"), today=MAY_24).entry
    assert entry is not None
    assert step_entry is not None
    with pytest.raises(BadValue, match="steps of this recommendation are kept; take those back first"):
        undo(store, entry)
    undo(store, step_entry)
    assert only(store).state == "not told"
    undo(store, entry)
    assert recommendations(store, today=MAY_24).chains == ()


def treated(store: Store) -> str:
    """The key of the look after a treatment of 25 May, told with the chain that asked for it."""
    keep_step(store, told("told"), today=MAY_24)
    enter(store, Pass(field="north", date=MAY_25, what="insecticide", entry_hours=24), today=MAY_25)
    keep_step(store, told("done", on=MAY_25), today=MAY_25)
    (key,) = rechecks(store, MAY_25)
    return key


def rechecks(store: Store, today: date) -> list[str]:
    """Keys of the looks after a treatment on the sheet."""
    found = sheet(store, today)
    return [look.key for row in (*found.rows, *found.rest) for look in row.looks if look.code == "recheck"]


def test_a_check_ends_the_look_that_asked_for_it(store: Store, kept: Recommended) -> None:
    """Told once it is told: the due list asks no more, its receipt says so, and undone both are open again."""
    key, day = treated(store), date(2016, 5, 28)
    checked = keep_step(store, told("checked", on=day, cut_again_pct=1.0), person="Wren", today=day)
    assert receipt(checked) == (
        "Checked on 28 May (1 % of the plants cut again) noted at The north field. The look “After the treatment” is"
        " done with it."
    )
    assert rechecks(store, day) == []
    with store.reading() as read:
        (done,) = [one.record for one in heads(read, Done.kind)]
    assert done == Done(look=key, field="north", on=day, outcome="done", person="Wren")
    assert keep_step(store, told("checked", on=day, cut_again_pct=2.0), today=day).said.facts["looks_done"] == ()
    again = recommendations(store, today=day).chains[0].steps[-1]
    undo(store, again.entry)
    assert rechecks(store, day) == [], "a corrected count that is taken back leaves the first check"


def test_an_undone_check_opens_its_look_again(store: Store, kept: Recommended) -> None:
    """Both were kept in one transaction, so one undo takes both back."""
    key, day = treated(store), date(2016, 5, 28)
    entry = keep_step(store, told("checked", on=day, cut_again_pct=1.0), today=day).entry
    assert entry is not None
    said = receipt(undo(store, entry))
    assert said.startswith("Taken back: checked on 28 May")
    assert said.endswith(" The look “After the treatment” is open again.")
    assert rechecks(store, day) == [key]
    assert only(store, day).state == "done, not checked"


def test_a_check_before_the_look_opens_leaves_it(store: Store, kept: Recommended) -> None:
    """What is seen the day after says little of what still feeds: the look stays, and the receipt says from when."""
    key, day = treated(store), date(2016, 5, 26)
    early = keep_step(store, told("checked", on=day, cut_again_pct=1.0), today=day)
    assert receipt(early).endswith(" The look “After the treatment” stays on the list: it opens on 27 May.")
    assert rechecks(store, day) == [key]
    assert "checked too early" in only(store, day).marks


def test_a_check_of_before_the_treatment_ends_nothing(store: Store, kept: Recommended) -> None:
    """Told late, a count of the day before is no check of what was sprayed after it."""
    key, day = treated(store), date(2016, 5, 28)
    before = keep_step(store, told("checked", cut_again_pct=5.0), today=day)
    assert (before.said.facts["looks_done"], before.said.facts["look_opens"]) == ((), None)
    assert rechecks(store, day) == [key]


def test_steps_without_their_recommendation_are_shown(store: Store, kept: Recommended) -> None:
    """Nothing a store holds is passed over: what a file took away leaves its steps to be seen."""
    keep_step(store, told("told", who="Ann"), today=MAY_24)
    with store.writing() as write:
        take_back(write, kept.record)
    found = recommendations(store, today=MAY_24)
    assert (found.chains, [one.who for one in found.stray]) == ((), ["Ann"])


def test_open_ones_stand_first_and_a_field_can_be_asked_alone(store: Store, kept: Recommended) -> None:
    """The list is worked from the top; a field's page asks for its own."""
    with store.writing() as write:
        for ident, field, treats in (("a", "east", True), ("b", "south", False), ("c", "south", True)):
            put_record(
                write, Recommendation(id=ident, field=field, date=MAY_24, said="x", treats=treats, act_on=MAY_25)
            )
        put_record(write, Step(recommendation="a", field="east", date=MAY_24, what="refused", note="n"))
    found = recommendations(store, today=MAY_24).chains
    assert [(one.recommendation.field, one.open) for one in found] == [
        ("north", True), ("south", True), ("east", False), ("south", False),
    ]  # fmt: skip
    south = recommendations(store, "SOUTH", today=MAY_24).chains
    assert {one.recommendation.field for one in south} == {"south"}
    with pytest.raises(NotFound, match="field = nowhere: no such field in this store"):
        recommendations(store, "nowhere", today=MAY_24)


def test_of_two_versions_the_newest_is_shown_and_marked(store: Store, kept: Recommended) -> None:
    """Two machines may have kept one recommendation in other words: both are held, and it is said."""
    from springwalk.store.entries import append

    with store.writing() as write:
        append(write, kept.record.model_copy(update={"note": "from the other desk"}))
    chain = only(store)
    assert chain.recommendation.note == "from the other desk"
    assert "two versions" in chain.marks


def test_results_come_back_from_json(store: Store, kept: Recommended) -> None:
    """A page or another program reads the same chain from its JSON."""
    keep_step(store, told("told", who="Ann"), today=MAY_24)
    found = recommendations(store, today=MAY_24)
    assert type(found).model_validate_json(found.model_dump_json()) == found
    assert json.loads(found.model_dump_json())["chains"][0]["steps"][0]["who"] == "Ann"


def test_no_answer_rests_on_what_we_said(store: Store) -> None:
    """Advice kept and told must not move the next morning's sheet or the next advice."""
    before = sheet(store, MAY_24), advise_field(store, "north", terms(), today=MAY_24)
    recommend(store, "north", terms(), saying=SAYING, today=MAY_24)
    keep_step(store, told("told", who="Ann"), today=MAY_24)
    assert (sheet(store, MAY_24), advise_field(store, "north", terms(), today=MAY_24)) == before


def test_a_treatment_told_as_done_keeps_people_out_without_a_noted_pass(store: Store, kept: Recommended) -> None:
    """A form left out must not send anybody into a treated field, nor ask for a second spraying."""
    keep_step(store, told("done", at=time(6, 30)), today=MAY_24)
    morning = sheet(store, MAY_24)
    row = next(row for row in (*morning.rows, *morning.rest) if row.field == "north")
    assert row.keep_out is not None
    assert row.keep_out.opens is None
    with pytest.raises(NotFound, match="it was treated"):
        advise_field(store, "north", terms(), today=MAY_24)
    enter(store, Pass(field="north", date=MAY_24, what="insecticide", at=time(6, 30), entry_hours=2), today=MAY_24)
    again = {
        row.field: row for made_of in [sheet(store, MAY_24, at=time(12))] for row in (*made_of.rows, *made_of.rest)
    }
    assert again["north"].keep_out is None
