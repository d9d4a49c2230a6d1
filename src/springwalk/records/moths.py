"""Moth traps and what they caught."""

from __future__ import annotations

from datetime import date, timedelta
from typing import ClassVar, Literal

from pydantic import Field as Value

from springwalk.records.base import Record

TrapKind = Literal["wing", "bucket", "cone", "other"]


class Trap(Record):
    """A pheromone trap for black cutworm moths: its kind and place in degrees."""

    kind: ClassVar[str] = "trap"
    id: str = Value(min_length=1)
    name: str = ""
    trap_kind: TrapKind = "other"
    latitude: float = Value(ge=-90, le=90)
    longitude: float = Value(ge=-180, le=180)


class Catch(Record):
    """Moths found at one reading: caught in the nights from the evening of ``since`` to the morning of ``read``."""

    kind: ClassVar[str] = "catch"
    trap: str
    since: date
    read: date
    moths: int = Value(ge=0)
    person: str = ""

    @property
    def nights(self) -> tuple[date, ...]:
        """The nights covered, each named by its evening."""
        return tuple(self.since + timedelta(days=k) for k in range((self.read - self.since).days))

    def natural_key(self) -> str:
        """One reading per trap and morning."""
        return f"catch:{self.trap}:{self.read}"


class FlightReport(Record):
    """A service's word of a significant flight near a place, without counts: the night, give or take some nights.

    Latitude and longitude in degrees; ``nights_either_way`` is how many nights before or after it may have been.
    """

    kind: ClassVar[str] = "flight report"
    source: str = Value(min_length=1)
    near: str = ""
    latitude: float = Value(ge=-90, le=90)
    longitude: float = Value(ge=-180, le=180)
    night: date
    nights_either_way: int = Value(default=2, ge=0, le=14)
    note: str = ""

    def natural_key(self) -> str:
        """One report per source, place and night."""
        return f"flight report:{self.source}:{self.near or f'{self.latitude:.3f},{self.longitude:.3f}'}:{self.night}"
