"""Verdicts on counts of stand pests, how sure a count is, samples and peaks: their bounds and refusals."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given, settings, strategies as st
from scipy.stats import beta, chi2

from springwalk.engine.pests import (
    RANK,
    Count,
    Rule,
    judge,
    judge_all,
    mean_interval,
    peaks_passed,
    samples_needed,
    share_interval,
)
from springwalk.errors import BadValue
from springwalk.jobs.pest_tables import pests, rules
from tests.drawn import examples

MEAN = Rule("mean", "beetle", "plant", "mean", states=("Illinois",), low=3.0, high=5.0)
SHARE = Rule("share", "armyworm", "plant", "share", share_low=0.25, share_high=0.25, live=True)
SIZED = replace(SHARE, small_mm=19.05, large_mm=31.75)
TWO = replace(SHARE, of_two=True)
BOTH = Rule("both", "beetle", "plant", "both", low=5.0, high=6.0, share_low=0.5, share_high=0.5)
SEQUENCE = Rule("stink", "bug", "plant", "sequential", of_units=100, low=7.0, high=13.0)
EVERY_RULE = [rule for pest in pests() for rule in rules(pest)]


@pytest.mark.parametrize(
    ("count", "rule", "verdict", "because"),
    [
        (Count(20, 59), MEAN, "below", ""),
        (Count(20, 60), MEAN, "more", ""),
        (Count(20, 100), MEAN, "act", ""),
        (Count(20, units_with=20), MEAN, "more", "count_insects"),
        (Count(20, 60), replace(MEAN, over=True, high=3.0), "below", ""),
        (Count(20, 61), replace(MEAN, over=True, high=3.0), "act", ""),
        (Count(100, 30, 24), SHARE, "below", ""),
        (Count(100, 30, 25), SHARE, "act", ""),
        (Count(100, 30), SHARE, "more", "count_units"),
        (Count(100, None, 25), SHARE, "more", "find_live"),
        (Count(100, 0, 25), SHARE, "below", "none_live"),
        (Count(100, 30, 25), SIZED, "more", "measure"),
        (Count(100, 30, 25, length_mm=19.0), SIZED, "act", ""),
        (Count(100, 30, 25, length_mm=25.0), SIZED, "more", "size_unsure"),
        (Count(100, 30, 25, length_mm=32.0), SIZED, "below", "too_large"),
        (Count(100, 49, 40), TWO, "below", ""),
        (Count(100, 50, 40), TWO, "more", "count_two"),
        (Count(100, 50, 40, units_with_two=25), TWO, "act", ""),
        (Count(100, 600, 49), BOTH, "below", ""),
        (Count(100, 550, 60), BOTH, "more", ""),
        (Count(100, 600, 50), BOTH, "act", ""),
        (Count(100, 900, 90), replace(BOTH, unseen="leaf area"), "more", "unseen"),
        (Count(99, 12), SEQUENCE, "more", "keep_counting"),
        (Count(99, 0), SEQUENCE, "more", "keep_counting"),
        (Count(20, 13), SEQUENCE, "act", ""),
        (Count(200, 12), SEQUENCE, "below", ""),
        (Count(200, 13), SEQUENCE, "more", "keep_counting"),
        (Count(200, 25), SEQUENCE, "more", "keep_counting"),
        (Count(200, 26), SEQUENCE, "act", ""),
        (Count(100, 99), replace(SEQUENCE, standing="superseded"), "none", ""),
        (Count(100, 99), replace(SEQUENCE, published=False), "none", ""),
        (Count(100, 99), replace(SEQUENCE, kind="none"), "none", ""),
    ],
)
def test_verdict_at_its_bounds(count: Count, rule: Rule, verdict: str, because: str) -> None:
    """Each bound, each thing not counted and each condition decides as its rule is written."""
    made = judge(count, rule)
    assert (made.verdict, made.because) == (verdict, because)


def test_one_in_four_is_a_quarter_whatever_the_last_bit() -> None:
    """A share printed in percent is reached at the count that gives it, for every number of plants."""
    for looked in range(1, 400):
        rule = replace(SHARE, share_low=7 / 100, share_high=7 / 100)
        with_any = math.ceil(7 * looked / 100)
        assert judge(Count(looked, 1, with_any), rule).verdict == "act"
        assert judge(Count(looked, 1, with_any - 1), rule).verdict == "below"


def test_own_state_goes_first() -> None:
    """A state's rule decides for its fields even where another state acts sooner."""
    other = replace(MEAN, key="other", states=("Ohio",), low=1.0, high=1.0)

    def told(state: str) -> str:
        return judge_all(Count(10, 20), [MEAN, other], state=state, unit="plant").verdict

    assert told("Illinois") == "below"
    assert told("Ohio") == "act"
    assert told("Iowa") == "act"


