"""What a question for advice answers with: per field and part, in SI units, money per hectare, local dates."""

from __future__ import annotations

from datetime import date
from typing import Literal

from springwalk.jobs.results import Reason, Result

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

    ``percent_cut`` is seen, of ``places`` on the last walk; ``cuts_ahead_per_100`` and ``break_even_per_100`` are
    plants still to be cut. ``next_look`` is what would most change it, worth ``next_look_per_ha``; empty: nothing.
    """

    planting: str | None
    zone: str | None
    name: str
    area_ha: float
    verdict: Verdict
    on: date
    options: tuple[OptionSaid, ...]
    lost_if_left_per_ha: float
    cuts_ahead_per_100: float
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


class FieldAdvice(Result):
    """Advice for one field: its parts, and whether none, some or all of it is to be treated (``treat`` names parts).

    ``questions``: what in the walks behind it can't be right, and was left out of it or used as told.
    """

    field: str
    name: str
    today: date
    parts: tuple[PartAdvice, ...]
    percent_cut: float
    what: Literal["none", "part", "whole"]
    treat: tuple[str, ...]
    questions: tuple[Reason, ...] = ()
