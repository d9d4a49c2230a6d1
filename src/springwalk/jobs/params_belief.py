"""Tables to the parameters of belief: the one place where its published units become SI."""

from __future__ import annotations

import math
from functools import cache

from springwalk.engine.belief_seen import BeliefParams, Sizes
from springwalk.tables import number
from springwalk.units import DDF_PER_DDC

_STAGES = ("1_3", "4", "5", "6")
_LEVELS = ("1", "2", "3")
_SOILS = ("dry", "moist", "wet", "crusted")


@cache
def belief_params() -> BeliefParams:
    """The parameters as the tables have them; a field's own shift is that of the cutworm clock."""
    return BeliefParams(
        cut_spread=_n("cut_spread"),
        patch_shape=_n("patch_shape"),
        cut_found=_n("cut_found"),
        age_misread=_n("age_misread"),
        false_fresh=_n("false_fresh"),
        background=number("cutting", "background").value,
        marks_per_larva=_n("marks_per_larva"),
        leaf_levels=_each("leaf_level", _LEVELS),
        leaf_weights=_each("leaf_weight", _LEVELS),
        found_day=_n("found_day"),
        found_dusk=_n("found_dusk"),
        found_night=_n("found_night"),
        soil_factor={soil: _n(f"soil_{soil}") for soil in _SOILS},
        sizes=_sizes(),
        other_prior=_n("other_prior"),
        other_per_100=_n("other_per_100"),
        any_log_odds=(_n("any_log_odds"), _n("any_log_odds_sd")),
        log_mean=(math.log(_n("mean_load")), _n("mean_load_log_sd")),
        load_shape=_n("load_shape"),
        season_shift_sd_ddc=_n("season_shift_sd") / DDF_PER_DDC,
        field_shift_sd_ddc=number("cutworm_clock", "field_shift_sd").value / DDF_PER_DDC,
        usual_per_100=_n("usual_per_100"),
    )


def _sizes() -> Sizes:
    return Sizes(
        mean_mm=_each("length", _STAGES),
        sd_mm=_each("length_sd", _STAGES),
        found=_each("size_found", _STAGES),
        other=_each("other", _STAGES),
        right=_n("instar_right"),
    )


def _each(name: str, of: tuple[str, ...]) -> tuple[float, ...]:
    return tuple(_n(f"{name}_{which}") for which in of)


def _n(name: str) -> float:
    return number("belief", name).value
