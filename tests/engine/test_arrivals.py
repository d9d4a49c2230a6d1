"""Catches to eggs: nights, significant captures, laying, green cover, survival."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from springwalk.engine import arrivals
from springwalk.engine.arrivals import CaptureRule, Reading, SurvivalParams
from springwalk.jobs.params import capture_rule
from tests.drawn import examples

WING = CaptureRule("wing-8-in-2", "wing", 8, 2)
KILL = SurvivalParams(dead_days=15, dead_share=0.2, safe_days=2, ramp_days=6)


def test_a_reading_is_spread_evenly_over_its_nights() -> None:
    """Six moths over three nights are two a night; nights outside the season are dropped."""
    assert arrivals.moths_by_night([Reading(1, 3, 6)], 5).tolist() == [0, 2, 2, 2, 0]
    assert arrivals.moths_by_night([Reading(-1, 0, 4)], 3).tolist() == [2, 0, 0]


@pytest.mark.parametrize(
    ("readings", "met"),
    [
        ([Reading(3, 3, 4), Reading(4, 4, 4)], [4]),  # 4 + 4 on two nights in a row: met on the second
        ([Reading(3, 4, 8)], [4]),  # one reading over two nights with 8
        ([Reading(3, 3, 10)], [3]),  # 10 in one night counts (Illinois 2000)
        ([Reading(3, 3, 7)], []),
        ([Reading(3, 8, 60)], []),  # a catch over six nights can't be read as two (Minnesota 2019)
        ([Reading(3, 3, 9), Reading(5, 5, 9)], [3]),  # the same flight
        ([Reading(3, 3, 9), Reading(12, 12, 9)], [3, 12]),  # another flight
    ],
)
def test_significant_captures(readings: list[Reading], met: list[int]) -> None:
    """The rule as services state it: 8 or more within two nights in a wing trap (Iowa, Minnesota, Missouri)."""
    assert [flight.met for flight in arrivals.flights(readings, WING, 20)] == met


def test_state_rules_come_from_the_table() -> None:
    """Indiana 9, Iowa 8 within two nights in a wing trap; Missouri 17 in one night in a cone; no rule for a bucket."""
    assert capture_rule("wing", state="Indiana") == CaptureRule("wing-9-in-2", "wing", 9.0, 2)
    assert capture_rule("wing", state="Iowa") == CaptureRule("wing-8-in-2", "wing", 8.0, 2)
    assert capture_rule("cone", state="Missouri") == CaptureRule("cone-17-in-1", "cone", 17.0, 1)
    assert capture_rule("bucket", state="Iowa") is None
    assert capture_rule("wing", state="Iowa", key="wing-9-in-2") == CaptureRule("wing-9-in-2", "wing", 9.0, 2)


def arrived(readings: list[Reading], rule: CaptureRule = WING, nights: int = 60) -> np.ndarray:
    """Arrivals of one trap from its readings."""
    moths = arrivals.moths_by_night(readings, nights)
    return arrivals.trap_arrivals(moths, arrivals.flights(readings, rule, nights), rule.moths, rule.nights)


def test_a_flight_is_one_whatever_the_trap_catches() -> None:
    """No ratio between trap kinds: twelve times the moths in a cone trap are not twelve times the eggs."""
    wing = arrived([Reading(5, 5, 8), Reading(6, 6, 4)])
    cone = arrived([Reading(5, 5, 96), Reading(6, 6, 48)], CaptureRule("cone-17-in-1", "cone", 17, 1))
    assert wing == pytest.approx(cone)
    assert wing[5:7] == pytest.approx([2 / 3, 1 / 3])


def test_two_flights_are_two_and_a_trickle_is_little() -> None:
    """Each flight is 1; eight single moths weeks apart are far from one, and no trickle ever reaches one."""
    assert arrived([Reading(5, 5, 9), Reading(25, 25, 60)]).sum() == pytest.approx(2.0)
    assert arrived([Reading(k, k, 1) for k in range(2, 58, 7)]).sum() < 0.2
    assert arrived([Reading(k, k, 3) for k in range(60)]).sum() < 1.0
    assert arrived([]).sum() == 0.0


@given(
    st.lists(st.integers(0, 12), min_size=10, max_size=40),
    st.lists(st.integers(0, 200), min_size=1, max_size=10),
)
@settings(max_examples=examples(60), deadline=None, derandomize=True)
def test_what_is_caught_later_lowers_nothing_before_it(earlier: list[int], later: list[int]) -> None:
    """A later flight, however large, must not make an earlier one look smaller."""
    gap = arrivals.NEW_FLIGHT_AFTER_NIGHTS + WING.nights
    first = [Reading(k, k, m) for k, m in enumerate(earlier)]
    more = [Reading(len(earlier) + gap + k, len(earlier) + gap + k, m) for k, m in enumerate(later)]
    before, after = arrived(first), arrived(first + more)
    assert after[: len(earlier)] == pytest.approx(before[: len(earlier)])
    assert after.sum() >= before.sum() - 1e-12


def test_arrivals_at_a_field_are_what_its_traps_say() -> None:
    """A field between two traps gets half of each."""
    assert arrivals.arrivals(np.eye(2), np.array([[0.5, 0.5], [1.0, 0.0]])).tolist() == [[0.5, 0.5], [1.0, 0.0]]


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
    ("green_end", "share"),
    [(np.nan, 1.0), (62.0, 1.0), (58.0, 1.0), (45.0, 0.2), (30.0, 0.2), (56.5, 0.8), (55.0, 0.6)],
)
def test_survival_by_the_gap_from_kill_to_corn(green_end: float, share: float) -> None:
    """Dead 15 days before emergence few are left, from two days before planting all (direction: Showers 1985)."""
    got = arrivals.survival_by_night(
        np.array([green_end]), planted=np.array([60.0]), emergence=np.array([70.0]), nights=90, params=KILL
    )
    assert got.shape == (1, 90)
    # Planted day 60, up day 70: safe from day 58, nothing saved up to day 52 (six days of ramp).
    assert got[0, 20] == pytest.approx(share, abs=0.04)


def test_survival_has_no_cliff() -> None:
    """One day's difference in a kill date must not change the field from poor to full of larvae."""
    days = np.arange(30.0, 70.0)
    got = arrivals.survival_by_night(
        days, planted=np.full(40, 60.0), emergence=np.full(40, 80.0), nights=90, params=KILL
    )[:, 20]
    assert (np.diff(got) >= -1e-12).all()
    assert np.diff(got).max() < 0.15


