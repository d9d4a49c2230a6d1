"""Stages of a brood by heat: a published set of staged insects (budworm.csv, stage_counts.csv) and the gamma clock.

Western spruce budworm, 655 insects of seven stages on twelve dates, heat over 5.5 °C: Dennis, Kemp & Beckwith 1986,
Environmental Entomology 15:540–546, as typed in a replication of Candy 1991 (CC BY 4.0). The two published models have
their own curves, which are written out here; what is ours is how shares of stages follow from curves, and what staged
larvae say about the clock.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.special import expit, xlogy

from springwalk.engine.belief import Grid, UnitHazard, WalkSeen, evidence
from springwalk.engine.belief_share import shift_prior
from springwalk.engine.larvae import Clock, brood, matured, stage_shares
from springwalk.jobs.params_belief import belief_params
from tests.published.reading import cases, rows

Array = NDArray[np.float64]
CUTS = np.array([120.039, 204.665, 264.590, 341.291, 464.477, 595.707])
SPREAD = 1.412


def curves(row: dict[str, str], heat: Array) -> Array:
    """Shares past each cut point (heat, 6) by the row's model: logistic, its variance constant or growing with heat."""
    cuts = np.array([float(x) for x in row["cuts"].split()])
    if row["slope"]:
        return np.asarray(expit(-(cuts + float(row["slope"]) * heat[:, None])))
    return by_heat(heat, cuts, float(row["spread"]))


def by_heat(heat: Array, cuts: Array = CUTS, spread: float = SPREAD) -> Array:
    """Shares past each cut point (heat, 6) where variance grows with heat."""
    return np.asarray(expit((heat[:, None] - cuts) / np.sqrt(spread * heat)[:, None]))


@pytest.mark.parametrize("row", cases("stage_counts", "id"))
def test_shares_of_stages_match_their_source(row: dict[str, str]) -> None:
    """The shares between two curves are the stages; over the whole set they give the likelihood known for it."""
    if row["what"] == "misfit":
        counts = np.array([[float(value) for value in seen.values()] for seen in rows("budworm")])
        assert counts[:, 1:].sum() == 655
        got = -xlogy(counts[:, 1:], stage_shares(curves(row, counts[:, 0]))).sum()
    else:
        stage = int(row["what"].removeprefix("share ")) - 1
        got = stage_shares(curves(row, np.array([float(row["heat_ddc"])])))[0, stage]
    assert got == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]), rel=0)


def test_staged_larvae_move_the_clock_as_worked_by_hand() -> None:
    """1, 9 and 5 larvae in three stages at 250 °C·day, clock known to 20: mean 1.411 early, 8.664 about it.

    Worked beforehand on a grid of shifts; ours goes through what larvae of a search say. A search of next to no effort
    tells nothing by its number, so that the sizes alone speak.
    """
    shifts = np.arange(-150.0, 150.25, 0.5)
    seven = stage_shares(by_heat(250.0 - shifts))
    stages = np.concatenate([seven[:, :5], seven[:, 5:].sum(axis=1, keepdims=True)], axis=1)[:, None]
    hazard = UnitHazard(cut=np.zeros((len(shifts), 1)), stages=stages, leaf=np.zeros((len(shifts), 1)))
    plain = belief_params()
    sure = replace(plain.sizes, found=(1.0, 1.0, 1.0, 1.0), right=1.0)
    params, grid = replace(plain, sizes=sure, other_per_100=1e-30), Grid(np.array([1e-9]), shifts)
    walk = WalkSeen(0, 0, larvae_found=15, plants_searched=1, hour=20, instars=(3, *[4] * 9, *[5] * 5))
    log = evidence([walk], hazard, grid, params).log_likelihood[0]
    weight = shift_prior(np.zeros(1), grid, 20.0)[0] * np.exp(log - log.max())
    weight /= weight.sum()
    mean = float(weight @ shifts)
    assert mean == pytest.approx(-1.411, abs=0.0005)  # below 0: the brood is early
    assert float(np.sqrt(weight @ (shifts - mean) ** 2)) == pytest.approx(8.664, abs=0.0005)


@pytest.mark.parametrize("row", cases("maturation", "what", "at"))
def test_one_stage_matures_as_worked_beforehand(row: dict[str, str]) -> None:
    """A spread of 20 % is 25 sub-stages: shares past the stage by heat, and the heat by share."""
    cv, mean, at = (float(row[key]) for key in ("cv", "mean", "at"))
    if row["what"] == "past":
        got = float(matured(np.array(at / mean), cv))
    elif row["what"] == "heat":
        x = np.linspace(0.4, 2.0, 160_001)
        got = mean * float(np.interp(at, matured(x, cv), x))
    else:
        clock, one = Clock((mean,) * 5, cv, 1.0, 0.0, 0.0), np.ones((1, 1))
        one_night = brood(one, 0.0 * one, clock, np.ones(1), top_ddc=800.0)
        first = np.zeros(1, np.int64)
        got = float(one_night.heat_when(0, at, first, first)[0, 0])
    assert got == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]), rel=0)
