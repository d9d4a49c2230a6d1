"""Walk today or not, and why: rules on one assessed part of a field. What was seen goes before what was computed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from springwalk.engine.cutting import mistake_odds
from springwalk.jobs.results import LastWalk, Part, Reason
from springwalk.jobs.rules import Rules


@dataclass(frozen=True)
class Verdict:
    """Whether to walk today, why, what to look for, and when to come back.

    ``seen_cutting``: the last walk found it, so the field comes first. ``cannot_say``: something needed is missing,
    which is not the same as no walk needed.
    """

    walk: bool
    why: tuple[Reason, ...]
    look_for: tuple[Reason, ...] = ()
    come_back: date | None = None
    seen_cutting: bool = False
    cannot_say: bool = False


@dataclass(frozen=True)
class Morning:
    """What a verdict needs beside the part: the day, whether weather and moths reach the field, and the rules."""

    today: date
    weather: bool
    flight: bool
    rules: Rules
    background: float


def judge(part: Part, last: LastWalk | None, at: Morning) -> Verdict:
    """The verdict on one part of a field, from its answer and its last walk."""
    seen = _seen(part, last, at)
    if cutting_seen(last, at) and not _past(part, at):
        assert last is not None
        return _follow_up(part, last, seen, at)
    if not at.weather:
        return Verdict(False, (Reason(code="no_weather"), *seen), cannot_say=True)
    settled = _settled(part, at)
    if settled is not None:
        return Verdict(False, (*settled, *seen))
    if part.first_look and at.today < part.first_look:
        return Verdict(False, (*part.reasons, *_waiting(part), *seen), come_back=part.first_look)
    if part.emergence is None:
        return Verdict(False, (*part.reasons, Reason(code="no_planting_date"), *seen), cannot_say=True)
    due = _due(part, last, at)
    if due > at.today:
        assert last is not None
        facts = {"date": last.walked, "days": (at.today - last.walked).days}
        why = (*part.reasons, *_timing(part, at), Reason(code="walked_recently", facts=facts), *seen)
        return Verdict(False, why, come_back=due)
    back = _next(part, at.today, at)
    return Verdict(True, (*part.reasons, *_timing(part, at), *seen), _look_for(part, at), back)


def cutting_seen(last: LastWalk | None, at: Morning) -> bool:
    """Whether the last walk found cutting.

    More fresh cuts than mistakes explain, fresh cuts with larvae, or larvae of cutting size; or cuts where it looked
    worst.
    """
    if last is None or (at.today - last.walked).days > at.rules.seen:
        return False
    large = any(mm >= at.rules.cutting_size for mm in last.larvae_mm)
    old = last.largest_instar is not None and last.largest_instar >= at.rules.cutting_instar
    counted = last.fresh_cut > 0 and mistake_odds(last.fresh_cut, last.places, at.background) < at.rules.mistake_odds
    both = last.fresh_cut > 0 and last.larvae > 0
    return large or old or counted or both or last.looked_fresh_cut > 0


def _follow_up(part: Part, last: LastWalk, seen: tuple[Reason, ...], at: Morning) -> Verdict:
    back = last.walked + timedelta(days=int(at.rules.back_after_cuts))
    why = (*seen, *part.reasons)
    if back > at.today:
        return Verdict(False, why, come_back=back, seen_cutting=True)
    again = at.today + timedelta(days=int(at.rules.back_after_cuts))
    return Verdict(True, why, _look_for(part, at, again=True), again, seen_cutting=True)


def _settled(part: Part, at: Morning) -> tuple[Reason, ...] | None:
    """Why a field needs no walk for cutworm at all from what is known; None where it may."""
    ground = part.reasons
    if not at.flight:
        return (Reason(code="no_flight"),)
    if _past(part, at):
        return (Reason(code="past_v6", facts={"collars": part.collars}),)
    if part.larvae_per_100 < at.rules.least_larvae:
        return (*ground, Reason(code="few_larvae", facts={"larvae": part.larvae_per_100}))
    through = part.through_90.mid if part.through_90 else None
    if through and through <= at.today:
        return (*ground, Reason(code="nearly_through", facts={"share": part.shares.pupa if part.shares else None}))
    if part.feeding_over_odds is not None and part.feeding_over_odds >= at.rules.can_begin:
        return (*ground, Reason(code="late_planted_feeding_over", facts={"odds": part.feeding_over_odds}))
    begun = part.cutting_begins.mid if part.cutting_begins else None
    cut = part.cut_next_7_per_100
    if begun and begun < at.today and cut is not None and cut.mid < at.rules.least_cut:
        return (*ground, Reason(code="low_risk", facts={"cut": cut}))
    return None


def _past(part: Part, at: Morning) -> bool:
    return part.collars is not None and part.collars.mid > at.rules.last_collar


def _due(part: Part, last: LastWalk | None, at: Morning) -> date:
    """When a field whose first look is due is to be looked at: today if nobody has, else an interval after."""
    if last is None or (part.first_look and last.walked < part.first_look):
        return at.today
    if last.fresh_cut and (at.today - last.walked).days <= at.rules.seen:
        return last.walked + timedelta(days=int(at.rules.back_after_cuts))
    return _next(part, last.walked, at)


def _next(part: Part, walked: date, at: Morning) -> date:
    """The look after one on ``walked``: every few days while larvae can cut, before that weekly but not past it."""
    soon = walked + timedelta(days=int(at.rules.back_after))
    begins = part.cutting_begins.early if part.cutting_begins else None
    if begins is None or begins <= soon:
        return soon
    return min(walked + timedelta(days=int(at.rules.back_while_small)), begins)


def _waiting(part: Part) -> tuple[Reason, ...]:
    corn = part.emergence.mid if part.emergence else None
    able = part.can_cut_10.mid if part.can_cut_10 else None
    if able and corn and corn > able:
        return (Reason(code="no_corn_yet", facts={"date": part.emergence}),)
    return (Reason(code="not_yet", facts={"first_look": part.first_look}),)


def _timing(part: Part, at: Morning) -> tuple[Reason, ...]:
    begins = part.cutting_begins
    if begins is None:
        return (Reason(code="beyond_season"),)
    if begins.mid and begins.mid <= at.today:
        return (Reason(code="cutting_now", facts={"instar": part.able_instar}),)
    return (Reason(code="cutting_begins", facts={"date": begins}),)


def _seen(part: Part, last: LastWalk | None, at: Morning) -> tuple[Reason, ...]:
    """What the last walk found, and where it does not fit what was told or computed."""
    out = []
    if last is not None and (at.today - last.walked).days <= 2 * at.rules.seen:
        who = {"date": last.walked, "person": last.person}
        if last.fresh_cut or last.old_cut:
            cuts = {"fresh": last.fresh_cut, "old": last.old_cut, "places": last.places}
            out.append(Reason(code="seen_cut", facts={**cuts, **who}))
        if last.looked_fresh_cut:
            looked = {"fresh": last.looked_fresh_cut, "places": last.looked_places}
            out.append(Reason(code="looked_cut", facts={**looked, **({} if out else who)}))
        if last.larvae:
            facts = {"n": last.larvae, "mm": last.larvae_mm, "instar": last.largest_instar, **who}
            out.append(Reason(code="larvae_seen", facts=facts))
        found = cutting_seen(last, at)
        if last.fresh_cut and not found:
            out.append(Reason(code="lone_cut"))
        if (found or last.fresh_cut) and at.weather:
            out += _out_of_time(part, last)
    if part.corn_disagrees:
        out.append(Reason(code="corn_disagrees", facts={"planted": part.planted}))
    return tuple(out)


def _out_of_time(part: Part, last: LastWalk) -> list[Reason]:
    if part.shares is None:
        return [Reason(code="no_larvae_expected")]
    able = part.can_cut_10.early if part.can_cut_10 else None
    return [Reason(code="ahead_of_flight")] if able and last.walked < able else []


def _look_for(part: Part, at: Morning, *, again: bool = False) -> tuple[Reason, ...]:
    able = part.can_cut_10.mid if part.can_cut_10 else None
    up = part.emergence.mid if part.emergence else None
    codes = ["same_flags"] if again else []
    if not again and (up is None or up > at.today):
        codes += ["weeds_vanishing", "dig_weeds", "spike"]
    else:
        if not again and (able is None or able > at.today):
            codes.append("leaf_feeding")
        codes += ["cut_plants", "dig_larvae"]
    if part.collars and part.collars.mid >= at.rules.tunnel_collars:
        codes.append("tunnelling")
    return tuple(Reason(code=code) for code in codes)
