"""Replanting: dates, heat to frost, larvae, money, payment and the word of advice."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import pytest

from springwalk.engine import replant as r
from springwalk.errors import BadValue

MONEY = r.Money(expected_yield=180.0, price=4.5, cost=60.0)
TERMS = r.Terms(180.0, 0.8, 4.66, 1.0, 0.9, 8.0, 0.2)
FROST = [(40.0, 0.055), (80.0, 0.135)]


def test_earliest_day_adds_every_wait() -> None:
    """Each wait left out would promise a day on which nobody can plant."""
    assert r.earliest_day(10.0, dry_days=2, kill_days=1, label_days=6, queue_days=3) == 22.0
    assert r.earliest_day(10.0, dry_days=0, kill_days=0, label_days=0, queue_days=0) == 10.0


def test_heat_needed_falls_after_the_first_of_may_only() -> None:
    """6.8 °F·day for each day after 1 May (Nielsen, Thomison et al. 2002): a month later about 200 less (Nielsen)."""
    need_f = r.heat_needed_ddc(2700.0 / 1.8, [-5.0, 1.0, 2.0, 31.0], falls_ddc_per_day=6.8 / 1.8) * 1.8
    np.testing.assert_allclose(need_f, [2700.0, 2700.0, 2693.2, 2700.0 - 204.0])


def test_frost_loss_over_years() -> None:
    """Ripe years lose nothing; short ones lose by their shortfall, and a lost year is left out."""
    ripe, lost = r.frost_loss(1400.0, [1500.0, 1360.0, 1320.0, math.nan], FROST)
    assert ripe == pytest.approx(1 / 3)
    assert lost == pytest.approx((0.0 + 0.055 + 0.135) / 3)
    assert r.frost_loss(1400.0, [1280.0], FROST) == (0.0, pytest.approx(0.215))
    assert r.frost_loss(9000.0, [0.0], FROST) == (0.0, 1.0)


def test_larvae_thin_the_new_stand() -> None:
    """What is left in the field meets the new spike."""
    np.testing.assert_allclose(r.stand_after_larvae(75_000.0, [0.0, 0.2, 1.0]), [75_000.0, 60_000.0, 0.0])


def test_share_cut_by_hand() -> None:
    """A plant is cut once: 100 larvae per 100 that cut one each leave exp(−1), over belief and weather.

    Loads 0 and 100, each as likely; two members in which a larva cuts 1 or 2 plants.
    """
    cut = np.array([[1.0], [2.0]])
    mean, low, high = r.share_cut(cut, [0.0, 100.0], [[0.5], [0.5]])
    assert mean == pytest.approx((0.0 + 0.0 + (1 - math.exp(-1)) + (1 - math.exp(-2))) / 4)
    assert (low, high) == (0.0, pytest.approx(1 - math.exp(-2)))
    assert r.share_cut(cut, [0.0], [[1.0]]) == (0.0, 0.0, 0.0)


def test_share_cut_weighs_shifts() -> None:
    """A brood behind the middle still has all its cutting to do, one ahead none: their odds are the mean's."""
    mean, low, high = r.share_cut([[0.0, 1.0]], [100.0], [[0.8, 0.2]])
    assert mean == pytest.approx(0.2 * (1 - math.exp(-1)))
    assert (low, high) == (0.0, pytest.approx(1 - math.exp(-1)))


# percent now, percent replanted, cost, bushels, money before cost; worked from the table of 1994 by hand
GAINS = [
    (88.0, 91.0, 0.0, 5.4, 24.30),
    (79.0, 95.0, 0.0, 28.8, 129.60),
    (79.0, 95.0, 60.0, 28.8, 69.60),
]


@pytest.mark.parametrize(("now", "then", "cost", "bu", "usd"), GAINS)
def test_gain_in_bushels_and_money(now: float, then: float, cost: float, bu: float, usd: float) -> None:
    """180 bu at 4.50: the two cases worked by hand come out to the cent."""
    got_bu, got_usd = r.gain(now, then, replace(MONEY, cost=cost))
    assert (float(got_bu), float(got_usd)) == (pytest.approx(bu), pytest.approx(usd))


