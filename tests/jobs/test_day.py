"""The day from a snapshot: who goes where, what is left out, what is kept although it earns nothing."""

from __future__ import annotations

from datetime import date, time
from functools import cache

import pytest

from springwalk.errors import BadValue
from springwalk.jobs.candidates import asked_fields
from springwalk.jobs.day import Team, day_of, team_of
from springwalk.jobs.day_said import Day
from springwalk.jobs.results import Look, Reason, Row
from springwalk.jobs.snapshot import Snapshot
from springwalk.jobs.terms import terms_of
from springwalk.jobs.worth import FieldWorth
from springwalk.records import Money, Pass, Promise, Team as Told
from springwalk.tables import number
from springwalk.units import ACRES_PER_HA
from tests.jobs.made import FOUR, SEASON, snapshot

MAY_24 = date(2016, 5, 24)
EIGHT = Team(("Ann", "Ben"), 7.0, time(7), (40.70, -96.86))


@cache
def season(*more: object) -> Snapshot:
    """Four fields under one flight on 24 May."""
    return snapshot([*FOUR, *more], MAY_24)  # type: ignore[list-item]


@cache
def planned(team: Team = EIGHT, *more: object) -> Day:
    """The plan of that morning."""
    return day_of(season(*more), team, terms_of(SEASON))


def visited(day: Day) -> set[str]:
    """Fields anybody goes to."""
    return {visit.field for person in day.people for visit in person.visits}


def test_fields_where_a_count_can_pay_are_walked_and_times_hold() -> None:
    """A field green till planting is worth a visit; nobody is home late; the route runs forward."""
    day = planned()
    assert "at-planting" in visited(day)
    assert day.worth_usd > 0.0
    assert day.worth_usd <= day.bound_usd + 1e-6
    for person in day.people:
        clock = [t for visit in person.visits for t in (visit.arrive, visit.leave)]
        assert clock == sorted(clock)
        assert person.home is None or person.home <= time(14)


@pytest.mark.slow
def test_the_same_morning_gives_the_same_day() -> None:
    """Nothing in it is drawn by chance or by the clock."""
    assert day_of(season(), EIGHT, terms_of(SEASON)) == planned()


def test_short_hours_leave_the_least_behind_and_say_what_it_costs() -> None:
    """What is left out has a price, and another hour then earns more than its wage."""
    short = planned(Team(("Ann",), 0.6, time(7), (40.70, -96.86)))
    assert len(visited(short)) < len(visited(planned()))
    left = [one for one in short.left_out if one.why == "hours"]
    assert left
    assert short.left_usd == pytest.approx(sum(one.costs_usd for one in short.left_out))
    assert short.hour_usd > 0.0
    assert short.worth_usd < planned().worth_usd


@pytest.mark.slow
def test_a_promise_is_kept_though_it_earns_nothing() -> None:
    """Promised visits and overdue looks are constraints: hours so dear that nothing pays leave only those."""
    dear = SEASON.model_copy(update={"money": Money(wage_usd_h=1000.0)})
    promise = Promise(field="late", every_days=7, since=date(2016, 5, 1))
    day = day_of(season(promise), EIGHT, terms_of(dear))
    forced = {visit.field: visit.forced for person in day.people for visit in person.visits}
    assert forced == {"at-planting": "overdue", "black": "overdue", "late": "promised"}
    assert "late" not in visited(day_of(season(), EIGHT, terms_of(dear)))


def test_a_treated_field_is_not_entered_before_its_interval_ends() -> None:
    """Sprayed at 6:00 with 24 h typed: out all day; with 4 h typed it opens at 10:00, and nobody is there before."""
    sprayed = Pass(field="at-planting", date=MAY_24, what="insecticide", at=time(6), entry_hours=24)
    assert "at-planting" not in visited(planned(EIGHT, sprayed))
    assert [row.field for row in planned(EIGHT, sprayed).kept_out] == ["at-planting"]
    weeds = Pass(field="at-planting", date=MAY_24, what="herbicide", at=time(6), entry_hours=4)
    opened = planned(EIGHT, weeds)
    visit = next(v for person in opened.people for v in person.visits if v.field == "at-planting")
    assert visit.arrive >= time(10)


