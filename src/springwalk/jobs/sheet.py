"""The morning sheet: which fields to walk today, in order, and why; and which need no walk."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import date, datetime
from itertools import groupby
from zoneinfo import ZoneInfo

from springwalk.engine import ENGINE_VERSION
from springwalk.engine.assess import assess, begins_by
from springwalk.engine.heat import NAMED
from springwalk.jobs.captures import RuleDates, rule_dates
from springwalk.jobs.params import SPAN_METHODS, capture_rule
from springwalk.jobs.parts import Answers, part_of
from springwalk.jobs.results import LastWalk, Part, Range, Reason, Row, Sheet, WeatherBasis
from springwalk.jobs.snapshot import Snapshot, season_of, snapshot
from springwalk.jobs.triage import Morning, Verdict, judge
from springwalk.records import Season, Walk
from springwalk.store import Store


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
    rows = rows_of(snap, answers_of(snap))
    return Sheet(
        season=snap.season.name, year=snap.season.year, today=snap.today, today_given=today_given,
        rows=tuple(sorted((r for r in rows if r.walk_today), key=_order)),
        rest=tuple(sorted((r for r in rows if not r.walk_today), key=_rest_order)),
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


def rows_of(snap: Snapshot, answers: Answers | None) -> list[Row]:
    """One row per field, in the order of the snapshot's fields."""
    dates = rule_dates(snap)
    place = {field.id: k for k, field in enumerate(snap.fields)}
    numbered = enumerate(snap.units)
    return [
        _row(snap, answers, place[field_id], [k for k, _ in group], dates)
        for field_id, group in groupby(numbered, key=lambda item: item[1].field.id)
    ]


def row_of(snap: Snapshot, field_id: str) -> Row:
    """The row of one field, as on the sheet; only its own weather cell is worked."""
    at = next(k for k, field in enumerate(snap.fields) if field.id == field_id)
    units = [k for k, unit in enumerate(snap.units) if unit.field.id == field_id]
    cells = [int(snap.cells.cell[at])] if snap.cells else []
    return _row(snap, answers_of(snap, cells), at, units, rule_dates(snap, cells))


def _row(snap: Snapshot, answers: Answers | None, at: int, units: list[int], dates: RuleDates) -> Row:
    field, settings = snap.fields[at], snap.settings
    captures = dates.of(int(snap.cells.cell[at]), snap.flights.captures(at)) if snap.cells else ()
    morning = Morning(
        snap.today, answers is not None, bool(snap.flights.arrived[at].any()), settings.rules, settings.background
    )
    walks = snap.walks.get(field.id, ())
    judged = [(part, judge(part, last_walk(walks, part.planting), morning)) for part in
              (part_of(snap, answers, k, captures) for k in units)]  # fmt: skip
    judged.sort(key=lambda pair: _part_order(*pair))
    verdict, parts = judged[0][1], [part for part, _ in judged]
    return Row(
        field=field.id, name=field.name, grower=field.grower, area_ha=field.area_ha, latitude=field.latitude,
        longitude=field.longitude, walk_today=verdict.walk, seen_cutting=verdict.seen_cutting,
        cannot_say=verdict.cannot_say, cut_next_7_per_100=parts[0].cut_next_7_per_100,
        cut_next_7_whole_field_per_100=_over_parts(parts), lead_part=_part_words(parts),
        why=verdict.why, look_for=verdict.look_for, come_back=verdict.come_back, first_look=parts[0].first_look,
        captures=captures, last_walk=last_walk(walks), parts=tuple(parts),
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


def _part_order(part: Part, verdict: Verdict) -> tuple[bool, bool, date, float, str]:
    """The part that decides comes first: cutting seen, to walk today, soonest looked at, most at stake."""
    cut = part.cut_next_7_per_100.mid if part.cut_next_7_per_100 else 0.0
    due = date.min if verdict.walk or verdict.cannot_say else verdict.come_back or date.max
    return (not verdict.seen_cutting, not verdict.walk, due, -cut, f"{part.planting}{part.zone}")


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


def last_walk(walks: tuple[Walk, ...], planting: str | None = None) -> LastWalk | None:
    """The newest walk as counted, of those that speak of a planting (all of them for None)."""
    mine = [w for w in walks if planting is None or w.planting in (None, planting)]
    return summary(mine[-1]) if mine else None


def summary(walk: Walk) -> LastWalk:
    """A walk's totals over its counted stops; stops where the scout went looking are kept apart."""
    counted = [s for s in walk.stops if s.counted]
    looked = [s for s in walk.stops if not s.counted]
    instars = [x.instar for x in walk.larvae if x.instar is not None]
    plain = walk.staging == "collars"
    return LastWalk(
        walked=walk.walked, person=walk.person, places=sum(s.places for s in counted),
        fresh_cut=sum(s.fresh_cut for s in counted), old_cut=sum(s.old_cut for s in counted),
        leaf_fed=sum(s.leaf_fed for s in counted), looked_places=sum(s.places for s in looked),
        looked_fresh_cut=sum(s.fresh_cut for s in looked), larvae=len(walk.larvae),
        larvae_mm=tuple(sorted(x.length_mm for x in walk.larvae if x.length_mm is not None)),
        largest_instar=max(instars, default=None), collars=walk.collars if plain else None,
        staged="" if plain or walk.collars is None else f"{walk.collars:g} by {walk.staging}",
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
    notes += _method_span(rows)
    early = [u.planting.planted for u in snap.units if u.planting and u.planting.planted]
    if early and min(early) < snap.season.begins:
        notes.append(Reason(code="planted_before_season", facts={"date": snap.season.begins}))
    if snap.cells:
        notes += snap.cells.notes
    elif snap.fields:
        notes += [*snap.dropped, Reason(code="no_weather")]
    return (*notes, *snap.flights.notes, *snap.trouble)


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
