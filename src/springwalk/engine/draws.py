"""One set of joint draws for everything uncertain about dates: weather member, heat scale, field shift, emergence.

Fixed strata in a fixed order, so that the same inputs give the same sheet and every field sees the same points.
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
_SEED = 20160517
_DIMENSIONS = 4


@dataclass(frozen=True)
class Draws:
    """Arrays of length n: ``member`` and ``scale_node`` are indices, the z are standard normal.

    ``scale_z`` holds the heat scale at each node, in standard deviations.
    """

    member: Index
    scale_node: Index
    scale_z: Array
    field_z: Array
    emergence_z: Array
    rate_z: Array


def make_draws(members: int) -> Draws:
    """At least LEAST_DRAWS joint draws, each weather member equally often, all else stratified and uncorrelated."""
    n = members * -(-LEAST_DRAWS // members)
    z = _strata(n)
    u = (np.argsort(np.argsort(z[:, 0])) + 0.5) / n
    nodes = ndtri((np.arange(SCALE_NODES) + 0.5) / SCALE_NODES)
    return Draws(
        member=np.arange(n) % members,
        scale_node=np.minimum((u * SCALE_NODES).astype(np.int64), SCALE_NODES - 1),
        scale_z=nodes / np.sqrt(np.mean(nodes**2)),
        field_z=z[:, 1],
        emergence_z=z[:, 2],
        rate_z=z[:, 3],
    )


def central_draws(members: int) -> Draws:
    """One draw a member with everything but the weather at its middle."""
    zero = np.zeros(members)
    return Draws(np.arange(members), np.zeros(members, np.int64), np.zeros(1), zero, zero, zero)


def _strata(n: int) -> Array:
    """Standard normal strata (n, dimensions): shuffled, then re-ranked after whitening (Iman & Conover 1982)."""
    rng = np.random.default_rng(_SEED)
    levels = ndtri((np.arange(n) + 0.5) / n)
    levels = levels / np.sqrt(np.mean(levels**2))
    z = np.stack([rng.permutation(levels) for _ in range(_DIMENSIONS)], axis=1)
    for _ in range(3):
        whitened = z @ np.linalg.inv(np.linalg.cholesky(np.corrcoef(z.T))).T
        z = levels[np.argsort(np.argsort(whitened, axis=0), axis=0)]
    return np.asarray(z)