def test_drying_is_charged_on_the_new_crop() -> None:
    """Eight points more water on 162 bu at 5 cents."""
    dry = replace(MONEY, drying_per_point=0.05, extra_points=8.0)
    assert r.gain(79.0, 90.0, MONEY)[1] - r.gain(79.0, 90.0, dry)[1] == pytest.approx(162.0 * 8.0 * 0.05)


# percent of the history appraised, paid
APPRAISED = [(79.0, 0.0), (72.0, 0.0), (71.99, 37.28), (68.0, 37.28)]


@pytest.mark.parametrize(("percent", "paid"), APPRAISED)
def test_payment_below_nine_tenths_of_the_guarantee(percent: float, paid: float) -> None:
    """History 180 at 80 %: 142 bu is above 129.6 and gets nothing, 122 gets 8 bu; the break itself gets nothing."""
    found = r.payment(percent, TERMS)
    assert (found.guarantee, found.paid_below) == (pytest.approx(144.0), pytest.approx(129.6))
    assert found.money == pytest.approx(paid)


def test_payment_of_a_low_guarantee_is_a_fifth_of_it() -> None:
    """A fifth of 30 bu is less than 8 bu; the grower's share of it is paid."""
    low = replace(TERMS, history=50.0, coverage=0.6, share=0.5)
    assert r.payment(10.0, low).money == pytest.approx(6.0 * 4.66 * 0.5)


WORDS: list[tuple[Sequence[float], float, bool, str]] = [
    ([9.0, 50.0], 0.0, True, "replant"),
    ([-9.0, -50.0], 0.0, True, "keep"),
    ([0.0], 0.0, True, "keep"),
    ([-9.0, 50.0], 0.0, True, "too close to say"),
    ([9.0, math.nan], 0.0, True, "replant"),
    ([9.0, 50.0], 0.0, False, "too close to say"),
    ([-9.0, -50.0], 0.0, False, "keep"),
    ([9.0, 50.0], 37.0, True, "call the insurer first"),
    ([-30.0, -50.0], 37.0, True, "call the insurer first"),
    ([-40.0, -50.0], 37.0, True, "keep"),
]


@pytest.mark.parametrize(("gains", "paid", "certain", "word"), WORDS)
def test_word_of_advice(gains: Sequence[float], paid: float, certain: bool, word: str) -> None:
    """Only where every table agrees is there a plain answer, and a due payment comes before the plough."""
    assert r.advise(gains, paid, certain=certain) == word


BAD: list[tuple[Callable[[], object], str]] = [
    (
        lambda: r.earliest_day(0, dry_days=-1, kill_days=0, label_days=0, queue_days=0),
        "dry days = -1 days: must be 0 or more; give the days still to wait.",
    ),
    (
        lambda: r.frost_loss(1400.0, [math.nan], FROST),
        "heat to frost = (none): no year is known; give the heat of at least one year.",
    ),
    (
        lambda: r.stand_after_larvae(1.0, 1.2),
        "cut share = 1.2: must be from 0 to 1; give the share of new plants cut.",
    ),
    (
        lambda: r.payment(50.0, replace(TERMS, coverage=80.0)),
        "coverage = 80: must be above 0 and at most 1; type it as the policy has it.",
    ),
    (
        lambda: r.payment(50.0, replace(TERMS, history=-1.0)),
        "history = -1: must be above 0; type it as the policy has it.",
    ),
    (lambda: r.advise([math.nan]), "tables = (none): no table holds this case; check stands and dates."),
]


@pytest.mark.parametrize(("asked", "told"), BAD)
def test_impossible_values_are_refused(asked: Callable[[], object], told: str) -> None:
    """A slip in a sign or a percent must not become advice."""
    with pytest.raises(BadValue, match=f"^{re.escape(told)}$"):
        asked()
