"""Corn: collars by heat, emergence from planting and from what was seen."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from springwalk.engine import corn
from springwalk.jobs.params import load
from tests.drawn import examples

PARAMS = load().engine.corn
NONE = np.zeros(0)
NO_UNIT = np.zeros(0, np.int64)


def ddc(ddf: float) -> float:
    """°C·day from °F·day."""
    return ddf / 1.8


@pytest.mark.parametrize(("gdd_f", "stage"), [(0, 0), (115, 0), (197, 1), (279, 2), (607, 6), (935, 10), (985, 11)])
def test_stages_by_the_purdue_rule(gdd_f: float, stage: float) -> None:
    """115 to the spike, 82 a collar to V10, then 50: Nielsen, Purdue 2019 (collar sums are arithmetic on it)."""
    assert corn.collars_at(ddc(gdd_f), emergence_ddc=ddc(115), params=PARAMS) == pytest.approx(stage, abs=1e-9)


def wide(*values: float, draws: int = 3) -> np.ndarray:
    """The same value in every draw."""
    return np.repeat(np.array(values)[:, None], draws, axis=1)


def test_emergence_from_planting_alone() -> None:
    """A planting says where it emerges, 22 °F·day between fields; no date says nothing."""
    mean, sd = corn.believed_emergence(wide(200.0, np.nan), NO_UNIT, wide(), NONE, PARAMS)
    assert mean[0] == pytest.approx(200.0)
    assert sd[0] == pytest.approx(ddc(22))
    assert np.isnan(mean[1]).all()
    assert np.isnan(sd[1])


def test_whole_collars_mean_the_middle_of_their_stage() -> None:
    """A scout's V3 is anything from 3 to 4: taken as 3.5; 3.2 is taken as told; NaN is the spike."""
    typed = np.array([3.0, 3.2, np.nan])
    assert corn.seen_collars(typed).tolist() == [3.5, 3.2, 0.0]
    assert corn.seen_sd(typed, PARAMS).tolist() == pytest.approx([ddc(82) * 0.3, ddc(82) * 0.3, ddc(82) * 0.15])
    assert corn.heat_to_collars(np.array([0.0, 3.5, 11.0]), PARAMS) == pytest.approx([0, ddc(287), ddc(820 + 50)])


def test_seen_collars_win_over_the_planting_date() -> None:
    """Normal–normal by hand: the prior is widened four times once corn was seen."""
    mean, sd = corn.believed_emergence(wide(264.0), np.array([0]), wide(300.0), np.array([13.0]), PARAMS)
    weights = np.array([(4 * ddc(22)) ** -2, 13.0**-2])
    assert mean[0] == pytest.approx(weights @ [264.0, 300.0] / weights.sum())
    assert sd[0] == pytest.approx(weights.sum() ** -0.5)
    assert abs(mean[0, 0] - 300.0) < 3.0


def test_several_looks_are_put_together() -> None:
    """Two looks at one field narrow it; a field nobody looked at keeps its own."""
    mean, sd = corn.believed_emergence(
        wide(np.nan, 100.0), np.array([0, 0]), wide(250.0, 270.0), np.array([10.0, 10.0]), PARAMS
    )
    assert mean[:, 0] == pytest.approx([260.0, 100.0])
    assert sd[0] == pytest.approx(10 / np.sqrt(2))


def test_emerged_share_spreads_within_the_field() -> None:
    """Half the plants are up at the field's emergence, nearly all 30 °F·day later."""
    got = corn.emerged_share(np.array([0.0, ddc(30)]) + 100.0, emergence_ddc=100.0, params=PARAMS)
    assert got[0] == pytest.approx(0.5)
    assert got[1] > 0.99


@given(st.lists(st.floats(0, 2000), min_size=2, max_size=20))
@settings(max_examples=examples(50), deadline=None, derandomize=True)
def test_corn_never_goes_back(heats: list[float]) -> None:
    """More heat, never fewer collars."""
    got = corn.collars_at(np.sort(heats), emergence_ddc=64.0, params=PARAMS)
    assert (np.diff(got) >= 0).all()
    assert (got >= 0).all()
