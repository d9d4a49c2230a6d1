"""The rule card of a stand pest in words, and the list of the pests there are."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, NamedTuple

from springwalk.show import numbers as n
from springwalk.show.caution import USUAL

if TYPE_CHECKING:  # words need the card's shape, not what makes it
    from springwalk.jobs.pest_card import CardFact, CardNumber, CardRule, CardSample, PestCard
    from springwalk.jobs.results import Look

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
SHORT_RESCUE = {
    "no": "no rescue once planted",
    "bait": "bait only",
    "yes": "can be treated by a label that names it",
    "": "needs nothing for the stand",
}
LOOKS_OF = {"maggot": "seedcorn maggot", "baits": "wireworm"}
"""Looks that are always of one pest."""
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


class Said(NamedTuple):
    """One line of a card: ``states`` whose rule it is ("" for none), its words, its standing, and what it rests on."""

    words: str
    basis: str = ""
    states: str = ""
    standing: str = ""

    @property
    def line(self) -> str:
        """All of it on one line: ``North Carolina: 13 or more bugs. [published: …]``."""
        first = f"{self.states}: {self.words}" if self.states else self.words
        return " ".join([first, *(f"[{part}]" for part in (self.standing, self.basis) if part)])


class Section(NamedTuple):
    """One heading of a card with its lines; ``topic`` is a key of HEADS."""

    topic: str
    head: str
    lines: tuple[Said, ...]


def sections(card: PestCard) -> tuple[Section, ...]:
    """The headings of a card that have anything to say, in the order they are read."""
    told = ((topic, head, tuple(_section(card, topic))) for topic, head in HEADS.items())
    return tuple(Section(topic, head, lines) for topic, head, lines in told if lines)


def card_text(card: PestCard) -> str:
    """A card as text for a terminal: headings, one sentence a line, source in brackets."""
    lines = [f"{title(card)} ({card.latin})", RESCUE[card.rescue], ""]
    for section in sections(card):
        lines += [section.head, *(f"  {said.line}" for said in section.lines), ""]
    return "\n".join([*lines, "Before anything is treated", *(f"  {line}" for line in USUAL)])


def cards_text(cards: Iterable[PestCard]) -> str:
    """The pests there are a card of, one line each: name, stages at risk, rescue or none."""
    return "\n".join(f"{card.name}: {in_short(card)}" for card in cards)


def in_short(card: PestCard) -> str:
    """When a pest is a risk and whether it can be treated: ``from the spike to 6 collars; no rescue once planted``."""
    return f"{stages_words(card.from_collars, card.to_collars)}; {SHORT_RESCUE[card.rescue]}"


def title(card: PestCard) -> str:
    """The pest's name as a heading."""
    return f"{card.name[:1].upper()}{card.name[1:]}"


def pest_of(look: Look) -> str:
    """The pest a look is of, by the name of its card; "" where it is of none."""
    if look.code in LOOKS_OF:
        return LOOKS_OF[look.code]
    return str(look.why[0].facts.get("name", "")) if look.code.startswith("pest_") and look.why else ""


def stages_words(first: int, last: int) -> str:
    """Stages at risk: ``from planting to 2 collars``."""
    return f"from {stage_word(first)} to {stage_word(last)}"


def stage_word(stage: int) -> str:
    """A stage of the tables of pests: −2 before planting, −1 planting, 0 the spike, else leaf collars."""
    named = {-2: "before planting", -1: "planting", 0: "the spike"}
    return named.get(stage) or n.count(stage, "collar", words=False)


def _section(card: PestCard, topic: str) -> list[Said]:
    facts = [_fact(fact) for fact in card.said(topic)]
    if topic == "when":
        at_risk = stages_words(card.from_collars, card.to_collars)
        clock = [_number(found) for found in card.clock if _is_clock(found)]
        return [Said(f"{at_risk[:1].upper()}{at_risk[1:]}."), *facts, *clock]
    if topic == "where":
        drawn = f"Told risks that put it on the sheet: {', '.join(card.favoured)}."
        return [Said(f"Look at {FRAMES[card.frame]}."), *facts, *([Said(drawn)] if card.favoured else [])]
    if topic == "count":
        squares = [_number(found) for found in card.clock if not _is_clock(found)]
        return [*(_sample(way) for way in card.samples), *facts, *squares]
    if topic == "rules":
        return _rules(card.rules) or [Said("No published count says when to act.")]
    return facts


def _is_clock(found: CardNumber) -> bool:
    return found.unit != "samples"


def _fact(fact: CardFact) -> Said:
    return Said(fact.statement, _from(fact.mark, fact.source, fact.note))


def _sample(way: CardSample) -> Said:
    many = n.count(way.per_spot * way.spots, way.unit, way.many, words=False)
    when = f", {way.hour}" if way.hour else ""
    span = stage_word(way.from_collars)
    span = span if way.from_collars == way.to_collars else stages_words(way.from_collars, way.to_collars)
    return Said(f"{many} ({span}{when}): {way.how}", _from(way.mark, way.source))


def _rules(rules: Iterable[CardRule]) -> list[Said]:
    """Rules a verdict rests on first, then those that only stand beside; those of one state together."""
    by_state: dict[tuple[bool, str], list[Said]] = {}
    for rule in sorted(rules, key=lambda rule: not rule.used):
        states = " and ".join(rule.states)
        said = Said(f"{rule.says}.", _from(rule.mark, rule.source, rule.note), states, STANDINGS.get(rule.standing, ""))
        by_state.setdefault((rule.used, states), []).append(said)
    return [said for lines in by_state.values() for said in lines]


def _number(found: CardNumber) -> Said:
    low, high = found.low, found.high
    text = n.number(found.value, found.unit, decimals=0 if found.value == int(found.value) else 1)
    spread = f" ({low:g}–{high:g})" if low is not None and high is not None and low != high else ""
    name = CLOCK_NAMES.get(found.name, found.name.replace("_", " "))
    return Said(f"{name[:1].upper()}{name[1:]}: {text}{spread}.", _from(found.mark, found.source))


def _from(mark: str, source: str, note: str = "") -> str:
    """Where a line comes from: ``published: …``, ``memory``, ``trade``, ``assumption``."""
    told = "; ".join(part for part in (source, note) if part)
    return f"{mark}: {told}" if told else mark
