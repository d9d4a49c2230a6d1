"""What stays behind, and whether it was hours, its own minutes or a gate that kept it out."""

from __future__ import annotations

import pytest

from springwalk.plan.left import left_behind
from springwalk.plan.solve import plan_day
from tests.plan.days import ROADS, WAGE_PER_H, field, walker


def test_each_reason_is_told_apart() -> None:
    """Near pays and is in; far does not fit; poor would not pay its minutes; late opens after hours."""
    fields = [
        field("near", 5.0, 90.0), field("far", 40.0, 200.0), field("poor", 6.0, 1.0),
        field("late", 5.0, 80.0, opens_min=500.0),
    ]  # fmt: skip
    team = [walker(60.0)]
    plan = plan_day(fields, team, ROADS, WAGE_PER_H)
    found = {one.name: one for one in left_behind(fields, team, ROADS, WAGE_PER_H, plan)}
    assert {name: one.why for name, one in found.items()} == {"far": "hours", "poor": "small", "late": "closed"}
    # Out to near and back is 5 + 2 + 10 + 5 minutes; far adds 35 out, 2 at the gate, 10 there and 35 back beyond it.
    assert found["far"].added_min == pytest.approx(35 + 2 + 10 + 35)
    assert found["far"].gain == pytest.approx(200.0 - WAGE_PER_H / 60.0 * 82)
    assert found["poor"].gain < 0.0


def test_a_day_that_has_all_leaves_nothing() -> None:
    """No candidate is told twice or forgotten."""
    fields = [field("a", 5.0, 90.0), field("b", 6.0, 90.0)]
    plan = plan_day(fields, [walker(200.0)], ROADS, WAGE_PER_H)
    assert left_behind(fields, [walker(200.0)], ROADS, WAGE_PER_H, plan) == ()
