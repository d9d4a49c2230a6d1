"""Looks that the other stand pests make: a fly peak near planting, a count that asks for more or for action."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from springwalk.jobs.looks.facts import FieldFacts, Sown
from springwalk.jobs.looks.frame import make_look, reason
from springwalk.jobs.pest_counts import counted
from springwalk.jobs.pests import Here, fly_risk, stage_of, watch
from springwalk.jobs.results import Look, Reason
from springwalk.records import PestCount

FRESH = timedelta(days=3)
"""Manure or tillage this soon after planting still counts as at planting (assumption)."""


def pest_looks(facts: FieldFacts) -> list[Look]:
    """Every look of a field that stand pests other than cutworm make."""
    stages = {sown.id: stage_of(sown.planted, sown.collars, facts.today) for sown in facts.sown}
    planted: dict[str | None, date | None] = {sown.id: sown.planted for sown in facts.sown}
    if len(facts.sown) == 1:
        stages[None], planted[None] = stages[facts.sown[0].id], facts.sown[0].planted
    counts = [at_baits(facts, c) for c in facts.counts if not _treated_since(facts, c)]
    found = list(counted(counts, today=facts.today, state=facts.state, stages=stages, planted=planted))
    for sown in facts.sown:
        found += maggot(facts, sown)
    return found


def at_baits(facts: FieldFacts, count: PestCount) -> PestCount:
    """A wireworm count told without its unit after bait stations were set is of those stations."""
    set_before = any(e.date < count.date for e in facts.told("baits set"))
    mine = count.pest == "wireworm" and not count.unit and set_before
    return count.model_copy(update={"unit": "bait station"}) if mine else count


def _treated_since(facts: FieldFacts, count: PestCount) -> bool:
    """Whether an insecticide was put on since a count: the look at the same places takes over from it."""
    return any(
        p.what == "insecticide" and p.date >= count.date and (not p.planting or p.planting == count.planting)
        for p in facts.passes
    )


def here(facts: FieldFacts, sown: Sown) -> Here:
    """What is known of one planting, as the rules of the pests ask for it."""
    return Here(
        planted=sown.planted, collars=sown.collars if sown.up_on(facts.today) else None,
        previous_crop=facts.previous_crop, history=facts.history, events=facts.events, passes=facts.passes,
        peaks=facts.fly_peaks, borer_move=facts.borer_move, mild_winter=facts.mild_winter,
    )  # fmt: skip


def maggot(facts: FieldFacts, sown: Sown) -> list[Look]:
    """Planted near a peak of seedcorn maggot flies where something draws them: dig the skips at emergence."""
    if sown.planted is None or sown.up is None:
        return []
    # What is put on or tilled after the corn was planted draws flies to no seed of it.
    until = sown.planted + FRESH
    mine = here(facts, sown)
    mine = replace(
        mine, events=tuple(e for e in mine.events if e.date <= until),
        passes=tuple(p for p in mine.passes if p.date <= until),
    )  # fmt: skip
    why = fly_risk(mine, today=facts.today)
    if why is None:
        return []
    rules, up = facts.rules, sown.up
    window = (up + rules.days("maggot_opens"), up + rules.days("maggot_closes"), up + rules.days("weather_lapses"))
    return [
        make_look(
            facts, "maggot", sown, sown.planted or "corn", window, rule="maggot_opens", minutes="dig_minutes",
            when=None if sown.spike_told else sown.spike, why=(why,),
            look_for=(reason("skips_dig"), reason("leaf_holes_1_2")),
            can_do=(reason("none_rescue", name="seedcorn maggot"),),
        )
    ]  # fmt: skip


COVERED = {"maggot": "seedcorn maggot", "green_bridge": "true armyworm", "baits": "wireworm"}
"""Looks that look for a pest by themselves."""
MOST_WATCHED = 2


def _unlikely(facts: FieldFacts, pest: str) -> bool:
    """Pests that what is known of the field rules out: maggots away from a fly peak, slugs on dry ground."""
    if pest == "seedcorn maggot":
        return bool(facts.fly_peaks)
    if pest != "slug" or facts.sky is None:
        return False
    yesterday = facts.index(facts.today) - 1
    return yesterday >= 0 and facts.sky.dry_on(yesterday, facts.rules.table["dry_share"])


def watched(facts: FieldFacts, looks: tuple[Look, ...]) -> tuple[Reason, ...]:
    """Pests to watch for in a field over its plantings, each once, two at most; none that a look is for already.

    Seedcorn maggot has a look of its own where the flies' peaks are known.
    """
    mine = {COVERED.get(look.code, str(look.why[0].facts.get("name", "")) if look.why else "") for look in looks}
    seen: dict[str, Reason] = {}
    for sown in facts.sown:
        for one in watch(here(facts, sown), today=facts.today, state=facts.state):
            if one.facts["pest"] not in mine and not _unlikely(facts, str(one.facts["pest"])):
                seen.setdefault(str(one.facts["pest"]), one)
    return tuple(seen.values())[:MOST_WATCHED]
