"""The winter index for corn flea beetle and Stewart's wilt: how mild December to February were."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from springwalk.errors import BadValue
from springwalk.units import c_to_f


def winter_sum_f(mean_dec_c: float, mean_jan_c: float, mean_feb_c: float) -> float:
    """Sum (°F) of the three monthly mean temperatures (°C); NaN for a missing month gives NaN.

    Source: Ohio State and Illinois notices on Stewart's wilt (tables ``flea_beetle_index``).
    """
    return float(sum(c_to_f(mean) for mean in (mean_dec_c, mean_jan_c, mean_feb_c)))


def class_of(sum_f: float, breaks: Sequence[float]) -> int:
    """Which class (0 = mildest risk) a winter sum falls in, for ascending ``breaks`` in the same unit.

    A class begins at its lower break; only the top one is printed as "over", so a sum equal to the last break stays
    below it. Raises BadValue for a missing sum or breaks that do not ascend. The index says nothing of whether
    beetles carry the bacterium.
    """
    if not breaks or any(b <= a for a, b in pairwise(breaks)):
        raise BadValue("breaks", list(breaks), "must ascend and hold at least one", "give them as 90, 95, 100")
    if math.isnan(sum_f):
        raise BadValue("winter sum", sum_f, "a month is missing", "give all three monthly means", unit="°F")
    reached = sum(sum_f >= limit for limit in breaks[:-1])
    return reached + int(sum_f > breaks[-1])
