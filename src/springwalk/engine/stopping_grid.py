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
    fields, actions, _, shifts = losses.shape
    low, part = between(SHARES, cut_share)
    size = fields * shifts * len(SHARES)
    first = (np.arange(fields)[:, None, None] * shifts + np.arange(shifts)) * len(SHARES) + low
    sums = np.empty((fields, actions + 1, shifts, len(SHARES)))
    for column in range(actions + 1):
        each = weight * losses[:, column - 1] if column else weight
        upper = each * part
        made = np.bincount(first.ravel(), (each - upper).ravel(), size)
        made[1:] += np.bincount(first.ravel(), upper.ravel(), size)[:-1]
        sums[:, column] = made.reshape(fields, shifts, len(SHARES))
    by_cuts = np.swapaxes(sums, 2, 3) @ _split(CUTS, cuts_per_larva)[:, None]
    folded = by_cuts.reshape(fields, actions + 1, len(SHARES) * len(CUTS)).transpose(2, 1, 0)
    return Folded(np.ascontiguousarray(folded[:, 0]), np.ascontiguousarray(folded[:, 1:]))


def _split(values: Array, at: Array) -> Array:
    """Parts (..., values) of each place on the list that fall to the listed values."""
    low, part = between(values, at)
    made = np.zeros((*at.shape, len(values)))
    np.put_along_axis(made, low[..., None], (1.0 - part)[..., None], axis=-1)
    np.put_along_axis(made, low[..., None] + 1, part[..., None], axis=-1)
    return made


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
