"""Break-evens and decisions that follow from published figures."""

from __future__ import annotations

import pytest

from springwalk.engine.losses import break_even_cuts
from springwalk.engine.state_rule import Counted, state_says
from springwalk.jobs.params_advice import state_rules
from tests.published.reading import cases


@pytest.mark.parametrize("row", cases("break_even_rows", "label"))
def test_break_even(row: dict[str, str]) -> None:
    """Further cuts per 100 plants that pay for a pass, from the general form of the injury level."""
    value = float(row["crop_yield"]) * float(row["price"])
    got = break_even_cuts(float(row["cost"]), value, float(row["loss"]), float(row["kill"]))
    assert got == pytest.approx(float(row["cuts_per_100"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", cases("state_rule_rows", "label"))
def test_state_rule(row: dict[str, str]) -> None:
    """What a state's printed rule says of a field that its own text decides."""
    live = float(row["live_per_100"])
    seen = Counted(
        cut=float(row["cut_percent"]),
        collars=float(row["collars"]),
        larva_mm=float(row["larva_mm"]) if row["larva_mm"] else None,
        live_larvae=live > 0,
        larvae_per_100=live,
    )
    assert state_says(state_rules(), row["state"], seen)[0].says == row["says"]
