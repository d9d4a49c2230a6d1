"""Replant advice: the cases that must come out one way, the span over tables, and what is counted only once."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest

from springwalk.errors import BadValue
from springwalk.jobs.replant import Case, earliest_date, replant
from springwalk.jobs.replant_policy import Policy

CASE = Case(
    planted=date(2015, 4, 25), stand=18_000, replant_on=date(2015, 5, 20), replant_stand=30_000,
    yield_bu_ac=180, price_usd_bu=4.5, cost_usd_ac=60,
)  # fmt: skip
POLICY = Policy(history_bu_ac=180, coverage=0.8, projected_price_usd_bu=4.66)
FIRST = "Illinois 1994"


def test_first_table_by_hand() -> None:
    """25 April, 18 000 (88) against 20 May, 30 000 (91): 5.4 bu and 24.30 before cost, worked beforehand."""
    row = replant(CASE)["tables"][0]
    assert (row["name"], row["now_percent"], row["replant_percent"]) == (FIRST, 88, 91)
    assert (row["gain_bu_ac"], row["gain_usd_ac"]) == (pytest.approx(5.4), pytest.approx(24.30 - 60.0))


def test_replanting_at_the_price_worked_by_hand() -> None:
    """14 000 (79) against 15 May, 30 000 (95): 129.60 less 60 is 69.60, worked beforehand; every table agrees."""
    result = replant(replace(CASE, stand=14_000, replant_on=date(2015, 5, 15)))
    assert result["tables"][0]["gain_usd_ac"] == pytest.approx(69.60)
    assert result["advice"] == "replant"
    assert result["gain_usd_ac_range"][0] > 0


def test_fourteen_thousand_left_are_not_paid_for() -> None:
    """79 % of 180 is 142 bu, above 129.6 (0.9 of the guarantee of 144): no payment, and the table that differs is
    named."""
    result = replant(replace(CASE, stand=14_000), POLICY)
    insurance = result["insurance"]
    assert (insurance["pays"], insurance["payment_usd_ac"]) == (False, 0.0)
    assert (insurance["appraised_bu_ac"], insurance["pays_below_bu_ac"]) == (142.2, 129.6)
    assert insurance["pays_under"] == ["Iowa PM-1885, reprinted to 2009"]
    assert result["advice"] == "replant"


def test_ten_thousand_left_are_paid_for() -> None:
    """68 % of 180 is 122 bu: 8 bu at 4.66, and the insurer comes first."""
    result = replant(replace(CASE, stand=10_000), POLICY)
    assert (result["insurance"]["pays"], result["insurance"]["payment_usd_ac"]) == (True, 37.28)
    assert result["advice"] == "call the insurer first"
    assert replant(replace(CASE, stand=10_000))["advice"] == "replant"


@pytest.mark.parametrize("stand", [24_000, 24_300, 25_000])
@pytest.mark.parametrize("state", ["", "IL", "IA", "MN", "WI"])
def test_near_full_stand_is_kept(stand: float, state: str) -> None:
    """24 000 to 25 000 left on 20 May: every table says keep, whoever asks."""
    assert replant(replace(CASE, stand=stand, state=state), POLICY)["advice"] == "keep"


def test_tables_that_disagree_are_too_close_to_say() -> None:
    """18 000 left: Iowa PM-1885 gains what the others lose, so the range is told in place of an answer."""
    result = replant(CASE)
    assert result["advice"] == "too close to say"
    low, high = result["gain_usd_ac_range"]
    assert low < 0 < high
    assert {row["gain_usd_ac"] for row in result["tables"]} >= {low, high}


def test_price_of_seed_flips_the_advice() -> None:
    """15 500 left on 20 May: with seed free every table gains, at full price Minnesota's dates lose."""
    case = replace(CASE, stand=15_500, seed_usd_ac=40)
    result = replant(case)
    assert result["seed"]["free"]["advice"] == "replant"
    assert result["seed"]["full"]["advice"] == result["advice"] == "too close to say"
    assert replant(replace(case, seed_share_paid=0.0))["advice"] == "replant"
    assert replant(CASE)["seed"] is None


