"""The morning sheet: which fields to walk today, in order, and why; and which need no walk."""

from __future__ import annotations

from datetime import date, datetime
from itertools import groupby
from zoneinfo import ZoneInfo

from springwalk.engine import ENGINE_VERSION
from springwalk.engine.assess import Assessed, assess
from springwalk.jobs.captures import RuleDates, rule_dates
from springwalk.jobs.params import capture_rule
from springwalk.jobs.parts import part_of
from springwalk.jobs.results import LastWalk, Part, Range, Reason, Row, Sheet, WeatherBasis
from springwalk.jobs.snapshot import Snapshot, season_of, snapshot
from springwalk.jobs.triage import judge
from springwalk.records import Season, Walk
from springwalk.store import Store

OLD_WEATHER_DAYS = 3


def sheet(store: Store, today: date | None = None) -> Sheet:
    """The morning sheet of a store for ``today`` (the season's local date if None).

    Raises OutsideSeason for a date the season does not hold, StoreError for a store without a season.
    """
    day = today or local_date(season_of(store))
    return sheet_of(snapshot(store, today=day), today_given=today is not None)


def local_date(season: Season) -> date:
    """Today's date where the season's fields are."""
    return datetime.now(ZoneInfo(season.timezone)).date()


def sheet_of(snap: Snapshot, *, today_given: bool = True) -> Sheet:
    """The sheet of a snapshot: pure, the same snapshot gives the same sheet."""
    answer = assess(snap.inputs, snap.settings.engine) if snap.inputs is not None else None
    rows = rows_of(snap, answer)
    return Sheet(
        season=snap.season.name, year=snap.season.year, today=snap.today, today_given=today_given,
        rows=tuple(sorted((r for r in rows if r.walk_today), key=_order)),
        rest=tuple(sorted((r for r in rows if not r.walk_today), key=_rest_order)),
        notes=_notes(snap, rows), weather=basis_of(snap), heat_method=snap.season.heat_method,
        capture_rule=rule_key(snap.season), engine_version=ENGINE_VERSION, settings_hash=snap.settings.digest,
    )  # fmt: skip


def rows_of(snap: Snapshot, answer: Assessed | None) -> list[Row]:
    """One row per field, in the order of the snapshot's fields."""
    dates = rule_dates(snap)
    place = {field.id: k for k, field in enumerate(snap.fields)}
    numbered = enumerate(snap.units)
    return [
        _row(snap, answer, place[field_id], [k for k, _ in group], dates)
        for field_id, group in groupby(numbered, key=lambda item: item[1].field.id)
    ]


def _row(snap: Snapshot, answer: Assessed | None, at: int, units: list[int], dates: RuleDates) -> Row:
    field = snap.fields[at]
    captures = dates.of(int(snap.cells.cell[at]), snap.flights.captures(at)) if snap.cells else ()
    parts = sorted((part_of(snap, answer, k, captures) for k in units), key=_part_order)
    last = last_walk(snap.walks.get(field.id, ()))
    verdict = judge(
        parts, last, today=snap.today, weather=answer is not None, flight=bool(snap.flights.arrived[at].any())
    )
    return Row(
        field=field.id, name=field.name, grower=field.grower, area_ha=field.area_ha, latitude=field.latitude,
        longitude=field.longitude, walk_today=verdict.walk,
        seen_cutting=verdict.seen_cutting, cannot_say=verdict.cannot_say, cut_next_7_per_100=parts[0].cut_next_7_per_100,
        cut_next_7_whole_field_per_100=_over_parts(parts), lead_part=_part_words(parts),
        why=verdict.why, look_for=verdict.look_for, come_back=verdict.come_back, first_look=parts[0].first_look,
        captures=captures, last_walk=last, parts=tuple(parts),
    )  # fmt: skip


def _part_words(parts: list[Part]) -> str:
    """What tells the leading part from the others; empty for a field that is one part."""
    lead = parts[0]
    words = []
    if len({p.zone for p in parts}) > 1:
        words.append(lead.zone or "rest of the field")
    if len({p.planting for p in parts}) > 1 and lead.planting:
        words.append(f"planting {lead.planting.split('/')[-1]}")
    return ", ".join(words)


def _part_order(part: Part) -> tuple[float, float, str]:
    cut = part.cut_next_7_per_100.mid if part.cut_next_7_per_100 else 0.0
    return (-cut, -part.egg_load, f"{part.planting}{part.zone}")


def _order(row: Row) -> tuple[bool, float, float, str]:
    """Where cutting was seen first, by the share counted; then by what is expected."""
    last = row.last_walk
    counted = last.fresh_cut / last.places if row.seen_cutting and last and last.places else 0.0
    return (not row.seen_cutting, -counted, -(row.cut_next_7_per_100.mid if row.cut_next_7_per_100 else 0.0), row.field)


def _rest_order(row: Row) -> tuple[bool, bool, date, str]:
    return (not row.cannot_say, row.come_back is None, row.come_back or date.max, row.field)


def _over_parts(parts: list[Part]) -> Range | None:
    """Expected cut plants per 100 over the whole field, parts weighted by area."""
    known = [p for p in parts if p.cut_next_7_per_100 is not None and p.area_ha > 0]
    total = sum(p.area_ha for p in known)
    if not known or total <= 0:
        return None
    ranges = [(p.area_ha / total, p.cut_next_7_per_100) for p in known if p.cut_next_7_per_100]
    return Range(**{name: sum(w * getattr(r, name) for w, r in ranges) for name in ("low", "mid", "high")})


def last_walk(walks: tuple[Walk, ...]) -> LastWalk | None:
    """The newest walk as counted; stops where the scout went looking are left out of the counts."""
    return summary(walks[-1]) if walks else None


def summary(walk: Walk) -> LastWalk:
    """A walk's totals over its counted stops."""
    counted = [s for s in walk.stops if s.counted]
    return LastWalk(
        walked=walk.walked, person=walk.person, places=sum(s.places for s in counted),
        fresh_cut=sum(s.fresh_cut for s in counted), old_cut=sum(s.old_cut for s in counted),
        leaf_fed=sum(s.leaf_fed for s in counted), larvae=len(walk.larvae),
        larvae_mm=tuple(sorted(x.length_mm for x in walk.larvae if x.length_mm is not None)), collars=walk.collars,
    )  # fmt: skip


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
    dates = [h.reaches_rule.mid for r in rows for c in r.captures[:1] for h in c.by_method if h.reaches_rule.mid]
    if dates:
        notes.append(Reason(code="method_span", facts={"early": min(dates), "late": max(dates)}))
    if snap.cells:
        seen = snap.cells.basis.observed_to
        if seen and (snap.today - seen).days > OLD_WEATHER_DAYS:
            notes.append(Reason(code="weather_old", facts={"date": seen, "days": (snap.today - seen).days}))
        notes += snap.cells.notes
    elif snap.fields:
        notes.append(Reason(code="no_weather"))
    return (*notes, *snap.flights.notes)
