"""The services' own forecast: heat from a capture to a rule's requirement, by any named method."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class RuleDate:
    """Heat since the capture on the morning of today (°C·day), and the day (low, median, high) the rule is reached."""

    heat_ddc: float
    day: tuple[float, float, float]


def rule_date(running_ddc: Array, *, night: int, today: int, wanted_ddc: float) -> RuleDate:
    """When a running total (member, day) reaches ``wanted_ddc`` after a capture, counted from the day after it.

    A day is the index of the day during which the total is reached; infinite = not within the season.
    """
    since = running_ddc - running_ddc[:, night : night + 1]
    reached = since >= wanted_ddc - 1e-9
    day = np.where(reached.any(axis=1), np.argmax(reached, axis=1).astype(float), np.inf)
    ranked = np.sort(day)
    low, mid, high = (float(ranked[max(0, int(np.ceil(q * len(ranked))) - 1)]) for q in (0.1, 0.5, 0.9))
    return RuleDate(float(since[:, max(night, today - 1)].mean()), (low, mid, high))
