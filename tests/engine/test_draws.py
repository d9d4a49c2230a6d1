"""The joint draws: stratified, uncorrelated, the same every time."""

from __future__ import annotations

import numpy as np
import pytest

from springwalk.engine.draws import SCALE_NODES, central_draws, make_draws


@pytest.mark.parametrize("members", [1, 7, 30])
def test_draws_are_fair(members: int) -> None:
    """Every member and node equally often; no two sources of doubt move together; means 0, spreads 1."""
    draws = make_draws(members)
    counts = np.bincount(draws.member)
    assert counts.min() == counts.max()
    nodes = np.bincount(draws.scale_node, minlength=SCALE_NODES)
    assert nodes.max() - nodes.min() <= 1
    z = np.stack([draws.scale_z[draws.scale_node], draws.field_z, draws.emergence_z, draws.rate_z])
    assert np.abs(np.corrcoef(z) - np.eye(4)).max() < 0.05
    assert z.mean(axis=1) == pytest.approx(0.0, abs=0.02)
    assert z.std(axis=1) == pytest.approx(1.0, abs=0.02)


def test_draws_are_the_same_every_time() -> None:
    """Same inputs, same sheet."""
    np.testing.assert_array_equal(make_draws(30).rate_z, make_draws(30).rate_z)


def test_central_draws_hold_everything_but_the_weather() -> None:
    """One draw a member, all else in the middle."""
    draws = central_draws(30)
    assert draws.member.tolist() == list(range(30))
    assert not draws.field_z.any()
    assert draws.scale_z.tolist() == [0.0]
