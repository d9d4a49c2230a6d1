"""Moths to eggs, field by field: catches to nights, significant captures, laying, green cover, survival.

Night g is named by its evening; its eggs take up heat from day g + 1. Axes: trap t, night g, unit f (planting × zone).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]

NEW_FLIGHT_AFTER_NIGHTS = 4
"""Nights without the rule being met after which a capture counts as another flight (assumption)."""
LAYING_NIGHTS = 15
"""Nights over which laying is followed; the geometric tail beyond is put on the nights before (0.6 %)."""


@dataclass(frozen=True)
class CaptureRule:
    """A significant capture: ``moths`` or more within ``nights`` nights in a trap of ``trap_kind``."""

    key: str
    trap_kind: str
    moths: float
    nights: int


@dataclass(frozen=True)
class Flight:
    """A significant flight: first and last night, and the night on which the rule was first met."""

    first: int
    met: int
    last: int


@dataclass(frozen=True)
class Reading:
    """Moths of one reading over nights first … last (day indices, both included)."""

    first: int
    last: int
    moths: float

    @property
    def nights(self) -> int:
        """How many nights the reading covers."""
        return self.last - self.first + 1


def moths_by_night(readings: list[Reading], nights: int) -> Array:
    """Moths of each night, every reading spread evenly over its nights; nights outside the season are dropped."""
    out = np.zeros(nights)
    for r in readings:
        first, last = max(r.first, 0), min(r.last, nights - 1)
        if last >= first:
            out[first : last + 1] += r.moths / r.nights
    return out


def flights(readings: Sequence[Reading], rule: CaptureRule, nights: int) -> list[Flight]:
    """Significant flights, earliest first: the nights over which the rule was met again and again.

    A reading over more nights than the rule speaks of can't be read as one and adds nothing here.
    Meeting the rule again within NEW_FLIGHT_AFTER_NIGHTS nights is the same flight.
    """
    readable = moths_by_night([r for r in readings if r.nights <= rule.nights], nights)
    window = np.convolve(readable, np.ones(rule.nights))[:nights]
    # A sum of floats such as 4.5 + 4.5 must not miss its threshold by rounding.
    met = np.flatnonzero((window >= rule.moths - 1e-9) & (readable > 0))
    found: list[Flight] = []
    for night in met.tolist():
        first = max(0, night - rule.nights + 1)
        if found and night - found[-1].last <= NEW_FLIGHT_AFTER_NIGHTS:
            found[-1] = Flight(found[-1].first, found[-1].met, night)
        else:
            found.append(Flight(first, night, night))
    return found


def trap_arrivals(moths: Array, found: Sequence[Flight], unit_moths: float, window_nights: int) -> Array:
    """One trap's nights (g,) as arrivals in significant flights.

    Each flight is 1, spread over its nights by their moths: its size in moths tells nothing that could be compared.
    Other nights count by their moths over ``unit_moths`` (what the rule asks for), less so the further they stay below
    the rule, and all of them together never reach one flight more. What is caught later changes nothing before it,
    but for nights of one and the same flight.
    """
    out = np.zeros_like(moths)
    rest = moths.copy()
    for flight in found:
        nights = slice(flight.first, flight.last + 1)
        out[nights] += rest[nights] / rest[nights].sum()
        rest[nights] = 0.0
    window = np.convolve(rest, np.ones(window_nights))[: len(rest)]
    trickle = np.cumsum(rest / unit_moths * np.minimum(window / unit_moths, 1.0))
    return out + np.diff(1.0 - np.exp(-trickle), prepend=0.0)


def reported_arrivals(nights: Sequence[float], either_way: Sequence[int], season_nights: int) -> Array:
    """Reported flights (r,) as arrivals by night (r, g): 1 each, spread over the nights it may have been.

    A discretised normal around the night with half of ``either_way`` as its standard deviation, cut off beyond
    ``either_way`` nights (assumption: who says "give or take two nights" thinks the middle likelier than the ends);
    all on the night itself for 0. What falls outside the season is dropped, as moths are.
    """
    apart = np.arange(season_nights)[None, :] - np.asarray(nights, np.float64)[:, None]
    out = np.zeros(apart.shape)
    for k, most in enumerate(either_way):
        steps = np.arange(-most, most + 1)
        weight = np.exp(-0.5 * (steps / max(most / 2.0, 0.5)) ** 2) if most else np.ones(1)
        inside = np.abs(apart[k]) <= most
        out[k, inside] = (weight / weight.sum())[(apart[k, inside] + most).astype(int)]
    return out


def arrivals(by_trap: Array, trap_weight: Array) -> Array:
    """Arrivals w[f, g] at fields from arrivals by trap (t, g) and each trap's say at a field (f, t)."""
    return np.asarray(trap_weight @ by_trap)


def laying_by_night(arrived: Array, *, mean_delay_nights: float) -> Array:
    """Eggs by night for arrivals by night (…, g): geometric delay from the night of arrival with the given mean."""
    stop = 1.0 / (1.0 + mean_delay_nights)
    share = stop * (1.0 - stop) ** np.arange(LAYING_NIGHTS)
    share /= share.sum()
    out = np.zeros_like(arrived)
    for delay, part in enumerate(share.tolist()):
        out[..., delay:] += part * arrived[..., : arrived.shape[-1] - delay]
    return out


def cover_by_night(changes: list[tuple[int, float]], before: float, nights: int) -> Array:
    """Draw of the ground for each night (0 black soil … 1 dense winter annuals) from dated changes.

    A change on day d holds from that evening on; ``before`` holds until the first one. Same-day changes: the last wins.
    """
    out = np.full(nights, before)
    for day, value in sorted(changes, key=lambda change: change[0]):
        out[max(day, 0) :] = value
    return out


@dataclass(frozen=True)
class SurvivalParams:
    """The gap from kill to emergence (tables/data/cover.csv)."""

    dead_days: float
    dead_share: float
    safe_days: float
    ramp_days: float


def survival_by_night(
    green_end: Array, *, planted: Array, emergence: Array, nights: int, params: SurvivalParams
) -> Array:
    """Share of larvae (f, g) from eggs of each night that outlive the gap between the end of green and the new corn.

    ``green_end`` (f,) day on which the last green cover before the corn ended (NaN: it never did), ``planted`` and
    ``emergence`` (f,) days (NaN: unknown). Dead ``dead_days`` or longer before emergence: ``dead_share``; from
    ``safe_days`` before planting on: 1; straight between, over ``ramp_days`` at least. Nights after the end of green
    keep 1 (little is laid then).
    Direction after Showers et al. 1985; the size is an assumption.
    """
    safe_from = np.where(np.isnan(planted), emergence - 8.0, planted) - params.safe_days
    dead_until = np.minimum(emergence - params.dead_days, safe_from - params.ramp_days)
    part = np.clip((green_end - dead_until) / (safe_from - dead_until), 0.0, 1.0)
    share = np.where(np.isnan(part), 1.0, params.dead_share + (1.0 - params.dead_share) * part)
    before = np.arange(nights)[None, :] <= green_end[:, None]
    return np.where(before, share[:, None], 1.0)
