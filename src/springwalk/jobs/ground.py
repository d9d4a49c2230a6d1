"""Dated events of a field to what the engine needs of the ground: its draw by night and when green ended."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from springwalk.records import Event

WITH_CORN = timedelta(days=14)
"""Weeds first told this long after planting came up with the corn (assumption)."""
GREEN = ("few weeds", "some weeds", "many weeds", "dense")
NOT_TOLD = "not told"


@dataclass(frozen=True)
class Ground:
    """Dated states of one part, oldest first; ``before`` holds until the first."""

    before: str
    changes: tuple[tuple[date, str], ...]
    closed: date | None = None
    """Green seen after this day came up with the corn: it does not reopen the cover that was there before."""

    @property
    def told(self) -> bool:
        """Whether anybody said how green the ground was before the corn."""
        return self.before != NOT_TOLD

    @property
    def green_end(self) -> date | None:
        """The day the last green cover ended; None where it never did (or never was)."""
        state, ended = self.before, None
        for day, cover in self.changes:
            late = self.closed is not None and day > self.closed and ended is not None
            if state in (*GREEN, NOT_TOLD) and cover not in GREEN and not late:
                ended = day
            elif cover in GREEN and (self.closed is None or day <= self.closed):
                ended = None
            state = cover
        return ended

    def state_on(self, day: date) -> str:
        """The state that held on the evening of a day."""
        state = self.before
        for changed, cover in self.changes:
            if changed <= day:
                state = cover
        return state

    def numbers(self, draw: Mapping[str, float], first_day: date) -> tuple[list[tuple[int, float]], float]:
        """(changes as day index and draw, draw before the first) for the engine."""
        return [((day - first_day).days, draw[cover]) for day, cover in self.changes], draw[self.before]


ORDER = ("weeds seen", "cover killed", "tilled", "emerged")
"""On one day: what was seen, then what was done to it; tilled ground is tilled whatever was sprayed that day.

Other events (hail, water, wind …) say nothing of how green the ground is."""


def ground_of(
    events: Iterable[Event], *, planting: str | None, zone: str | None, planted: date | None = None
) -> Ground:
    """The ground of one part (planting × zone) from the field's events; an event names a part or the whole field."""
    mine = [e for e in events if e.what in ORDER and e.zone in (None, zone) and e.planting in (None, planting)]
    changes: list[tuple[date, str]] = []
    before = NOT_TOLD
    for event in sorted(mine, key=lambda e: (e.date, ORDER.index(e.what), e.zone is not None, e.planting is not None)):
        cover = _after(event)
        if cover is None:
            continue
        if not changes:
            killed = any(e.what == "cover killed" and e.date == event.date for e in mine)
            before = _before(event, planted, killed=killed)
        changes.append((event.date, cover))
    return Ground(before, tuple(changes), None if planted is None else planted + WITH_CORN)


def _after(event: Event) -> str | None:
    if event.what == "tilled":
        return event.cover or "black"
    if event.what == "cover killed":
        return event.cover or "residue"
    return event.cover  # weeds seen, or what stood beside the corn at the spike; None says nothing


def _before(event: Event, planted: date | None, *, killed: bool) -> str:
    """What must have stood before the first event.

    Green seen before planting, or killed the day it was seen, was there before: winter annuals grew in fall. Bare
    ground seen, tillage, or weeds that came with the corn say nothing of what stood before.
    """
    if event.what == "cover killed":
        return "dense"
    early = killed or planted is None or event.date <= planted
    green = event.what == "weeds seen" and event.cover in GREEN
    return event.cover if green and event.cover and early else NOT_TOLD
