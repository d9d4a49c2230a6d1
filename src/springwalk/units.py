"""Unit conversions and quantities typed with a unit, such as ``28F`` or ``30in``."""

from __future__ import annotations

import re
from typing import Any

from springwalk.errors import BadValue

DDF_PER_DDC = 1.8
ACRES_PER_HA = 2.4710538146716532  # 1 international acre = 4046.8564224 m²
M2_PER_ACRE = 4046.8564224
M_PER_IN = 0.0254
M_PER_FT = 0.3048
MM_PER_IN = 25.4

_QUANTITY = re.compile(r"^\s*([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)\s*(\D*?)\s*$")

# unit spelling -> (kind, factor, offset): base = value * factor + offset
_UNITS: dict[str, tuple[str, float, float]] = {
    "C": ("temperature_c", 1.0, 0.0),
    "°C": ("temperature_c", 1.0, 0.0),
    "F": ("temperature_c", 5.0 / 9.0, -160.0 / 9.0),
    "°F": ("temperature_c", 5.0 / 9.0, -160.0 / 9.0),
    "m": ("length_m", 1.0, 0.0),
    "cm": ("length_m", 0.01, 0.0),
    "mm": ("length_m", 0.001, 0.0),
    "in": ("length_m", M_PER_IN, 0.0),
    "ft": ("length_m", M_PER_FT, 0.0),
    "ha": ("area_ha", 1.0, 0.0),
    "ac": ("area_ha", 1.0 / ACRES_PER_HA, 0.0),
}
_US_DEFAULT = {"temperature_c": "F", "length_m": "in", "area_ha": "ac"}


def f_to_c(value_f: Any) -> Any:
    """Temperature in °C from °F (number or array)."""
    return (value_f - 32.0) / 1.8


def c_to_f(value_c: Any) -> Any:
    """Temperature in °F from °C (number or array)."""
    return value_c * 1.8 + 32.0


def quantity(text: str, kind: str, *, name: str) -> float:
    """Read ``28F``, ``30in`` or a bare number (US customary) as the SI value of ``kind``.

    ``kind`` is ``temperature_c``, ``length_m`` or ``area_ha``. Raises BadValue for an unknown
    unit or one of another kind.
    """
    match = _QUANTITY.match(text)
    known = ", ".join(unit for unit, (k, _, _) in _UNITS.items() if k == kind and "°" not in unit)
    if not match:
        raise BadValue(name, text, "not a number with a unit", f"write it like 28F or 30in (units here: {known})")
    unit = match.group(2) or _US_DEFAULT[kind]
    found = _UNITS.get(unit)
    if found is None or found[0] != kind:
        raise BadValue(name, text, f"unit {unit!r} does not fit", f"use one of: {known}")
    return float(match.group(1)) * found[1] + found[2]
