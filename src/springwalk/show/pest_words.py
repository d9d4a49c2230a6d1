"""The rule card of a stand pest in words, and the list of the pests there are."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from springwalk.show import numbers as n
from springwalk.show.caution import USUAL

if TYPE_CHECKING:  # words need the card's shape, not what makes it
    from springwalk.jobs.pest_card import CardFact, CardNumber, CardRule, CardSample, PestCard

HEADS = {
    "does": "What it does",
    "when": "When",
    "where": "Where",
    "count": "How to count",
    "rules": "What the count means",
    "can": "What can be done",
    "cannot": "What can't",
    "look_alike": "Not to be mixed up with",
    "doubt": "What is not sure",
}
FRAMES = {
    "even": "the whole field, evenly",
    "low spots": "low spots first",
    "borders and waterways": "borders and waterways first",
    "grassy": "grassy ground first",
    "risk places": "the places that have the history first",
}
RESCUE = {
    "no": "No rescue exists once the corn is planted.",
    "bait": "No insecticide works; bait by its label is all there is.",
    "yes": "It can be treated, by a label that names it.",
    "": "Nothing is needed for the stand.",
}
STANDINGS = {
    "superseded": "superseded, not used",
    "doubtful": "reading doubtful, not used",
    "derived": "our arithmetic, not used",
    "seed corn": "for seed corn only, not used",
    "later": "after our season, not used",
}
CLOCK_NAMES = {
    "maggot_base": "flies develop above",
    "maggot_upper": "the day's high counts up to",
    "maggot_peak_1": "first peak of flies, from 1 January",
    "maggot_peak_2": "second peak",
    "maggot_peak_3": "third peak",
    "borer_base": "larvae develop above",
    "borer_move": "larvae move to corn, from 1 January",
    "borer_before": "watched for before that",
    "borer_after": "watched for after that",
    "grub_samples_25": "for a mean known to 25 %",
    "grub_samples_20": "for a mean known to 20 %",
    "grub_samples_15": "for a mean known to 15 %",
    "grub_samples_10": "for a mean known to 10 %",
}


def card_text(card: PestCard) -> str:
    """A card as text for a terminal or a page: headings, one sentence a line, source in brackets."""
    lines = [f"{card.name[:1].upper()}{card.name[1:]} ({card.latin})", RESCUE[card.rescue], ""]
    for topic, head in HEADS.items():
        said = _section(card, topic)
        if said:
            lines += [head, *(f"  {line}" for line in said), ""]
    return "\n".join([*lines, "Before anything is treated", *(f"  {line}" for line in USUAL)])


def cards_text(cards: Iterable[PestCard]) -> str:
    """The pests there are a card of, one line each."""
    return "\n".join(f"{card.name}: {stages_words(card.from_collars, card.to_collars)}" for card in cards)


def stages_words(first: int, last: int) -> str:
    """Stages at risk: ``from planting to 2 collars``."""
    return f"from {stage_word(first)} to {stage_word(last)}"


def stage_word(stage: int) -> str:
    """A stage of the tables of pests: −2 before planting, −1 planting, 0 the spike, else leaf collars."""
    named = {-2: "before planting", -1: "planting", 0: "the spike"}
    return named.get(stage) or n.count(stage, "collar", words=False)


def _section(card: PestCard, topic: str) -> list[str]:
    facts = [_fact(fact) for fact in card.said(topic)]
    if topic == "when":
        at_risk = stages_words(card.from_collars, card.to_collars)
        return [f"{at_risk[:1].upper()}{at_risk[1:]}.", *facts, *(_number(x) for x in card.clock if _is_clock(x))]
    if topic == "where":
        drawn = f"Told risks that put it on the sheet: {', '.join(card.favoured)}." if card.favoured else ""
        return [f"Look at {FRAMES[card.frame]}.", *facts, *([drawn] if drawn else [])]
    if topic == "count":
        return [*(_sample(way) for way in card.samples), *facts, *(_number(x) for x in card.clock if not _is_clock(x))]
    if topic == "rules":
        return [_rule(rule) for rule in card.rules] or ["No published count says when to act."]
    return facts


def _is_clock(found: CardNumber) -> bool:
    return found.unit != "samples"


def _fact(fact: CardFact) -> str:
    return f"{fact.statement} {_from(fact.mark, fact.source, fact.note)}"


def _sample(way: CardSample) -> str:
    many = n.count(way.per_spot * way.spots, way.unit, way.many, words=False)
    when = f", {way.hour}" if way.hour else ""
    span = stage_word(way.from_collars)
    span = span if way.from_collars == way.to_collars else stages_words(way.from_collars, way.to_collars)
    return f"{many} ({span}{when}): {way.how} {_from(way.mark, way.source)}"


def _rule(rule: CardRule) -> str:
    where = " and ".join(rule.states)
    standing = f" [{STANDINGS[rule.standing]}]" if rule.standing in STANDINGS else ""
    return f"{where}: {rule.says}.{standing} {_from(rule.mark, rule.source, rule.note)}"


def _number(found: CardNumber) -> str:
    low, high = found.low, found.high
    text = n.number(found.value, found.unit, decimals=0 if found.value == int(found.value) else 1)
    spread = f" ({low:g}–{high:g})" if low is not None and high is not None and low != high else ""
    name = CLOCK_NAMES.get(found.name, found.name.replace("_", " "))
    return f"{name[:1].upper()}{name[1:]}: {text}{spread}. {_from(found.mark, found.source)}"


def _from(mark: str, source: str, note: str = "") -> str:
    """Where a line comes from: ``[published: …]``, ``[memory]``, ``[trade]``, ``[assumption]``."""
    told = "; ".join(part for part in (source, note) if part)
    return f"[{mark}: {told}]" if told else f"[{mark}]"
