"""Counts of stand pests: the verdict by the state's rule, else the lowest published, and the look it asks for. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta

from springwalk.engine.pests import Count, Judged, judge_all, mean_interval, share_interval
from springwalk.errors import NotFound
from springwalk.jobs.dates import look_state
from springwalk.jobs.pest_tables import (
    NOT_PLANTED,
    Pest,
    clock,
    find,
    pests,
    rule_row,
    rules,
    samples,
    state_name,
    unit_of,
)
from springwalk.jobs.results import Look, Range, Reason
from springwalk.records.pests import PestCount
from springwalk.tables import cite, number

FALL = 8
"""From this month on a count belongs to the fall before."""


def counted(
    counts: Sequence[PestCount], *, today: date, state: str = "", stages: Mapping[str | None, int] | None = None,
    planted: Mapping[str | None, date | None] | None = None, done: Iterable[str] = (),
) -> tuple[Look, ...]:  # fmt: skip
    """What the newest count of each pest asks for: count more, act, or know that no rescue exists.

    ``stages`` and ``planted`` by planting id (None = the whole field); left out = not told. ``done`` are keys of looks
    that were ended. A count of a pest not known here, below its threshold, or after today makes no look.
    """
    newest: dict[tuple[str, ...], PestCount] = {}
    for count in sorted(counts, key=lambda c: c.date):
        if count.date <= today:
            newest[(_name(count), count.planting or "", count.zone or "")] = count
    ended = set(done)
    looks = []
    for (name, *_), count in newest.items():
        if name:
            sown = (planted or {}).get(count.planting)
            # A count is held against what stood there on its own day, however far the corn is by now.
            before = sown is not None and sown > count.date
            stage = NOT_PLANTED if before else (stages or {}).get(count.planting)
            look = _count_look(pests()[name], count, today, state, stage, sown)
            if look is not None and look.key not in ended:
                looks.append(look)
    return tuple(looks)


def verdict_of(count: PestCount, *, state: str = "", stage: int | None = None) -> Judged:
    """The verdict on one count by the state's rule, else the lowest published; raises NotFound for a pest not known."""
    pest = find(count.pest)
    return judge_all(
        _as_count(count), rules(pest.name), state=state_name(state), unit=_unit(count, pest, stage),
        season="fall" if count.date.month >= FALL else "spring", collars=stage,
    )  # fmt: skip


def counted_reason(count: PestCount, *, state: str = "", stage: int | None = None) -> Reason | None:
    """What was counted and what the rule says of it, also where it is below; None for a pest not known here."""
    if not _name(count):
        return None
    return _counted_reason(find(count.pest), count, verdict_of(count, state=state, stage=stage), stage)


def _name(count: PestCount) -> str:
    """The pest of a count by our name; "" for one not known (its count is kept and shown with the field's records)."""
    try:
        return find(count.pest).name
    except NotFound:
        return ""


def _unit(count: PestCount, pest: Pest, stage: int | None) -> str:
    """The unit told, else the pest's usual one at this stage."""
    if count.unit:
        return unit_of(count.unit)
    ways = samples(pest.name)
    return next((w.unit for w in ways if stage is not None and w.fits(stage)), ways[0].unit)


def _as_count(count: PestCount) -> Count:
    return Count(count.looked, count.insects, _with(count), length_mm=count.length_mm)


def _with(count: PestCount) -> int | None:
    """Units that had any; more than were looked at is a slip, so the rule asks for that count again."""
    return count.units_with if count.units_with is not None and count.units_with <= count.looked else None


def _count_look(
    pest: Pest, count: PestCount, today: date, state: str, stage: int | None, planted: date | None
) -> Look | None:
    """The look that a count asks for; None where it is below, or says nothing."""
    made = verdict_of(count, state=state, stage=stage)
    found = bool(count.insects or count.units_with)
    if made.verdict == "below" or (made.verdict == "none" and not (found and pest.rescue in ("no", "bait"))):
        return None
    code = "pest_act" if made.verdict == "act" else "pest_more"
    closes = count.date + timedelta(days=clock("act_closes" if code == "pest_act" else "more_closes"))
    lapses = max(count.date + timedelta(days=clock("count_lapses")), planted or count.date)
    row = rule_row(made.rule.key) if made.rule else {}
    wants = made.because or ("count_stand" if made.verdict == "none" else "keep_counting")
    need = (Reason(code="pest_need", facts={"need": wants, "name": pest.name}),)
    cause = ":".join(part for part in (str(count.date), pest.name, count.zone or "") if part)
    return Look(
        key=f"{code}:{count.field}:{count.planting or ''}:{cause}",
        code=code,
        planting=count.planting,
        zone=count.zone,
        opens=count.date,
        closes=closes,
        lapses=lapses,
        state=look_state(today, count.date, closes, lapses),
        why=(_counted_reason(pest, count, made, stage),),
        look_for=need if code == "pest_more" else (),
        can_do=_can_do(pest, made, planted, ahead=stage == NOT_PLANTED if planted is None else planted >= today),
        closed_by="done",
        minutes=number("looks", "count_minutes").value,
        mark=row.get("mark", ""),
        source=cite(row.get("source", "")),
    )


def _counted_reason(pest: Pest, count: PestCount, made: Judged, stage: int | None) -> Reason:
    row = rule_row(made.rule.key) if made.rule else None
    unit = _unit(count, pest, stage)
    facts = {
        "name": pest.name, "looked": count.looked,
        "unit": next((w.many for w in samples(pest.name) if w.unit == unit), unit),
        "insects": count.insects, "units_with": count.units_with, "date": count.date, "person": count.person,
        "verdict": made.verdict, "because": made.because,
        "rule": f"{row['says']} ({row['state'].replace(';', ' and ')})" if row else "",
        "source": cite(row["source"]) if row else "",
        "per_unit": _per_unit(count), "share": _share(count),
    }  # fmt: skip
    return Reason(code="pest_counted", facts=facts)


def _per_unit(count: PestCount) -> Range | None:
    """Insects per unit with the exact Poisson 90 % interval; None where they were not counted."""
    if count.insects is None:
        return None
    low, high = mean_interval(count.insects, count.looked)
    return Range(low=low, mid=count.insects / count.looked, high=high)


def _share(count: PestCount) -> Range | None:
    """Share of units with any, with the exact 90 % interval; None where they were not counted."""
    found = _with(count)
    if found is None:
        return None
    low, high = share_interval(found, count.looked)
    return Range(low=low, mid=found / count.looked, high=high)


def _can_do(pest: Pest, made: Judged, planted: date | None, *, ahead: bool) -> tuple[Reason, ...]:
    """What can still be done, ``ahead`` of planting or after it; where nothing can, that is said."""
    if pest.rescue == "yes":
        return (Reason(code="treat_by_label", facts={"name": pest.name}),) if made.verdict == "act" else ()
    if pest.rescue == "bait":
        return (Reason(code="bait_only", facts={"name": pest.name}),)
    if pest.rescue != "no":
        return ()
    none = Reason(code="none_rescue", facts={"name": pest.name})
    protects = made.verdict == "act" and pest.from_collars == NOT_PLANTED and ahead
    return (Reason(code="protect_at_planting", facts={"until": planted}), none) if protects else (none,)
