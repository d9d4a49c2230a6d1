"""What a day's plan is made from and what it answers with; minutes count from midnight, places are metres."""

from __future__ import annotations

from dataclasses import dataclass

Place = tuple[float, float]
"""Metres east and north on one plane; ``roads.on_a_plane`` makes them from latitude and longitude."""


@dataclass(frozen=True)
class Candidate:
    """A field that could be visited today.

    ``prize`` is the money that a visit today is worth before its hours are paid (0 where it is only promised).
    ``service_min`` is the expected time in the field, ``opens_min`` the minute from which it may be entered (a
    keep-out that ends today), ``forced`` says why it comes before every prize; empty where it does not.
    """

    name: str
    place: Place
    prize: float
    service_min: float
    opens_min: float = 0.0
    forced: str = ""


@dataclass(frozen=True)
class Person:
    """Someone who can walk today: from where, to where, from which minute to which minute.

    ``out`` is True for someone already on the road, whose way home is driven and paid whatever the plan says.
    """

    name: str
    start: Place
    end: Place
    from_min: float
    until_min: float
    out: bool = False


@dataclass(frozen=True)
class Roads:
    """How long driving takes: straight metres × ``factor`` / speed, and ``turn_in_min`` at each field's gate."""

    speed_km_h: float
    factor: float
    turn_in_min: float
    basis: str
    """Where the three numbers come from, to be shown beside the plan."""


@dataclass(frozen=True)
class Stay:
    """One field of a route in real-valued minutes."""

    name: str
    arrive_min: float
    leave_min: float


@dataclass(frozen=True)
class Route:
    """One person's day: fields in order with their minutes; without stays the person need not go out.

    ``late_min`` is above zero only for someone already out whose straight way home ends after hours.
    """

    person: str
    go_min: float
    stays: tuple[Stay, ...]
    home_min: float
    work_min: float
    """Driving and field time that is paid."""
    late_min: float = 0.0


@dataclass(frozen=True)
class Left:
    """A forced field that is not in the plan, and why."""

    name: str
    forced: str
    why: str
    """``alone``: nobody can do it and be back in time. ``together``: it does not fit beside the others."""


@dataclass(frozen=True)
class Timeline:
    """A plan played in real-valued time."""

    routes: tuple[Route, ...]

    @property
    def in_hours(self) -> bool:
        """Whether everyone is home in time."""
        return all(route.late_min <= 0 for route in self.routes)


@dataclass(frozen=True)
class DayPlan:
    """Who goes where in which order, what it is worth, and how much better any other day could be.

    ``value`` = prizes − wage × paid minutes. ``bound``: no day that keeps the same forced fields is worth more.
    ``proved``: nothing better exists, and the forced fields left out cannot be fitted in.
    ``stopped_by_clock``: the guard ended the search, so the same inputs may give another day elsewhere.
    """

    routes: tuple[Route, ...]
    value: float
    bound: float
    proved: bool
    forced_left: tuple[Left, ...]
    not_today: tuple[str, ...]
    """Candidates without a place in the day, forced ones among them, by name."""
    stopped_by_clock: bool
    basis: str

    @property
    def gap(self) -> float:
        """How much of the bound is not proved reached, as a share; 0 where proved."""
        return 0.0 if self.proved or self.bound <= 0 else max(0.0, 1 - self.value / self.bound)
