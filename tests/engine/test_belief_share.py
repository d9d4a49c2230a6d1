"""What fields say about each other: exact, whatever the order, and each field's walks used once."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import expit

from springwalk.engine.belief_share import (
    load_prior,
    log_evidence,
    priors,
    relative_load,
    season_nodes,
    share,
    shift_prior,
)
from tests.engine.belief_made import GRID, PARAMS

SEASON = season_nodes(PARAMS)
USUAL = np.ones(4)
PRIOR = priors(SEASON, USUAL, GRID, PARAMS)
NOBODY = np.zeros(0, np.int64)


def sharp(lam: float, shift_ddc: float) -> np.ndarray:
    """A log likelihood that is nearly sure of a load and a shift."""
    away = np.log((GRID.lam + 0.05) / (lam + 0.05))[:, None] ** 2 / 0.1
    return np.asarray(-away - (GRID.shifts_ddc[None, :] - shift_ddc) ** 2 / 50.0)


def test_nodes_keep_the_spread_of_each_normal() -> None:
    """Nine, six and seven nodes must carry the mean and spread that the table has."""
    weight = np.exp(SEASON.log_prior)
    assert weight.sum() == pytest.approx(1.0)
    for axis, (nodes, (mean, sd)) in enumerate(
        [
            (SEASON.log_odds, PARAMS.any_log_odds),
            (SEASON.log_mean, PARAMS.log_mean),
            (SEASON.shift_ddc, (0.0, PARAMS.season_shift_sd_ddc)),
        ]
    ):
        w = weight.sum(axis=tuple(k for k in range(3) if k != axis))
        assert w @ nodes == pytest.approx(mean)
        assert w @ (nodes - mean) ** 2 == pytest.approx(sd**2)


def test_load_prior_has_its_odds_and_mean() -> None:
    """Odds and mean load of a usual field, and of one with four times the expectation: each times two."""
    rows = load_prior(np.array([-1.8]), np.array([np.log(2.5)]), np.array([1.0, 4.0]), GRID, 0.9)[:, 0]
    assert rows.sum(axis=1) == pytest.approx([1.0, 1.0])
    some = 1.0 - rows[:, 0]
    assert some == pytest.approx(expit([-1.8, -1.8 + np.log(2.0)]))
    assert rows @ GRID.lam / some == pytest.approx([2.5, 5.0], rel=0.03)


def test_relative_load_is_held() -> None:
    """A field without eggs of ours keeps a little chance: a flight may have been missed."""
    assert relative_load(np.array([0.0, 0.3, 900.0]), PARAMS).tolist() == [0.02, 1.0, 20.0]


def test_shift_prior_has_its_spread() -> None:
    """The field's own shift is 14 °F·day about the season's, on the grid's 15 °F·day steps."""
    row = shift_prior(np.array([20.0]), GRID, PARAMS.field_shift_sd_ddc)[0]
    mean = row @ GRID.shifts_ddc
    assert mean == pytest.approx(20.0, abs=0.1)
    assert np.sqrt(row @ (GRID.shifts_ddc - mean) ** 2) == pytest.approx(14 / 1.8, rel=0.02)


def test_without_walks_belief_is_the_prior() -> None:
    """No walk, no news: every field has the mean prior, and the season's odds are untouched."""
    belief, eta = share(np.zeros((0, *GRID.shape)), NOBODY, PRIOR, SEASON)
    assert eta == pytest.approx(np.exp(SEASON.log_prior))
    assert belief[2] == pytest.approx(PRIOR.of(eta)[2])
    assert belief.sum(axis=(1, 2)) == pytest.approx(np.ones(4))


def test_sharing_equals_the_joint_posterior_by_brute_force() -> None:
    """Two walked fields and one not: the same as writing out every η and multiplying everything."""
    logs = np.stack([sharp(4.0, -10.0), sharp(0.2, 6.0)])
    belief, eta = share(logs, np.array([0, 2]), PRIOR, SEASON)
    like = np.exp(logs)
    joint, total = np.zeros((3, *GRID.shape)), 0.0
    odds = np.zeros(eta.shape)
    for n, p_n in enumerate(np.exp(SEASON.log_prior).reshape(-1, 7)):
        for k, p in enumerate(p_n):
            cell = PRIOR.load[0, n][:, None] * PRIOR.shift[k][None, :]
            m = [(cell * row).sum() for row in like]
            joint[0] += p * m[1] * cell * like[0]
            joint[1] += p * m[0] * cell * like[1]
            joint[2] += p * m[0] * m[1] * cell
            odds.reshape(-1, 7)[n, k] = p * m[0] * m[1]
            total += p * m[0] * m[1]
    joint /= joint.sum(axis=(1, 2), keepdims=True)
    assert belief[[0, 2, 1]] == pytest.approx(joint, abs=1e-12)
    assert eta == pytest.approx(odds / total, abs=1e-12)


def test_order_of_fields_never_matters() -> None:
    """Fields in any order believe the same."""
    logs = np.stack([sharp(4.0, -10.0), sharp(0.0, 6.0), sharp(9.0, 0.0)])
    one, _ = share(logs, np.array([0, 1, 3]), PRIOR, SEASON)
    other, _ = share(logs[::-1], np.array([0, 1, 3]), PRIOR, SEASON)
    assert other[[3, 1, 2, 0]] == pytest.approx(one, abs=1e-12)


def test_own_walks_are_used_once() -> None:
    """A field alone in its season believes its likelihood times the mean prior: nothing comes back to it."""
    logs = sharp(4.0, -10.0)[None]
    belief, _ = share(logs, np.array([1]), PRIOR, SEASON)
    want = np.exp(logs[0]) * PRIOR.of(np.exp(SEASON.log_prior))[1]
    assert belief[1] == pytest.approx(want / want.sum(), abs=1e-12)


def test_neighbours_with_larvae_raise_a_field_nobody_walked() -> None:
    """Ten neighbours with late larvae: more chance of larvae here, and a later clock; ten empty ones: less."""
    many = priors(SEASON, np.ones(11), GRID, PARAMS)
    walked = np.arange(10)
    before, _ = share(np.zeros((0, *GRID.shape)), NOBODY, many, SEASON)
    bad, _ = share(np.stack([sharp(6.0, 15.0)] * 10), walked, many, SEASON)
    empty, _ = share(np.stack([np.where(GRID.lam[:, None] > 0, -9.0, 0.0) + np.zeros(GRID.shape)] * 10), walked, many,
                     SEASON)  # fmt: skip
    some = [1.0 - b[10, 0].sum() for b in (empty, before, bad)]
    assert some[0] < some[1] - 0.1
    assert some[2] > some[1] + 0.3
    assert bad[10].sum(axis=0) @ GRID.shifts_ddc > 10.0


def test_impossible_evidence_stays_finite() -> None:
    """A likelihood far out on every cell must still give weights that add to 1."""
    belief, eta = share(np.full((1, *GRID.shape), -5e4) + sharp(50.0, 80.0)[None], np.array([0]), PRIOR, SEASON)
    assert np.isfinite(belief).all()
    assert eta.sum() == pytest.approx(1.0)


def test_evidence_is_the_chance_of_all_that_was_seen() -> None:
    """One field: the sum over everything of likelihood times mean prior, in logs, however small."""
    logs = sharp(4.0, -10.0)[None] - 3000.0
    want = np.log((np.exp(sharp(4.0, -10.0)) * PRIOR.of(np.exp(SEASON.log_prior))[0]).sum()) - 3000.0
    assert log_evidence(logs, np.array([0]), PRIOR, SEASON) == pytest.approx(want, abs=1e-6)
