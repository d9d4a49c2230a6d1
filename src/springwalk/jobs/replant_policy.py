"""What a crop policy would pay for replanting, from terms that were typed in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from springwalk.engine.replant import Terms, payment
from springwalk.jobs.stand_tables import amount


@dataclass(frozen=True)
class Policy:
    """Replant terms typed from a crop policy: bu/acre and US$/bu, the rest shares. None: the usual term."""

    history_bu_ac: float
    coverage: float
    projected_price_usd_bu: float
    share: float = 1.0
    appraised_below: float | None = None
    most_bu_ac: float | None = None
    most_of_guarantee: float | None = None


def insured(policy: Policy, stands: Sequence[tuple[str, float]]) -> dict[str, Any]:
    """What the policy gives by the first of the tables, (name, percent now) each, and those it would pay under."""

    def term(typed: float | None, name: str) -> float:
        return amount(name) if typed is None else typed

    terms = Terms(
        history=policy.history_bu_ac,
        coverage=policy.coverage,
        projected_price=policy.projected_price_usd_bu,
        share=policy.share,
        appraised_below=term(policy.appraised_below, "appraised_below"),
        most_yield=term(policy.most_bu_ac, "most_bushels"),
        most_of_guarantee=term(policy.most_of_guarantee, "most_of_guarantee"),
    )
    found = [(name, payment(now, terms)) for name, now in stands]
    first = found[0][1]
    return {
        "pays": first.money > 0.0,
        "payment_usd_ac": round(first.money, 3),
        "appraised_bu_ac": round(first.appraised, 3),
        "pays_below_bu_ac": round(first.paid_below, 3),
        "guarantee_bu_ac": round(first.guarantee, 3),
        "pays_under": [name for name, one in found if one.money > 0.0],
    }


def insurance_notes(insurance: dict[str, Any] | None, advice: str) -> list[str]:
    """What goes with a policy, one sentence each."""
    if insurance is None:
        return []
    notes = ["The terms are as typed or the usual ones of old texts; the policy and the adjuster decide."]
    if advice != "keep":
        notes.append("Tell the insurer before anything is torn up.")
    if insurance["pays_under"] and not insurance["pays"]:
        notes.append(f"A payment is due only under {'; '.join(insurance['pays_under'])}: ask the insurer.")
    return notes
