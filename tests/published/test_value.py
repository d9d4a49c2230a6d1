"""What knowing and looking are worth, through the stop table that counts in the field (value_rows.csv).

A stop of one place, counted once at most and at no cost, is a look with two outcomes.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from springwalk.engine.stopping import StopTable, induct, worth_knowing, worth_seeing
from springwalk.engine.stopping_counts import CountParams, state_chances
from tests.published.reading import cases

Array = NDArray[np.float64]
ONE_LOOK = CountParams(places=1, most_stops=1, most_cut=1, larva_cv2=0.0, patch_shape=1.0, background=0.0)


class Decision:
    """A row as arrays: ``odds`` of states (h,), ``losses`` of actions (a, h), ``found`` chances of finding (h,)."""

    def __init__(self, row: dict[str, str]) -> None:
        self.odds = np.array([float(x) for x in row["odds"].split()])
        self.losses = np.array([[float(x) for x in action.split()] for action in row["losses"].split("|")])
        blind = np.full(len(self.odds), 0.5)  # a look that tells nothing
        found = np.array([float(x) for x in row["looks"].split()]) if row["looks"] else blind
        self.stop = np.stack([1.0 - found, found], axis=1)
        self.weighted = (self.losses * self.odds).T[:, :, None]

    def table(self, losses: Array | None = None) -> StopTable:
        """The stop table of these losses (a, h); None = the row's own."""
        weighted = self.weighted if losses is None else (losses * self.odds).T[:, :, None]
        chances = state_chances(self.stop, ONE_LOOK)
        return induct(chances, self.odds[:, None], weighted, np.zeros(1), ONE_LOOK)

    def of_action(self, action: int) -> float:
        """Expected loss where only this can be done."""
        return float(self.table(self.losses[[action]]).without[0])

    def last_state(self, *, found: int) -> float:
        """Chance of the last state after a look: what one would lose who loses 1 in it alone."""
        table = self.table(np.eye(len(self.odds))[-1:])
        return float(table.loss[1][table.row(1, found, found), 0])


ANSWERS: dict[str, Callable[[Decision], float]] = {
    "loss of action 0": lambda d: d.of_action(0),
    "loss of action 1": lambda d: d.of_action(1),
    "least loss": lambda d: float(d.table().without[0]),
    "loss when known": lambda d: float(d.table().without[0] - worth_knowing(d.weighted)[0]),
    "worth of knowing": lambda d: float(worth_knowing(d.weighted)[0]),
    "chance of finding": lambda d: float(d.table().chance[1][d.table().row(1, 1, 1), 0]),
    "last state after finding": lambda d: d.last_state(found=1),
    "last state after none": lambda d: d.last_state(found=0),
    "loss with a look": lambda d: float(d.table().loss[0][0, 0]),
    "worth of a look": lambda d: float(d.table().value[0]),
}


@pytest.mark.parametrize("row", cases("value_rows", "id"))
def test_decision_matches_its_source(row: dict[str, str]) -> None:
    """Fields are ranked by what a look is worth, so the textbook cases must come out of the same table."""
    decision = Decision(row)
    assert ANSWERS[row["what"]](decision) == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]), rel=0)
    assert worth_seeing(decision.stop.T, decision.weighted)[0] == pytest.approx(decision.table().value[0])
