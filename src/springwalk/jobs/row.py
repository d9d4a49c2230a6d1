"""One field's row of the sheet: the cutworm verdict of its parts, its looks, and whether anybody may go in today."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from springwalk.jobs.captures import RuleDates
from springwalk.jobs.keep_out import keep_out
from springwalk.jobs.looks import FieldFacts, Given, field_facts, looks_of_field, standing, watched
from springwalk.jobs.parts import Answers, part_of
from springwalk.jobs.results import LastWalk, Look, Part, Range, Reason, Row
from springwalk.jobs.snapshot import Snapshot
from springwalk.jobs.triage import Morning, Verdict, cutting_seen, judge
from springwalk.jobs.walks_seen import treated_on
from springwalk.records import Walk

TO_DO = ("due", "last day", "overdue")
"""States of a look that put a field on the day's list."""


def make_row(
    snap: Snapshot, answers: Answers | None, given: Given, at: int, units: list[int], dates: RuleDates, now: datetime
) -> Row:
    """The row of field ``at``, whose units are ``units``, at the local time ``now``."""
    field, settings = snap.fields[at], snap.settings
    captures = dates.of(int(snap.cells.cell[at]), snap.flights.captures(at)) if snap.cells else ()
    morning = Morning(
        snap.today, answers is not None, bool(snap.flights.arrived[at].any()), settings.rules, settings.background
    )
    walks = snap.used_walks(field.id)
    judged = [
        (part, _judged(snap, k, part, walks, morning))
        for k, part in ((k, part_of(snap, answers, k, captures)) for k in units)
    ]
    judged.sort(key=lambda pair: _part_order(*pair))
    verdict = judged[0][1]
    ordered = [part.model_copy(update={"seedbed": given.beds[at]}) for part, _ in judged]
    facts = field_facts(snap, given, at, units)
    looks = looks_of_field(facts)
    lock = keep_out(facts.passes, now, hold_untold_hours=settings.looks.table["hold_untold"])
    wanted = verdict.walk or any(look.alone and look.state in TO_DO for look in looks)
    wet = given.wet[at]
    coming = next((look for look in looks if look.state == "coming"), None)
    walk = wanted and lock is None and wet is None
    asked = _asked(snap, field.id)
    next_up = _what_next(facts, verdict, looks, coming, wanted=wanted, may_enter=lock is None and wet is None)
    why = _said((*verdict.why, *asked, *next_up), traps=bool(snap.flights.traps))
    missing = not wanted and coming is None and any(reason.code == "no_planting_date" for reason in why)
    return Row(
        field=field.id, name=field.name, grower=field.grower, area_ha=field.area_ha, latitude=field.latitude,
        longitude=field.longitude, walk_today=walk, seen_cutting=verdict.seen_cutting,
        cannot_say=(verdict.cannot_say and not wanted) or missing, cut_next_7_per_100=ordered[0].cut_next_7_per_100,
        cut_next_7_whole_field_per_100=_over_parts(ordered), lead_part=_part_words(ordered),
        why=why, look_for=verdict.look_for,
        come_back=verdict.come_back, first_look=ordered[0].first_look, captures=captures,
        last_walk=last_walk(walks), parts=tuple(ordered), looks=looks, cutworm=verdict.walk, keep_out=lock, too_wet=wet,
        also=watched(facts, looks),
    )  # fmt: skip


def _judged(snap: Snapshot, k: int, part: Part, walks: tuple[Walk, ...], at: Morning) -> Verdict:
    """The verdict on one part: by what was seen of its stand, and since it was treated."""
    mine = tuple(w for w in walks if snap.units[k].saw(w.walked))
    treated = treated_on(snap, k)
    if treated is None:
        return judge(part, last_walk(mine, part.planting), at)
    since = last_walk(tuple(w for w in mine if w.walked > treated), part.planting)
    if since is not None and cutting_seen(since, at):
        return judge(part, since, at)
    return Verdict(False, (Reason(code="treated", facts={"date": treated}),))


def _asked(snap: Snapshot, field_id: str) -> tuple[Reason, ...]:
    """That the newest walk can't be right as told; the field's page asks what to correct."""
    newest = snap.checked.get(field_id, ())[-1:]
    odd = any(one.facts["left_out"] not in ("", "number") for last in newest for one in last.questions)
    return (Reason(code="walk_asked", facts={"date": newest[0].walk.walked}),) if odd else ()


def _said(why: tuple[Reason, ...], *, traps: bool) -> tuple[Reason, ...]:
    """The reasons of a line; where nobody traps moths, one note says so for all fields instead of every line."""
    rest = tuple(reason for reason in why if reason.code != "no_flight")
    return why if traps or not rest else rest


