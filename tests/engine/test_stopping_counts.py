"""What a stop shows, and the states a count can be in."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import betabinom, binom

from springwalk.engine.stopping_counts import (
    CountParams,
    likeness,
    state_chances,
    states,
    stop_chances,
    total_chances,
)
from springwalk.engine.stopping_grid import CUTS, SHARES
from springwalk.jobs.params_stopping import stop_params
from tests.engine.stopping_made import PARAMS


def test_counts_of_a_stop_add_to_one() -> None:
    """Chances that do not add to one would make every value wrong."""
    made = stop_chances(SHARES[:, None], likeness(SHARES[:, None], CUTS, PARAMS), PARAMS)
    assert made.shape == (40, 6, 21)
    assert made.sum(axis=-1) == pytest.approx(1.0)
    assert (made >= 0.0).all()


def test_no_larvae_leaves_the_background() -> None:
    """Where no larva is, only miscounts are seen, each place for itself."""
    made = stop_chances(0.0, 0.2, PARAMS)
    assert made == pytest.approx(binom.pmf(np.arange(21), 20, PARAMS.background))


@pytest.mark.parametrize("rho", [0.01, 0.2, 0.8])
def test_larvae_part_is_beta_binomial(rho: float) -> None:
    """Without background the stop is the beta-binomial with α = p(1 − ρ)/ρ (SciPy's own as the other route)."""
    clean = CountParams(20, 3, 20, 0.3, 1.2, 0.0)
    want = betabinom.pmf(np.arange(21), 20, 0.1 * (1 - rho) / rho, 0.9 * (1 - rho) / rho)
    assert stop_chances(0.1, rho, clean) == pytest.approx(want)


def test_likeness_grows_with_cuts_and_load() -> None:
    """ρ = (VMR − 1)/(n − 1) with VMR = 1 + K(1 + c²) + nλK/(100 h), worked by hand for K 2 and λK/100 = 0.1."""
    share = -np.expm1(-0.1)
    assert likeness(share, 2.0, PARAMS) == pytest.approx((2.0 * 1.3 + 20 * 0.1 / 1.2) / 19)
    assert likeness(0.0, 0.0, PARAMS) == 0.0
    assert likeness(0.9, 8.0, PARAMS) == 0.95


def test_states_add_to_one_after_every_stop() -> None:
    """No count may fall out of the states, also where it passes the most cut places followed."""
    small = CountParams(20, 4, 9, 0.3, 1.2, 0.003)
    chances = state_chances(stop_chances(np.array([0.0, 0.05, 0.4]), 0.1, small), small)
    open_now = 1.0
    for now, reached in zip(states(small), chances.reached, strict=True):
        total = reached.sum(axis=0)
        assert total == pytest.approx(open_now)
        open_now = total - reached[now.x == small.most_cut].sum(axis=0)


def test_total_of_stops_is_that_of_the_states() -> None:
    """Two routes to the cut places of five stops: convolution and the states."""
    params = CountParams(10, 5, 50, 0.3, 1.2, 0.003)
    stop = stop_chances(np.array([0.02, 0.2]), 0.1, params)
    reached = state_chances(stop, params).reached[5]
    by_state = np.zeros((51, 2))
    np.add.at(by_state, states(params)[5].x, reached)
    assert total_chances(stop, 5).T[:50] == pytest.approx(by_state[:50], abs=1e-12)


def test_numbers_of_the_table_of_stopping() -> None:
    """The shipped numbers reach the engine: a stop of twenty, five stops on a later day."""
    params = stop_params()
    assert (params.count.places, params.stops_later, params.count.background) == (20, 5, 0.003)
    assert params.count.most_cut < params.count.places * params.count.most_stops
