"""Stand pests of one planting: what to watch for while there, and fly peaks near its planting. Pure."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field as part
from datetime import date, timedelta

from springwalk.engine.pests import Rule
from springwalk.jobs.pest_counts import counted, verdict_of
from springwalk.jobs.pest_tables import (
    NOT_PLANTED,
    NOT_UP,
    Pest,
    Sample,
    clock,
    pests,
    rule_row,
    rules,
    samples,
    state_name,
)
from springwalk.jobs.results import DateRange, Range, Reason
from springwalk.records.places import Event
from springwalk.records.work import Pass

__all__ = ["Here", "counted", "fly_risk", "stage_of", "told_risks", "verdict_of", "watch"]

CROPS = {
    "sod before": ("sod", "pasture", "grass", "hay", "meadow", "fescue", "brome"),
    "clover before": ("clover", "alfalfa"),
    "small grain before": ("wheat", "oat", "barley", "rye", "triticale", "small grain"),
    "soybean before": ("soy", "bean"),
}
"""Words in the name of the crop before that say what it leaves behind."""
FLY_RISKS = ("manure", "killed cover", "fresh tillage")
"""What draws flies of the seedcorn maggot, the strongest first."""


@dataclass(frozen=True)
class Here:
    """What is known of one planting: its date and stage, what was told of the field, and when insects move.

    ``peaks`` are the fly peaks and ``borer_move`` the move of stalk borer from grass, by heat from 1 January; None or
    empty = not known. ``mild_winter`` None = nobody worked it out.
    """

    planted: date | None
    collars: Range | None = None
    previous_crop: str = ""
    history: tuple[str, ...] = ()
    events: tuple[Event, ...] = ()
    passes: tuple[Pass, ...] = ()
    peaks: tuple[DateRange, ...] = part(default=())
    borer_move: DateRange | None = None
    mild_winter: bool | None = None


def stage_of(planted: date | None, collars: Range | None, today: date) -> int:
    """Whole leaf collars this morning; NOT_UP before the spike, NOT_PLANTED where no planting by today is told."""
    if collars is not None and not math.isnan(collars.mid):
        return max(0, math.floor(collars.mid))
    return NOT_UP if planted is not None and planted <= today else NOT_PLANTED


def told_risks(
    history: Iterable[str], previous_crop: str, events: Iterable[Event], passes: Iterable[Pass], *,
    planted: date | None, today: date, mild_winter: bool | None = None,
) -> frozenset[str]:  # fmt: skip
    """What was told that draws a pest here, by the words of the table of pests; how long things stay fresh is ours."""
    crop = previous_crop.casefold()
    found = set(history) | {risk for risk, words in CROPS.items() if any(word in crop for word in words)}
    base = min(planted, today) if planted else today

    def fresh(day: date, name: str) -> bool:
        return base - timedelta(days=clock(name)) <= day <= today

    for event in events:
        if event.what == "tilled" and fresh(event.date, "tillage_fresh"):
            found.add("fresh tillage")
        if event.what == "cover killed" and fresh(event.date, "cover_fresh"):
            found.add("killed cover")
    if any(done.what == "manure" and fresh(done.date, "manure_fresh") for done in passes):
        found.add("manure")
    if mild_winter:
        found.add("mild winter")
    return frozenset(found)


def watch(here: Here, *, today: date, state: str = "") -> tuple[Reason, ...]:
    """Pests to watch for at this planting today, at most three: those with a told risk, then one whose clock fits.

    Of those with a told risk, one whose own clock fits today leads, then the one with most told against it.

    Each is a ``watch_pest`` with where, unit, how many, the count that means act (state's own, else the lowest
    published), whether a rescue exists (``yes``, ``no``, ``bait``), and ``because``: the risks told.
    """
    stage = stage_of(here.planted, here.collars, today)
    risks = told_risks(
        here.history, here.previous_crop, here.events, here.passes, planted=here.planted, today=today,
        mild_winter=here.mild_winter,
    )  # fmt: skip
    told: list[tuple[bool, int, Reason]] = []
    untold: list[Reason] = []
    for pest in pests().values():
        way = next((w for w in samples(pest.name) if w.fits(stage)), None)
        on_time = _clock_fits(pest, here, today)
        because = tuple(risk for risk in pest.favoured if risk in risks)
        if way is None or not pest.at_risk(stage) or on_time is False:
            continue
        if because:
            told.append((not on_time, -len(because), _watch_reason(pest, way, stage, state, because)))
        elif on_time:
            untold.append(_watch_reason(pest, way, stage, state, ()))
    first = [reason for *_, reason in sorted(told, key=lambda entry: entry[:2])]
    return (*first, *untold[: int(clock("most_untold"))])[: int(clock("most_watched"))]


def fly_risk(here: Here, *, today: date) -> Reason | None:
    """The fly peak this planting lay near, with what draws the flies; None where no peak or nothing told draws them.

    Peaks are published; how near counts as near (10 days before to 7 after the median) is an assumption.
    """
    if here.planted is None:
        return None
    near = _near_peak(here.planted, here.peaks)
    risks = told_risks(here.history, "", here.events, here.passes, planted=here.planted, today=today)
    drawn = [risk for risk in FLY_RISKS if risk in risks]
    if near is None or not drawn:
        return None
    facts = {"n": near, "peak": here.peaks[near - 1], "planted": here.planted, "risk": drawn[0]}
    return Reason(code="fly_peak", facts=facts)


def _clock_fits(pest: Pest, here: Here, today: date) -> bool | None:
    """Whether the pest's own clock fits today; None where it has none or it is not known."""
    if pest.clock == "borer" and here.borer_move is not None and here.borer_move.mid is not None:
        first = (here.borer_move.early or here.borer_move.mid) - timedelta(days=clock("borer_before"))
        last = (here.borer_move.late or here.borer_move.mid) + timedelta(days=clock("borer_after"))
        return first <= today <= last
    if pest.clock == "winter" and here.mild_winter is False:
        return False
    return None


def _near_peak(planted: date, peaks: Sequence[DateRange]) -> int | None:
    """Which peak (1, 2, 3) the planting date lies nearest to within the window; None for none."""
    before, after = timedelta(days=clock("fly_before")), timedelta(days=clock("fly_after"))
    gaps = [
        (abs(planted - peak.mid), n)
        for n, peak in enumerate(peaks, start=1)
        if peak.mid is not None and peak.mid - before <= planted <= peak.mid + after
    ]
    return min(gaps)[1] if gaps else None


def _watch_reason(pest: Pest, way: Sample, stage: int, state: str, because: tuple[str, ...]) -> Reason:
    rule = _act_rule(pest.name, way.unit, stage, state)
    facts = {
        "pest": pest.name, "name": pest.name, "where": pest.frame, "unit": way.many, "looks": way.units,
        "act": f"{rule_row(rule.key)['act']} ({' and '.join(rule.states)})" if rule else "",
        "rescue": pest.rescue, "because": because,
    }  # fmt: skip
    return Reason(code="watch_pest", facts=facts)


def _act_rule(pest: str, unit: str, stage: int, state: str) -> Rule | None:
    """The rule a count today would be held against: the state's own, else the lowest published act bound."""
    fit = [r for r in rules(pest) if r.usable and r.fits(unit=unit, season="spring", collars=stage)]
    own = [r for r in fit if state_name(state) in r.states]
    return min(own or fit, key=lambda r: r.act_bound, default=None)
