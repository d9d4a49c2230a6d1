"""The state's rule: bounds first, then the per cent, then live larvae; what can't be checked is left to judgement."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from springwalk.engine.state_rule import Counted, StateRule, judge, state_says
from springwalk.errors import BadValue

PLAIN = StateRule("made-up", "Nowhere", ("cut",), 3.0, None, (None, None), (None, None), None, False, "")
CUT_4 = Counted(cut=4.0, collars=2.0)


@pytest.mark.parametrize(
    ("cut", "says", "why"), [(1.9, "wait", "under"), (2.0, "judge", "between"), (5.0, "treat", "over")]
)
def test_two_figures_leave_a_band_to_judgement(cut: float, says: str, why: str) -> None:
    """From 2 to 5 % the state weighs other things; the ends belong to the higher answer."""
    said = judge(replace(PLAIN, percent_low=2.0, percent_high=5.0), Counted(cut=cut))
    assert (said.says, said.why, said.percent) == (says, (why,), cut)


def test_live_larvae_are_asked_for_where_printed() -> None:
    """Over the per cent and no live larvae: such a rule waits, a rule without the condition treats."""
    asks = replace(PLAIN, live_larvae=True)
    assert judge(PLAIN, CUT_4).says == "treat"
    assert (judge(asks, CUT_4).says, judge(asks, CUT_4).why) == ("wait", ("over", "no live larvae"))
    assert judge(asks, replace(CUT_4, live_larvae=True)).says == "treat"


def test_number_of_larvae_is_asked_for_beside_the_cuts() -> None:
    """Two larvae per 100 beside the per cent: one is too few."""
    asks = replace(PLAIN, larvae_per_100=2.0)
    assert judge(asks, replace(CUT_4, larvae_per_100=1.0)).why == ("over", "too few larvae")
    assert judge(asks, replace(CUT_4, larvae_per_100=2.0)).says == "treat"


@pytest.mark.parametrize(
    ("mm", "small", "large"), [(19.0, "treat", "silent"), (20.0, "silent", "treat"), (None, "judge", "judge")]
)
def test_size_chooses_the_row_and_no_size_leaves_it_to_judgement(mm: float | None, small: str, large: str) -> None:
    """Rows for small and large larvae never both speak; where nobody measured, neither can say treat."""
    seen = replace(CUT_4, larva_mm=mm)
    assert judge(replace(PLAIN, larva_mm=(None, 19.05)), seen).says == small
    assert judge(replace(PLAIN, larva_mm=(19.05, None)), seen).says == large


def test_stage_bounds_are_from_and_below() -> None:
    """A row for V2 holds from 2.0 to just under 3.0; an untold stage leaves it to judgement."""
    rule = replace(PLAIN, collars=(2.0, 3.0))
    says = [judge(rule, replace(CUT_4, collars=v)).says for v in (1.9, 2.0, 2.9, 3.0, None)]
    assert says == ["silent", "treat", "treat", "silent", "judge"]


def test_height_counts_its_own_cuts() -> None:
    """A rule for cuts below ground looks at those alone; where height was not told it leaves it to judgement."""
    rule = replace(PLAIN, height="below")
    assert judge(rule, replace(CUT_4, below=1.0)).says == "wait"
    assert judge(rule, replace(CUT_4, below=3.5)).says == "treat"
    assert (judge(rule, CUT_4).says, judge(rule, CUT_4).why) == ("judge", ("over", "height not known"))


def test_signs_are_added_up() -> None:
    """Damaged means cut, wilted or leaf fed."""
    rule = replace(PLAIN, signs=("cut", "wilted", "leaf_fed"), percent_low=5.0)
    assert judge(rule, Counted(cut=2.0, wilted=1.0, leaf_fed=2.0)).says == "treat"


def test_any_rule_of_a_state_may_call_for_treatment() -> None:
    """Rows of a state are alternatives, and the one that decides comes first."""
    larvae = replace(PLAIN, key="larvae", signs=(), percent_low=None, larvae_per_100=2.0)
    said = state_says((PLAIN, larvae), "Nowhere", Counted(cut=1.0, larvae_per_100=3.0))
    assert [(one.key, one.says) for one in said] == [("larvae", "treat"), ("made-up", "wait")]


def test_state_without_a_rule_is_refused() -> None:
    """A slip in the name must not read as no objection."""
    told = "state = Elsewhere: no published rule is known; use one of Nowhere."
    with pytest.raises(BadValue, match=f"^{re.escape(told)}$"):
        state_says((PLAIN,), "Elsewhere", CUT_4)
