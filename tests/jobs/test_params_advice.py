"""The numbers of advice come from their tables, and the states' rules are the printed ones made checkable."""

from __future__ import annotations

import pytest

from springwalk.jobs.params_advice import advice_params, kill_at, state_rules
from springwalk.tables import numbers, rows


def test_kill_is_level_to_an_inch_and_falls_to_the_largest() -> None:
    """Larvae over 2.5 cm are harder to kill (Ontario 2015); how much harder is an assumption and says so."""
    assert [kill_at(mm) for mm in (5.0, 25.0, 45.0, 60.0)] == pytest.approx([0.9, 0.9, 0.6, 0.6])
    assert 0.6 < kill_at(35.0) < 0.9
    assert numbers("advice")["kill_largest"].mark == "assumption"


def test_shares_of_the_tables_add_up() -> None:
    """Heights of cut and weights of the surface figures are whole distributions."""
    yields = advice_params().yields
    for shares in (yields.heights_moist, yields.heights_dry, yields.heights_late,
                   yields.surface_easy, yields.surface_hard):  # fmt: skip
        assert sum(shares) == pytest.approx(1.0)
        assert min(shares) >= 0.0


def test_range_of_surface_cuts_is_the_published_one() -> None:
    """24 % of a plant's yield in crowded arenas (1992) to 93 % where whole stands were clipped (derived from 2021)."""
    high, _, low = advice_params().yields.surface_loss
    assert (1.0 - high, 1.0 - low) == pytest.approx((0.24, 0.93))


@pytest.mark.parametrize("row", rows("state_rules"), ids=lambda row: row["key"])
def test_state_rule_is_the_printed_threshold(row: dict[str, str]) -> None:
    """A rule that can be checked by machine must keep the figures, larvae and source of the row it was made from."""
    printed = next(one for one in rows("thresholds") if one["key"] == row["key"])
    for column in ("state", "percent_low", "percent_high", "larvae_per_100", "live_larvae", "mark", "source"):
        assert row[column] == printed[column], column
    assert bool(row["larva_from_mm"] or row["larva_to_mm"]) == bool(printed["larva_size"])
    if printed["cut_height"]:
        assert printed["cut_height"].startswith(row["height"])


def test_rules_left_out_are_those_without_a_yes_or_no() -> None:
    """Warnings, principles, seed corn and figures for another year's price are no rule to agree with."""
    out = {row["key"] for row in rows("thresholds")} - {rule.key for rule in state_rules()}
    assert out == {
        "illinois-early", "illinois-seed", "iowa-2008-small", "iowa-2008-large", "iowa-money", "wisconsin-2011",
        "wisconsin-2011-dear", "indiana-noticed", "missouri-northwest", "iowa-holes",
    }  # fmt: skip
