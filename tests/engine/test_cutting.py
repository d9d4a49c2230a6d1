"""Plants cut by a larva: the gauge, the classic fault, and a plant that is cut only once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from springwalk.engine.cutting import cutting_per_day, share_cut, stage_factor, still_to_cut
from springwalk.jobs.params import load

PARAMS = load().engine.cutting
SPANS = (53 / 1.8, 66 / 1.8, 210 / 1.8)
COLLAR = 82 / 1.8


@pytest.mark.parametrize(("collars", "plants", "by"), [(1, 4.0, 0.5), (2, 3.0, 0.4), (4, 1.0, 0.3)])
def test_still_to_cut_as_the_gauge_says(collars: float, plants: float, by: float) -> None:
    """Forward integral from the start of instar 4 over growing corn: 4 / 3 / 1 plants (gauge cards; memory)."""
    assert still_to_cut(collars, SPANS, PARAMS, collar_ddc=COLLAR) == pytest.approx(plants, abs=by)


def test_the_gauge_at_fixed_collars_is_the_classic_fault() -> None:
    """Fitted to totals at fixed collars, the forward integral falls to 1.9 / 1.1 / 0.2: far too few plants."""
    fixed = {v: still_to_cut(v, SPANS, PARAMS, collar_ddc=COLLAR, growing=False) for v in (1, 2, 4)}
    scale = {v: want / fixed[v] for v, want in ((1, 4.0), (2, 3.0), (4, 1.0))}
    # A table whose totals at fixed collars are the gauge; between the three it follows the same shape, 0 from V7.
    share = np.interp(np.arange(8), [0, 1, 2, 4, 5.5], [
        PARAMS.stage_share[1] * scale[1], PARAMS.stage_share[1] * scale[1], PARAMS.stage_share[2] * scale[2],
        PARAMS.stage_share[4] * scale[4], 0.0])  # fmt: skip
    wrong = replace(PARAMS, stage_share=tuple(share))
    assert still_to_cut(1, SPANS, wrong, collar_ddc=COLLAR, growing=False) == pytest.approx(4.0)
    got = [still_to_cut(v, SPANS, wrong, collar_ddc=COLLAR) for v in (1, 2, 4)]
    assert got == pytest.approx([1.9, 1.1, 0.2], abs=0.15)


def test_a_plant_is_cut_once() -> None:
    """1 − exp(−λK/100): 2 larvae per 100 with 3 plants each cut a little under 6 %."""
    assert share_cut(2.0, 3.0) == pytest.approx(1 - np.exp(-0.06))
    assert share_cut(0.0, 3.0) == 0.0
    assert share_cut(0.0, 3.0, background=0.003) == pytest.approx(0.003)
    assert share_cut(1e6, 3.0) == pytest.approx(1.0)


def test_nothing_is_cut_before_the_spike_or_from_seven_collars() -> None:
    """No corn, no cutting; thick corn is tunnelled, not cut."""
    able = np.array([0.3, 0.3, 0.4])
    assert cutting_per_day(able, np.array(10.0), stage_factor(0.0, PARAMS), np.array(0.0), PARAMS) == 0.0
    assert cutting_per_day(able, np.array(10.0), stage_factor(7.5, PARAMS), np.array(1.0), PARAMS) == 0.0
    assert stage_factor([0.0, 1.0, 7.0, 12.0], PARAMS).tolist() == [1.0, 1.0, 0.0, 0.0]


def test_one_day_by_hand() -> None:
    """All larvae in instar 6 on one-collar corn, 10 °C·day: 0.025 per °F·day × 18 °F·day = 0.45 plants."""
    got = cutting_per_day(np.array([0.0, 0.0, 1.0]), np.array(10.0), stage_factor(1.0, PARAMS), np.array(1.0), PARAMS)
    assert got == pytest.approx(0.45)
