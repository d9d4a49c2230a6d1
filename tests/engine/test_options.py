"""Looks before choosing: their chances add up, they never cost more than they tell, and never tell more than all."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from scipy.stats import betabinom, binom

from springwalk.engine import belief
from springwalk.engine.losses import Plants, outlook
from springwalk.engine.options import (
    Setting,
    after_look,
    beta_binomial,
    collars_value,
    come_back,
    count_look,
    recount_look,
    search_look,
    search_unlocks,
    setting,
    sure_options,
)
from springwalk.jobs.params_advice import advice_params
from tests.advising import GREEN, GRID, MAY_24, facts, lincoln
from tests.drawn import examples

V2 = Plants(collars=2.4, soil="moist")
calm = settings(deadline=None, derandomize=True, max_examples=examples(50))


@pytest.fixture(scope="module")
def one() -> Setting:
    """The green field on 24 May before any walk."""
    params = advice_params()
    hazard = lincoln(today=MAY_24)
    weight = belief.believe([], hazard, np.full(4, 0.3), GRID, params.belief).weight[GREEN]
    return setting(weight, GRID.lam, outlook(hazard, GREEN, MAY_24), facts(V2, pass_in_days=4), params)


@calm
@given(share=st.floats(0.001, 0.95), rho=st.floats(0.001, 0.5))
def test_beta_binomial_is_the_textbook_one(share: float, rho: float) -> None:
    """The products must agree with the closed form."""
    a = share * (1.0 - rho) / rho
    b = (1.0 - share) * (1.0 - rho) / rho
    got = beta_binomial(30, np.full((1, 1), share), np.full((1, 1), rho))[:, 0, 0]
    assert got == pytest.approx(betabinom.pmf(np.arange(31), 30, a, b), abs=1e-9)


@pytest.mark.parametrize("share", [0.0, 0.03, 1.0])
def test_beta_binomial_holds_at_its_ends(share: float) -> None:
    """No likeness is the plain binomial; nothing cut and everything cut are certain."""
    got = beta_binomial(20, np.full((1, 1), share), np.zeros((1, 1)))[:, 0, 0]
    assert got == pytest.approx(binom.pmf(np.arange(21), 20, share), abs=1e-12)


def test_outcomes_of_every_look_add_up_to_one(one: Setting) -> None:
    """A lost outcome would be a lost loss."""
    for make in (count_look, recount_look, search_look):
        for day in (0, 2, 7):
            assert make(one)(day).sum(axis=0) == pytest.approx(np.ones(GRID.shape), abs=1e-9)


def test_look_lies_between_nothing_and_everything_known(one: Setting) -> None:
    """What a look is worth is never below 0 and never above perfect knowledge of load and clock."""
    options = sure_options(one)
    means = np.stack([one.mean(option.losses) for option in options])
    best = float((means * one.weight).sum(axis=(1, 2)).min())
    perfect = float((means.min(axis=0) * one.weight).sum())
    for make in (count_look, search_look):
        assert perfect <= after_look(one, make(one)(0), options)[0] <= best + 1e-9
    silent = np.full((2, *GRID.shape), 0.5)
    assert after_look(one, silent, options)[0] == pytest.approx(best)
    assert best > perfect


def test_look_that_tells_all_is_worth_all(one: Setting) -> None:
    """With load and shift told exactly, the expected loss is that of perfect knowledge."""
    options = sure_options(one)
    means = np.stack([one.mean(option.losses) for option in options])
    tells = np.eye(one.weight.size).reshape(-1, *GRID.shape)
    assert after_look(one, tells, options)[0] == pytest.approx(float((means.min(axis=0) * one.weight).sum()))


def test_coming_back_is_priced_as_its_parts(one: Setting) -> None:
    """Its expected loss is that of deciding after the look, and the visit."""
    back = come_back(one, 3, count_look(one))
    value, odds = after_look(one, count_look(one)(3), sure_options(one, not_before=3))
    assert one.expected(back.losses) == pytest.approx(value + one.facts.money.visit)
    assert odds.sum(axis=0) == pytest.approx(np.ones(GRID.shape))


def test_another_look_may_be_given(one: Setting) -> None:
    """The value of coming back is filled from outside: a look that tells all is worth more than a count."""
    tells = np.eye(one.weight.size).reshape(-1, *GRID.shape)
    count, all_told = (one.expected(come_back(one, 3, look).losses) for look in (count_look(one), lambda _: tells))
    assert all_told < count


def test_passes_that_come_too_early_are_no_options(one: Setting) -> None:
    """A pass in four days can be ridden today and after a look on day 3, not after one on day 7."""
    kinds = [{option.kind for option in sure_options(one, not_before=day)} for day in (0, 3, 7)]
    assert kinds == [{"leave", "spray", "ride along"}] * 2 + [{"leave", "spray"}]
    assert [option.days for option in sure_options(one, not_before=3)] == [0, 3, 4]


def test_search_opens_no_more_than_the_whole_choice(one: Setting) -> None:
    """Where larvae are lacking a search is worth something, and at most what free choice with full knowledge saves."""
    many = replace(one, weight=_only(one, load=12.0))
    options = sure_options(many)
    leave, best = (many.expected(options[0].losses), min(many.expected(o.losses) for o in options))
    assert 0.0 < search_unlocks(many, options) <= leave - best + 1e-9
    nobody = replace(one, weight=_only(one, load=0.0))
    assert search_unlocks(nobody, sure_options(nobody)) == pytest.approx(0.0, abs=1e-9)


def test_stage_is_worth_nothing_where_it_is_known(one: Setting) -> None:
    """A known stage leaves nothing to learn; where it decides between leaving and spraying it is worth money."""
    surely = setting(one.weight, one.lam, one.view, one.facts, replace(one.params, collars_unseen_sd=0.0))
    assert collars_value(surely, sure_options(surely)) == pytest.approx(0.0, abs=1e-9)
    near = replace(one, weight=_only(one, load=2.0))
    spread = setting(near.weight, one.lam, one.view, one.facts, replace(one.params, collars_unseen_sd=2.0))
    assert collars_value(spread, sure_options(spread)) > 0.1


def _only(one: Setting, *, load: float) -> np.ndarray:
    """All weight on the load next to the one given, over the shifts as they are."""
    weight = np.zeros_like(one.weight)
    weight[np.abs(one.lam - load).argmin()] = one.weight.sum(axis=0)
    return weight
