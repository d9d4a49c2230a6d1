"""Walk today or not, and why: rules on one field's assessed parts. No numbers are made here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from springwalk.jobs.results import LastWalk, Part, Range, Reason

LEAST_CUT_PER_100 = 0.1
"""Expected cut plants per 100 in the next 7 days below which a field is not walked for cutworm (assumption)."""
BACK_AFTER_DAYS = 3
"""Days between looks while larvae can cut (at least every 3 days through four leaves: Nebraska, second hand)."""
BACK_AFTER_CUTS_DAYS = 1
"""Days to the next look where fresh cuts or cutting-size larvae were found (flag and return next day: Minnesota)."""
SEEN_DAYS = 7
"""A walk older than this no longer puts a field first (assumption)."""
CUTTING_SIZE_MM = 12.7
"""Smallest larva that cuts, half an inch (Wisconsin 2014, Tennessee SP290-J)."""
LAST_COLLAR = 6.0
TUNNEL_COLLARS = 4.5


@dataclass(frozen=True)
class Verdict:
    """Whether to walk today, why, what to look for, and when to come back.

    ``seen_cutting``: the last walk found it, so the field comes first. ``cannot_say``: something needed is missing,
    which is not the same as no walk needed.
    """

    walk: bool
    why: tuple[Reason, ...]
    look_for: tuple[Reason, ...]
    come_back: date | None
    seen_cutting: bool = False
    cannot_say: bool = False


def judge(parts: Sequence[Part], last: LastWalk | None, *, today: date, weather: bool, flight: bool) -> Verdict:
    """The verdict on a field from its parts, the leading one first. What was seen goes before what was computed."""
    lead = parts[0]
    seen = _seen(lead, last, today)
    if _cutting_seen(last, today) and not _past(lead):
        assert last is not None
        back = max(last.walked + timedelta(days=BACK_AFTER_CUTS_DAYS), today)
        why = (*seen, *_ground(lead))
        if back > today:
            return Verdict(False, why, (), back, seen_cutting=True)
        return Verdict(True, why, _look_for(lead, today, seen=True), today + timedelta(days=1), seen_cutting=True)
    if not weather:
        return Verdict(False, (Reason(code="no_weather"), *seen), (), None, cannot_say=True)
    blocked = _blocked(lead, last, today=today, flight=flight)
    if blocked is not None:
        why, back_on, unknown = blocked
        return Verdict(False, (*why, *seen), (), back_on, cannot_say=unknown)
    through = lead.through_90.mid if lead.through_90 else None
    back = today + timedelta(days=BACK_AFTER_DAYS)
    come_back = back if through is None or back <= through else None
    return Verdict(True, (*_ground(lead), *_timing(lead, today), *seen), _look_for(lead, today), come_back)


Blocked = tuple[tuple[Reason, ...], date | None, bool]


def _blocked(lead: Part, last: LastWalk | None, *, today: date, flight: bool) -> Blocked | None:
    """Why a field is not walked today, when it is next looked at, and whether that is for want of knowledge."""
    ground = _ground(lead)
    if not flight:
        return (Reason(code="no_flight"),), None, False
    if lead.egg_load <= 0.0:
        return ground or (Reason(code="low_risk", facts={"cut": _nothing()}),), None, False
    if _past(lead):
        return (Reason(code="past_v6", facts={"collars": lead.collars}),), None, False
    if lead.through_90 and lead.through_90.mid and lead.through_90.mid <= today:
        return (*ground, _through(lead)), None, False
    if lead.cutting_begins is None and lead.emergence and lead.emergence.mid:
        return (*ground, _feeding_over(lead)), None, False
    if last and (today - last.walked).days < BACK_AFTER_DAYS:
        facts = {"date": last.walked, "days": (today - last.walked).days}
        back = last.walked + timedelta(days=BACK_AFTER_DAYS)
        return (*ground, *_timing(lead, today), Reason(code="walked_recently", facts=facts)), back, False
    if lead.first_look and today < lead.first_look:
        return (*ground, *_waiting(lead)), lead.first_look, False
    if lead.emergence is None:
        return (*ground, Reason(code="no_planting_date")), None, True
    if lead.cut_next_7_per_100 is None or lead.cut_next_7_per_100.mid < LEAST_CUT_PER_100:
        back = today + timedelta(days=7)
        return (*ground, Reason(code="low_risk", facts={"cut": lead.cut_next_7_per_100 or _nothing()})), back, False
    return None


def _past(lead: Part) -> bool:
    return lead.collars is not None and lead.collars.mid > LAST_COLLAR


def _cutting_seen(last: LastWalk | None, today: date) -> bool:
    if last is None or (today - last.walked).days > SEEN_DAYS:
        return False
    return last.fresh_cut > 0 or any(mm >= CUTTING_SIZE_MM for mm in last.larvae_mm)


def _feeding_over(lead: Part) -> Reason:
    return Reason(code="late_planted_feeding_over", facts={"odds": lead.feeding_over_odds})


def _through(lead: Part) -> Reason:
    return Reason(code="nearly_through", facts={"share": lead.shares.pupa if lead.shares else None})


def _nothing() -> Range:
    return Range(low=0.0, mid=0.0, high=0.0)


def _waiting(lead: Part) -> tuple[Reason, ...]:
    corn = lead.emergence.mid if lead.emergence else None
    if lead.can_cut_10 and lead.can_cut_10.mid and corn and corn > lead.can_cut_10.mid:
        return (Reason(code="no_corn_yet", facts={"date": lead.emergence}),)
    return (Reason(code="not_yet", facts={"first_look": lead.first_look}),)


def _ground(lead: Part) -> tuple[Reason, ...]:
    """What the ground was when the moths came, from what was told."""
    return tuple(r for r in lead.reasons if r.code != "no_planting_date")


def _timing(lead: Part, today: date) -> tuple[Reason, ...]:
    begins = lead.cutting_begins
    out = [r for r in lead.reasons if r.code == "no_planting_date"]
    if begins and begins.mid and begins.mid <= today:
        out.append(Reason(code="cutting_now", facts={"instar": lead.begin_instar}))
    elif begins:
        out.append(Reason(code="cutting_begins", facts={"date": begins}))
    return tuple(out)


def _seen(lead: Part, last: LastWalk | None, today: date) -> tuple[Reason, ...]:
    """What the last walk found, and where it does not fit what was told or computed."""
    out = []
    if last is not None and (today - last.walked).days <= 14:
        who = {"date": last.walked, "person": last.person}
        if last.fresh_cut or last.old_cut:
            cuts = {"fresh": last.fresh_cut, "old": last.old_cut, "places": last.places}
            out.append(Reason(code="seen_cut", facts={**cuts, **who}))
        if last.larvae:
            out.append(Reason(code="larvae_seen", facts={"n": last.larvae, "mm": last.larvae_mm, **who}))
        begins = lead.cutting_begins.early if lead.cutting_begins else None
        if _cutting_seen(last, today) and (lead.shares is None or (begins and last.walked < begins)):
            out.append(Reason(code="ahead_of_flight"))
    if lead.corn_disagrees:
        out.append(Reason(code="corn_disagrees", facts={"planted": lead.planted}))
    return tuple(out)


def _look_for(lead: Part, today: date, *, seen: bool = False) -> tuple[Reason, ...]:
    able = lead.can_cut_10.mid if lead.can_cut_10 else None
    up = lead.emergence.early if lead.emergence else None
    codes = ["same_flags"] if seen else []
    if not seen and (up is None or up > today):
        codes += ["weeds_vanishing", "spike"]
    if not seen and (able is None or able > today):
        codes.append("leaf_feeding")
    codes += ["cut_plants", "dig_larvae"]
    if lead.collars and lead.collars.mid >= TUNNEL_COLLARS:
        codes.append("tunnelling")
    return tuple(Reason(code=code) for code in codes)
