"""What is believed, folded onto one list of hypotheses for all fields, so that one table of chances serves them all.

A hypothesis is a share of places cut by larvae (40 values: 0, and 39 spread evenly in the logarithm) with the cuts per
larva behind it (6 values): at one share, few larvae that cut much lie in fewer stops than many that cut little, and a
list of shares alone loses 1 to 1.5 % of the money by not knowing which. A value between two of a list is split between
them so that its mean is kept.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csc_array

from springwalk.engine.stopping_counts import Chances, CountParams, likeness, state_chances, stop_chances

Array = NDArray[np.float64]
Index = NDArray[np.int64]

SHARES = np.concatenate([[0.0], np.geomspace(0.002, 0.9, 39)])
"""The common shares of places cut by larvae (40,)."""
CUTS = np.array([0.0, 0.4, 1.0, 2.0, 3.0, 4.5])
"""The common cuts per larva (6,); the likeness of places is nearly linear in them."""


@dataclass(frozen=True)
class Folded:
    """Weights (h, f) and weighted losses (h, a, f) of fields f over the common hypotheses, share by share."""

    weight: Array
    loss: Array


def fold(weight: Array, losses: Array, cut_share: Array, cuts_per_larva: Array) -> Folded:
    """Fold weights (f, L, S), losses (f, a, L, S) and cut shares (f, L, S) of fields onto the common list.

    ``cuts_per_larva`` (f, S) is what a walk sees per larva. Shares and cuts beyond the lists count as their ends.
    """
    fields, actions = losses.shape[:2]
    low_p, part_p = between(SHARES, cut_share.reshape(fields, -1))
    cuts = np.broadcast_to(cuts_per_larva[:, None, :], cut_share.shape).reshape(fields, -1)
    low_k, part_k = between(CUTS, cuts)
    size = len(SHARES) * len(CUTS)
    first = np.arange(fields)[:, None] * size + low_p * len(CUTS) + low_k
    to = np.stack([first, first + 1, first + len(CUTS), first + len(CUTS) + 1], axis=-1)
    share_p, share_k = np.stack([1.0 - part_p, part_p], -1), np.stack([1.0 - part_k, part_k], -1)
    split = (share_p[..., :, None] * share_k[..., None, :]).reshape(fields, -1, 4)
    points = first.size
    moved = csc_array((split.ravel(), to.ravel(), np.arange(0, 4 * points + 1, 4)), shape=(fields * size, points))
    w = weight.reshape(points, 1)
    columns = np.concatenate([w, w * np.moveaxis(losses, 1, -1).reshape(points, actions)], axis=1)
    folded = np.moveaxis((moved @ columns).reshape(fields, size, actions + 1), 0, -1)
    return Folded(np.ascontiguousarray(folded[:, 0]), np.ascontiguousarray(folded[:, 1:]))


def between(values: Array, at: Array) -> tuple[Index, Array]:
    """The place of the listed value below each, and how far each lies towards the next (0–1); ends hold."""
    held = np.clip(at, values[0], values[-1])
    low = np.clip(np.searchsorted(values, held, side="right") - 1, 0, len(values) - 2)
    return low, (held - values[low]) / (values[low + 1] - values[low])


@cache
def common_chances(params: CountParams) -> Chances:
    """The chances of every count under the common hypotheses; made once for a set of numbers."""
    share, cuts = np.repeat(SHARES, len(CUTS)), np.tile(CUTS, len(SHARES))
    return state_chances(stop_chances(share, likeness(share, cuts, params), params), params)
