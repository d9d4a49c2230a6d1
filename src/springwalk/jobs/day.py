"""The day: who walks which fields in which order, at what times, what is left out and what that costs.

snapshot → rows and beliefs → what each visit is worth → route → what an hour is worth → stop tables again → route.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from springwalk.errors import BadValue
from springwalk.jobs.advise import advise_of
from springwalk.jobs.believed import believed
from springwalk.jobs.candidates import Asked, asked_fields
from springwalk.jobs.day_said import Day, LeftOut, Outline, PersonDay, Visit
from springwalk.jobs.fit import fit_on
from springwalk.jobs.parts import Answers
from springwalk.jobs.results import Row, Sheet
from springwalk.jobs.sheet import answers_of, asked_at, rows_of, sheet_of
from springwalk.jobs.snapshot import Snapshot, season_of, snapshot
from springwalk.jobs.terms import Hours, Terms
from springwalk.jobs.worth import FieldWorth, worth_of
from springwalk.plan.day import Candidate, DayPlan, Person, Place, Route
from springwalk.plan.left import Behind, left_behind
from springwalk.plan.roads import on_a_plane, usual_roads
from springwalk.plan.solve import plan_day
from springwalk.records import Field, Season
from springwalk.store import Store
from springwalk.tables import number

CENT = 0.01
SHORT = ("hours", "closed", "alone", "together")
"""Why a field that pays is left out."""


@dataclass(frozen=True)
class Team:
    """Who walks: names, hours each, when they leave, and where from (None = the middle of the fields)."""

    names: tuple[str, ...]
    hours: float
    leave: time
    start: tuple[float, float] | None = None


def team_of(season: Season, *, people: str = "", hours: float | None = None, leave: time | None = None,
            start: tuple[float, float] | None = None) -> Team:  # fmt: skip
    """The day's team: what is typed goes before what the season tells, and that before the usual.

    ``people`` is a number or names with commas. Raises BadValue for nobody, too many, or hours that are no day.
    """
    told = season.team
    names = _names(people or str(told.people or int(number("money", "people").value)))
    given = hours if hours is not None else told.hours or number("money", "hours").value
    if not 0.0 < given <= 16.0:
        raise BadValue("hours", f"{given:g}", "must be above 0 and at most 16", "give the hours each person has")
    known = (told.latitude, told.longitude) if told.latitude is not None and told.longitude is not None else None
    usual = time(int(number("money", "leave").value))
    begins = leave or told.leave or usual
    if begins.hour + begins.minute / 60.0 + given > 24.0:
        raise BadValue("hours", f"{given:g}", f"run past midnight from {begins:%H:%M}", "leave earlier, or give fewer")
    return Team(names, given, begins, start or known)


def _names(text: str) -> tuple[str, ...]:
    asked = text.strip()
    if asked.isdecimal():
        count = int(asked)
        if not 1 <= count <= 20:
            raise BadValue("people", asked, "must be 1 to 20", "give how many walk, or their names")
        return tuple(f"Person {chr(ord('A') + k)}" for k in range(count)) if count > 1 else ("You",)
    names = tuple(name.strip() for name in asked.split(",") if name.strip())
    if not names or len(set(names)) < len(names) or len(names) > 20:
        raise BadValue("people", text, "not a number, nor names that differ", "write 2, or Ann,Ben")
    return names


def day(store: Store, team: Team, terms: Terms, *, today: date | None = None) -> Day:
    """The plan of ``today`` (the season's local date if None); raises what `snapshot` and `team_of` raise."""
    now = asked_at(season_of(store), today)
    return day_of(snapshot(store, today=now.date()), team, terms)


def sheet_and_day(
    store: Store, team: Team, terms: Terms, *, today: date | None = None, at: time | None = None
) -> tuple[Sheet, Day]:
    """The morning sheet as asked ``at`` an hour, and the plan of its day, from one working of the season."""
    now = asked_at(season_of(store), today, at)
    snap = snapshot(store, today=now.date())
    answers = answers_of(snap)
    sheet = sheet_of(snap, now=now, today_given=today is not None, answers=answers)
    return sheet, day_of(snap, team, terms, answers=answers)


def day_of(snap: Snapshot, team: Team, terms: Terms, *, answers: Answers | None = None) -> Day:
    """The same from a snapshot; pure. The morning is asked about: a lock that opens later today opens in the plan."""
    assert terms.said is not None
    rows = rows_of(snap, answers or answers_of(snap), now=datetime.combine(snap.today, team.leave))
    known = believed(snap, range(len(snap.units)))
    start, told = _start(team, rows)
    fit = fit_on(snap)
    wage = terms.said.wage_usd_h

    dusk = _at_dusk(snap, terms)

    def worths(hours: Hours) -> tuple[FieldWorth, ...]:
        return worth_of(snap, known, terms, hours, fit) if known is not None else ()

    made = _planned(snap, rows, worths(Hours(wage)), team, start, wage, dusk)
    hour = _hour_worth(made)
    if hour > CENT:
        made = _planned(snap, rows, worths(Hours(wage, wage + hour)), team, start, wage, dusk)
    return _said(snap, rows, made, team, terms, start=start, told=told, hour=hour, dusk=dusk)


def _at_dusk(snap: Snapshot, terms: Terms) -> tuple[str, ...]:
    """Fields whose advice asks for another search today, which is made at dusk."""
    return tuple(
        one.field
        for one in advise_of(snap, terms)
        if any(part.verdict == "look again" and part.on == snap.today for part in one.parts)
    )


@dataclass(frozen=True)
class _Planned:
    """The fields that could be visited, the best day among them, and what each left behind would add."""

    asked: tuple[Asked, ...]
    plan: DayPlan
    behind: tuple[Behind, ...]


def _start(team: Team, rows: Sequence[Row]) -> tuple[tuple[float, float], bool]:
    if team.start is not None:
        return team.start, True
    if not rows:
        return (0.0, 0.0), False
    middle = [sum(getattr(row, axis) for row in rows) / len(rows) for axis in ("latitude", "longitude")]
    return (middle[0], middle[1]), False


def _planned(
    snap: Snapshot, rows: Sequence[Row], worth: Sequence[FieldWorth], team: Team, start: tuple[float, float],
    wage: float, dusk: tuple[str, ...],
) -> _Planned:  # fmt: skip
    asked = asked_fields(rows, {one.field: one for one in worth}, snap.today, at_dusk=dusk)
    places = on_a_plane([start, *((one.row.latitude, one.row.longitude) for one in asked)])
    candidates = [
        Candidate(one.row.field, place, one.prize, one.minutes, one.opens_min, one.forced)
        for one, place in zip(asked, places[1:], strict=True)
    ]
    people, roads = _people(team, places[0]), usual_roads()
    plan = plan_day(candidates, people, roads, wage)
    return _Planned(asked, plan, left_behind(candidates, people, roads, wage, plan))


def _people(team: Team, home: Place) -> list[Person]:
    begins = team.leave.hour * 60.0 + team.leave.minute
    return [Person(name, home, home, begins, begins + 60.0 * team.hours) for name in team.names]


def _hour_worth(made: _Planned) -> float:
    """What the best field that only hours kept out pays an hour, over the wage; 0 without one."""
    rates = [60.0 * one.gain / one.added_min for one in made.behind if one.why == "hours" and one.added_min > 0]
    return max(rates, default=0.0)


def _said(
    snap: Snapshot, rows: Sequence[Row], made: _Planned, team: Team, terms: Terms, *,
    start: tuple[float, float], told: bool, hour: float, dusk: tuple[str, ...],
) -> Day:  # fmt: skip
    assert terms.said is not None
    by_id, plan = {one.row.field: one for one in made.asked}, made.plan
    left = _left_out(made)
    return Day(
        season=snap.season.name, today=snap.today, people=tuple(_person(route, by_id) for route in plan.routes),
        left_out=left, kept_out=tuple(row for row in rows if row.field not in by_id and (row.keep_out or row.too_wet)),
        worth_usd=plan.value, left_usd=sum(one.costs_usd for one in left if one.why in SHORT), at_dusk=dusk,
        bound_usd=plan.bound, proved=plan.proved,
        stopped_by_clock=plan.stopped_by_clock, hour_usd=hour, hours=team.hours, leave=team.leave, start=start,
        start_told=told, terms=terms.said, roads=plan.basis,
        outlines=tuple(_outline(field) for field in snap.fields if field.id in by_id or field.id in dusk),
    )  # fmt: skip


def _outline(field: Field) -> Outline:
    """The outer rings of a field's outline; none where it has no coordinates."""
    kind, shape = field.outline.get("type"), field.outline.get("coordinates", ())
    polygons = [shape] if kind == "Polygon" else shape if kind == "MultiPolygon" else ()
    rings = [tuple((float(at[0]), float(at[1])) for at in polygon[0]) for polygon in polygons if polygon]
    return Outline(field=field.id, name=field.name, rings=tuple(rings))


def _person(route: Route, asked: dict[str, Asked]) -> PersonDay:
    visits = []
    for stay in route.stays:
        one = asked[stay.name]
        visits.append(
            Visit(
                field=one.row.field, name=one.row.name, grower=one.row.grower, latitude=one.row.latitude,
                longitude=one.row.longitude, arrive=_clock(stay.arrive_min), leave=_clock(stay.leave_min),
                prize_usd=one.prize, forced=one.forced, purposes=one.purposes,
            )
        )  # fmt: skip
    in_fields = sum(asked[stay.name].minutes for stay in route.stays)
    return PersonDay(
        person=route.person, go=_clock(route.go_min) if visits else None,
        home=_clock(route.home_min) if visits else None, visits=tuple(visits),
        drive_min=route.work_min - in_fields if visits else 0.0, field_min=in_fields,
    )  # fmt: skip


def _clock(minutes: float) -> time:
    """Minutes from midnight as a local time, to the second; the day's last second where it runs over."""
    seconds = min(round(minutes * 60.0), 24 * 3600 - 1)
    return time(seconds // 3600, seconds // 60 % 60, seconds % 60)


def _left_out(made: _Planned) -> tuple[LeftOut, ...]:
    """Fields not in the day: forced ones first, then the dearest."""
    forced = {one.name: one.why for one in made.plan.forced_left}
    by_id = {one.row.field: one for one in made.asked}
    out = []
    for left in made.behind:
        one = by_id[left.name]
        why = left.why if left.why == "closed" else forced.get(left.name, left.why)
        if why == "small" and one.decided:
            why = "decided"
        out.append(
            LeftOut.model_validate(
                {"field": left.name, "name": one.row.name, "costs_usd": max(left.gain, 0.0), "why": why,
                 "forced": one.forced, "purposes": one.purposes}
            )
        )  # fmt: skip
    return tuple(sorted(out, key=lambda one: (not one.forced, -one.costs_usd, one.field)))
