"""Advice in words: the answer comes first, nothing is sprayed without its cautions, and every code has a sentence."""

from __future__ import annotations

import re
from datetime import date
from typing import Any, get_args, get_type_hints

import pytest

from springwalk.engine.advice import Beside, NextLook
from springwalk.engine.found import weakness
from springwalk.engine.state_rule import Says
from springwalk.jobs.advised import FieldAdvice, OptionSaid, PartAdvice, RuleSaid, Verdict
from springwalk.jobs.results import Range
from springwalk.show.advice_part_words import DIFFERS, LOOKS, REASONS, SAYS, answer, money
from springwalk.show.advice_words import advice_lines
from springwalk.show.caution import USUAL
from springwalk.units import ACRES_PER_HA

MAY_24 = date(2016, 5, 24)
LEAVE = OptionSaid(kind="leave", on=MAY_24, cost_per_ha=0, lost_per_ha=90.0, odds_best=0.2, bad_tenth_per_ha=200.0)
BACK = OptionSaid(kind="come back", on=MAY_24, cost_per_ha=2, lost_per_ha=60.0, odds_best=None, bad_tenth_per_ha=99.0)
RULE = RuleSaid(
    state="Nowhere", says="wait", percent=4.0, why=("under",), agrees=False, differs="more to come", source="made up"
)


def part(verdict: str, **more: Any) -> PartAdvice:
    """A part with made-up numbers."""
    told: dict[str, Any] = {
        "planting": "1", "zone": None, "name": "", "area_ha": 10.0, "verdict": verdict, "on": MAY_24,
        "options": (LEAVE, BACK),
        "lost_if_left_per_ha": 90.0, "larvae_per_100": Range(low=0.5, mid=2.0, high=4.0),
        "cuts_ahead_per_100": Range(low=1.0, mid=7.0, high=14.0), "break_even_per_100": 3.8, "loss_per_cut": 0.52,
        "kill": 0.9, "walked": MAY_24, "places": 100, "percent_cut": 4.0, "larvae_found": 1, "collars": 2.0,
        "reasons": (), "next_look": "", "next_look_per_ha": 0.0, "rule": None,
    }  # fmt: skip
    return PartAdvice(**(told | more))


def field(*parts: PartAdvice, what: str = "none", treat: tuple[str, ...] = ()) -> FieldAdvice:
    """A field of parts."""
    return FieldAdvice(field="f", name="Home", today=MAY_24, parts=parts, percent_cut=2.1, what=what, treat=treat)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("verdict", "first"),
    [
        ("leave", "Home: leave it alone."),
        ("spray", "Home: spray on 24 May, in the evening."),
        ("ride along", "Home: let it ride along with the pass on 24 May."),
        ("come back", "Home: leave it today and look once more on 24 May."),
        ("look again", "Home: don't spray yet: look again at dusk on 24 May."),
    ],
)
def test_answer_comes_first(verdict: str, first: str) -> None:
    """Whoever reads one line in the row reads what to do."""
    assert advice_lines(field(part(verdict)))[0] == first


def test_every_verdict_and_code_has_words() -> None:
    """A code without a sentence would end on a page as a code; the engine's own list of codes is the measure."""
    for verdict in get_args(Verdict):
        assert answer(part(verdict))
    for code in ("no live larvae", "nothing fresh", "not from this flight", *_codes(weakness)):
        assert REASONS[code] in advice_lines(field(part("leave", reasons=(code,))))
    assert set(DIFFERS) == _codes(Beside)
    assert set(SAYS) == set(get_args(Says))
    assert set(LOOKS) == set(get_args(get_type_hints(NextLook)["kind"]))


def _codes(of: object) -> set[str]:
    """The codes that a docstring of the engine lists between double backquotes after its word "codes" or "differ"."""
    text = (of.__doc__ or "").split("Codes:")[-1].split("differ:")[-1]
    return set(re.findall(r"``([^`]+)``", text))


def test_cautions_stand_wherever_treating_is_spoken_of() -> None:
    """To spray, to ride along and to look again before spraying bear the usual cautions; leaving needs none."""
    for verdict in get_args(Verdict):
        lines = advice_lines(field(part(verdict)))
        assert (set(USUAL) <= set(lines)) is (verdict in ("spray", "ride along", "look again"))


def test_part_to_treat_is_named_in_the_first_line() -> None:
    """Only the corner: its name, and what that is over the whole field."""
    corner, rest = part("spray", name="low corner"), part("leave")
    lines = advice_lines(field(corner, rest, what="part", treat=("low corner",)))
    assert (
        lines[0]
        == "Home: treat only low corner; over the whole field 2.1 % of the plants are cut (by area, fresh and old)."
    )
    assert "Low corner: spray on 24 May, in the evening." in lines
    assert "The rest: leave it alone." in lines


def test_money_is_an_acre_and_odds_never_certain() -> None:
    """Cents where they matter, whole dollars above; 0.2 is 20 chances in 100."""
    assert [money(x * ACRES_PER_HA) for x in (16.0, 9.5, -3.0, 1234.0)] == [
        "$16 an acre", "$9.50 an acre", "−$3.00 an acre", "$1,234 an acre",
    ]  # fmt: skip
    lines = advice_lines(field(part("leave")))
    assert "Leave it: $36 an acre expected loss, $81 an acre in the worst tenth; best in 20 chances in 100." in lines
    assert "Look again on 24 May, then decide: $24 an acre expected loss, $40 an acre in the worst tenth." in lines


def test_state_rule_is_said_with_its_source() -> None:
    """Agreement or not, and why, with where the rule is printed."""
    lines = advice_lines(field(part("leave", rule=RULE)))
    told = "It counts what was cut; more is still to come."
    assert lines[-1] == f"Nowhere's printed rule, at 4 %, says wait. We differ. {told} (made up)"
    agreed = RULE.model_copy(update={"agrees": True, "differs": ""})
    assert advice_lines(field(part("leave", rule=agreed)))[-1].endswith("says wait. We agree. (made up)")
    open_one = RULE.model_copy(update={"agrees": None, "differs": "", "says": "judge"})
    assert advice_lines(field(part("leave", rule=open_one)))[-1].endswith("leaves it to judgement. (made up)")
