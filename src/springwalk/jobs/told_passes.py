"""Treatments told as done in a chain that nobody noted as a pass: they bind who goes where all the same."""

from __future__ import annotations

from collections.abc import Iterable

from springwalk.jobs.keep_out import PESTICIDE
from springwalk.records import Pass, Recommendation, Record, Step
from springwalk.store import Reading
from springwalk.store.entries import heads, records

NOTED = "told as done with a recommendation; note the pass with its entry interval"


def unnoted_passes(read: Reading, noted: Iterable[Record]) -> tuple[Pass, ...]:
    """Each treatment told as done for which no pesticide pass of that field and day is among the ``noted``.

    It stands as an insecticide without a typed interval until the pass is noted: nobody is sent in, and nobody is told
    to spray again, because a form was left out.
    """
    known = {(one.field, one.date) for one in noted if isinstance(one, Pass) and one.what in PESTICIDE}
    told = [
        step
        for entry in heads(read, Step.kind)
        if isinstance(step := entry.record, Step) and step.what == "done"
        and not (step.field and (step.field, step.date) in known)
    ]  # fmt: skip
    if not told:
        return ()  # and no recommendation need be read: each carries the whole answer it was shown with
    treats = {one.id: one.field for one in records(read, Recommendation) if one.treats}
    found = []
    for step in told:
        if step.recommendation not in treats:
            continue
        field = step.field or treats[step.recommendation]
        if (field, step.date) not in known:
            known.add((field, step.date))
            found.append(Pass(field=field, date=step.date, what="insecticide", at=step.at, person=step.who, note=NOTED))
    return tuple(found)
