"""How often a count that follows its stop table ends with one of its actions."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.stopping import StopTable
from springwalk.engine.stopping_counts import Chances, way_chance

Array = NDArray[np.float64]


def share_ending(table: StopTable, chances: Chances, weight: Array, action: int) -> Array:
    """Chance (f,) that the count ends with ``action``, from the weights (h, f) the table was made with.

    Worked backward as the table is: a state that goes on has the mean of those it leads to.
    """
    ends = np.zeros((0, weight.shape[1]))
    for now in reversed(table.held):
        here = (table.best[now.k] == action).astype(np.float64)
        go = table.go_on[now.k]
        if go.any():
            more = np.zeros_like(here)
            for way in now.onward:
                chance = chances.reached[now.k][: way.rows] * way_chance(way, now, chances.stop, table.params)
                more[: way.rows] += (chance @ weight) * ends[way.to]
            sure = np.where(table.chance[now.k] > 0.0, table.chance[now.k], 1.0)
            here = np.where(go, more / sure, here)
        ends = here
    return np.asarray(ends[0])
