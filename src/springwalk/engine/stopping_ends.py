"""How often a count that follows its stop table ends with one of its actions."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.stopping import StopTable
from springwalk.engine.stopping_counts import Chances

Array = NDArray[np.float64]


def share_ending(table: StopTable, chances: Chances, weight: Array, action: int) -> Array:
    """Chance (f,) that the count ends with ``action``, from the weights (h, f) the table was made with.

    Worked backward as the table is: a state that goes on has the mean of those it leads to.
    """
    ends = np.zeros((0, weight.shape[1]))
    for now in reversed(table.held):
        here = (table.best[now.k] == action).astype(np.float64)
        if now.onward:
            more = np.zeros_like(here)
            for way, chance in zip(now.onward, chances.onward[now.k], strict=True):
                more[: way.rows] += (chance @ weight) * ends[way.to]
            here = np.where(table.go_on[now.k], more / table.chance[now.k], here)
        ends = here
    return np.asarray(ends[0])
