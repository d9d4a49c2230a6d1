"""What a store holds of recommendations: the chains, and which one a person means."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import TypeVar

from springwalk.errors import NotFound
from springwalk.intake import did_you_mean, shown
from springwalk.jobs.chain import Around, HeldRecommendation, HeldStep, chain_of
from springwalk.jobs.recommended import Chain
from springwalk.jobs.rules import look_rules
from springwalk.records import Field, Pass, Recommendation, Step
from springwalk.records.advice import ANSWERS, WORTH
from springwalk.store import Entry, Reading
from springwalk.store.entries import heads, records

T = TypeVar("T")


@dataclass(frozen=True)
class Held:
    """The recommendations, steps, passes and fields of a store; of a thing with two versions the newest."""

    recommendations: tuple[HeldRecommendation, ...]
    steps: tuple[HeldStep, ...]
    passes: tuple[Pass, ...]
    fields: dict[str, Field]

    def of(self, found: HeldRecommendation, today: date) -> Chain:
        """The chain of one recommendation."""
        return chain_of(found, self.steps_of(found.record.id), self.around(found, today))

    def steps_of(self, name: str) -> Sequence[HeldStep]:
        """The steps of a recommendation."""
        return self._steps.get(name, ())

    def around(self, found: HeldRecommendation, today: date) -> Around:
        """What its chain is read with."""
        field = found.record.field
        return Around(
            field=self.fields.get(field), passes=self._passes.get(field, ()), tied=self._tied,
            newer=self._newest[field] is not found, today=today, rules=look_rules(),
        )  # fmt: skip

    @cached_property
    def _steps(self) -> Mapping[str, list[HeldStep]]:
        return _grouped(self.steps, lambda one: one.step.recommendation)

    @cached_property
    def _passes(self) -> Mapping[str, list[Pass]]:
        return _grouped(self.passes, lambda one: one.field)

    @cached_property
    def _tied(self) -> frozenset[str]:
        return frozenset(one.step.pass_key for one in self.steps)

    @cached_property
    def _newest(self) -> Mapping[str, HeldRecommendation]:
        """The newest recommendation of each field."""
        ordered = sorted(self.recommendations, key=lambda one: (one.record.date, one.seq))
        return {one.record.field: one for one in ordered}


def _grouped(found: Iterable[T], key: Callable[[T], str]) -> Mapping[str, list[T]]:
    groups: dict[str, list[T]] = {}
    for one in found:
        groups.setdefault(key(one), []).append(one)
    return groups


def held_in(read: Reading) -> Held:
    """All that a store holds of chains; of a thing with two versions the newest, marked."""
    entries = _by_seq(read, Recommendation.kind)
    recs = {entry.thing: entry for entry in entries}
    torn = {thing for thing, number in Counter(entry.thing for entry in entries).items() if number > 1}
    kept = {entry.thing: entry for entry in _by_seq(read, Step.kind)}
    return Held(
        recommendations=tuple(
            HeldRecommendation(entry.id, entry.seq, entry.record, thing in torn)
            for thing, entry in recs.items()
            if isinstance(entry.record, Recommendation)
        ),
        steps=tuple(HeldStep(entry.id, entry.record) for entry in kept.values() if isinstance(entry.record, Step)),
        passes=tuple(records(read, Pass)),
        fields={one.id: one for one in records(read, Field)},
    )


def _by_seq(read: Reading, kind: str) -> list[Entry]:
    """The current entries of a kind that are understood, the newest last."""
    return sorted((one for one in heads(read, kind) if one.record is not None), key=lambda one: one.seq)


def meant(held: Held, word: str, what: str, today: date) -> HeldRecommendation:
    """The recommendation a step ``what`` speaks of: by its id, by the beginning of one, or by its field.

    Of a field's recommendations it is the newest that waits for such a step, else the newest open one, else the
    newest. Raises NotFound for none or several.
    """
    word = word.strip()
    known = {one.record.id: one for one in held.recommendations}
    if word in known:
        return known[word]
    field = _field_called(held, word)
    mine = [one for one in held.recommendations if field is not None and one.record.field == field]
    if field is not None and not mine:
        rule, todo = "no recommendation of this field is kept", f"keep one first: springwalk recommend {field}"
        raise NotFound("recommendation", shown(word), rule, todo)
    if not mine:
        return _beginning(known, word, [one.record.field for one in held.recommendations])
    newest = sorted(mine, key=lambda one: (one.record.date, one.seq), reverse=True)
    chains = {one.record.id: held.of(one, today) for one in newest}
    waiting = [one for one in newest if chains[one.record.id].next == _awaited(what)]
    return (waiting or [one for one in newest if chains[one.record.id].open] or newest)[0]


def _field_called(held: Held, word: str) -> str | None:
    """The id of the field of this id, or of the only one of this name; None where no field is called so."""
    folded = word.casefold()
    found = [one.id for one in held.fields.values() if one.id.casefold() == folded]
    found = found or [one.id for one in held.fields.values() if one.name.strip().casefold() == folded]
    if len(found) > 1:
        rule = f"{len(found)} fields are called so ({', '.join(sorted(found))})"
        raise NotFound("recommendation", shown(word), rule, "give the id of the one meant")
    return found[0] if found else None


def _beginning(known: Mapping[str, HeldRecommendation], word: str, fields: Sequence[str]) -> HeldRecommendation:
    found = [one for name, one in known.items() if word and name.startswith(word)]
    if len(found) == 1:
        return found[0]
    rule = f"{len(found)} recommendations begin so" if found else "no such recommendation is kept"
    near = did_you_mean(word, [*known, *fields]) if word else ""
    todo = f"{near}? (springwalk recommendations lists them)" if near.startswith("did") else ""
    raise NotFound("recommendation", shown(word), rule, todo or "copy its id from the list: springwalk recommendations")


def _awaited(what: str) -> str:
    return "answer" if what in ANSWERS else "worth" if what in WORTH else what
