"""Springs without a flight: every line of every morning's sheet has a reason and a thing to do."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from springwalk.jobs.results import Row, Sheet
from springwalk.jobs.sheet import sheet_of
from springwalk.records import Pass, Promise, Record, Station, Walk
from tests.jobs.made import DayRow, event, field, lincoln_rows, past_rows, planting, snapshot

FIRST, LAST = date(2016, 3, 1), date(2016, 7, 15)
TO_DO = {
    "next_look", "nothing_left", "past_v6", "no_planting_date", "plant_after", "no_weather", "not_yet", "no_corn_yet",
}  # fmt: skip
"""Reasons of a line that say what comes next, what to add, or that nothing is left to do."""


def rained(rows: list[DayRow], inches: dict[date, float], *, warmer_c: float = 0.0) -> list[DayRow]:
    """Station days with rain told on every day of 2016: what is in ``inches``, else none."""
    return [
        (day, low + warmer_c, high + warmer_c, 25.4 * inches.get(date.fromisoformat(day), 0.0))
        for day, low, high, _ in rows
        if low is not None and high is not None
    ]


WET_MAY = {date(2016, 5, 1) + timedelta(days=k): (0.2, 1.4, 0.0, 0.6)[k % 4] for k in range(31)}
SOME = {date(2016, 3, 20) + timedelta(days=9 * k): 0.5 for k in range(13)}
SPRINGS = {
    "without moths": rained(lincoln_rows(), SOME),
    "drought": rained(lincoln_rows(), {}, warmer_c=3.0),
    "wet May": rained(lincoln_rows(), {**SOME, **WET_MAY}),
}


def told(day: date) -> list[Record]:
    """Five fields of two growers as told by a morning; nobody traps moths."""
    records: list[Record] = [
        Station(id="L", name="Lincoln", latitude=40.695, longitude=-96.854),
        field("early"), field("late"), field("rye"), field("undated"), field("walked"),
        planting("early", date(2016, 4, 22)), planting("late", date(2016, 4, 27)), planting("rye", date(2016, 5, 14)),
        planting("walked", date(2016, 4, 25)), event("rye", 5, 11, "cover killed"),
        event("early", 5, 18, "hail"), event("late", 5, 17, "ponding"), event("walked", 5, 8, "emerged"),
        Promise(field="walked", every_days=7, since=date(2016, 5, 9)),
        Pass(field="early", date=date(2016, 5, 25), what="insecticide", entry_hours=24),
    ]  # fmt: skip
    walks = [date(2016, 5, 9) + timedelta(days=7 * k) for k in range(8)]
    records += [Walk(id=f"w{k}", field="walked", walked=d, collars=float(k)) for k, d in enumerate(walks) if d <= day]
    return records


@pytest.mark.slow
@pytest.mark.parametrize("spring", SPRINGS)
def test_every_line_of_every_morning(spring: str) -> None:
    """Whatever the spring, no line of the sheet leaves a reader without a reason or without a thing to do."""
    rows = sorted([*past_rows(), *SPRINGS[spring]])
    for k in range((LAST - FIRST).days + 1):
        today = FIRST + timedelta(days=k)
        found = sheet_of(snapshot(told(today), today, rows=rows))
        for row in (*found.rows, *found.rest):
            assert row.why or row.looks, (today, row.field)
            assert has_a_thing_to_do(row, found), (today, row.field, [r.code for r in row.why])


def has_a_thing_to_do(row: Row, found: Sheet) -> bool:
    """A look to make with what to look for, a date to come back, something to add, or the word that nothing is left."""
    if row.walk_today:
        due = [look for look in row.looks if look.state in ("due", "last day", "overdue")]
        return all(look.why and look.look_for for look in due) and bool(due or row.look_for)
    waits = row.keep_out is not None or row.too_wet is not None or row.come_back is not None
    return waits or bool(TO_DO & {reason.code for reason in row.why})


@pytest.mark.slow
def test_there_is_work_without_moths() -> None:
    """From planting to six collars, a spring without moths still has a field to walk on most mornings."""
    rows = sorted([*past_rows(), *SPRINGS["without moths"]])
    days = [date(2016, 4, 29) + timedelta(days=k) for k in range(40)]
    busy = [bool(sheet_of(snapshot(told(day), day, rows=rows)).rows) for day in days]
    assert sum(busy) > 25


def test_a_wet_may_holds_fields_out_and_says_until_when() -> None:
    """After an inch of rain nobody is sent into the field; the line says when it is likely fit."""
    rows = sorted([*past_rows(), *SPRINGS["wet May"]])
    found = sheet_of(snapshot(told(date(2016, 5, 15)), date(2016, 5, 15), rows=rows))
    wet = [row for row in found.rest if row.too_wet is not None]
    assert wet
    assert all(row.too_wet and row.too_wet.facts["until"] > date(2016, 5, 15) for row in wet)
