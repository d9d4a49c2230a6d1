"""Tables to the parameters of the seedbed: soil temperature, surface water, and the layers of the soil textures."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cache
from typing import get_args

from springwalk.engine.soil_heat import SoilHeatParams
from springwalk.engine.surface_water import Ground, WetParams
from springwalk.records.places import Texture
from springwalk.tables import Number, number

USUAL_TEXTURE = "silt loam"
"""Taken where nobody told a field's texture (assumption)."""


@dataclass(frozen=True)
class SeedbedParams:
    """Everything a seedbed is worked from, beside the weather; ``textures`` = (TEW, REW) low, middle, high in mm."""

    soil: SoilHeatParams
    start_days: int
    ground: Ground
    wet: WetParams
    textures: dict[str, tuple[tuple[float, float], ...]]


@cache
def seedbed_params() -> SeedbedParams:
    """The parameters as the tables have them."""
    heat = {
        f.name: number("soil_model", f.name).value for f in fields(SoilHeatParams) if f.name not in ("depth_mm", "sd_c")
    }
    soil = SoilHeatParams(depth_mm=_n("soil_model", "depth"), sd_c=_n("soil_model", "soil_sd"), **heat)
    wet = WetParams(
        fit_mm=_n("surface_water", "fit"),
        wet_rain_mm=_n("surface_water", "wet_rain"),
        wet_days=int(_n("surface_water", "wet_days")),
        known_window_days=int(_n("surface_water", "known_window")),
        known_share=_n("surface_water", "known_share"),
        crust_dry_share=_n("surface_water", "crust_dry_share"),
        et0_error=_n("surface_water", "et0_error"),
    )
    ground = Ground(kc_max=_n("surface_water", "kc_max"))
    textures = {name: _layer(name) for name in get_args(Texture)}
    return SeedbedParams(soil, int(_n("soil_model", "start_days")), ground, wet, textures)


def _layer(texture: str) -> tuple[tuple[float, float], ...]:
    key = texture.replace(" ", "_")
    tew, rew = (_three(number("fao56_textures", f"{key}_{what}")) for what in ("tew", "rew"))
    return tuple(zip(tew, rew, strict=True))


def _three(found: Number) -> tuple[float, float, float]:
    low, high = found.low, found.high
    return (found.value if low is None else low, found.value, found.value if high is None else high)


def _n(table: str, name: str) -> float:
    return number(table, name).value
