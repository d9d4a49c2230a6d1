"""Which plantings stand in a part of a field: those not torn up since, and what stood there before a replant."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from springwalk.records import Event, Planting


@dataclass(frozen=True)
class Before:
    """The stand that was torn up in a part before the one that is there: the day it went, and when it was planted."""

    torn_up: date
    planted: date | None


def standing(plantings: Sequence[Planting], events: Sequence[Event], zone: str | None = None) -> list[Planting]:
    """Plantings of a part (a zone's id, None = the rest of the field) that were not torn up since they were planted.

    A tear-up that names no planting ends all that stood there; what is planted on that very day is the new stand.
    """
    mine = [one for one in plantings if one.zone in (None, zone)]
    return [one for one in mine if not _ends(one, events, zone)]


def stood_before(
    here: Planting | None, plantings: Sequence[Planting], events: Sequence[Event], zone: str | None = None
) -> Before | None:
    """What was torn up in a part before a planting (None: bare ground) came; None where nothing was."""
    others = [one for one in plantings if one.zone in (None, zone) and (here is None or one.id != here.id)]
    until = here.planted if here is not None and here.planted is not None else date.max
    gone = [(one, event) for one in others for event in _ends(one, events, zone) if event.date <= until]
    if not gone:
        return None
    planted = [one.planted for one, _ in gone if one.planted is not None]
    return Before(max(event.date for _, event in gone), min(planted, default=None))


def _ends(one: Planting, events: Sequence[Event], zone: str | None) -> list[Event]:
    """The tear-ups that ended a planting in a part."""
    torn = [event for event in events if event.what == "torn up" and event.zone in (None, zone)]
    return [
        event
        for event in torn
        if event.planting == one.id or (event.planting is None and one.planted is not None and one.planted < event.date)
    ]
