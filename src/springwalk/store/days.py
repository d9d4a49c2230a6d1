"""Station days: one row per station, date and revision; a changed value is a new revision, never a rewrite."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any, NamedTuple

from sqlalchemy import bindparam, insert, select, update

from springwalk.records import Day
from springwalk.store.core import Reading, Writing
from springwalk.store.schema import days as days_table

Key = tuple[str, str]


class Taken(NamedTuple):
    """What ``put_days`` did: how many days were new, how many said the same, and (old, new) where a value changed."""

    new: int
    same: int
    revised: list[tuple[Day, Day]]


def put_days(write: Writing, days: Sequence[Day]) -> Taken:
    """Keep station days; where a value differs from the one held, add a revision and name both.

    A different ``source`` with the same values is the same day. None takes nothing back: one file may hold the
    extremes and another the rain of a day; a day that only gains a value counts as new. Days are taken in the order
    given, so a key twice in one call can be a revision of itself.
    """
    held = _held(write, days)
    rows: list[dict[str, Any]] = []
    outdated: list[dict[str, Any]] = []
    taken = Taken(0, 0, [])
    for day in days:
        row = _row(day, write.now)
        before = held.get((row["station"], row["date"]))
        gained = before is not None and _only_gains(before, row)
        if before is not None:
            _keep_told(before, row)
        if before is not None and _values(before) == _values(row):
            taken = taken._replace(same=taken.same + 1)
            continue
        if before is None:
            taken = taken._replace(new=taken.new + 1)
        else:
            row["revision"] = before["revision"] + 1
            if gained:
                taken = taken._replace(new=taken.new + 1)
            else:
                taken.revised.append((_day(before), _day(row)))
            if before.get("stored"):
                outdated.append({"of": row["station"], "on": row["date"], "was": before["revision"]})
            before["current"] = 0
        held[row["station"], row["date"]] = row
        rows.append(row)
    _write(write, rows, outdated)
    return taken


def _write(write: Writing, rows: list[dict[str, Any]], outdated: list[dict[str, Any]]) -> None:
    if not rows:
        return
    c = days_table.c
    if outdated:
        which = (c.station == bindparam("of")) & (c.date == bindparam("on")) & (c.revision == bindparam("was"))
        write.connection.execute(update(days_table).where(which).values(current=0), outdated)
    write.connection.execute(insert(days_table), rows)
    write.touch()


def _held(read: Reading, days: Sequence[Day]) -> dict[Key, dict[str, Any]]:
    """The current rows of the stations and the span of dates that ``days`` speaks of."""
    held: dict[Key, dict[str, Any]] = {}
    spoken: dict[str, list[str]] = {}
    for day in days:
        spoken.setdefault(day.station, []).append(day.date.isoformat())
    c = days_table.c
    for station, dates in spoken.items():
        which = (c.station == station) & (c.current == 1) & c.date.between(min(dates), max(dates))
        for row in read.connection.execute(select(days_table).where(which)).mappings():
            held[row["station"], row["date"]] = {**row, "stored": True}
    return held


def _row(day: Day, taken_at: str) -> dict[str, Any]:
    return {
        "station": day.station, "date": day.date.isoformat(), "revision": 1,
        "min_c": day.min_c, "max_c": day.max_c, "rain_mm": day.rain_mm,
        "source": day.source, "taken_at": taken_at, "current": 1,
    }  # fmt: skip


VALUES = ("min_c", "max_c", "rain_mm")


def _only_gains(before: dict[str, Any], row: dict[str, Any]) -> bool:
    """Whether a row tells something that was not told and contradicts nothing."""
    return all(row[v] is None or before[v] is None or row[v] == before[v] for v in VALUES)


def _keep_told(before: dict[str, Any], row: dict[str, Any]) -> None:
    """Fill what a row does not tell with what was told before."""
    for v in VALUES:
        if row[v] is None:
            row[v] = before[v]


def _values(row: Any) -> tuple[float | None, float | None, float | None]:
    return row["min_c"], row["max_c"], row["rain_mm"]


def _day(row: Any) -> Day:
    names = ("station", "min_c", "max_c", "rain_mm", "source")
    return Day(date=date.fromisoformat(row["date"]), **{name: row[name] for name in names})


DayRow = tuple[str, float | None, float | None, float | None]


def days(read: Reading, station: str | None = None) -> dict[str, list[DayRow]]:
    """The current days by station: (date ``YYYY-MM-DD``, min °C, max °C, rain mm), by date; None = not reported.

    ``station`` None = all of them, in order of their names; one that has no days is not in the answer.
    """
    c = days_table.c
    query = select(c.station, c.date, c.min_c, c.max_c, c.rain_mm).where(c.current == 1).order_by(c.station, c.date)
    if station is not None:
        query = query.where(c.station == station)
    found: dict[str, list[DayRow]] = {}
    for name, day, min_c, max_c, rain_mm in read.connection.execute(query):
        found.setdefault(name, []).append((day, min_c, max_c, rain_mm))
    return {name: found[name] for name in sorted(found)}


def day_revisions(read: Reading, station: str, day: date) -> list[Day]:
    """All that was ever said of one station day, oldest first; the last is the current one."""
    c = days_table.c
    which = (c.station == station) & (c.date == day.isoformat())
    query = select(days_table).where(which).order_by(c.revision)
    return [_day(row) for row in read.connection.execute(query).mappings()]
