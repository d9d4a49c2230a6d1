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


def significant_nights(readings: list[Reading], rule: CaptureRule, nights: int) -> list[int]:
    """Nights on which the rule is met, one per flight, earliest first.

    A reading over more nights than the rule speaks of can't be read as one and adds nothing here.
    Meeting it again within NEW_FLIGHT_AFTER_NIGHTS nights is the same flight.
    """
    readable = moths_by_night([r for r in readings if r.nights <= rule.nights], nights)
    window = np.convolve(readable, np.ones(rule.nights))[:nights]
    # A sum of floats such as 4.5 + 4.5 must not miss its threshold by rounding.
    met = np.flatnonzero((window >= rule.moths - 1e-9) & (readable > 0))
    flights: list[int] = []
    previous = -(10**6)
    for night in met.tolist():
        if night - previous > NEW_FLIGHT_AFTER_NIGHTS:
            flights.append(night)
        previous = night
    return flights


def flight_strength(moths: Array, significant: Sequence[int], rule: CaptureRule) -> float:
    """A trap's season so far in significant flights: its moths over those of one of its own flights.

    A flight is what was caught within NEW_FLIGHT_AFTER_NIGHTS nights of a significant capture, on the mean. Without
    one, the season counts as its moths over the rule's, at most as one flight. So moths caught later only add.
    """
    total = float(moths.sum())
    if not significant:
        return min(1.0, total / rule.moths)
    reach = NEW_FLIGHT_AFTER_NIGHTS
    flights = [float(moths[max(0, night - reach) : night + reach + 1].sum()) for night in significant]
    return total / (sum(flights) / len(flights))


def arrivals(moths: Array, strength: Array, trap_weight: Array) -> Array:
    """Arrivals w[f, g] in significant flights: each trap's season normalised to 1, times its strength, times its say.

    ``moths`` (t, g), ``strength`` (t,), ``trap_weight`` (f, t) with rows summing to 1 over traps that were read.
    """
    total = moths.sum(axis=1, keepdims=True)
    share = np.divide(moths, total, out=np.zeros_like(moths), where=total > 0)
    return np.asarray(trap_weight @ (share * strength[:, None]))


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


def survival_by_night(
    green_end: Array, *, planted: Array, emergence: Array, nights: int, params: SurvivalParams
) -> Array:
    """Share of larvae (f, g) from eggs of each night that outlive the gap between the end of green and the new corn.

    ``green_end`` (f,) day on which the last green cover before the corn ended (NaN: it never did), ``planted`` and
    ``emergence`` (f,) days (NaN: unknown). Dead ``dead_days`` or longer before emergence: ``dead_share``; from
    ``safe_days`` before planting on: 1; straight between. Nights after the end of green keep 1 (little is laid then).
    Direction after Showers et al. 1985; the size is an assumption.
    """
    safe_from = np.where(np.isnan(planted), emergence - 8.0, planted) - params.safe_days
    dead_until = np.minimum(emergence - params.dead_days, safe_from - 1e-6)
    part = np.clip((green_end - dead_until) / (safe_from - dead_until), 0.0, 1.0)
    share = np.where(np.isnan(part), 1.0, params.dead_share + (1.0 - params.dead_share) * part)
    before = np.arange(nights)[None, :] <= green_end[:, None]
    return np.where(before, share[:, None], 1.0)
