"""Weather stations and their days, and the facts of the season itself."""

from __future__ import annotations

from datetime import date
from typing import ClassVar

from pydantic import Field as Value

from springwalk.records.base import Record
from springwalk.records.money import Money, Team


class Station(Record):
    """A weather station; ``elevation_m`` None where it is not known."""

    kind: ClassVar[str] = "station"
    id: str = Value(min_length=1)
    name: str = ""
    latitude: float = Value(ge=-90, le=90)
    longitude: float = Value(ge=-180, le=180)
    elevation_m: float | None = None
    attribution: str = ""


class Day(Record):
    """One station day: extremes in °C, rain in mm; None = not reported. ``source`` names the file."""

    kind: ClassVar[str] = "day"
    station: str
    date: date
    min_c: float | None = None
    max_c: float | None = None
    rain_mm: float | None = None
    source: str = ""

    def natural_key(self) -> str:
        """One row per station and day."""
        return f"day:{self.station}:{self.date}"


class Season(Record):
    """The facts one store is about: year, place, state, the state's own way of counting heat, money and people."""

    kind: ClassVar[str] = "season"
    name: str
    year: int = Value(ge=1950, le=2100)
    timezone: str = "America/Chicago"
    state: str = ""
    heat_method: str = "sine"
    capture_rule: str = ""
    first_day: date | None = None
    last_day: date | None = None
    money: Money = Money()
    team: Team = Team()

    @property
    def begins(self) -> date:
        """First day the season counts (1 March unless said)."""
        return self.first_day or date(self.year, 3, 1)

    @property
    def ends(self) -> date:
        """Last day the season counts (15 July unless said)."""
        return self.last_day or date(self.year, 7, 15)

    def natural_key(self) -> str:
        """One season per store."""
        return "season"


class Gauge(Record):
    """Rain read in a person's own gauge for a day: mm. ``field`` "" = it speaks for every field of the season.

    ``hard`` says whether it beat the soil; None = not told.
    """

    kind: ClassVar[str] = "gauge"
    field: str = ""
    date: date
    rain_mm: float = Value(ge=0, le=500)
    hard: bool | None = None
    person: str = ""

    def natural_key(self) -> str:
        """One reading per field and day."""
        return f"gauge:{self.field}:{self.date}"


Series = tuple[tuple[float | None, ...], ...]


class Forecast(Record):
    """An ensemble forecast for a station: rows are members, columns the days from ``first`` on; °C and mm.

    ``issued`` is the local day it was made. Members and days are the same in all three; None = not given.
    """

    kind: ClassVar[str] = "forecast"
    station: str = Value(min_length=1)
    issued: date
    first: date
    min_c: Series
    max_c: Series
    rain_mm: Series = ()
    source: str = ""

    def natural_key(self) -> str:
        """One forecast per station and day of issue."""
        return f"forecast:{self.station}:{self.issued}"
