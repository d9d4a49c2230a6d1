"""Looks that the other stand pests make: a fly peak near planting, a count that asks for more or for action."""

from __future__ import annotations

from datetime import date

from springwalk.jobs.looks.facts import FieldFacts, Sown
from springwalk.jobs.looks.frame import make_look, reason
from springwalk.jobs.pest_counts import counted
from springwalk.jobs.pests import Here, fly_risk, stage_of, watch
from springwalk.jobs.results import Look, Reason


def pest_looks(facts: FieldFacts) -> list[Look]:
    """Every look of a field that stand pests other than cutworm make."""
    stages = {sown.id: stage_of(sown.planted, sown.collars, facts.today) for sown in facts.sown}
    planted: dict[str | None, date | None] = {sown.id: sown.planted for sown in facts.sown}
    if len(facts.sown) == 1:
        stages[None], planted[None] = stages[facts.sown[0].id], facts.sown[0].planted
    found = list(counted(facts.counts, today=facts.today, state=facts.state, stages=stages, planted=planted))
    for sown in facts.sown:
        found += maggot(facts, sown)
    return found


def here(facts: FieldFacts, sown: Sown) -> Here:
    """What is known of one planting, as the rules of the pests ask for it."""
    return Here(
        planted=sown.planted, collars=sown.collars if sown.up_on(facts.today) else None,
        previous_crop=facts.previous_crop, history=facts.history, events=facts.events, passes=facts.passes,
        peaks=facts.fly_peaks, borer_move=facts.borer_move, mild_winter=facts.mild_winter,
    )  # fmt: skip


def maggot(facts: FieldFacts, sown: Sown) -> list[Look]:
    """Planted near a peak of seedcorn maggot flies where something draws them: dig the skips at emergence."""
    why = fly_risk(here(facts, sown), today=facts.today)
    if why is None or sown.up is None:
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


def watched(facts: FieldFacts, looks: tuple[Look, ...]) -> tuple[Reason, ...]:
    """Pests to watch for in a field over its plantings, each once, two at most; none that a look is for already."""
    mine = {COVERED.get(look.code, str(look.why[0].facts.get("name", "")) if look.why else "") for look in looks}
    seen: dict[str, Reason] = {}
    for sown in facts.sown:
        for one in watch(here(facts, sown), today=facts.today, state=facts.state):
            if one.facts["pest"] not in mine:
                seen.setdefault(str(one.facts["pest"]), one)
    return tuple(seen.values())[:MOST_WATCHED]
