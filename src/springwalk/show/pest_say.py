"""Sentences of stand pests beside those of looks: what a count still needs, and what can be done."""

from __future__ import annotations

from springwalk.show.facts import Facts, Say

NEEDS = {
    "keep_counting": "Go on counting: too few were seen yet, or the count lies between the rule's bounds.",
    "count_insects": "Count the insects too: the rule counts them.",
    "count_units": "Count how many units have any: the rule goes by that share.",
    "count_two": "Count the plants with two or more larvae: the rule goes by those.",
    "find_live": "Look for live insects: damage alone is no reason to treat.",
    "measure": "Measure the larvae: large ones have nearly finished feeding.",
    "size_unsure": "Measure again: guidance disagrees on larvae of this size.",
    "unseen": "The rule asks for something a count can't tell: read it through in the field.",
    "count_stand": "Count the stand that is left: no published count says when to act.",
}


def _need(facts: Facts) -> str:
    return NEEDS.get(str(facts.get("need", "")), NEEDS["keep_counting"])


def _treat(facts: Facts) -> str:
    name = facts.get("name") or "the pest"
    return (
        f"If it is treated: only with live {name} there, by a label that names it. The label and the state's rules come"
        " first; the grower and the licensed adviser decide."
    )


PEST_SAY: dict[str, Say] = {
    "pest_need": _need,
    "treat_by_label": _treat,
    "bait_only": "No insecticide works on slugs. Bait by its label is all there is; the label rules rate and place.",
}
"""Codes of stand pests beside those of looks."""
