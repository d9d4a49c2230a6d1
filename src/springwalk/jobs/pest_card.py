"""The rule card of a stand pest: what it does, when, where, how to count it, what the count means, what can be done."""

from __future__ import annotations

from springwalk.jobs.pest_tables import Pest, Sample, clock, find, pests, rule_row, rules, samples
from springwalk.jobs.results import Result
from springwalk.tables import cite, numbers, rows

TOPICS = ("does", "when", "where", "count", "can", "cannot", "look_alike", "doubt")


class CardFact(Result):
    """One plain sentence of a card with its mark and source ("" where it is ours or common practice)."""

    topic: str
    statement: str
    mark: str
    source: str
    note: str


class CardSample(Result):
    """One way to count: the units in each spot and the spots; stages in collars, −2 not planted and −1 not up."""

    unit: str
    many: str
    per_spot: int
    spots: int
    from_collars: int
    to_collars: int
    hour: str
    how: str
    mark: str
    source: str


class CardRule(Result):
    """One published rule; ``used`` is False where no verdict rests on it.

    ``standing``: current, superseded, doubtful, derived, seed corn, later (after our season).
    """

    says: str
    states: tuple[str, ...]
    unit: str
    from_collars: int | None
    to_collars: int | None
    used: bool
    standing: str
    needs_live: bool
    mark: str
    source: str
    note: str


class CardNumber(Result):
    """One number of the pest's clock with its unit, mark and source."""

    name: str
    value: float
    low: float | None
    high: float | None
    unit: str
    mark: str
    source: str
    note: str


class PestCard(Result):
    """The card of one pest. ``rescue``: yes, no, bait (only bait), or "" (nothing needed)."""

    name: str
    latin: str
    from_collars: int
    to_collars: int
    frame: str
    favoured: tuple[str, ...]
    rescue: str
    facts: tuple[CardFact, ...]
    samples: tuple[CardSample, ...]
    rules: tuple[CardRule, ...]
    clock: tuple[CardNumber, ...]

    def said(self, topic: str) -> tuple[CardFact, ...]:
        """The facts of a topic, one of TOPICS."""
        return tuple(fact for fact in self.facts if fact.topic == topic)


def card(name: str) -> PestCard:
    """The card of a pest by its name, plural or other common name; raises NotFound with what was likely meant."""
    return _card(find(name))


def cards() -> tuple[PestCard, ...]:
    """The card of every pest."""
    return tuple(_card(pest) for pest in pests().values())


def _card(pest: Pest) -> PestCard:
    return PestCard(
        name=pest.name,
        latin=pest.latin,
        from_collars=pest.from_collars,
        to_collars=pest.to_collars,
        frame=pest.frame,
        favoured=pest.favoured,
        rescue=pest.rescue,
        facts=_facts(pest.name),
        samples=tuple(_sample(way) for way in samples(pest.name)),
        rules=_rules(pest.name),
        clock=_clock(pest.name),
    )


def _facts(pest: str) -> tuple[CardFact, ...]:
    found = [row for row in rows("pest_facts") if row["pest"] == pest]
    return tuple(
        CardFact(
            topic=row["topic"], statement=row["statement"], mark=row["mark"], source=cite(row["source"]),
            note=row["note"],
        )
        for row in found
    )  # fmt: skip


def _sample(way: Sample) -> CardSample:
    return CardSample(
        unit=way.unit, many=way.many, per_spot=way.per_spot, spots=way.spots, from_collars=way.from_collars,
        to_collars=way.to_collars, hour=way.hour, how=way.how, mark=way.mark, source=cite(way.source),
    )  # fmt: skip


def _rules(pest: str) -> tuple[CardRule, ...]:
    out = []
    for rule in rules(pest):
        row = rule_row(rule.key)
        out.append(
            CardRule(
                says=row["says"], states=rule.states, unit=rule.unit, from_collars=rule.from_collars,
                to_collars=rule.to_collars, used=rule.usable, standing=rule.standing,
                needs_live=rule.live, mark=row["mark"], source=cite(row["source"]), note=row["note"],
            )
        )  # fmt: skip
    return tuple(out)


CLOCKS = {"seedcorn maggot": "maggot_", "stalk borer": "borer_", "white grub": "grub_samples_"}
"""Which rows of the table of clocks belong on which card, by how their names begin."""


def _clock(pest: str) -> tuple[CardNumber, ...]:
    begins = CLOCKS.get(pest)
    return tuple(
        CardNumber(
            name=name, value=clock(name), low=found.low, high=found.high, unit=found.unit, mark=found.mark,
            source=cite(found.source), note=found.note,
        )
        for name, found in numbers("pest_clocks").items()
        if begins and name.startswith(begins)
    )  # fmt: skip
