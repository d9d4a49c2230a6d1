"""What a question for advice answers with: per field and part, in SI units, money per hectare, local dates."""

from __future__ import annotations

from datetime import date
from typing import Literal

from springwalk.jobs.results import Range, Reason, Result
from springwalk.jobs.terms import TermsSaid

Verdict = Literal["leave", "spray", "ride along", "come back", "look again"]


class OptionSaid(Result):
    """One thing to do and what it is expected to lose; ``odds_best`` None for coming back."""

    kind: str
    on: date
    cost_per_ha: float
    lost_per_ha: float
    odds_best: float | None
    bad_tenth_per_ha: float


class RuleSaid(Result):
    """The state's printed rule beside the advice; ``agrees`` None where it leaves the choice open."""

    state: str
    says: str
    percent: float
    why: tuple[str, ...]
    agrees: bool | None
    differs: str
    source: str


class PartAdvice(Result):
    """Advice for one planting × zone. ``name`` is empty for the rest of a field.

    ``reasons`` and the codes of ``rule`` are those of the engine.

    ``percent_cut`` is seen, of ``places`` on the last walk; ``larvae_per_100`` plants that ever reach cutting size;
    ``cuts_ahead_per_100`` and ``break_even_per_100`` are plants still to be cut. ``next_look`` is what would most
    change it, worth ``next_look_per_ha``; empty: nothing. ``fit_on``: the ground is too wet for a pass until then.
    """

    planting: str | None
    zone: str | None
    name: str
    area_ha: float
    verdict: Verdict
    on: date
    options: tuple[OptionSaid, ...]
    lost_if_left_per_ha: float
    larvae_per_100: Range
    cuts_ahead_per_100: Range
    break_even_per_100: float
    loss_per_cut: float
    kill: float
    walked: date
    places: int
    percent_cut: float
    larvae_found: int | None
    collars: float
    reasons: tuple[str, ...]
    next_look: str
    next_look_per_ha: float
    rule: RuleSaid | None
    fit_on: date | None = None
    larvae_before: date | None = None
    """When larvae were found that is too long ago to treat on."""
    larvae_mm: tuple[float, ...] = ()
    """Lengths of the larvae found, of those that were measured."""


class FieldAdvice(Result):
    """Advice for one field: its parts, and whether none, some or all of it is to be treated (``treat`` names parts).

    Money is for the whole field: expected to be lost if all is left, if all is treated, and as advised.
    ``questions``: what in the walks behind it can't be right, and was left out of it or used as told.
    """

    field: str
    name: str
    today: date
    parts: tuple[PartAdvice, ...]
    percent_cut: float
    what: Literal["none", "part", "whole"]
    treat: tuple[str, ...]
    left_usd: float = 0.0
    all_treated_usd: float = 0.0
    as_advised_usd: float = 0.0
    terms: TermsSaid | None = None
    questions: tuple[Reason, ...] = ()


class AfterTreatment(Result):
    """A field treated with an insecticide where live larvae or fresh cuts were found since, on the last days' walks."""

    field: str
    name: str
    treated: date
    walked: date
    fresh_cut: int
    places: int
    larvae: int


class MorningAdvice(Result):
    """The advice for every field walked lately, as of one morning; ``after`` the treatments that may not have held."""

    today: date
    fields: tuple[FieldAdvice, ...]
    after: tuple[AfterTreatment, ...] = ()

    def of(self, field: str) -> FieldAdvice | None:
        """The advice for one field by its id; None where no walk of the last days speaks of it."""
        return next((one for one in self.fields if one.field == field), None)

    def after_of(self, field: str) -> AfterTreatment | None:
        """What was found after the treatment of one field by its id; None where none has to be asked about."""
        return next((one for one in self.after if one.field == field), None)