def test_larvae_left_take_from_the_new_stand() -> None:
    """A fifth of 30 000 new plants cut leaves 24 000: 88 for 91 on 20 May."""
    assert replant(replace(CASE, cut_share_new=0.2))["tables"][0]["replant_percent"] == pytest.approx(88)


def test_pattern_replaces_the_stand_table() -> None:
    """Runs cost whole plants of the full stand, 100 × 18 / 30; singles less; stand table and plants never add up."""
    even, singles, runs = (
        replant(replace(CASE, pattern=p, full_stand=30_000))["tables"][0]["now_percent"]  # type: ignore[arg-type]
        for p in ("even", "singles", "runs")
    )
    assert runs == pytest.approx(60)
    assert even == 88
    assert runs < singles < even


def test_cost_of_a_missing_plant_is_told() -> None:
    """The value that made the advice is printed: from 30 000 to 18 000 scattered, at the middle stand of 24 000, 0.67;
    in runs a whole plant."""
    for pattern, told in (("singles", "0.67 of a normal one (held between 0.5 and 0.8)"), ("runs", "1.00 of a")):
        notes = replant(replace(CASE, pattern=pattern, full_stand=30_000))["notes"]  # type: ignore[arg-type]
        assert any(told in note for note in notes)


def test_every_table_tells_its_basis() -> None:
    """A table of dates laid on older stands is ours and may not look published."""
    basis = {row["name"]: row["basis"] for row in replant(CASE)["sources"]}
    assert basis[FIRST] == "published"
    assert basis["Illinois 2016 dates, stands of 1994"] == "assumption"
    assert list(basis) == [row["name"] for row in replant(CASE)["tables"]]


def test_printed_gap_loss_goes_with_an_even_stand_only() -> None:
    """Iowa takes 2 % off for some small gaps; with a cost per plant it would count them twice."""
    assert replant(replace(CASE, gaps="some"))["tables"][0]["now_percent"] == pytest.approx(88 * 0.98)
    told = "gaps = some: counted already by pattern runs; leave one of the two out."
    with pytest.raises(BadValue, match=f"^{re.escape(told)}$"):
        replant(replace(CASE, gaps="some", pattern="runs", full_stand=30_000))


def test_tables_that_do_not_hold_the_case_say_why() -> None:
    """A table left out in silence would look like agreement."""
    out = {row["name"]: row["why"] for row in replant(replace(CASE, planted=date(2015, 4, 12)))["left_out"]}
    assert out["Minnesota 2009 dates, stands of Illinois 1994"] == "does not hold the planting date"
    assert out["Iowa 2010"] == "begins at 20,000 plants per acre"
    late = {row["name"]: row["why"] for row in replant(replace(CASE, replant_on=date(2015, 6, 12)))["left_out"]}
    assert late[FIRST] == "does not hold the replanting date"


def test_stand_below_every_table_is_carried_to_nothing_aloud() -> None:
    """5 000 left is half of the lowest column, 34 %, and the note says that this is too low."""
    result = replant(replace(CASE, stand=5_000))
    assert result["tables"][0]["now_percent"] == pytest.approx(34)
    assert any("too low" in note for note in result["notes"])
    assert not any("too low" in note for note in replant(CASE)["notes"])


def test_stand_above_a_table_is_warned_of() -> None:
    """The oldest table is of hybrids that liked 30 000: above 34 000 it is weak."""
    notes = " ".join(replant(replace(CASE, replant_stand=35_000))["notes"])
    assert re.search(r"35,000 plants per acre is above .*Illinois 1994", notes)
    assert "is above" not in " ".join(replant(CASE)["notes"])


