"""The morning sheet: which fields to walk today, in order, and why; and which need no walk."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import date, datetime, time
from itertools import groupby
from zoneinfo import ZoneInfo

from springwalk.engine import ENGINE_VERSION
from springwalk.engine.assess import assess, begins_by
from springwalk.engine.heat import NAMED
from springwalk.jobs.captures import rule_dates
from springwalk.jobs.looks.given import given_of
from springwalk.jobs.params import SPAN_METHODS, capture_rule
from springwalk.jobs.parts import Answers
from springwalk.jobs.results import Reason, Row, Sheet, WeatherBasis
from springwalk.jobs.row import make_row, rest_order, walk_order
from springwalk.jobs.snapshot import Snapshot, field_at, season_of, snapshot
from springwalk.records import Season
from springwalk.store import Store


def sheet(store: Store, today: date | None = None, *, at: time | None = None) -> Sheet:
    """The morning sheet of a store for ``today`` (the season's local date and time if None).

    ``at`` is the local hour asked about, by which fields are held out; the beginning of the day if only a date is
    given. Raises OutsideSeason for a date the season does not hold, StoreError for a store without a season.
    """
    now = asked_at(season_of(store), today, at)
    return sheet_of(snapshot(store, today=now.date()), now=now, today_given=today is not None)


def asked_at(season: Season, today: date | None, at: time | None = None) -> datetime:
    """The local time a question is about: now, or the beginning of a given day."""
    if today is None:
        return datetime.now(ZoneInfo(season.timezone)).replace(tzinfo=None)
    return datetime.combine(today, at or time.min)


def local_date(season: Season) -> date:
    """Today's date where the season's fields are."""
    return asked_at(season, None).date()


def sheet_of(
    snap: Snapshot, *, now: datetime | None = None, today_given: bool = True, answers: Answers | None = None
) -> Sheet:
    """The sheet of a snapshot: pure, the same snapshot gives the same sheet. ``answers`` may be there already."""
    rows = rows_of(snap, answers or answers_of(snap), now=now)
    return Sheet(
        season=snap.season.name, year=snap.season.year, today=snap.today, today_given=today_given,
        rows=tuple(sorted((r for r in rows if r.walk_today), key=walk_order)),
        rest=tuple(sorted((r for r in rows if not r.walk_today), key=rest_order)),
        notes=_notes(snap, rows), weather=basis_of(snap), heat_method=snap.season.heat_method,
        capture_rule=rule_key(snap.season), engine_version=ENGINE_VERSION, settings_hash=snap.settings.digest,
    )  # fmt: skip


def answers_of(snap: Snapshot, cells: Sequence[int] | None = None) -> Answers | None:
    """The engine's answers for the units of some cells (None: of all); None without weather."""
    if snap.inputs is None:
        return None
    params = snap.settings.engine
    begins = {name: begins_by(snap.inputs, params, NAMED[name], cells=cells) for name in SPAN_METHODS}
    return Answers(assess(snap.inputs, params, cells=cells), begins)


def rows_of(snap: Snapshot, answers: Answers | None, *, now: datetime | None = None) -> list[Row]:
    """One row per field, in the order of the snapshot's fields."""
    moment = now or _morning(snap)
    dates, given = rule_dates(snap), given_of(snap, answers, moment)
    place = {field.id: k for k, field in enumerate(snap.fields)}
    numbered = enumerate(snap.units)
    return [
        make_row(snap, answers, given, place[field_id], [k for k, _ in group], dates, moment)
        for field_id, group in groupby(numbered, key=lambda item: item[1].field.id)
    ]


def row_of(snap: Snapshot, field_id: str, *, now: datetime | None = None) -> Row:
    """The row of one field, as on the sheet; only its own weather cell is worked. NotFound for an unknown id."""
    at = field_at(snap, field_id)
    units = list(snap.units_of_field(field_id))
    cells = [int(snap.cells.cell[at])] if snap.cells else []
    answers, moment = answers_of(snap, cells), now or _morning(snap)
    given = given_of(snap, answers, moment)
    return make_row(snap, answers, given, at, units, rule_dates(snap, cells), moment)


def _morning(snap: Snapshot) -> datetime:
    return datetime.combine(snap.today, time.min)


def basis_of(snap: Snapshot) -> WeatherBasis:
    """What the heat of a snapshot rests on."""
    if snap.cells:
        return snap.cells.basis
    return WeatherBasis(stations=(), attribution=(), observed_to=None, members=0, members_from="", gaps=())


def rule_key(season: Season) -> str:
    """The capture rule for wing traps that the season uses."""
    rule = capture_rule("wing", key=season.capture_rule, state=season.state)
    return rule.key if rule else ""


def _notes(snap: Snapshot, rows: list[Row]) -> tuple[Reason, ...]:
    notes = [Reason(code="order_assumption")] if any(r.walk_today for r in rows) else []
    if snap.flights.caught_to and any(r.captures for r in rows):
        notes.append(Reason(code="caught_so_far", facts={"date": snap.flights.caught_to}))
    notes += _method_span(rows)
    early = [u.planting.planted for u in snap.units if u.planting and u.planting.planted]
    if early and min(early) < snap.season.begins:
        notes.append(Reason(code="planted_before_season", facts={"date": snap.season.begins}))
    if snap.cells:
        notes += snap.cells.notes
    elif snap.fields:
        notes += [*snap.dropped, Reason(code="no_weather")]
    if snap.year_heat is not None and any(_fly_matters(row) for row in rows):
        notes += [note for note in snap.year_heat.notes if note.code == "no_winter_days"]
    return (*notes, *snap.flights.notes, *snap.trouble)


def _fly_matters(row: Row) -> bool:
    """Whether seedcorn maggot is spoken of at a field."""
    return any(reason.facts.get("pest") == "seedcorn maggot" for reason in row.also)


def _method_span(rows: list[Row]) -> list[Reason]:
    """How far the ways of counting heat differ, for the capture most fields share."""
    shared = Counter((c.trap, c.night) for r in rows for c in r.captures[:1])
    if not shared:
        return []
    (trap, night), _ = shared.most_common(1)[0]
    same = [c for r in rows for c in r.captures[:1] if (c.trap, c.night) == (trap, night)]
    dates = [h.reaches_rule.mid for c in same for h in c.by_method if h.reaches_rule.mid]
    facts = {"early": min(dates), "late": max(dates), "night": night} if dates else {}
    return [Reason(code="method_span", facts=facts)] if dates else []