def _what_next(
    facts: FieldFacts, verdict: Verdict, looks: tuple[Look, ...], coming: Look | None, *, wanted: bool, may_enter: bool
) -> tuple[Reason, ...]:
    """What a field without a walk today waits for: its next look, a planting date, or nothing more."""
    out = list(standing(facts))
    undated = [sown for sown in facts.sown if sown.spike is None]
    codes = {reason.code for reason in verdict.why}
    if any(sown.planted is None for sown in undated) and not codes & {"no_planting_date", "no_weather"}:
        out.append(Reason(code="no_planting_date"))
    if wanted:
        return tuple(out)
    out += [
        Reason(code="when_passing", facts={"code": look.code, "date": look.opens, "closes": look.closes})
        for look in looks
        if look.state in TO_DO and may_enter
    ]
    if coming is not None:
        facts_of = {"code": coming.code, "date": coming.opens, "closes": coming.closes, "estimate": coming.when}
        out += [Reason(code="next_look", facts=facts_of), *coming.why[:1]]
    elif not undated and verdict.come_back is None and not codes & {"past_v6", "no_weather"}:
        out.append(_nothing_left(facts, looks))
    return tuple(out)


def _nothing_left(facts: FieldFacts, looks: tuple[Look, ...]) -> Reason:
    """That nothing is left, since when the corn is past where the sheet ends, and what nobody told of."""
    ends = [sown.collar["last_collar"].mid for sown in facts.sown if "last_collar" in sown.collar]
    past = [day for day in ends if day is not None and day <= facts.today]
    missed = [look.code for look in looks if look.state == "missed"]
    return Reason(code="nothing_left", facts={"since": max(past, default=None), "missed": missed})


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


def walk_order(row: Row) -> tuple[object, ...]:
    """Where cutting was seen first, by the share counted; then cutworm by what is expected; then looks by urgency.

    Looks have no price yet, so they are not weighed against cutworm (assumption): those overdue or on their last day
    come first among themselves, then those that close soonest.
    """
    last = row.last_walk
    counted = last.fresh_cut / last.places if row.seen_cutting and last and last.places else 0.0
    stake = row.cut_next_7_per_100.mid if row.cutworm and row.cut_next_7_per_100 else 0.0
    due = [look for look in row.looks if look.alone and look.state in TO_DO]
    calm = not any(look.state in ("overdue", "last day") for look in due)
    closes = min((look.closes for look in due), default=date.max)
    return (not row.seen_cutting, -counted, not row.cutworm, -stake, calm, closes, row.field)


def rest_order(row: Row) -> tuple[bool, bool, bool, bool, date, str]:
    """Kept out first, then too wet, then what can't be said, then by the day of the next look."""
    coming = next((look.opens for look in row.looks if look.state == "coming"), None)
    back = min((day for day in (row.come_back, coming) if day), default=None)
    return (row.keep_out is None, row.too_wet is None, not row.cannot_say, back is None, back or date.max, row.field)


def _over_parts(parts: list[Part]) -> Range | None:
    """Expected cut plants per 100 over the whole field, parts weighted by area."""
    known = [p for p in parts if p.cut_next_7_per_100 is not None and p.area_ha > 0]
    total = sum(p.area_ha for p in known)
    if not known or total <= 0:
        return None
    ranges = [(p.area_ha / total, p.cut_next_7_per_100) for p in known if p.cut_next_7_per_100]
    return Range(**{name: sum(w * getattr(r, name) for w, r in ranges) for name in ("low", "mid", "high")})


def last_walk(walks: tuple[Walk, ...], planting: str | None = None) -> LastWalk | None:
    """What was counted on the newest day, its walks together, of those that speak of a planting (None: of all)."""
    mine = [w for w in walks if planting is None or w.planting in (None, planting)]
    day = [w for w in mine if w.walked == mine[-1].walked]
    return summary(_together(day)) if day else None


def _together(walks: Sequence[Walk]) -> Walk:
    """Walks of one day as one: stops and larvae of all, the stage of the last that tells one."""
    last = walks[-1]
    staged = next((w for w in reversed(walks) if w.collars is not None), last)
    people = ", ".join(dict.fromkeys(w.person for w in walks if w.person))
    return last.model_copy(
        update={
            "stops": tuple(s for w in walks for s in w.stops), "larvae": tuple(x for w in walks for x in w.larvae),
            "person": people, "collars": staged.collars, "staging": staged.staging,
        }
    )  # fmt: skip


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
