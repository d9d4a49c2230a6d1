"""What the chain of recommendations answers with: each recommendation, its steps, where it stands, what is next."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from springwalk.errors import BadValue
from springwalk.jobs.advised import FieldAdvice
from springwalk.jobs.entered import Entered
from springwalk.jobs.results import Result
from springwalk.records import Recommendation
from springwalk.records.advice import How, StepKind

State = Literal[
    "not told", "told, no answer", "taken, not ordered", "ordered, not done", "done, not checked", "closed", "replaced",
]  # fmt: skip
"""Where a chain stands; ``replaced``: never told, and a newer recommendation of the field is there."""
Next = Literal["told", "answer", "ordered", "done", "checked", "worth", ""]
"""What a chain waits for; ``worth`` is asked of a closed one, "" is asked nothing more."""
Mark = Literal[
    "not told", "done before told", "done after refused", "refused and ordered on one day", "no pass", "pass not held",
    "no strip", "two versions", "checked too early",
]  # fmt: skip
"""What a reader of a chain has to know besides its steps."""


class StepSaid(Result):
    """One step; ``entry`` is its entry, by which it is undone. Other names as in the record."""

    entry: str
    what: StepKind
    date: datetime.date
    at: datetime.time | None
    who: str
    how: How | None
    wanted_on: datetime.date | None
    where: str
    pass_key: str
    cut_again_pct: float | None
    places: int | None
    larvae: int | None
    person: str
    note: str


class PassSaid(Result):
    """A pass that may be the one that did it: its natural key, and what people see of it."""

    key: str
    date: datetime.date
    what: str
    product: str


class EarlyCheck(Result):
    """A check on ``on``, before the field ``opens`` (local) after its treatment; None: no entry interval is typed."""

    on: datetime.date
    opens: datetime.datetime | None


class Chain(Result):
    """A recommendation with its steps in order. ``name`` and ``grower`` are the field's.

    ``next`` is waited for, from ``opens`` on (None = at once) until ``by`` (None = no day presses); ``late``: that
    day is over. ``to`` is who was told last, else the grower. ``passes`` are pesticide passes of the field since then
    that no step is tied to. ``early`` is the first check told of a time when nobody was let into the field.
    """

    entry: str
    recommendation: Recommendation
    name: str
    grower: str
    steps: tuple[StepSaid, ...]
    state: State
    next: Next
    opens: datetime.date | None
    by: datetime.date | None
    late: bool
    marks: tuple[Mark, ...]
    to: str
    passes: tuple[PassSaid, ...]
    early: EarlyCheck | None = None

    @property
    def open(self) -> bool:
        """Whether something is still to be done or said that others wait for."""
        return self.state not in ("closed", "replaced")


class Recommendations(Result):
    """Chains: open ones first, by field and day. ``stray`` are steps whose recommendation is not there (any more)."""

    season: str
    today: datetime.date | None
    chains: tuple[Chain, ...]
    stray: tuple[StepSaid, ...] = ()


@dataclass(frozen=True)
class Saying:
    """How advice is put into words: its lines, a sentence a part, the grower's text, and the usual cautions.

    Raises BadValue without cautions: nobody can recommend a treatment with none.
    """

    lines: Callable[[FieldAdvice], Sequence[str]]
    parts: Callable[[FieldAdvice], Sequence[str]]
    text: Callable[[FieldAdvice], str]
    cautions: Sequence[str]

    def __post_init__(self) -> None:
        """Refuse to speak of treatment without cautions."""
        if not self.cautions or not all(line.strip() for line in self.cautions):
            raise BadValue("cautions", "none", "advice to treat always bears the usual cautions", "give them")


@dataclass(frozen=True)
class Recommended:
    """What ``recommend`` did: the advice as computed, the record as kept, and its receipt."""

    advice: FieldAdvice
    record: Recommendation
    entered: Entered
