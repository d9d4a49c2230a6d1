"""Break-evens and decisions that follow from published figures."""

from __future__ import annotations

import pytest

from springwalk.engine.losses import break_even_cuts
from springwalk.engine.state_rule import Counted, state_says
from springwalk.jobs.params_advice import state_rules
from springwalk.tables import number_in
from tests.published.reading import cases, rows


@pytest.mark.parametrize("row", cases("break_even_rows", "label"))
def test_break_even(row: dict[str, str]) -> None:
    """Further cuts per 100 plants that pay for a pass, from the general form of the injury level."""
    value = float(row["crop_yield"]) * float(row["price"])
    got = break_even_cuts(float(row["cost"]), value, float(row["loss"]), float(row["kill"]))
    assert got == pytest.approx(float(row["cuts_per_100"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", cases("state_rule_rows", "state", "label"))
def test_state_rule(row: dict[str, str]) -> None:
    """What a state's printed rule says of a field that its own text decides."""
    live = float(row["live_per_100"])
    seen = Counted(
        cut=float(row["cut_percent"]),
        wilted=float(row["wilted"] or 0.0),
        leaf_fed=float(row["leaf_fed"] or 0.0),
        below=number_in(row["below"]),
        above=number_in(row["above"]),
        collars=float(row["collars"]),
        larva_mm=number_in(row["larva_mm"]),
        live_larvae=live > 0,
        larvae_per_100=live,
    )
    assert state_says(state_rules(), row["state"], seen)[0].says == row["says"]


def test_every_state_rule_is_asked_at_its_figures() -> None:
    """No printed rule may go without a row that its text decides to treat."""
    asked = {row["state"] for row in rows("state_rule_rows") if row["says"] == "treat" and not row["status"]}
    assert asked == {rule.state for rule in state_rules()}
