"""What a question for the day answers with: who goes where and when, what stays behind, and what that costs."""

from __future__ import annotations

from datetime import date, time
from typing import Literal

from springwalk.jobs.results import Result, Row
from springwalk.jobs.terms import TermsSaid


class Purpose(Result):
    """One thing to do in a field: the walk for cutworm (code ``cutworm``) or a look by its key.

    ``stops`` and ``searches`` for larvae are those expected of a walk.
    """

    code: str
    key: str = ""
    minutes: float
    worth_usd: float
    stops: float = 0.0
    searches: float = 0.0


class Visit(Result):
    """One field of somebody's day, local times; ``prize_usd`` is what the visit is worth before its hours are paid.

    ``forced`` says why it goes before any money: ``promised`` or ``overdue``; "" where it does not.
    """

    field: str
    name: str
    grower: str
    latitude: float
    longitude: float
    arrive: time
    leave: time
    prize_usd: float
    forced: str
    purposes: tuple[Purpose, ...]


class PersonDay(Result):
    """One person's day; without visits the person need not go out."""

    person: str
    go: time | None
    home: time | None
    visits: tuple[Visit, ...]
    drive_min: float
    field_min: float


class LeftOut(Result):
    """A field that would have been worth going to, or is due by rule, and is not in the day.

    ``costs_usd``: what it would earn over the minutes it adds. ``why``: ``hours`` (not enough of them), ``small`` (it
    would not pay its minutes), ``closed`` (it opens too late today), ``decided`` (what was found there is enough to
    treat it), ``alone`` or ``together`` (a forced one that can't be fitted in).
    """

    field: str
    name: str
    costs_usd: float
    why: Literal["hours", "small", "closed", "decided", "alone", "together"]
    forced: str
    purposes: tuple[Purpose, ...]


class Outline(Result):
    """A field as it lies: rings of (longitude, latitude) in degrees."""

    field: str
    name: str
    rings: tuple[tuple[tuple[float, float], ...], ...]


class Day(Result):
    """A day's plan. ``worth_usd`` prizes less wages; no day is worth more than ``bound_usd``; ``proved``: none better.

    ``hour_usd`` is what the best field left out for want of hours pays an hour over the wage; stops were priced by it.
    ``start`` is where everyone leaves from; ``start_told`` False: nobody told, so the middle of the fields is taken.
    """

    season: str
    today: date
    people: tuple[PersonDay, ...]
    left_out: tuple[LeftOut, ...]
    kept_out: tuple[Row, ...]
    at_dusk: tuple[str, ...]
    """Fields (ids) whose advice asks for a search at dusk today: not in anyone's day for cutworm."""
    worth_usd: float
    left_usd: float
    bound_usd: float
    proved: bool
    stopped_by_clock: bool
    hour_usd: float
    hours: float
    leave: time
    start: tuple[float, float]
    start_told: bool
    terms: TermsSaid
    roads: str
    outlines: tuple[Outline, ...] = ()
    """Of every field in the day or left out of it."""
