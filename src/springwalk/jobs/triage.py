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
LAST_COLLAR = 6.0
TUNNEL_COLLARS = 4.5


@dataclass(frozen=True)
class Verdict:
    """Whether to walk today, why, what to look for, and when to come back."""

    walk: bool
    why: tuple[Reason, ...]
    look_for: tuple[Reason, ...]
    come_back: date | None


def judge(parts: Sequence[Part], last: LastWalk | None, *, today: date, weather: bool, flight: bool) -> Verdict:
    """The verdict on a field from its parts, the leading one first."""
    lead = parts[0]
    seen = _seen(last, today)
    if not weather:
        return Verdict(False, (Reason(code="no_weather"), *seen), (), None)
    blocked = _blocked(lead, last, today=today, flight=flight)
    if blocked is not None:
        why, back = blocked
        return Verdict(False, (*why, *seen), (), back)
    through = lead.through_90.mid if lead.through_90 else None
    back = today + timedelta(days=BACK_AFTER_DAYS)
    return Verdict(True, (*_ground(lead), *_timing(lead, today), *seen), _look_for(lead, today),
                   back if through is None or back <= through else None)  # fmt: skip


def _blocked(
    lead: Part, last: LastWalk | None, *, today: date, flight: bool
) -> tuple[tuple[Reason, ...], date | None] | None:
    """Why a field needs no walk today and when it is next looked at; None where it does need one."""
    ground = _ground(lead)
    if not flight:
        return (Reason(code="no_flight"),), None
    if lead.egg_load <= 0.0:
        return ground or (Reason(code="low_risk", facts={"cut": _nothing()}),), None
    if lead.collars and lead.collars.mid > LAST_COLLAR:
        return (Reason(code="past_v6", facts={"collars": lead.collars}),), None
    if lead.through_90 and lead.through_90.mid and lead.through_90.mid <= today:
        return (*ground, _through(lead)), None
    if lead.cutting_begins is None and lead.emergence and lead.emergence.mid:
        return (*ground, _feeding_over(lead)), None
    if lead.emergence is None:
        return (*ground, Reason(code="no_planting_date")), None
    if last and (today - last.walked).days < BACK_AFTER_DAYS:
        facts = {"date": last.walked, "days": (today - last.walked).days}
        back = last.walked + timedelta(days=BACK_AFTER_DAYS)
        return (*ground, *_timing(lead, today), Reason(code="walked_recently", facts=facts)), back
    if lead.first_look and today < lead.first_look:
        return (*ground, *_waiting(lead)), lead.first_look
    if lead.cut_next_7_per_100 is None or lead.cut_next_7_per_100.mid < LEAST_CUT_PER_100:
        back = today + timedelta(days=7)
        return (*ground, Reason(code="low_risk", facts={"cut": lead.cut_next_7_per_100 or _nothing()})), back
    return None


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


def _seen(last: LastWalk | None, today: date) -> tuple[Reason, ...]:
    if last is None or (today - last.walked).days > 14:
        return ()
    out = []
    if last.fresh_cut or last.old_cut:
        out.append(Reason(code="seen_cut", facts={"fresh": last.fresh_cut, "places": last.places, "date": last.walked}))
    if last.larvae:
        out.append(Reason(code="larvae_seen", facts={"n": last.larvae, "date": last.walked}))
    return tuple(out)


def _look_for(lead: Part, today: date) -> tuple[Reason, ...]:
    able = lead.can_cut_10.mid if lead.can_cut_10 else None
    up = lead.emergence.early if lead.emergence else None
    codes = []
    if up is None or up > today:
        codes += ["weeds_vanishing", "spike"]
    if able is None or able > today:
        codes.append("leaf_feeding")
    codes += ["cut_plants", "dig_larvae"]
    if lead.collars and lead.collars.mid >= TUNNEL_COLLARS:
        codes.append("tunnelling")
    return tuple(Reason(code=code) for code in codes)