def test_no_weather_still_makes_a_day() -> None:
    """Without a station nothing is known of larvae; promised visits are walked."""
    bare = [one for one in FOUR if one.kind != "station"]
    snap = snapshot([*bare, Promise(field="black", every_days=7, since=date(2016, 5, 1))], today=MAY_24, rows=[])
    assert visited(day_of(snap, EIGHT, terms_of(SEASON))) == {"black"}


@pytest.mark.parametrize(("opens_in", "share"), [(0, 1.0), (3, 0.25)])
def test_a_look_counts_whole_on_its_last_day(opens_in: int, share: float) -> None:
    """What can still be done tomorrow is worth going for today in part only (assumption); by area and table."""
    row = _row(closes=date(2016, 5, 24 + opens_in))
    asked = asked_fields([row], {}, MAY_24)[0]
    whole = number("look_worth", "stand_count").value * 30.0 * ACRES_PER_HA
    assert asked.prize == pytest.approx(share * whole)
    assert (asked.minutes, asked.forced) == (20.0, "")


def test_an_overdue_look_is_forced() -> None:
    """Whoever promised to look and is late goes, whatever it earns."""
    assert asked_fields([_row(closes=date(2016, 5, 20), state="overdue")], {}, MAY_24)[0].forced == "overdue"


def test_minutes_and_money_of_a_walk_are_those_of_its_worth() -> None:
    """Stops and a likely search are both time in the field."""
    worth = FieldWorth("a", 120.0, 4.0, 0.5, 28.0)
    asked = asked_fields([_row(closes=None)], {"a": worth}, MAY_24)[0]
    assert (asked.prize, asked.minutes) == (120.0, 28.0)


def _row(*, closes: date | None, state: str = "due") -> Row:
    looks = ()
    if closes is not None:
        looks = (
            Look(
                key="stand_count:a", code="stand_count", planting=None, zone=None, opens=date(2016, 5, 18),
                closes=closes, lapses=date(2016, 6, 20), state=state, why=(Reason(code="x"),), minutes=20.0,  # type: ignore[arg-type]
            ),
        )  # fmt: skip
    return Row(
        field="a", name="A", grower="", area_ha=30.0, latitude=40.7, longitude=-96.8, walk_today=True,
        cut_next_7_per_100=None, why=(), look_for=(), come_back=None, first_look=None, captures=(), last_walk=None,
        parts=(), looks=looks,
    )  # fmt: skip


def test_the_team_is_typed_told_or_usual() -> None:
    """What is typed goes first, then the season's, then the table's."""
    told = SEASON.model_copy(update={"team": Told(people=3, hours=6.5, leave=time(6, 30))})
    assert team_of(told).names == ("Person A", "Person B", "Person C")
    typed = team_of(told, people="Ann, Ben", hours=4.0)
    assert (typed.names, typed.hours, typed.leave) == (("Ann", "Ben"), 4.0, time(6, 30))
    assert team_of(SEASON).names == ("You",)


@pytest.mark.parametrize(
    ("asked", "text"),
    [
        ({"people": "0"}, "people = 0: must be 1 to 20; give how many walk, or their names."),
        ({"people": "Ann,Ann"}, "people = Ann,Ann: not a number, nor names that differ; write 2, or Ann,Ben."),
        ({"hours": 17.0}, "hours = 17: must be above 0 and at most 16; give the hours each person has."),
        ({"hours": 12.0, "leave": time(14)}, "hours = 12: run past midnight from 14:00; leave earlier, or give fewer."),
    ],
)
def test_a_team_that_cannot_be_is_refused(asked: dict[str, object], text: str) -> None:
    """A slip is told in one line."""
    with pytest.raises(BadValue) as caught:
        team_of(SEASON, **asked)  # type: ignore[arg-type]
    assert str(caught.value) == text
