"""Stand counts: from plants in a row length, on a wheel or in a hoop to plants per hectare."""

from __future__ import annotations

import math

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


def _positive(name: str, value: float) -> float:
    if not value > 0.0:
        raise BadValue(name, f"{value:g}", "must be above 0", "give the length as it was measured", unit="m")
    return value
