"""Small seasons made in memory for tests of jobs."""

from __future__ import annotations

import csv
from datetime import date
from functools import cache

from springwalk.jobs.snapshot import Snapshot, Told, build
from springwalk.records import ENTRY_KINDS, Catch, Event, Field, Planting, Record, Season, Station, Trap
from springwalk.units import f_to_c
from tests.lincoln import VECTOR

DayRow = tuple[str, float | None, float | None, float | None]
STATION = Station(id="L", name="Lincoln", latitude=40.695, longitude=-96.854)
TRAP = Trap(id="wing-1", name="Wing 1", trap_kind="wing", latitude=40.70, longitude=-96.85)
FLIGHT = Catch(trap="wing-1", since=date(2016, 4, 14), read=date(2016, 4, 16), moths=12)
SEASON = Season(name="Lincoln 2016", year=2016)


def lincoln_rows(shift_c: float = 0.0) -> list[DayRow]:
    """The real days of 2016 as store rows."""
    return list(_lincoln(shift_c))


@cache
def _lincoln(shift_c: float) -> tuple[DayRow, ...]:
    with VECTOR.open(newline="") as handle:
        return tuple(
            (row["date"], f_to_c(float(row["min_f"])) + shift_c, f_to_c(float(row["max_f"])) + shift_c, None)
            for row in csv.DictReader(handle)
            if row["min_f"]
        )


def past_rows(years: int = 30) -> list[DayRow]:
    """Past years: the real spring shifted by −3 … +3 °C from year to year."""
    return list(_past(years))


@cache
def _past(years: int) -> tuple[DayRow, ...]:
    out: list[DayRow] = []
    for k in range(years):
        shift = -3 + 6 * k / max(1, years - 1)
        out += [(f"{1986 + k}{day[4:]}", low + shift, high + shift, None) for day, low, high, _ in lincoln_rows()
                if not day.endswith("02-29") and low is not None and high is not None]  # fmt: skip
    return tuple(out)


def field(name: str, latitude: float = 40.70, longitude: float = -96.85) -> Field:
    """A field of 30 ha."""
    return Field(id=name, name=name, outline={}, area_ha=30.0, latitude=latitude, longitude=longitude)


def planting(name: str, planted: date | None, part: str = "1") -> Planting:
    """A planting of a field."""
    return Planting(id=f"{name}/{part}", field=name, planted=planted)


def event(name: str, month: int, number: int, what: str, cover: str | None = None, **other: str) -> Event:
    """An event of 2016."""
    return Event(field=name, date=date(2016, month, number), what=what, cover=cover, **other)  # type: ignore[arg-type]


FOUR = [
    field("black"), field("at-planting"), field("killed-early"), field("late"),
    planting("black", date(2016, 5, 5)), planting("at-planting", date(2016, 5, 5)),
    planting("killed-early", date(2016, 5, 12)), planting("late", date(2016, 5, 21)),
    event("black", 4, 1, "tilled"), event("at-planting", 4, 1, "weeds seen", "dense"),
    event("at-planting", 5, 5, "cover killed"), event("killed-early", 4, 1, "weeds seen", "dense"),
    event("killed-early", 4, 22, "cover killed"), event("late", 4, 1, "weeds seen", "dense"),
    event("late", 5, 20, "cover killed"), TRAP, FLIGHT, STATION,
]  # fmt: skip
"""Four fields and one flight."""


def snapshot(records: list[Record], today: date, *, rows: list[DayRow] | None = None,
             season: Season = SEASON) -> Snapshot:  # fmt: skip
    """A snapshot of records with the real station days and 30 past years (or the rows given)."""
    told = Told(season, {name: tuple(r for r in records if r.kind == name) for name in ENTRY_KINDS})
    days = {"L": sorted([*past_rows(), *lincoln_rows()]) if rows is None else rows}
    return build(told, days, today=today)
