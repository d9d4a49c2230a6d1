"""Tables to the engine's parameters: the one place where published units become SI."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import cache

from springwalk.engine.arrivals import CaptureRule, SurvivalParams
from springwalk.engine.corn import CornParams
from springwalk.engine.cutting import CuttingParams
from springwalk.engine.events import Marks
from springwalk.engine.heat import NAMED, Method
from springwalk.engine.larvae import ENTRIES, Clock
from springwalk.engine.weather import WeatherParams
from springwalk.engine.working import Params
from springwalk.errors import BadValue
from springwalk.jobs.rules import LookRules, Rules, look_rules, rules
from springwalk.tables import number, rows
from springwalk.units import DDF_PER_DDC

DEFAULT_RULE = {"wing": "wing-8-in-2", "cone": "cone-17-in-1"}
"""Where the state has no rule of its own: the lower published one, so that no flight is missed (assumption)."""
STATES = {
    "IL": "Illinois", "IN": "Indiana", "IA": "Iowa", "MI": "Michigan", "MN": "Minnesota", "MO": "Missouri",
    "PA": "Pennsylvania", "WI": "Wisconsin",
}  # fmt: skip
SPAN_METHODS = ("86/50", "sine", "average")
"""Methods whose dates are shown side by side: the ones that services are known to use."""


@dataclass(frozen=True)
class Settings:
    """All parameters of one question."""

    engine: Params
    weather: WeatherParams
    cover: dict[str, float]
    rule_heat_ddc: float
    walk_lead_days: int
    trap_reach_km: float
    background: float
    rules: Rules
    looks: LookRules

    @property
    def digest(self) -> str:
        """A short hash of every value, kept with each result."""
        return hashlib.sha256(repr(self).encode()).hexdigest()[:16]


def _n(table: str, name: str) -> float:
    return number(table, name).value


def _ddc(table: str, name: str) -> float:
    return _n(table, name) / DDF_PER_DDC


def insect_method(name: str) -> Method:
    """The method a season names for the insect; raises BadValue for one that is not known."""
    found = NAMED.get(name)
    if found is None:
        raise BadValue("heat_method", name, "no such way of counting heat", f"use one of {', '.join(NAMED)}")
    return found


@cache
def load(heat_method: str = "sine") -> Settings:
    """The settings from the tables for a season that counts insect heat by ``heat_method``."""
    cover = {row["name"]: float(row["value"]) for row in rows("cover")}
    engine = Params(
        clock=_clock(),
        corn=_corn(),
        cutting=_cutting(),
        survival=SurvivalParams(
            cover["dead_days_before_emergence"],
            cover["dead_survival"],
            cover["safe_days_before_planting"],
            cover["survival_ramp"],
        ),
        insect_heat=insect_method(heat_method),
        laying_delay_nights=_n("cutworm_clock", "laying_delay_mean"),
        larvae_per_flight=_n("cutworm_clock", "larvae_per_flight"),
        clean_cover=cover["clean"],
        marks=_marks(),
    )
    return Settings(
        engine=engine,
        weather=_weather(),
        cover=cover,
        rule_heat_ddc=_ddc("cutworm_clock", "rule_heat"),
        walk_lead_days=int(_n("cutworm_clock", "walk_lead")),
        trap_reach_km=_n("weather_model", "trap_reach"),
        background=_n("cutting", "background"),
        rules=rules(),
        looks=look_rules(),
    )


def _clock() -> Clock:
    names = ["entry_hatch", *(f"entry_{entry}" for entry in ENTRIES[1:])]
    return Clock(
        entries_ddc=tuple(_ddc("cutworm_clock", name) for name in names),
        cv=_n("cutworm_clock", "stage_cv"),
        scale_mean=_n("cutworm_clock", "entry_scale_mean"),
        scale_sd=_n("cutworm_clock", "entry_scale_sd"),
        field_sd_ddc=_ddc("cutworm_clock", "field_shift_sd"),
    )


def _corn() -> CornParams:
    return CornParams(
        emergence_ddc=_ddc("corn_clock", "emergence"),
        field_sd_ddc=_ddc("corn_clock", "emergence_field_sd"),
        plant_sd_ddc=_ddc("corn_clock", "emergence_plant_sd"),
        collar_ddc=_ddc("corn_clock", "collar_to_v10"),
        late_collar_ddc=_ddc("corn_clock", "collar_after_v10"),
        seen_collar_sd=_n("corn_clock", "seen_collar_sd"),
        rate_cv=_n("corn_clock", "collar_rate_cv"),
    )


def _marks() -> Marks:
    heats = tuple(_ddc("looks", name) for name in ("dig_from", "dig_to", "spike_heat"))
    return Marks(heats, tuple(_n("looks", name) for name in ("root_from", "root_to", "last_collar")))


def _cutting() -> CuttingParams:
    # A rate per °F·day is 1.8 times as much per °C·day.
    rates = [_n("cutting", f"rate_instar_{k}") * DDF_PER_DDC for k in (4, 5, 6)]
    return CuttingParams(
        rate_per_ddc=(rates[0], rates[1], rates[2]),
        stage_share=tuple(_n("cutting", f"stage_{v}") for v in range(8)),
        survival=_n("cutting", "survival_per_instar"),
        background=_n("cutting", "background"),
    )


def _weather() -> WeatherParams:
    t = "weather_model"
    return WeatherParams(
        gap_days_filled=int(_n(t, "gap_days_filled")),
        anomaly_efold_days=_n(t, "anomaly_efold"),
        anomaly_window_days=int(_n(t, "anomaly_window")),
        repeat_suspicious_days=int(_n(t, "repeat_suspicious")),
        jump_suspicious_c=_n(t, "jump_suspicious"),
        lapse_c_per_m=_n(t, "lapse_rate") / 1000.0,
        elevation_band_m=_n(t, "elevation_band"),
        members=int(_n(t, "members")),
        spring_warming_c_per_day=_n(t, "spring_warming"),
        station_reach_km=_n(t, "station_reach"),
        station_smooth_km=_n(t, "station_smooth"),
    )


def capture_rule(trap_kind: str, *, key: str = "", state: str = "") -> CaptureRule | None:
    """The rule of a significant capture for a kind of trap: the season's, else the state's, else the default.

    None where no rule is published for the kind (bucket and other traps).
    """
    state = STATES.get(state.upper(), state)
    mine = [row for row in rows("capture_rules") if row["trap_kind"] == trap_kind]
    chosen = (
        [row for row in mine if row["key"] == key]
        or [row for row in mine if row["state"].lower() == state.lower()]
        or [row for row in mine if row["key"] == DEFAULT_RULE.get(trap_kind)]
    )
    if not chosen:
        return None
    row = chosen[0]
    return CaptureRule(row["key"], trap_kind, float(row["moths"]), int(row["nights"]))