def test_earliest_real_date_moves_the_sums() -> None:
    """Six days of the label's interval after the old stand is killed: 20 May becomes 27 May."""
    earliest = earliest_date(date(2015, 5, 17), dry=2, kill=1, label=6, queue=0.5)
    assert earliest == date(2015, 5, 27)
    later = replant(replace(CASE, earliest=earliest))
    assert later["replant_on"] == "05-27"
    assert later["tables"][0]["replant_percent"] < replant(CASE)["tables"][0]["replant_percent"]
    assert replant(replace(CASE, earliest=date(2015, 5, 1)))["replant_on"] == "05-20"


def test_hybrid_that_does_not_ripen_loses() -> None:
    """2700 less 19 × 6.8 is 2570.8 needed from 20 May: one year of two ripens, the other is 150 short and loses
    13.5 %."""
    result = replant(replace(CASE, hybrid_need=2700, heat_to_frost=(2600.0, 2570.8 - 150.0)))
    assert result["ripe_share"] == 0.5
    assert result["tables"][0]["replant_percent"] == pytest.approx(91 * (1 - 0.135 / 2), abs=0.001)
    rated = replant(replace(CASE, hybrid_need=2700, rated_from_emergence=True, heat_to_frost=(2600.0,)))
    assert rated["ripe_share"] == 0.0


def test_drying_costs_by_the_days_later() -> None:
    """25 days later are 16.7 of black layer and 10 points of water on 163.8 bu at 4 cents."""
    wet, dry = replant(replace(CASE, drying_usd_point_bu=0.04)), replant(CASE)
    paid = dry["tables"][0]["gain_usd_ac"] - wet["tables"][0]["gain_usd_ac"]
    assert paid == pytest.approx(163.8 * 10 * 0.04, abs=0.01)


def test_old_plants_that_stay_leave_no_clear_replant() -> None:
    """The tables are of a new stand alone; a stand in the old one was not measured."""
    result = replant(replace(CASE, stand=12_000, old_removed=False))
    assert result["advice"] == "too close to say"
    assert replant(replace(CASE, stand=12_000))["advice"] == "replant"


def test_typed_terms_go_before_usual_ones() -> None:
    """Terms change; what the policy says is what is worked with."""
    typed = Policy(180, 0.8, 4.66, share=0.5, appraised_below=1.0, most_bu_ac=10, most_of_guarantee=0.05)
    insurance = replant(replace(CASE, stand=14_000), typed)["insurance"]
    assert insurance["payment_usd_ac"] == pytest.approx(144 * 0.05 * 4.66 * 0.5, abs=0.001)


BAD = [
    ({"stand": -1}, "stand = -1 plants/acre: outside 0 … 100000; check the number and its unit."),
    ({"replant_stand": 1e6}, "replant-stand = 1e+06 plants/acre: outside 0 … 100000; check the number and its unit."),
    ({"yield_bu_ac": float("nan")}, "yield = nan bu/acre: outside 0 … 5000; check the number and its unit."),
    ({"seed_usd_ac": 61}, "seed = 61 US$/acre: outside 0 … 60; check the number and its unit."),
    ({"cut_share_new": 20}, "cut-share-new = 20: outside 0 … 1; check the number and its unit."),
    ({"replant_on": date(2015, 4, 25)}, "replant-on = 04-25: not after planted = 04-25; check the two dates."),
    ({"gaps": "few"}, "gaps = few: no such size of gaps; use one of none, some, many."),
    ({"pattern": "runs"}, "full-stand = (not given): pattern runs is worked from it; give the stand there was"),
    ({"hybrid_need": 2700}, "heat-to-frost = (not given): one is of no use without the other; give both, or neither."),
    ({"heat_to_frost": (1.0,)}, "hybrid-need = (not given): one is of no use without the other; give both"),
    (
        {"replant_on": date(2015, 7, 20)},
        "planted … replant-on = 04-25 … 07-20: no table holds these dates; check the two dates.",
    ),
]


@pytest.mark.parametrize(("change", "told"), BAD)
def test_what_cannot_be_is_refused(change: dict[str, object], told: str) -> None:
    """Each slip gets one line that says what is wrong and what to do."""
    with pytest.raises(BadValue, match=f"^{re.escape(told)}"):
        replant(replace(CASE, **change))  # type: ignore[arg-type]
