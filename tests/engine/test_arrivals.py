"""Catches to eggs: nights, significant captures, laying, green cover, survival."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from springwalk.engine import arrivals
from springwalk.engine.arrivals import CaptureRule, Reading, SurvivalParams
from springwalk.jobs.params import capture_rule

WING = CaptureRule("wing-8-in-2", "wing", 8, 2)
KILL = SurvivalParams(dead_days=15, dead_share=0.2, safe_days=2)


def test_a_reading_is_spread_evenly_over_its_nights() -> None:
    """Six moths over three nights are two a night; nights outside the season are dropped."""
    assert arrivals.moths_by_night([Reading(1, 3, 6)], 5).tolist() == [0, 2, 2, 2, 0]
    assert arrivals.moths_by_night([Reading(-1, 0, 4)], 3).tolist() == [2, 0, 0]


@pytest.mark.parametrize(
    ("readings", "nights"),
    [
        ([Reading(3, 3, 4), Reading(4, 4, 4)], [4]),  # 4 + 4 on two nights in a row: met on the second
        ([Reading(3, 4, 8)], [3]),  # one reading over two nights with 8: 4 + 4, met when both are in
        ([Reading(3, 3, 10)], [3]),  # 10 in one night counts (Illinois 2000)
        ([Reading(3, 3, 7)], []),
        ([Reading(3, 8, 60)], []),  # a catch over six nights can't be read as two (Minnesota 2019)
        ([Reading(3, 3, 9), Reading(5, 5, 9)], [3]),  # the same flight
        ([Reading(3, 3, 9), Reading(12, 12, 9)], [3, 12]),  # another flight
    ],
)
def test_significant_captures(readings: list[Reading], nights: list[int]) -> None:
    """The rule as services state it: 8 or more within two nights in a wing trap (Iowa, Minnesota, Missouri)."""
    got = arrivals.significant_nights(readings, WING, 20)
    assert [abs(a - b) <= (readings[0].nights - 1) for a, b in zip(got, nights, strict=True)] == [True] * len(nights)


def test_state_rules_come_from_the_table() -> None:
    """Indiana 9, Iowa 8 within two nights in a wing trap; Missouri 17 in one night in a cone; no rule for a bucket."""
    assert capture_rule("wing", state="Indiana") == CaptureRule("wing-9-in-2", "wing", 9.0, 2)
    assert capture_rule("wing", state="Iowa") == CaptureRule("wing-8-in-2", "wing", 8.0, 2)
    assert capture_rule("cone", state="Missouri") == CaptureRule("cone-17-in-1", "cone", 17.0, 1)
    assert capture_rule("bucket", state="Iowa") is None
    assert capture_rule("wing", state="Iowa", key="wing-9-in-2") == CaptureRule("wing-9-in-2", "wing", 9.0, 2)


def test_each_trap_is_measured_by_its_own_season() -> None:
    """No ratio between trap kinds: twelve times the moths in a cone trap are not twelve times the eggs."""
    moths = np.array([[0.0, 8.0, 4.0], [0.0, 96.0, 48.0]])
    got = arrivals.arrivals(moths, np.ones(2), np.array([[1.0, 0.0], [0.0, 1.0]]))
    assert got[0] == pytest.approx(got[1])
    assert got[0] == pytest.approx([0, 2 / 3, 1 / 3])


def test_strength_in_flights() -> None:
    """Twelve moths of one flight are 1; half the rule's moths without a capture 0.5; nothing is nothing."""
    flight = np.zeros(40)
    flight[[14, 15]] = 6.0
    assert arrivals.flight_strength(flight, [15], WING) == pytest.approx(1.0)
    assert arrivals.flight_strength(np.array([0.0, 2.0, 2.0, 0.0]), [], WING) == 0.5
    assert arrivals.flight_strength(np.ones(40), [], WING) == 1.0
    assert arrivals.flight_strength(np.zeros(9), [], WING) == 0.0


def test_moths_caught_later_only_add() -> None:
    """A few moths in May must not lower what the April flight laid, nor the later flight what the first did."""
    flight = np.zeros(60)
    flight[[14, 15]] = 6.0
    later = flight.copy()
    later[30:36] = 1.0
    weights = [m / m.sum() * arrivals.flight_strength(m, [15], WING) for m in (flight, later)]
    assert weights[1][14] == pytest.approx(weights[0][14])
    assert weights[1].sum() > weights[0].sum()


def test_laying_is_geometric_from_the_night_of_arrival() -> None:
    """Mean 2.5 nights: 2/7 on the first night, and all eggs laid within the season."""
    got = arrivals.laying_by_night(np.eye(1, 60, 10)[0], mean_delay_nights=2.5)
    assert got[:10].sum() == 0.0
    assert got.sum() == pytest.approx(1.0)
    assert got[11] / got[10] == pytest.approx(5 / 7)
    assert (np.arange(60) - 10) @ got == pytest.approx(2.5, abs=0.15)


def test_cover_holds_from_the_evening_of_its_date() -> None:
    """Tilled on day 3: that night's moths find black soil."""
    got = arrivals.cover_by_night([(5, 0.5), (3, 0.0)], 1.0, 7)
    assert got.tolist() == [1, 1, 1, 0, 0, 0.5, 0.5]


@pytest.mark.parametrize(
    ("green_end", "share"), [(np.nan, 1.0), (62.0, 1.0), (58.0, 1.0), (45.0, 0.2), (30.0, 0.2), (56.5, None)]
)
def test_survival_by_the_gap_from_kill_to_corn(green_end: float, share: float | None) -> None:
    """Dead 15 days before emergence few are left, from two days before planting all (direction: Showers 1985)."""
    got = arrivals.survival_by_night(
        np.array([green_end]), planted=np.array([60.0]), emergence=np.array([70.0]), nights=90, params=KILL
    )
    assert got.shape == (1, 90)
    if share is None:
        assert 0.2 < got[0, 40] < 1.0
    else:
        # The kill of day 58 is two days before planting; that of day 45 lies 25 days before emergence.
        assert got[0, 20] == pytest.approx(share)


def test_eggs_laid_after_the_kill_keep_their_larvae() -> None:
    """What is laid on the new corn does not suffer from a kill before it."""
    got = arrivals.survival_by_night(
        np.array([40.0]), planted=np.array([60.0]), emergence=np.array([70.0]), nights=90, params=KILL
    )
    assert got[0, 40] == pytest.approx(0.2)
    assert got[0, 41] == 1.0


@given(st.lists(st.integers(0, 15), min_size=5, max_size=40), st.floats(0.0, 8.0))
@settings(max_examples=50, deadline=None, derandomize=True)
def test_eggs_are_neither_lost_nor_made(moths: list[int], delay: float) -> None:
    """Laying moves eggs in time and only the end of the season cuts them off."""
    arrived = np.concatenate([np.array(moths, float), np.zeros(20)])
    assert arrivals.laying_by_night(arrived, mean_delay_nights=delay).sum() == pytest.approx(arrived.sum())
