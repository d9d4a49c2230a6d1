"""Assessed units to the parts of a field: numbers to ranges, day indices to dates, ground to reasons."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.assess import Assessed
from springwalk.engine.larvae import STAGES
from springwalk.jobs.captures import earliest_rule_date
from springwalk.jobs.dates import date_range, day_to_date, range_of
from springwalk.jobs.ground import GREEN
from springwalk.jobs.results import Capture, DateRange, Part, Reason, StageShares
from springwalk.jobs.snapshot import Snapshot
from springwalk.jobs.units import Unit

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Answers:
    """What the engine says of all units: the assessment, and the median begin of cutting by each other method."""

    assessed: Assessed
    begins_by: dict[str, Array]


def part_of(snap: Snapshot, answers: Answers | None, k: int, captures: tuple[Capture, ...]) -> Part:
    """The part of a field for unit ``k``; without weather (``answers`` None) only what was told."""
    unit = snap.units[k]
    flight = _telling_flight(snap, k, captures)
    told = {
        "planting": unit.planting.id if unit.planting else None,
        "zone": unit.zone.name if unit.zone else None,
        "area_ha": unit.area_ha,
        "planted": unit.planting.planted if unit.planting else None,
        "green": unit.ground.changes,
        "green_told": _told(unit, flight),
    }
    if answers is None:
        return Part(
            **told, egg_load=0.0, survival=1.0, larvae_per_100=0.0, shares=None, can_cut_10=None, can_cut_half=None,
            through_90=None, cutting_begins=None, begin_instar=None, emergence=None, collars=None, collars_basis="",
            cut_next_7_per_100=None, first_look=None,
        )  # fmt: skip
    first, answer, rules = snap.season.begins, answers.assessed, snap.settings.rules
    eggs = float(answer.egg_load[k]) > 0
    known = bool(np.isfinite(answer.collars[k, 1]))
    emergence = date_range(first, answer.emergence_day[k]) if known else None
    part = Part(
        **told,
        egg_load=float(answer.egg_load[k]),
        survival=float(answer.survival[k]),
        larvae_per_100=float(answer.larvae_per_100[k]),
        shares=_shares(answer, k) if eggs else None,
        can_cut_10=date_range(first, answer.can_cut_10_day[k]) if eggs else None,
        can_cut_half=date_range(first, answer.can_cut_half_day[k]) if eggs else None,
        through_90=date_range(first, answer.through_90_day[k]) if eggs else None,
        cutting_begins=date_range(first, answer.begins_day[k])
        if eggs and answer.can_begin[k] >= rules.can_begin
        else None,
        feeding_over_odds=float(answer.feeding_over[k]) if eggs and known else None,
        begins_by_method={
            name: day_to_date(first, float(days[k])) for name, days in answers.begins_by.items() if eggs and known
        },
        able_instar=_instar(answer.shares[k, 2:5, 1]) if eggs else None,
        begin_instar=_instar(answer.begin_shares[k]) if eggs else None,
        emergence=emergence,
        collars=range_of(answer.collars[k]) if known else None,
        collars_basis=_basis(snap, k),
        corn_disagrees=bool(abs(answer.corn_ahead_sd[k]) > rules.corn_disagrees),
        cut_next_7_per_100=range_of(answer.cut_ahead_per_100[k]) if known else None,
        first_look=_first_look(snap, captures, emergence) if eggs else None,
    )
    return part.model_copy(update={"reasons": ground_reasons(unit, part, flight)})


def _told(unit: Unit, flight: date | None) -> bool:
    return unit.ground.state_on(flight) != "not told" if flight else unit.ground.told


def _shares(answer: Assessed, k: int) -> StageShares:
    by_stage = {name: range_of(answer.shares[k, i]) for i, name in enumerate(STAGES)}
    return StageShares(**by_stage, able=range_of(answer.able[k]))


def _instar(shares: Array) -> str | None:
    """The instar with the largest of the shares in instars 4, 5, 6; None where there are none."""
    return f"instar_{4 + int(np.argmax(shares))}" if np.nansum(shares) > 0 else None


def _telling_flight(snap: Snapshot, k: int, captures: tuple[Capture, ...]) -> date | None:
    """The night of the capture that laid most here; the first one where none laid anything."""
    if not captures:
        return None
    if snap.inputs is None:
        return captures[0].night
    laid = snap.inputs.arrived[k] * snap.inputs.cover[k]

    def eggs(capture: Capture) -> float:
        night = (capture.night - snap.season.begins).days
        return float(laid[max(0, night - 2) : night + 5].sum())

    best = max(captures, key=lambda c: (eggs(c), -c.night.toordinal()))
    return best.night


def _basis(snap: Snapshot, k: int) -> str:
    if snap.inputs is None:
        return ""
    if (snap.inputs.seen_unit == k).any():
        return "collars seen" if not np.isnan(snap.inputs.planted[k]) else "collars seen; no planting date"
    return "planting date" if not np.isnan(snap.inputs.planted[k]) else ""


def _first_look(snap: Snapshot, captures: tuple[Capture, ...], emergence: DateRange | None) -> date | None:
    """A week before the earliest method's date of the heat rule, and not long before corn is likely up."""
    rule = earliest_rule_date(captures)
    look = rule - timedelta(days=snap.settings.walk_lead_days) if rule else None
    spike = emergence.mid - timedelta(days=int(snap.settings.rules.spike_lead)) if emergence and emergence.mid else None
    dates = [d for d in (look, spike) if d]
    return max(dates) if dates else None


def ground_reasons(unit: Unit, part: Part, flight: date | None) -> tuple[Reason, ...]:
    """What the ground was when the moths came and after, as reasons."""
    ground, out = unit.ground, []
    state = ground.state_on(flight) if flight else ground.before
    end = ground.green_end
    if state == "not told":
        out.append(Reason(code="green_not_told"))
    elif state in GREEN:
        facts = {"cover": state, "until": end}
        gap = (part.emergence.mid - end).days if end and part.emergence and part.emergence.mid else None
        if part.planted and (end is None or end >= part.planted - timedelta(days=2)):
            out.append(Reason(code="green_at_planting", facts=facts))
        elif end is not None and gap is not None and part.survival < 0.6:
            out.append(Reason(code="killed_early", facts={"date": end, "days_before_emergence": gap}))
        elif end is not None:
            out.append(Reason(code="green_until", facts=facts))
        else:
            out.append(Reason(code="still_green", facts={"cover": state}))
    elif flight:
        since = max((d for d, _ in ground.changes if d <= flight), default=None)
        code = "black_before_flight" if state == "black" else "bare_before_flight"
        out.append(Reason(code=code, facts={"date": since, "cover": state, "flight": flight}))
    return tuple(out)
