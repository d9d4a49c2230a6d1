"""How thick a stand is, from plants counted in lengths of row: a question that needs no store."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import Any

from springwalk.engine.stand import counted, plants_per_ha_from_row_count, row_length_m
from springwalk.errors import BadValue
from springwalk.jobs.stand_tables import count_rule
from springwalk.units import ACRES_PER_HA, M_PER_FT, M_PER_IN, quantity

LEVEL = 0.8
_FEET_AND_INCHES = re.compile(r"^\s*(\d+(?:\.\d+)?)\s*(?:ft|')\s*(\d+(?:\.\d+)?)\s*(?:in|\")\s*$")
_WIDTH_M, _LENGTH_M = (0.10, 2.0), (0.5, 500.0)


def stand_count(*, row_width_m: float, counts: Sequence[float], length_m: float | None = None) -> dict[str, Any]:
    """Plants per acre and per hectare from plants ``counts`` of equal row lengths at a row width.

    ``length_m`` not given: the length that is 1/1000 acre. Answers ``plants_per_acre``, ``plants_per_ha``,
    ``interval_80`` (low and high, plants per acre) and ``more_counts_for_5_percent`` (counts still to make for a mean
    within 5 % at 95 % confidence). Raises BadValue for lengths no row has and counts that are no counts.
    """
    _physical("row-width", row_width_m, _WIDTH_M)
    length = row_length_m(row_width_m) if length_m is None else length_m
    _physical("length", length, _LENGTH_M)
    found = counted(counts, count_rule(), level=LEVEL)
    per_plant = plants_per_ha_from_row_count(1.0, length_m=length, row_width_m=row_width_m)
    per_acre = per_plant / ACRES_PER_HA
    return {
        "plants_per_acre": round(found.mean * per_acre, 3),
        "plants_per_ha": round(found.mean * per_plant, 3),
        "interval_80": [round(found.low * per_acre, 3), round(found.high * per_acre, 3)],
        "more_counts_for_5_percent": found.more,
    }


def row_m(text: str, *, name: str) -> float:
    """Metres of ``30in``, ``5.31m``, ``17.4ft``, ``17ft5in`` or a bare number of inches; raises BadValue else."""
    both = _FEET_AND_INCHES.match(text)
    if both:
        return float(both.group(1)) * M_PER_FT + float(both.group(2)) * M_PER_IN
    return quantity(text, "length_m", name=name)


def plants_of(text: str) -> list[float]:
    """The counts of ``29,31,28``; raises BadValue for what is no number."""
    try:
        return [float(part) for part in text.split(",")]
    except ValueError:
        raise BadValue("counts", text, "not numbers with commas between", "write them like 29,31,28") from None


def _physical(name: str, value_m: float, limits: tuple[float, float]) -> None:
    low, high = limits
    if not math.isfinite(value_m) or not low <= value_m <= high:
        told = f"outside {low:g} … {high:g} m"
        raise BadValue(name, f"{value_m:.4g}", told, "check the number and its unit", unit="m")
