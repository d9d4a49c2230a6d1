"""The sheet's own thresholds from their table: what puts a field on the list and what is said aloud."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cache

from springwalk.tables import number


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
