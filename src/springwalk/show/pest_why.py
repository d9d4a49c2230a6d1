"""Why a stand pest is looked for, what a count of it says, and what to watch for while there."""

from __future__ import annotations

from springwalk.show import numbers as n
from springwalk.show.facts import Facts, Say, upper_first, when_words
from springwalk.show.pest_words import FRAMES

RESCUE = {"no": " There is no rescue treatment.", "bait": " No insecticide works on it; only bait does."}


def _fly_peak(facts: Facts) -> str:
    nth = {1: "first", 2: "second", 3: "third"}.get(int(facts["n"]), "next")
    risk = f"; drawn here by {facts['risk']}" if facts.get("risk") else ""
    return (
        f"Seedcorn maggot flies are at their {nth} peak {when_words(facts['peak'])}, near planting on"
        f" {when_words(facts['planted'])}{risk}."
    )


VERDICTS = {
    "below": "That is below the count that means act.",
    "more": "That is too few to settle it.",
    "act": "That is at the count that means act.",
    "none": "No published count says when to act.",
}


def _pest_counted(facts: Facts) -> str:
    found: list[str] = []
    if facts.get("insects") is not None:
        found.append(n.count(int(facts["insects"]), "insect"))
    if facts.get("units_with") is not None:
        found.append(f"{n.count(int(facts['units_with']), 'of them', 'of them')} with any")
    looked = n.number(float(facts["looked"]), str(facts["unit"]), decimals=0)
    seen = f": {' and '.join(found)}" if found else ""
    verdict = VERDICTS.get(str(facts.get("verdict")), "")
    rule = f" Rule: {str(facts['rule']).rstrip('.')}" if facts.get("rule") else ""
    # The source in full stands with the look's days; the rule names its state.
    counted = f"{upper_first(str(facts['name']))} counted {when_words(facts['date'])}"
    by = f" by {facts['person']}" if facts.get("person") else ""
    return f"{counted}{by} in {looked}{seen}. {verdict}{rule}{'.' if rule else ''}".strip()


def pest_how(facts: Facts) -> str:
    """How a pest is looked for, and the count that means act: the same in every field."""
    where = str(facts.get("where") or "")
    place = f", {FRAMES.get(where, where)}" if where else ""
    looks = n.number(float(facts["looks"]), str(facts["unit"]), decimals=0)
    act = f"; act at {str(facts['act']).rstrip('.')}" if facts.get("act") else "; no published count says when to act"
    rescue = RESCUE.get(facts.get("rescue", "yes"), "")
    return f"Look at {looks}{place}{act}.{rescue}"


def pest_told(facts: Facts) -> str:
    """What was told of a field that draws the pest: ``manure, killed cover``; "" where nothing was."""
    return ", ".join(str(risk) for risk in facts.get("because") or ())


def _watch_pest(facts: Facts) -> str:
    told = pest_told(facts)
    return f"{upper_first(str(facts['name']))}{f' ({told})' if told else ''}: {_lower_first(pest_how(facts))}"


def _lower_first(text: str) -> str:
    return text[:1].lower() + text[1:]


PEST_WHY: dict[str, Say] = {"fly_peak": _fly_peak, "pest_counted": _pest_counted, "watch_pest": _watch_pest}
