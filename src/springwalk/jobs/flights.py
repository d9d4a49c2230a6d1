"""Traps, catches and reports to arrivals by field, and the significant captures that count for it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from springwalk.engine import arrivals
from springwalk.engine.arrivals import CaptureRule, Flight, Reading
from springwalk.engine.weather import distance_km
from springwalk.jobs.params import Settings, capture_rule
from springwalk.jobs.reports import ReportSeason, TrapHeard, reports_of
from springwalk.jobs.results import Reason
from springwalk.records import Catch, Field, FlightReport, Season, Trap

Array = NDArray[np.float64]


@dataclass(frozen=True)
class TrapSeason:
    """One trap so far: moths by night, arrivals in significant flights, its flights, and its rule."""

    trap: Trap
    moths: Array
    readable: Array
    arrived: Array
    flights: tuple[Flight, ...]
    rule: CaptureRule | None
    last_read: date | None
    read_on: NDArray[np.bool_]
    """Nights some reading covers."""

    @property
    def key(self) -> str:
        """What names it among all that is heard of moths."""
        return f"trap:{self.trap.id}"

    def window_moths(self, night: int) -> float:
        """Moths of readings the rule can read, within its nights up to a night."""
        back = self.rule.nights if self.rule else 1
        return float(self.readable[max(0, night - back + 1) : night + 1].sum())


Heard = TrapSeason | ReportSeason


@dataclass(frozen=True)
class Flights:
    """Arrivals (field, night) in significant flights, the traps and reports behind them, and what to say of them.

    ``say`` (field, trap) and ``report_say`` (field, report): the share each has at a field, 0 where it does not count.
    """

    arrived: Array
    say: Array
    traps: tuple[TrapSeason, ...]
    notes: tuple[Reason, ...]
    least_say: float
    reports: tuple[ReportSeason, ...]
    report_say: Array

    def captures(self, field: int) -> list[tuple[Heard, int]]:
        """(trap or report, night the rule was first met or that was reported) that count for a field, earliest first.

        A report whose share is small beside others that cover its nights goes unnamed, as a trap's capture does.
        """
        loudest = self.say[field].max(initial=0.0)
        found: list[tuple[Heard, int]] = [
            (trap, flight.met)
            for t, trap in enumerate(self.traps)
            if self.say[field, t] >= self.least_say * loudest and self.say[field, t] > 0
            for flight in trap.flights
        ]
        found += [(r, r.night) for k, r in enumerate(self.reports) if self.report_say[field, k] >= self.least_say]
        return sorted(found, key=lambda item: (item[1], item[0].key))

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
    reports: Sequence[FlightReport] = (),
) -> Flights:
    """Flights as known on the morning of ``today``: this morning's readings, and reports of nights before it.

    A report counts where no trap that reaches the field found the same flight (see ``reports_of``).
    """
    nights = (season.ends - season.begins).days + 1
    known: dict[str, list[Catch]] = defaultdict(list)
    for catch in sorted(catches, key=lambda c: c.read):
        if catch.read <= today:
            known[catch.trap].append(catch)
    ordered = sorted(traps, key=lambda t: t.id)
    read = [_trap_season(season, trap, known[trap.id], nights, settings) for trap in ordered]
    notes = [note for trap in read for note in _notes(trap, known[trap.trap.id])]
    notes += _before_season(season, catches)
    used = [t for t in read if t.last_read is not None]
    least = settings.rules.capture_say
    arrived, say = np.zeros((len(fields), nights)), np.zeros((len(fields), 0))
    if used and fields:
        say, apart = _say(fields, used, settings)
        notes += _far(apart, settings)
        arrived = arrivals.arrivals(np.array([t.arrived for t in used]), say)
    else:
        used = []
    heard, report_say, unused = _reported(season, reports, fields, used, say, today=today, settings=settings)
    if not used:
        notes.append(Reason(code="reports_only" if report_say.any() else "no_traps"))
    if heard:
        arrived = arrived + arrivals.arrivals(np.array([r.arrived for r in heard]), report_say)
    return Flights(arrived, say, tuple(used), (*notes, *unused), least, heard, report_say)


def _reported(
    season: Season, reports: Sequence[FlightReport], fields: Sequence[Field], used: Sequence[TrapSeason], say: Array,
    *, today: date, settings: Settings,
) -> tuple[tuple[ReportSeason, ...], Array, tuple[Reason, ...]]:  # fmt: skip
    """Reports that are known, their say (field, report), and what to say of those that are not used."""
    loudest = say.max(axis=1, initial=0.0, keepdims=True)
    counts = (say >= settings.rules.capture_say * loudest) & (say > 0)
    traps = [
        TrapHeard(t.trap.latitude, t.trap.longitude, t.read_on, tuple((f.first, f.last) for f in t.flights))
        for t in used
    ]
    return reports_of(season, reports, fields, traps, counts, today=today, settings=settings)


def _trap_season(season: Season, trap: Trap, catches: Sequence[Catch], nights: int, settings: Settings) -> TrapSeason:
    first = season.begins
    readings = [
        Reading((c.since - first).days, (c.read - first).days - 1, float(c.moths)) for c in catches if c.read > c.since
    ]
    rule = capture_rule(trap.trap_kind, key=season.capture_rule, state=season.state)
    found = arrivals.flights(readings, rule, nights) if rule else []
    moths = arrivals.moths_by_night(readings, nights)
    readable = arrivals.moths_by_night([r for r in readings if rule and r.nights <= rule.nights], nights)
    # A kind without a published rule tells when moths came; how many is an assumption, and the sheet names the trap.
    unit, window = (rule.moths, rule.nights) if rule else (settings.rules.unruled_moths, 2)
    arrived = arrivals.trap_arrivals(moths, found, unit, window)
    read_on = np.zeros(nights, bool)
    for r in readings:
        read_on[max(r.first, 0) : max(r.last + 1, 0)] = True
    last_read = catches[-1].read if catches else None
    return TrapSeason(trap, moths, readable, arrived, tuple(found), rule, last_read, read_on)


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


def _before_season(season: Season, catches: Sequence[Catch]) -> list[Reason]:
    early = [c for c in catches if c.since < season.begins and c.moths]
    if not early:
        return []
    facts = {"moths": sum(c.moths for c in early), "date": season.begins}
    return [Reason(code="moths_before_season", facts=facts)]


def _say(fields: Sequence[Field], traps: Sequence[TrapSeason], settings: Settings) -> tuple[Array, Array]:
    """Share of the say of each trap at each field, and the distance (km) of each field's nearest trap.

    Fades by e over ``trap_reach_km`` beyond the nearest trap; a trap too far off says nothing. Rows sum to 1 or 0.
    """
    at = np.array([(f.latitude, f.longitude) for f in fields])
    to = np.array([(t.trap.latitude, t.trap.longitude) for t in traps])
    apart = distance_km(at[:, :1], at[:, 1:], to[None, :, 0], to[None, :, 1])
    nearest = apart.min(axis=1, keepdims=True)
    near = np.exp(-(apart - nearest) / settings.trap_reach_km) * (apart <= settings.rules.trap_useless)
    total = near.sum(axis=1, keepdims=True)
    return np.divide(near, total, out=np.zeros_like(near), where=total > 0), nearest[:, 0]


def _far(nearest_km: Array, settings: Settings) -> list[Reason]:
    far = nearest_km > settings.rules.trap_far
    if not far.any():
        return []
    return [Reason(code="trap_far", facts={"fields": int(far.sum()), "km": float(nearest_km[far].max())})]


def night_of(season: Season, night: int) -> date:
    """The evening a night index stands for."""
    return season.begins + timedelta(days=night)
