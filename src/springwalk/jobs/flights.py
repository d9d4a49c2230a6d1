"""Traps and catches to arrivals by field, and the significant captures that count for it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from springwalk.engine import arrivals
from springwalk.engine.arrivals import CaptureRule, Reading
from springwalk.engine.weather import distance_km
from springwalk.jobs.params import Settings, capture_rule
from springwalk.jobs.results import Reason
from springwalk.records import Catch, Field, Season, Trap

Array = NDArray[np.float64]

CAPTURE_SAY = 0.15
"""A capture is named for a field where its trap has at least this share of the say (assumption)."""


@dataclass(frozen=True)
class TrapSeason:
    """One trap so far: moths by night, those of readings the rule can read, the nights it was met, and the rule."""

    trap: Trap
    moths: Array
    readable: Array
    significant: tuple[int, ...]
    rule: CaptureRule | None
    last_read: date | None

    def window_moths(self, night: int) -> float:
        """Moths within the rule's nights up to a night."""
        back = self.rule.nights if self.rule else 1
        return float(self.readable[max(0, night - back + 1) : night + 1].sum())


@dataclass(frozen=True)
class Flights:
    """Arrivals (field, night) in significant flights, the traps behind them, and what to say of them."""

    arrived: Array
    say: Array
    traps: tuple[TrapSeason, ...]
    notes: tuple[Reason, ...]

    def captures(self, field: int) -> list[tuple[TrapSeason, int]]:
        """(trap, night) of significant captures that count for a field, earliest first."""
        found = [
            (self.traps[t], night)
            for t in range(len(self.traps))
            if self.say[field, t] >= CAPTURE_SAY
            for night in self.traps[t].significant
        ]
        return sorted(found, key=lambda item: (item[1], item[0].trap.id))

    @property
    def caught_to(self) -> date | None:
        """The newest reading of any trap."""
        reads = [t.last_read for t in self.traps if t.last_read]
        return max(reads) if reads else None


def read_flights(
    season: Season,
    traps: Sequence[Trap],
    catches: Sequence[Catch],
    fields: Sequence[Field],
    *,
    today: date,
    settings: Settings,
) -> Flights:
    """Flights as known on the morning of ``today`` (a reading of this morning is known)."""
    nights = (season.ends - season.begins).days + 1
    known: dict[str, list[Catch]] = defaultdict(list)
    for catch in sorted(catches, key=lambda c: c.read):
        if catch.read <= today:
            known[catch.trap].append(catch)
    read = [_trap_season(season, trap, known[trap.id], nights) for trap in sorted(traps, key=lambda t: t.id)]
    notes = tuple(note for trap in read for note in _notes(trap, known[trap.trap.id]))
    used = [t for t in read if t.last_read is not None]
    if not used or not fields:
        empty = np.zeros((len(fields), nights))
        return Flights(empty, np.zeros((len(fields), 0)), (), (Reason(code="no_traps"),) if not used else notes)
    say = _say(fields, used, settings.trap_reach_km)
    strength = _strengths(used)
    arrived = arrivals.arrivals(np.array([t.moths for t in used]), strength, say)
    return Flights(arrived, say, tuple(used), notes)


def _strengths(traps: Sequence[TrapSeason]) -> Array:
    """Each trap's season in significant flights.

    A kind without a published rule tells when moths came, not how many: it takes the mean of the traps with a rule,
    or one flight where there is none (assumption; the sheet names the trap).
    """
    ruled = [arrivals.flight_strength(t.moths, t.significant, t.rule) for t in traps if t.rule]
    usual = float(np.mean(ruled)) if ruled else 1.0
    own = iter(ruled)
    return np.array([next(own) if t.rule else usual * float(t.moths.any()) for t in traps])


def _trap_season(season: Season, trap: Trap, catches: Sequence[Catch], nights: int) -> TrapSeason:
    first = season.begins
    readings = [
        Reading((c.since - first).days, (c.read - first).days - 1, float(c.moths)) for c in catches if c.read > c.since
    ]
    rule = capture_rule(trap.trap_kind, key=season.capture_rule, state=season.state)
    met = arrivals.significant_nights(readings, rule, nights) if rule else []
    moths = arrivals.moths_by_night(readings, nights)
    readable = arrivals.moths_by_night([r for r in readings if rule and r.nights <= rule.nights], nights)
    return TrapSeason(trap, moths, readable, tuple(met), rule, catches[-1].read if catches else None)


def _notes(trap: TrapSeason, catches: Sequence[Catch]) -> list[Reason]:
    name = trap.trap.name or trap.trap.id
    out = []
    if trap.rule is None and trap.moths.any():
        out.append(Reason(code="trap_rule_unpublished", facts={"trap": name, "kind": trap.trap.trap_kind}))
    for catch in catches:
        if trap.rule and len(catch.nights) > trap.rule.nights and catch.moths >= trap.rule.moths:
            facts = {"trap": name, "since": catch.since, "read": catch.read, "nights": len(catch.nights)}
            out.append(Reason(code="catch_not_readable", facts=facts))
    return out


def _say(fields: Sequence[Field], traps: Sequence[TrapSeason], reach_km: float) -> Array:
    """Share of the say of each trap at each field: fades by e over ``reach_km``; rows sum to 1."""
    at = np.array([(f.latitude, f.longitude) for f in fields])
    to = np.array([(t.trap.latitude, t.trap.longitude) for t in traps])
    apart = distance_km(at[:, :1], at[:, 1:], to[None, :, 0], to[None, :, 1])
    near = np.exp(-(apart - apart.min(axis=1, keepdims=True)) / reach_km)
    return np.asarray(near / near.sum(axis=1, keepdims=True))


def night_of(season: Season, night: int) -> date:
    """The evening a night index stands for."""
    return season.begins + timedelta(days=night)
