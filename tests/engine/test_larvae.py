"""Development of the brood: the closed form against slower, plainer ways."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import expm
from scipy.special import gammainc

from springwalk.engine.larvae import ENTRIES, Clock, brood, day_reached, matured, stage_shares

CLOCK = Clock((50.0, 173.3, 202.8, 239.4, 356.1), 0.10, 1.07, 0.06, 7.8)


@pytest.mark.parametrize(
    ("heat", "share"), [(200, 0.033602), (250, 0.206957), (300, 0.526602), (350, 0.804257), (400, 0.942472)]
)
def test_gamma_maturation_by_our_own_arithmetic(heat: float, share: float) -> None:
    """25 sub-stages, mean 300: regression values worked here, not published."""
    assert gammainc(25, 25 * heat / 300) == pytest.approx(share, abs=5e-7)
    # At CV 0.2 the look-up is asked over a wider spread than in use; 1e-4 is its error there.
    assert matured(np.array([heat / 300]), 0.2)[0] == pytest.approx(share, abs=1e-4)


def test_the_look_up_agrees_with_the_gamma_function() -> None:
    """The table stands for the gamma CDF everywhere it is used."""
    x = np.linspace(0.0, 3.0, 30001)
    assert np.abs(matured(x, 0.10) - gammainc(100, 100 * x)).max() < 2e-5


def test_the_closed_form_is_the_chain_of_sub_stages() -> None:
    """No ODE is needed: Erlang maturation by matrix exponential gives the same (Manetsch 1976 form, k = 1/CV²)."""
    k, mean, heat = 25, 300.0, 310.0
    rate = np.diag(np.full(k, -k / mean)) + np.diag(np.full(k - 1, k / mean), -1)
    left = expm(rate * heat) @ np.eye(k)[0]
    assert 1.0 - left.sum() == pytest.approx(gammainc(k, k * heat / mean), abs=1e-9)


def test_the_grid_is_the_plain_sum_over_laying_nights() -> None:
    """The tabulated brood against a sum over nights written out, at heats off the grid."""
    rng = np.random.default_rng(7)
    eggs, laid = rng.random((3, 20)), np.cumsum(rng.random(20) * 8)[None, :]
    scales = np.array([1.0, 1.1])
    table = brood(eggs, laid, CLOCK, scales, top_ddc=700.0)
    heat = np.array([[181.3, 222.2, 303.7], [140.1, 260.9, 399.4]])
    got = table.at(heat, np.zeros(2, np.int64), np.array([0, 1]))
    for n, scale in enumerate(scales):
        for k in range(len(ENTRIES)):
            x = (heat[n][:, None] - laid) / (scale * CLOCK.entries_ddc[k])
            want = (eggs / eggs.sum(axis=1, keepdims=True)) @ gammainc(100, 100 * np.maximum(x, 0)).T
            assert np.abs(got[:, n, :, k] - want).max() < 2e-3


def test_heat_when_inverts_the_table() -> None:
    """The heat at which a tenth can cut is where the table says a tenth can cut."""
    eggs, laid = np.ones((2, 5)), np.arange(5.0)[None, :] * 6
    table = brood(eggs, laid, CLOCK, np.array([1.07]), top_ddc=900.0)
    zero = np.zeros(1, np.int64)
    for entry, share in ((1, 0.1), (1, 0.5), (4, 0.9)):
        heat = table.heat_when(entry, share, zero, zero)[0, 0]
        assert table.at(np.array([[heat]]), zero, zero)[0, 0, 0, entry] == pytest.approx(share, abs=1e-6)
    assert np.isinf(brood(eggs, laid, CLOCK, np.array([1.07]), top_ddc=90.0).heat_when(4, 0.9, zero, zero)).all()


def test_stage_shares_add_to_one() -> None:
    """Shares are differences of one falling curve."""
    past = np.sort(np.random.default_rng(1).random((7, 5)))[:, ::-1]
    shares = stage_shares(past)
    assert shares.shape == (7, 6)
    assert shares.sum(axis=-1) == pytest.approx(1.0)
    assert (shares >= 0).all()


def test_a_day_is_reached_while_its_heat_comes_in() -> None:
    """Hand-checkable: 10 °C·day a day, 25 is reached half-way through day 2; cold days are not a date."""
    running = np.array([[10.0, 20.0, 30.0], [10.0, 10.0, 20.0]])
    got = day_reached(running, np.array([[25.0, 15.0], [31.0, 10.0]]), np.array([0, 1]))
    assert got.tolist() == [[2.5, 2.5], [np.inf, 2.0]]
