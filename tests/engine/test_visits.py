"""What a visit today is worth: come-back on both sides, and no field put off until it is too late."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.stats import gamma, norm

from springwalk.engine import stopping
from springwalk.engine.stopping import worth_seeing
from springwalk.engine.stopping_counts import likeness, stop_chances, total_chances
from springwalk.engine.stopping_later import TREAT_FROM, chance_of_more, come_back
from springwalk.engine.visits import Later, Seen, Visits, prize, visits
from springwalk.jobs.params_stopping import count_params

Array = NDArray[np.float64]

PARAMS = count_params()
LARVAE = np.concatenate([[0.0], np.geomspace(0.05, 60.0, 48)])
SHIFTS_F = np.arange(-150.0, 151.0, 15.0)
TREAT, FIELD, A_DAY_F = 1280.0, 64_000.0, 14.0


def weight(any_larvae: float = 0.19) -> Array:
    """A usual field before any count (1, L, S)."""
    edges = np.concatenate([[0.0], np.sqrt(LARVAE[1:-1] * LARVAE[2:]), [np.inf]])
    some = np.diff(gamma.cdf(edges, 0.9, scale=2.5 / 0.9))
    shift = norm.pdf(SHIFTS_F / 28.65)
    larvae = np.concatenate([[1.0 - any_larvae], any_larvae * some])
    return np.asarray((larvae[:, None] * shift / shift.sum())[None])


def cuts_by(day: float) -> Array:
    """Cuts per larva by a day, day 0 being the middle of the feeding (S,)."""
    return np.asarray(4.0 / (1.0 + np.exp(-(A_DAY_F * day - SHIFTS_F) / 55.0)))


def shares(cuts: Array) -> Array:
    """Share of places cut (1, L, S)."""
    return np.asarray(-np.expm1(-LARVAE[:, None] * cuts / 100.0))[None]


def seen(day: float) -> Seen:
    """A walk on a day."""
    return Seen(shares(cuts_by(day)), cuts_by(day)[None])


def lost(day: float, treated_on: float | None) -> Array:
    """Money lost from ``day`` on (1, L, S), untreated or treated on a day."""
    if treated_on is None:
        return FIELD * 0.65 * shares(4.0 - cuts_by(day))
    before, after = cuts_by(treated_on) - cuts_by(day), 4.0 - cuts_by(treated_on)
    return TREAT + FIELD * 0.65 * shares(before + 0.1 * after)


def later(day: float, days: int, cost: float) -> Later:
    """A visit some days on."""
    return Later(days, seen(day + days), lost(day, None), lost(day, day + days), cost)


def visit(day: float, *, cost: float = 57.0, stop: float = 4.0, waiting: tuple[int, ...] = (3, 7)) -> Visits:
    """A visit on a day, with coming back at +3 and +7 days."""
    today = np.stack([lost(day, None), lost(day, day)], axis=1)
    return visits(
        weight(), today, seen(day), tuple(later(day, d, cost) for d in waiting), stop, stops_later=5, params=PARAMS
    )


def test_field_is_not_put_off_until_too_late() -> None:
    """No visit 500, today 400, tomorrow 402, in a week 480, a visit costs 37: walked within two days.

    Today's value less tomorrow's is 2 and would never pay for a visit; against doing without it is worth 63 and more.
    """
    by_day = np.interp(np.arange(15), [0, 1, 7, 9], [400.0, 402.0, 480.0, 500.0])
    worth = [prize(500.0, by_day[d], (by_day[d + 3], by_day[d + 7]), 37.0) for d in range(8)]
    walked = next(d for d, value in enumerate(worth) if value > 37.0)
    assert walked < 2
    put_off = [by_day[d + 1] - by_day[d] for d in range(8)]
    assert max(put_off) < 37.0


def test_prize_is_never_below_nothing() -> None:
    """A visit that would only cost is worth 0, not less."""
    assert prize(100.0, 120.0, (90.0,), 37.0) == 0.0
    assert prize(500.0, 400.0, (402.0, 480.0), 37.0) == pytest.approx(39.0)
    assert prize(500.0, 400.0, (), 37.0) == pytest.approx(100.0)


def test_coming_back_stands_on_both_sides() -> None:
    """With a later visit on offer today's is worth less, but never less than nothing, nor is any loss greater."""
    for day in (-8.0, -4.0, 0.0, 4.0):
        alone, both = visit(day, waiting=()), visit(day)
        assert 0.0 <= both.prize[0] <= alone.prize[0] + 1e-9
        assert both.table.without[0] <= alone.table.without[0] + 1e-9
        assert both.table.loss[0][0, 0] <= alone.table.loss[0][0, 0] + 1e-9


def test_dearer_later_visit_makes_today_worth_more() -> None:
    """The cost of coming back is counted on the side without a visit."""
    made = [visit(-2.0, cost=cost) for cost in (10.0, 57.0, 150.0, 1000.0)]
    assert all(a.table.without[0] <= b.table.without[0] for a, b in pairwise(made))
    assert made[0].prize[0] + 20.0 < made[1].prize[0] < made[2].prize[0] - 20.0
    assert made[3].prize[0] == pytest.approx(visit(-2.0, waiting=()).prize[0])


