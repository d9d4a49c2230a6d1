"""What a crop policy would pay for replanting, from terms that were typed in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from springwalk.engine.replant import Terms, payment
from springwalk.errors import BadValue
from springwalk.jobs.stand_tables import amount


@dataclass(frozen=True)
class Policy:
    """Replant terms typed from a crop policy: bu/acre and US$/bu, the rest shares. None: the usual term, or not told.

    ``guarantee_bu_ac`` goes before history × coverage, ``appraised_bu_ac`` (an adjuster's) before the stand tables.
    Some policies pay only from an area on: the lesser of ``least_acres`` and ``least_share`` of ``unit_acres``; they
    are typed or not asked for, never taken from here. ``acres`` are those that would be replanted.
    """

    history_bu_ac: float | None
    coverage: float | None
    projected_price_usd_bu: float | None
    share: float = 1.0
    appraised_below: float | None = None
    most_bu_ac: float | None = None
    most_of_guarantee: float | None = None
    guarantee_bu_ac: float | None = None
    appraised_bu_ac: float | None = None
    least_acres: float | None = None
    least_share: float | None = None
    unit_acres: float | None = None
    acres: float | None = None

    def __post_init__(self) -> None:
        """Refuse terms from which no payment can be worked; raises BadValue."""
        needed = [("history", self.history_bu_ac, self.guarantee_bu_ac is None or self.appraised_bu_ac is None),
                  ("coverage", self.coverage, self.guarantee_bu_ac is None),
                  ("projected-price", self.projected_price_usd_bu, True)]  # fmt: skip
        for name, value, wanted in needed:
            if wanted and value is None:
                raise BadValue(name, "(not given)", "a policy's payment is worked from it", "type it from the policy")
        for name, value in (("guarantee", self.guarantee_bu_ac), ("appraised", self.appraised_bu_ac)):
            if value is not None and not 0.0 <= value <= 1000.0:
                todo = "type it as the policy or the adjuster has it"
                raise BadValue(name, f"{value:g}", "outside 0 … 1000", todo, unit="bu/acre")
        if self.guarantee_bu_ac and self.history_bu_ac and self.guarantee_bu_ac > self.history_bu_ac:
            rule = f"above the history of {self.history_bu_ac:g}"
            raise BadValue("guarantee", f"{self.guarantee_bu_ac:g}", rule, "check the two", unit="bu/acre")

    @property
    def acres_needed(self) -> float:
        """The acres from which a replant is paid for; 0 where no such rule was typed."""
        by_share = None if self.least_share is None else self.least_share * (self.unit_acres or 0.0)
        told = [one for one in (self.least_acres, by_share) if one is not None]
        return min(told, default=0.0)

    @property
    def large_enough(self) -> bool:
        """Whether the acres that would be replanted are enough by the rule typed."""
        return self.acres is None or self.acres >= self.acres_needed - 1e-6


def insured(policy: Policy, stands: Sequence[tuple[str, float]]) -> dict[str, Any]:
    """What the policy gives by the first of the tables, (name, percent now) each, and those it would pay under."""
    terms, history = _terms(policy)
    if policy.appraised_bu_ac is not None:
        stands = [(name, 100.0 * policy.appraised_bu_ac / history) for name, _ in stands]
    found = [(name, payment(now, terms)) for name, now in stands]
    first = found[0][1]
    paid = first.money if policy.large_enough else 0.0
    return {
        "pays": paid > 0.0,
        "payment_usd_ac": round(paid, 3),
        "appraised_bu_ac": round(first.appraised, 3),
        "pays_below_bu_ac": round(first.paid_below, 3),
        "guarantee_bu_ac": round(first.guarantee, 3),
        "pays_under": [name for name, one in found if one.money > 0.0 and policy.large_enough],
        **({} if policy.large_enough else {"acres_needed": round(policy.acres_needed, 3)}),
    }


def _terms(policy: Policy) -> tuple[Terms, float]:
    """The engine's terms, and the yield history they are worked from (any, where nothing is measured by it)."""

    def term(typed: float | None, name: str) -> float:
        return amount(name) if typed is None else typed

    guarantee = policy.guarantee_bu_ac
    history = policy.history_bu_ac if policy.history_bu_ac is not None else float(guarantee or 0.0)
    coverage = policy.coverage if guarantee is None else guarantee / history if history else 0.0
    terms = Terms(
        history=history,
        coverage=float(coverage or 0.0),
        projected_price=float(policy.projected_price_usd_bu or 0.0),
        share=policy.share,
        appraised_below=term(policy.appraised_below, "appraised_below"),
        most_yield=term(policy.most_bu_ac, "most_bushels"),
        most_of_guarantee=term(policy.most_of_guarantee, "most_of_guarantee"),
    )
    return terms, history


def insurance_notes(insurance: dict[str, Any] | None, advice: str) -> list[str]:
    """What goes with a policy, one sentence each."""
    if insurance is None:
        return []
    notes = ["The terms are as typed or the usual ones of old texts; the policy and the adjuster decide."]
    if advice != "keep":
        notes.append("Tell the insurer before anything is torn up.")
    if insurance["pays_under"] and not insurance["pays"]:
        notes.append(f"A payment is due only under {'; '.join(insurance['pays_under'])}: ask the insurer.")
    if "acres_needed" in insurance:
        notes.append(f"By the rule typed a replant is paid for from {insurance['acres_needed']:,.1f} acres on.")
    return notes
