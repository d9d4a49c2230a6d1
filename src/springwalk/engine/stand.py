"""Stand counts: from plants in a row length, on a wheel or in a hoop to plants per hectare, and seeds for a stand."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scipy.stats import norm, t

from springwalk.errors import BadValue
from springwalk.units import M2_PER_ACRE

M2_PER_HA = 10_000.0


def row_length_m(row_width_m: float) -> float:
    """Length of row (m) that stands for 1/1000 acre at a row width (m); each plant in it is 1000 plants per acre.

    Raises BadValue unless the width is above 0. Source: exact geometry, 43.56 ft² over the width.
    """
    return M2_PER_ACRE / 1000.0 / _positive("row width", row_width_m)


def plants_per_ha_from_row_count(plants: float, *, length_m: float, row_width_m: float) -> float:
    """Plants per hectare from plants counted in ``length_m`` of row at ``row_width_m``; lengths must be above 0."""
    area_m2 = _positive("row length", length_m) * _positive("row width", row_width_m)
    return plants / area_m2 * M2_PER_HA


def wheel_factor(row_width_m: float, *, plants: int = 150) -> float:
    """What to divide by the metres walked past ``plants`` plants to get plants per hectare (plants·m per ha)."""
    return plants / _positive("row width", row_width_m) * M2_PER_HA


def hoop_factor(diameter_m: float) -> float:
    """Plants per hectare that one plant inside a hoop of this diameter (m) stands for; made for drilled stands."""
    return M2_PER_HA / (math.pi * _positive("hoop diameter", diameter_m) ** 2 / 4.0)


def seeds_per_ha(stand_per_ha: float, *, germination: float, survival: float) -> float:
    """Seeds per hectare to drop for a final stand (plants per hectare): stand over germination × survival.

    ``germination`` is the share on the seed tag and ``survival`` the share of germinable seeds that stand at the end,
    each above 0 and at most 1. Raises BadValue. Source: Thomison, Ohio State.
    """
    for name, share in (("germination", germination), ("survival", survival)):
        if not 0.0 < share <= 1.0:
            raise BadValue(name, f"{share:g}", "must be above 0 and at most 1", "give a share, like 0.95 for 95 %")
    return stand_per_ha / (germination * survival)


@dataclass(frozen=True)
class Counted:
    """Mean of stand counts: plants per count, its standard error, its low and high end, and counts still to make."""

    mean: float
    standard_error: float
    low: float
    high: float
    more: int


@dataclass(frozen=True)
class CountRule:
    """How near the mean should be: ``margin`` (share of it) at ``normal`` standard errors; chance alone spreads counts
    as seeds do of which the share ``emergence`` comes up."""

    margin: float
    normal: float
    emergence: float


def counted(counts: Sequence[float], rule: CountRule, *, level: float = 0.8) -> Counted:
    """Mean of repeated counts of equal row lengths with its two-sided ``level`` interval and the counts still needed.

    ``counts`` are plants (a doubtful plant may be a half); ``level`` 0 … 1. The spread is that of the counts (Student's
    t), but never less than chance alone gives, so that a few equal counts are not taken for certain. With one count
    chance alone is known (normal interval), which is the narrowest it could be. Raises BadValue for no count, a count
    below 0 and counts that are all 0. Source of the counts needed: (normal · CV / margin)², a textbook formula.
    """
    if not counts or not all(math.isfinite(x) and x >= 0.0 for x in counts):
        shown = ", ".join(f"{x:g}" for x in counts) or "(none)"
        raise BadValue("counts", shown, "must be numbers of plants, 0 or more", "give the plants of each count")
    mean = sum(counts) / len(counts)
    if mean == 0.0:
        raise BadValue("counts", "0", "no plant was counted", "there is no stand; go on to replanting")
    chance = math.sqrt(mean * (1.0 - rule.emergence))
    n = len(counts)
    seen = math.sqrt(sum((x - mean) ** 2 for x in counts) / (n - 1)) if n > 1 else 0.0
    sd = max(seen, chance)
    half = float(t.ppf(0.5 + level / 2.0, n - 1) if n > 1 else norm.ppf(0.5 + level / 2.0)) * sd / math.sqrt(n)
    needed = counts_needed(sd / mean, rule)
    return Counted(mean, sd / math.sqrt(n), max(0.0, mean - half), mean + half, max(0, needed - n))


def counts_needed(cv: float, rule: CountRule) -> int:
    """Counts that bring the mean within ``rule.margin`` of itself, from their coefficient of variation (a share)."""
    return math.ceil((rule.normal * cv / rule.margin) ** 2)


def _positive(name: str, value: float) -> float:
    if not value > 0.0:
        raise BadValue(name, f"{value:g}", "must be above 0", "give the length as it was measured", unit="m")
    return value
