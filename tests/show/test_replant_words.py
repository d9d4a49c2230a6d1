"""A replant answer in words: the insurer, what is counted and what is not, and the cautions, all in plain lines."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from springwalk.jobs.replant import Case, replant
from springwalk.jobs.replant_policy import Policy
from springwalk.jobs.replant_said import FrostYears, LarvaeSaid, PartReplant, Ready, ReplantSaid
from springwalk.jobs.results import DateRange, Range
from springwalk.show.replant_words import CALL_INSURER, CAUTIONS, INSURER_FIRST, replant_lines

TODAY, MAY_24 = date(2016, 5, 17), date(2016, 5, 24)
CASE = Case(
    planted=date(2016, 4, 25), stand=14_000, replant_on=MAY_24, replant_stand=30_000, yield_bu_ac=180, price_usd_bu=4.5,
    cost_usd_ac=60,
)  # fmt: skip
READY = Ready(today=TODAY, dry_days=2, kill_days=1.0, label_days=None, queue_days=1.5, on=MAY_24)
LARVAE = LarvaeSaid(
    cut_new=Range(low=0.01, mid=0.08, high=0.2), cut_old=Range(low=0.0, mid=0.03, high=0.1),
    walked=date(2016, 5, 14), places=100,
)  # fmt: skip


def part(name: str = "", **change: Any) -> PartReplant:
    """One part of 12 acres, as answered for the typed case."""
    policy = change.pop("policy", None)
    found = replant(CASE, policy)
    made: dict[str, Any] = {
        "name": name, "planting": "north/1", "zone": name or None, "area_ha": 4.8562, "planted": CASE.planted,
        "stand": CASE.stand, "replant_stand": CASE.replant_stand, "replant_stand_from": "seeds",
        "advice": "replant", "found": found, "why_no_larvae": "typed",
    }  # fmt: skip
    return PartReplant(**{**made, **change})


def said(**change: Any) -> ReplantSaid:
    """An answer that replants all of one part."""
    parts = change.pop("parts", (part(),))
    made: dict[str, Any] = {
        "field": "north", "name": "North", "today": TODAY, "advice": "replant", "what": "whole", "replant": ("",),
        "replant_ha": 4.8562, "insurer_first": False, "tables": (), "insurance": None, "gain_of": ("",),
        "gain_usd_range": (500.0, 900.4), "trip_usd": 0.0, "replant_on": MAY_24, "asked_on": None, "ready": READY,
        "frost": None, "hybrid_need_ddf": None, "yield_bu_ac": 180.0, "price_usd_bu": 4.5, "cost_usd_ac": 60.0,
        "assumed": (), "no_table": "", "old_removed": True, "parts": parts, "not_judged": (),
    }  # fmt: skip
    return ReplantSaid(**{**made, **change})


def test_without_terms_the_insurer_is_called_before_the_stand_goes() -> None:
    """A stand torn up before it is appraised may never be paid for: said whether or not a policy was typed."""
    lines = replant_lines(said())
    assert lines[0] == "North: replant all of it (12.0 acres) on 24 May or later."
    assert lines[1] == CALL_INSURER
    assert lines[-2:] == CAUTIONS
    assert "label" in CAUTIONS[0]


def test_with_terms_the_advice_begins_with_the_insurer() -> None:
    """Whatever the tables say, and whether or not a payment is due."""
    policy = Policy(180, 0.8, 4.66)
    lines = replant_lines(said(insurer_first=True, parts=(part(policy=policy),), insurance={"pays": False}))
    assert lines[0] == INSURER_FIRST.strip()
    assert CALL_INSURER not in lines
    assert any("insurance: no payment, appraised at" in line for line in lines)
    paid = replant_lines(said(insurer_first=True, advice="call the insurer first"))
    assert paid[1].endswith("on 24 May or later, once the insurer agrees.")


def test_every_piece_of_the_date_is_shown() -> None:
    """A wait that nobody typed is no wait of nothing: it is named."""
    lines = replant_lines(said(asked_on=date(2016, 5, 20)))
    assert (
        "Earliest day by what is known: 24 May. From 17 May: two days for the ground to dry if no more rain falls"
        " (model); 1 day to kill the old stand; 1.5 days until the planter comes."
    ) in lines
    assert (
        "Not typed, so no days counted by the label before planting: the real day may be later, the sums are for 24"
        " May."
    ) in lines
    assert "Asked for 20 May: not possible by these days; the sums are for the earliest." in lines
    whole = Ready(today=TODAY, dry_days=None, kill_days=1.0, label_days=6.0, queue_days=0.0, on=MAY_24)
    lines = replant_lines(said(ready=whole))
    assert lines[0].endswith("on 24 May.")
    assert any(line.startswith("Earliest day by what is known: 24 May. From 17 May: ") for line in lines)
    known = replant_lines(said(ready=whole.model_copy(update={"dry_days": 0})))
    assert any(line.startswith("Earliest real day: 24 May. From 17 May: ") for line in known)
    assert any("when the ground is dry is not known (rain is not told)" in line for line in lines)
    fit = READY.model_copy(update={"dry_days": 0})
    assert any("the ground is dry enough to walk today (model)" in line for line in replant_lines(said(ready=fit)))


ANSWERS = [
    (
        {"what": "part", "replant": ("Low",), "gain_of": ("Low",), "parts": (part("Low"), part("rest", advice="keep"))},
        "replant the 12.0 acres of Low on 24 May or later; leave the others.",
    ),
    (
        {"what": "part", "replant": ("Low",), "parts": (part("Low"),), "not_judged": ("rest",)},
        "replant the 12.0 acres of Low on 24 May or later.",
    ),
    (
        {"what": "none", "advice": "keep", "replant": ()},
        "keep it: what a part would gain does not pay the trip.",
    ),
    ({"what": "unsure", "replant": ()}, "too close to say for 24 May: the tables do not agree."),
    ({"what": "unsure", "replant": (), "old_removed": False}, "what old plants that stay take is not known."),
]


@pytest.mark.parametrize(("change", "told"), ANSWERS)
def test_answer_comes_first(change: dict[str, Any], told: str) -> None:
    """One line that says what to do with which acres."""
    assert told in replant_lines(said(**change))[0]


def test_part_that_is_unsure_is_named() -> None:
    """The others are kept without a doubt."""
    parts = (part("Low", advice="too close to say"), part("rest", advice="keep"))
    lines = replant_lines(said(what="unsure", replant=(), gain_of=("Low",), parts=parts, not_judged=("Hill",)))
    assert lines[0] == ("North: Low is too close to say for 24 May: the tables do not agree; keep the others.")
    assert "Gain by replanting Low: 500 to 900 US$ over the tables." in lines
    assert "Not judged, no stand given: Hill." in lines
    assert any(
        line.startswith("Low, 12.0 acres, planted 25 April, 14,000 plants per acre left: too close") for line in lines
    )


def test_money_shows_its_span_and_what_is_in_it() -> None:
    """Over the tables, the trip, and that a payment is not in it."""
    lines = replant_lines(said(trip_usd=150.0, insurance={"pays": True}))
    assert (
        "Gain by replanting all of it: 500 to 900 US$ over the tables, a trip of 150 US$ paid; the insurer's payment is"
        " not in it."
    ) in lines
    assert "No table holds all of these parts: see each part." in replant_lines(said(gain_usd_range=None))


def test_larvae_tell_where_they_come_from_and_when_they_decide() -> None:
    """Expected, with the range, the walk, and the other answer where the number of larvae turns it."""
    unsure = part(larvae=LARVAE, if_few="replant", if_many="keep")
    line = next(x for x in replant_lines(said(parts=(unsure,))) if "Larv" in x)
    assert "expected to cut 8 % (1–20) of the new plants, 3 % (0–10) of those left (assumption" in line
    assert "from the walk of 14 May" in line
    assert line.endswith("Were they few: replant; many: keep.")
    unwalked = LARVAE.model_copy(update={"walked": None})
    sure = part(larvae=unwalked, if_few="replant", if_many="replant")
    line = next(x for x in replant_lines(said(parts=(sure,))) if "Larv" in x)
    assert "from the flight and other fields, nobody walked it" in line
    assert "Were they" not in line
    for why, told in (("typed", "as typed"), ("treated", "the part was treated"), ("no weather", "no weather reaches")):
        assert any(told in x for x in replant_lines(said(parts=(part(why_no_larvae=why),))))


def test_frost_is_counted_or_its_absence_said() -> None:
    """Silence on frost would read as no risk."""
    assert "Frost risk is not counted: the hybrid's need is not typed." in replant_lines(said())
    assert "Frost risk is not counted: no past year here reaches fall." in replant_lines(said(hybrid_need_ddf=2700.0))
    years = FrostYears(
        station="Town", years=12, heat_ddf=Range(low=2300, mid=2500, high=2650), by_year_ddf=(),
        frost=DateRange(early=date(2016, 9, 28), mid=date(2016, 10, 8), late=date(2016, 10, 20)),
    )  # fmt: skip
    lines = replant_lines(said(frost=years))
    assert (
        "Past years at Town: 2,500 (2,300–2,650) °F·day from 24 May to the first 28 °F (memory), which came on"
        " 8 October (28 September–20 October), in 12 years."
    ) in lines
    found = {**part().found, "ripe_share": 0.75}
    ripe = replant_lines(said(frost=years, hybrid_need_ddf=2400.0, parts=(part(found=found),)))
    assert "  ripe before a killing frost in 75 % of past years" in ripe
    assert not any(line.startswith("Frost risk") for line in ripe)


def test_what_it_rests_on_is_told_with_its_basis() -> None:
    """Assumed money, a state without a table, and each table's own basis and source, once."""
    lines = replant_lines(said(assumed=("crop", "price"), no_table="Nebraska", parts=(part("a"), part("b"))))
    assert (
        "Worked with 180 bushels an acre without loss, 4.50 US$ a bushel, and 60 US$ an acre to replant (the yield and"
        " the price assumed: type it, or tell it under [money] in season.toml)."
    ) in lines
    assert any("No stand table of Nebraska" in line for line in lines)
    sources = lines[lines.index("Sources:") + 1 : -2]
    assert len(sources) == len(set(sources)) == len(part().found["sources"])
    assert all(line.endswith(("(published)", "(assumption)")) for line in sources)
    assert any("92 % of the seeding rate told for this planting (assumption)" in line for line in lines)