def test_too_early_a_field_waits_and_is_then_walked() -> None:
    """Before cutting can start coming back is best and today is worth nothing; days later a visit is worth its way."""
    early = visit(-14.0)
    assert early.wait_days[0] in (3, 7)
    assert early.prize[0] < 5.0
    assert max(visit(day).prize[0] for day in (-6.0, -4.0, -2.0)) > 37.0


@pytest.mark.slow
def test_played_day_by_day_the_field_is_walked_in_time() -> None:
    """A scout who goes once the prize passes the cost of going is there by the day a single visit would be best.

    And the prize does not fall below the cost in between, so a field put off by a full day is still on the list.
    """
    days = np.arange(-16.0, 13.0)
    alone = [visit(day, waiting=()).prize[0] for day in days]
    worth = np.array([visit(day).prize[0] for day in days])
    best = int(np.argmax(alone))
    first = int(np.argmax(worth > 37.0))
    assert 0 < first <= best
    assert (worth[first : best + 1] > 37.0).all()


def test_come_back_rules_reach_the_best_of_five_stops() -> None:
    """The least over the rules is the least over what may be done after five stops then, within 0.3 % (other route)."""
    for day in (-4.0, 0.0, 4.0):
        today, losses = seen(day), np.stack([lost(day, None), lost(day, day)], axis=1)
        rules = come_back(
            losses[:, 0], losses[:, 1], today.cut_share, today.cuts_per_larva, 0.0, stops=5, params=PARAMS
        )
        by_rule = (weight()[:, None] * rules).sum(axis=(2, 3)).min()
        rho = likeness(today.cut_share, today.cuts_per_larva[:, None, :], PARAMS)
        total = total_chances(stop_chances(today.cut_share.ravel(), rho.ravel(), PARAMS), 5)
        loss = (weight()[:, None] * losses).reshape(2, -1).T[:, :, None]
        exact = loss.sum(axis=0).min() - worth_seeing(total.T, loss)[0]
        assert by_rule == pytest.approx(exact, rel=0.003)
        assert by_rule >= exact * (1.0 - 0.002)


def test_chance_of_more_falls_with_the_rule() -> None:
    """More cut plants are less likely, and no larvae at all show one cut of a hundred by mistake a quarter of times."""
    made = chance_of_more(seen(0.0).cut_share, seen(0.0).cuts_per_larva, stops=5, params=PARAMS)
    assert made.shape == (1, len(LARVAE), len(SHIFTS_F), len(TREAT_FROM))
    assert (np.diff(made, axis=-1) <= 1e-12).all()
    assert made[0, 0, 0, 0] == pytest.approx(1.0 - (1.0 - PARAMS.background) ** 100)


def test_fields_no_visit_can_help_keep_their_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    """Left out of the induction, they are worth 0 and wait as long as before; the others are as they were."""
    days = np.linspace(-30.0, 30.0, 13)
    losses = np.concatenate([np.stack([lost(day, None), lost(day, day)], axis=1) for day in days])

    def seen_by_all(wait: int) -> Seen:
        looks = [seen(day + wait) for day in days]
        return Seen(np.concatenate([s.cut_share for s in looks]), np.concatenate([s.cuts_per_larva for s in looks]))

    def later_for_all(wait: int) -> Later:
        ways = [later(day, wait, 57.0) for day in days]
        leave, treat = np.concatenate([w.leave for w in ways]), np.concatenate([w.treat for w in ways])
        return Later(wait, seen_by_all(wait), leave, treat, 57.0)

    def made() -> Visits:
        believed = np.repeat(weight(), len(days), axis=0)
        waits = (later_for_all(3), later_for_all(7))
        return visits(believed, losses, seen_by_all(0), waits, 4.0, stops_later=5, params=PARAMS)

    screened = made()
    monkeypatch.setattr(stopping, "worth_counting", lambda weight, losses, cost: np.ones(len(weight), bool))
    full = made()
    left_out = ~screened.table.chance[1].any(axis=0)
    assert 0 < left_out.sum() < len(days)
    assert (screened.prize[left_out] == 0.0).all()
    assert screened.prize == pytest.approx(full.prize, abs=1e-3)
    assert ((screened.prize == 0.0) == (full.prize == 0.0)).all()
    assert screened.stops == pytest.approx(full.stops, abs=1e-4)
    assert (screened.wait_days == full.wait_days).all()


def test_actions_are_told_apart() -> None:
    """Each action of the table says on which day and from how many cut places it treats."""
    made = visit(0.0)
    assert made.days.tolist() == [0, 0] + [3] * len(TREAT_FROM) + [7] * len(TREAT_FROM)
    assert made.treat_from.tolist() == [-1, -1, *TREAT_FROM, *TREAT_FROM]
    assert made.stops[0] > 0.0
