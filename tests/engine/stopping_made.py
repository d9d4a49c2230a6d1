"""A usual field before any count, so long after the middle of the feeding, and its stop table."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.stats import gamma, norm

from springwalk.engine.stopping import StopTable, stop_tables
from springwalk.engine.stopping_counts import likeness, stop_chances
from springwalk.engine.stopping_plans import Earned, earned
from springwalk.jobs.params_stopping import count_params

Array = NDArray[np.float64]

PARAMS = count_params()
LARVAE = np.concatenate([[0.0], np.geomspace(0.05, 60.0, 48)])
SHIFTS_F = np.arange(-150.0, 151.0, 15.0)
TREAT, FIELD = 1280.0, 64_000.0


def prior(any_larvae: float = 0.19) -> Array:
    """A usual field before any count: most have no larvae, the clock is known to 29 °F·day."""
    edges = np.concatenate([[0.0], np.sqrt(LARVAE[1:-1] * LARVAE[2:]), [np.inf]])
    some = np.diff(gamma.cdf(edges, 0.9, scale=2.5 / 0.9))
    shift = norm.pdf(SHIFTS_F / 28.65)
    return np.concatenate([[1.0 - any_larvae], any_larvae * some])[:, None] * shift / shift.sum()


def field(heat_f: float) -> tuple[Array, Array, Array]:
    """Losses (2, L, S) of leave and treat, cut share (L, S) and cuts per larva (S,), so long after mid-feeding."""
    past = 4.0 / (1.0 + np.exp(-(heat_f - SHIFTS_F) / 55.0))
    leave = FIELD * 0.65 * -np.expm1(-LARVAE[:, None] * (4.0 - past) / 100.0)
    return np.stack([leave, TREAT + 0.1 * leave]), -np.expm1(-LARVAE[:, None] * past / 100.0), past


def one_table(heat_f: float, cost: float = 4.0, any_larvae: float = 0.19) -> StopTable:
    """The stop table of one such field."""
    losses, share, past = field(heat_f)
    return stop_tables(prior(any_larvae)[None], losses[None], share[None], past[None], cost, PARAMS)


def full_chances(heat_f: float) -> Array:
    """Chances of one stop under every load and shift, none of them folded."""
    _, share, past = field(heat_f)
    return stop_chances(share.ravel(), likeness(share, past[None], PARAMS).ravel(), PARAMS)


def really(table: StopTable, heat_f: float, cost: float = 4.0) -> Earned:
    """What the table earns when followed exactly under every load and shift."""
    losses, _, _ = field(heat_f)
    return earned(table, full_chances(heat_f), prior().ravel(), losses.reshape(2, -1), cost)
