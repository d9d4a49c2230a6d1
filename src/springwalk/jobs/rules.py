"""The sheet's own thresholds from their table: what puts a field on the list and what is said aloud."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import timedelta
from functools import cache

from springwalk.engine.events import SoakParams
from springwalk.tables import number, numbers
from springwalk.units import f_to_c


@dataclass(frozen=True)
class Rules:
    """One number a row of tables/data/triage.csv, units as there (days, mm, collars, km, per 100)."""

    least_larvae: float
    least_cut: float
    back_after: float
    back_while_small: float
    back_after_cuts: float
    seen: float
    mistake_odds: float
    cutting_size: float
    cutting_instar: float
    last_collar: float
    tunnel_collars: float
    spike_lead: float
    capture_say: float
    trap_far: float
    trap_useless: float
    station_far: float
    corn_disagrees: float
    can_begin: float
    old_weather: float
    unruled_moths: float


@cache
def rules() -> Rules:
    """The rules as the table has them."""
    return Rules(**{field.name: number("triage", field.name).value for field in fields(Rules)})


@dataclass(frozen=True)
class LookRules:
    """Windows of the looks, from tables/data/looks.csv: days, mm, °C, hours, collars, minutes."""

    soak: SoakParams
    frost_air_c: float
    frost_kill_c: float
    pond_switch_c: float
    table: Mapping[str, float]

    def days(self, name: str) -> timedelta:
        """A row of the table that counts days."""
        return timedelta(days=self.table[name])


@cache
def look_rules() -> LookRules:
    """The rules of the looks as the table has them."""
    table = {name: found.value for name, found in numbers("looks").items()}

    def celsius(name: str) -> float:
        return float(f_to_c(table[name]))

    soak = SoakParams(int(table["soak_days"]), table["soak_rain"], celsius("soak_mean"))
    return LookRules(soak, celsius("frost_air"), celsius("frost_kill"), celsius("pond_switch"), table)
