"""What is said of a field whether or not it is walked: planting still going on, cover not dead long, rain not known."""

from __future__ import annotations

from datetime import timedelta

from springwalk.jobs.keep_out import interval_asked
from springwalk.jobs.looks.facts import FieldFacts, Sown
from springwalk.jobs.results import Reason

WHOLE = 0.98
"""A field planted over this share is planted."""
INSURER = timedelta(days=7)
"""The insurer is named this long after hail, until the look for it opens."""
ASKED_FOR_DAYS = 12
"""Rain around planting is asked for this long."""


def standing(facts: FieldFacts) -> tuple[Reason, ...]:
    """Reasons of a field that tell what to add or what to wait for."""
    return (*_interval_asked(facts), *_insurer(facts), *_progress(facts), *_plant_after(facts), *_rain_unknown(facts))


def _interval_asked(facts: FieldFacts) -> list[Reason]:
    """A pesticide was put on and nobody typed its entry interval: asked for long after the lock let go."""
    found = interval_asked(facts.passes, facts.today, days=facts.rules.table["ask_interval"])
    if found is None:
        return []
    return [Reason(code="interval_untold", facts={"date": found.date, "what": found.what, "product": found.product})]


def _insurer(facts: FieldFacts) -> list[Reason]:
    """Hail told in the last days: the insurer is called before anybody looks or tears up."""
    hail = [e.date for e in facts.told("hail") if facts.today - e.date < INSURER]
    return [Reason(code="insurer_now", facts={"date": max(hail)})] if hail else []


def _progress(facts: FieldFacts) -> list[Reason]:
    done_ha = sum(p.area_ha for p in facts.progress)
    if not facts.progress or done_ha >= WHOLE * facts.area_ha:
        return []
    last = max(p.date for p in facts.progress)
    return [Reason(code="planted_part", facts={"done_ha": done_ha, "area_ha": facts.area_ha, "date": last})]


def _plant_after(facts: FieldFacts) -> list[Reason]:
    """Cover killed and nothing planted: corn waits until it has been dead for long enough."""
    out = []
    for sown in facts.sown:
        if sown.green_killed is None or sown.planted is not None or sown.spike is not None:
            continue
        after = sown.green_killed + facts.rules.days("kill_gap")
        if after > facts.today:
            out.append(Reason(code="plant_after", facts={"date": after, "killed": sown.green_killed}))
    return out[:1]


def _rain_unknown(facts: FieldFacts) -> list[Reason]:
    """Nobody knows the rain of the days after a planting: cold rain and crust can't be told."""
    return [Reason(code="rain_unknown")] if any(_unknown(facts, sown) for sown in facts.sown) else []


def _unknown(facts: FieldFacts, sown: Sown) -> bool:
    if sown.planted is None or sown.up_seen or facts.sky is None:
        return False
    if not timedelta(0) < facts.today - sown.planted <= timedelta(days=ASKED_FOR_DAYS):
        return False
    first = facts.index(sown.planted)
    last = min(first + facts.rules.soak.days, facts.index(facts.today) - 1)
    return not facts.sky.rain_known[max(first, 0) : last + 1].all()