def test_eggs_laid_after_the_kill_keep_their_larvae() -> None:
    """What is laid on the new corn does not suffer from a kill before it."""
    got = arrivals.survival_by_night(
        np.array([40.0]), planted=np.array([60.0]), emergence=np.array([70.0]), nights=90, params=KILL
    )
    assert got[0, 40] == pytest.approx(0.2)
    assert got[0, 41] == 1.0


@given(st.lists(st.integers(0, 15), min_size=5, max_size=40), st.floats(0.0, 8.0))
@settings(max_examples=examples(50), deadline=None, derandomize=True)
def test_eggs_are_neither_lost_nor_made(moths: list[int], delay: float) -> None:
    """Laying moves eggs in time and only the end of the season cuts them off."""
    arrived = np.concatenate([np.array(moths, float), np.zeros(20)])
    assert arrivals.laying_by_night(arrived, mean_delay_nights=delay).sum() == pytest.approx(arrived.sum())


def test_a_reported_flight_is_spread_over_its_nights() -> None:
    """One flight, likeliest on its night, even on both sides, cut off where the report ends and by the season."""
    two, exact, edge = arrivals.reported_arrivals([10, 5, 0], [2, 0, 3], 20)
    assert np.flatnonzero(two).tolist() == [8, 9, 10, 11, 12]
    assert two.sum() == pytest.approx(1.0)
    assert two[8] == pytest.approx(two[12])
    assert two[9] / two[10] == pytest.approx(np.exp(-0.5))  # one night off is one standard deviation of (2 nights)/2
    assert exact[5] == exact.sum() == 1.0
    assert 0.5 < edge.sum() < 0.7
    assert arrivals.reported_arrivals([], [], 20).shape == (0, 20)
