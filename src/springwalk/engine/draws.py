"""One set of joint draws for everything uncertain about dates: weather member, heat scale, field shift, emergence.

A fixed low-discrepancy sequence (additive recurrence), so that the same inputs give the same sheet and every field
sees the same points.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

Array = NDArray[np.float64]
Index = NDArray[np.int64]

SCALE_NODES = 9
LEAST_DRAWS = 240
# Powers of the root of x**5 = x + 1: the additive recurrence with the best spread in four dimensions.
_STEP = 1.0 / 1.1673039782614187 ** np.arange(1, 5)


@dataclass(frozen=True)
class Draws:
    """Arrays of length n: ``member`` and ``scale_node`` are indices, the z are standard normal."""

    member: Index
    scale_node: Index
    field_z: Array
    emergence_z: Array
    rate_z: Array


def make_draws(members: int) -> Draws:
    """At least LEAST_DRAWS joint draws, each weather member equally often."""
    n = members * -(-LEAST_DRAWS // members)
    u = (0.5 + np.outer(np.arange(1, n + 1), _STEP)) % 1.0
    z = ndtri(np.clip(u[:, 1:], 1e-6, 1 - 1e-6))
    return Draws(
        member=np.arange(n) % members,
        scale_node=np.minimum((u[:, 0] * SCALE_NODES).astype(np.int64), SCALE_NODES - 1),
        field_z=z[:, 0],
        emergence_z=z[:, 1],
        rate_z=z[:, 2],
    )


def scale_nodes(mean: float, sd: float) -> Array:
    """The heat scale at SCALE_NODES equally likely nodes with the stated mean and standard deviation."""
    z = ndtri((np.arange(SCALE_NODES) + 0.5) / SCALE_NODES)
    return np.asarray(mean + sd * z / np.sqrt(np.mean(z**2)))
