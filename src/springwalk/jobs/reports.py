"""Reports of significant flights to arrivals by field, where no trap nearby found the same flight."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.arrivals import reported_arrivals
from springwalk.engine.weather import distance_km
from springwalk.jobs.params import Settings
from springwalk.jobs.results import Reason
from springwalk.records import Field, FlightReport, Season

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

SAME_FLIGHT_NIGHTS = 2
"""Nights beyond a report's own error within which it and a trap's flight are one (assumption: what a rule spans)."""


@dataclass(frozen=True)
class ReportSeason:
    """One report that is known: its night index and its arrivals by night (which sum to 1 within the season)."""

    report: FlightReport
    night: int
    arrived: Array

    @property
    def key(self) -> str:
        """What names it among all that is heard of moths."""
        return self.report.natural_key()

    @property
    def slack(self) -> int:
        """Nights within which another flight is taken for the same."""
        return self.report.nights_either_way + SAME_FLIGHT_NIGHTS


@dataclass(frozen=True)
class TrapHeard:
    """What a trap tells beside a report: its place, the nights somebody read it for, its flights (first, last)."""

    latitude: float
    longitude: float
    read_on: Mask
    flights: tuple[tuple[int, int], ...]


def reports_of(
    season: Season, reports: Sequence[FlightReport], fields: Sequence[Field], traps: Sequence[TrapHeard], counts: Mask,
    *, today: date, settings: Settings,
) -> tuple[tuple[ReportSeason, ...], Array, tuple[Reason, ...]]:  # fmt: skip
    """Reports known on the morning of ``today``, their say (field, report), and notes on those that are not used.

    ``counts`` (field, trap): the trap's captures count for the field. A report says nothing where such a trap had a
    significant flight within the report's own error and two nights more: both are then word of the same moths, and the
    trap, which was counted, tells the nights better. Else it weighs by distance as a trap does, beside the traps that
    were read over its night without such a flight and the other reports of the same flight. A field with none of
    these beside a report within reach has one whole flight.
    """
    known = sorted((r for r in reports if season.begins <= r.night < today), key=lambda r: (r.night, r.natural_key()))
    notes = [_unused(r, "before the season") for r in reports if r.night < season.begins]
    if not known or not fields:
        return (), np.zeros((len(fields), 0)), tuple(notes)
    nights = (season.ends - season.begins).days + 1
    at = [(r.night - season.begins).days for r in known]
    spread = reported_arrivals(at, [r.nights_either_way for r in known], nights)
    heard = tuple(ReportSeason(r, n, w) for r, n, w in zip(known, at, spread, strict=True))
    say = np.zeros((len(fields), len(heard)))
    apart = _apart_km(fields, [(r.latitude, r.longitude) for r in known])
    near_trap = _apart_km(fields, [(t.latitude, t.longitude) for t in traps])
    for k, one in enumerate(heard):
        say[:, k] = _say(one, k, heard, apart, traps, near_trap, settings) * ~_found(one, traps, counts)
    notes += [_unused(r, "too far off") for k, r in enumerate(known) if _useless(apart[:, k], settings).all()]
    return heard, say, tuple(notes)


def _apart_km(fields: Sequence[Field], places: Sequence[tuple[float, float]]) -> Array:
    """Distances (field, place) in km."""
    at = np.array([(f.latitude, f.longitude) for f in fields])
    to = np.array(places, np.float64).reshape(len(places), 2)
    return distance_km(at[:, :1], at[:, 1:], to[None, :, 0], to[None, :, 1])


def _found(report: ReportSeason, traps: Sequence[TrapHeard], counts: Mask) -> Mask:
    """Fields (field,) for which a trap that counts found the same flight."""
    same = [
        any(first - report.slack <= report.night <= last + report.slack for first, last in trap.flights)
        for trap in traps
    ]
    return np.asarray((counts & np.array(same, bool)[None, :]).any(axis=1))


def _say(
    report: ReportSeason, k: int, heard: Sequence[ReportSeason], apart: Array, traps: Sequence[TrapHeard],
    near_trap: Array, settings: Settings,
) -> Array:  # fmt: skip
    """Share (field,) of one report among all that speak of its night; 0 beyond reach."""
    beside = [j for j, other in enumerate(heard) if abs(other.night - report.night) <= max(other.slack, report.slack)]
    read = [j for j, trap in enumerate(traps) if trap.read_on[report.night]]
    every = np.concatenate([apart[:, beside], near_trap[:, read]], axis=1)
    nearest = every.min(axis=1, keepdims=True)
    weight = np.exp(-(every - nearest) / settings.trap_reach_km) * ~_useless(every, settings)
    total = weight.sum(axis=1)
    mine = weight[:, beside.index(k)]
    return np.asarray(np.divide(mine, total, out=np.zeros_like(mine), where=total > 0))


def _useless(apart_km: Array, settings: Settings) -> Mask:
    """Too far off to say anything of a field."""
    return np.asarray(apart_km > settings.rules.trap_useless)


def _unused(report: FlightReport, why: str) -> Reason:
    return Reason(code="report_unused", facts={"source": report.source, "date": report.night, "why": why})