def test_elsewhere_the_lowest_bound_is_named() -> None:
    """Where two states' rules say the same, the one that says it soonest is named."""
    other = replace(MEAN, key="other", states=("Ohio",), low=1.0, high=1.0)
    made = judge_all(Count(10, 60), [MEAN, other], state="", unit="plant")
    assert made.rule is not None
    assert (made.verdict, made.rule.key) == ("act", "other")


def test_rule_on_what_nobody_counted_stands_back() -> None:
    """Two beetles on twenty plants are below one state's count, whatever another state would have counted."""
    rules = [MEAN, replace(SHARE, states=("Georgia",))]
    assert judge_all(Count(20, 2), rules, state="", unit="plant").verdict == "below"
    alone = judge_all(Count(20, 2), rules[1:], state="", unit="plant")
    assert (alone.verdict, alone.because) == ("more", "count_units")


@pytest.mark.parametrize(
    ("unit", "season", "collars", "fits"),
    [
        ("plant", "spring", 3.9, True),
        ("plant", "spring", 4.0, False),
        ("plant", "spring", 0.9, False),
        ("plant", "spring", None, True),
        ("plant", "fall", 2.0, False),
        ("board", "spring", 2.0, False),
    ],
)
def test_rule_speaks_of_its_unit_season_and_stage(unit: str, season: str, collars: float | None, fits: bool) -> None:
    """A rule of another unit, season or stage would make a verdict of nothing."""
    rule = replace(MEAN, from_collars=1, to_collars=3, season="spring")
    assert rule.fits(unit=unit, season=season, collars=collars) is fits
    verdict = judge_all(Count(1, 9), [rule], state="", unit=unit, season=season, collars=collars).verdict
    assert verdict == ("act" if fits else "none")


@settings(derandomize=True, deadline=None, max_examples=examples(150))
@given(
    rule=st.sampled_from(EVERY_RULE),
    looked=st.integers(1, 300),
    few=st.integers(0, 400),
    more=st.integers(0, 400),
    share=st.none() | st.floats(0, 1),
    length=st.none() | st.floats(1, 50),
)
def test_more_insects_never_lower_a_verdict(
    rule: Rule, looked: int, few: int, more: int, share: float | None, length: float | None
) -> None:
    """Finding another insect may not turn an action into a wait, by any shipped rule."""
    with_any = None if share is None else round(share * looked)
    ranks = [RANK[judge(Count(looked, k, with_any, None, length), rule).verdict] for k in (few, few + more)]
    assert ranks[0] <= ranks[1]


@pytest.mark.parametrize(("k", "n"), [(0, 20), (1, 20), (7, 100), (20, 20)])
def test_share_interval_is_exact(k: int, n: int) -> None:
    """Clopper–Pearson at 90 %, checked against quantiles of the beta distribution."""
    low, high = share_interval(k, n)
    assert low == pytest.approx(beta.ppf(0.05, k, n - k + 1) if k else 0.0)
    assert high == pytest.approx(beta.ppf(0.95, k + 1, n - k) if k < n else 1.0)


@pytest.mark.parametrize(("k", "n"), [(0, 10), (1, 10), (13, 60)])
def test_mean_interval_is_exact(k: int, n: int) -> None:
    """The Poisson interval at 90 %, checked against quantiles of chi-square."""
    low, high = mean_interval(k, n)
    assert low == pytest.approx(chi2.ppf(0.05, 2 * k) / 2 / n if k else 0.0)
    assert high == pytest.approx(chi2.ppf(0.95, 2 * k + 2) / 2 / n)


@pytest.mark.parametrize(("heat", "passed"), [(0.0, 0), (359.9, 0), (360.0, 1), (1079.9, 1), (1080.0, 2), (9e3, 3)])
def test_peak_is_passed_when_reached(heat: float, passed: int) -> None:
    """A sum at a peak has reached it."""
    assert peaks_passed(heat, [360.0, 1080.0, 1800.0]) == passed


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: Count(0), "looked = 0: must be at least 1; give how many units were looked at."),
        (lambda: Count(5, -1), "insects = -1: must not be below 0; give how many were found, 0 for none."),
        (lambda: Count(5, 9, 6), "units with = 6: must lie within 0 and the 5 looked at; count again."),
        (lambda: Count(5, 9, 5, 6), "units with two = 6: must lie within 0 and the 5 looked at; count again."),
        (lambda: samples_needed(0.0, cv2=0.2), "precision = 0.0: must lie between 0 and 1; give 0.10 for 10 %."),
        (
            lambda: peaks_passed(5.0, [3.0, 2.0]),
            "peaks = [3.0, 2.0]: must ascend and hold at least one; give them as 360, 1080, 1800.",
        ),
        (lambda: peaks_passed(math.nan, [3.0]), "heat = nan: not known; give the sum from 1 January."),
    ],
)
def test_refusal_says_what_to_do(call: Callable[[], object], told: str) -> None:
    """A count that can't be would make a verdict that looks like an answer."""
    with pytest.raises(BadValue, match=f"^{re.escape(told)}$"):
        call()
