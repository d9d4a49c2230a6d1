"""Whole or part: parts judged by themselves put together to one answer for the field."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from springwalk.engine.replant import advise
from springwalk.jobs.replant_said import PartReplant, What
from springwalk.units import ACRES_PER_HA

REPLANTS = ("replant", "call the insurer first")
"""Advice that asks for the planter, once the insurer has been."""
UNSURE = "too close to say"


@dataclass(frozen=True)
class Together:
    """The field's advice and the parts it replants; the gain in money (lowest and highest table) of those ``counted``.

    ``gain_usd_range`` has the trip paid; None where no table holds all parts counted.
    """

    advice: str
    what: What
    replant: tuple[PartReplant, ...]
    counted: tuple[PartReplant, ...]
    gain_usd_range: tuple[float, float] | None


def together(parts: Sequence[PartReplant], *, trip_usd: float, all_judged: bool, certain: bool) -> Together:
    """Replant what gains by itself, if all of it together also pays the trip.

    Money is summed over areas under each table that holds every part counted: those that gain by themselves, else
    those the tables don't agree on, else all. ``all_judged``: no part of the field was left without a stand.
    ``certain`` as for one case.
    """
    chosen = tuple(part for part in parts if part.advice in REPLANTS)
    counted = chosen or tuple(part for part in parts if part.advice == UNSURE) or tuple(parts)
    gains = [money - trip_usd for money in _by_table(counted)]
    span = (min(gains), max(gains)) if gains else None
    if not chosen:
        advice = UNSURE if counted[0].advice == UNSURE else "keep"
        return Together(advice, "unsure" if advice == UNSURE else "none", (), counted, span)
    paid = sum(_acres(part) * (part.found["insurance"] or {}).get("payment_usd_ac", 0.0) for part in chosen)
    advice = advise(gains, paid, certain=certain) if gains else UNSURE
    if advice not in REPLANTS:
        return Together(advice, "unsure" if advice == UNSURE else "none", (), counted, span)
    whole = all_judged and len(chosen) == len(parts)
    return Together(advice, "whole" if whole else "part", chosen, counted, span)


def weighted_tables(parts: Sequence[PartReplant]) -> tuple[dict[str, Any], ...]:
    """Each table that holds all parts, its percents and gains per acre weighted by area."""
    total = sum(_acres(part) for part in parts)
    return tuple(
        {"name": name, **{key: round(sum(_acres(p) * row[key] for p, row in found) / total, 3) for key in KEYS}}
        for name, found in _common(parts)
    )


def weighted_insurance(parts: Sequence[PartReplant]) -> dict[str, Any] | None:
    """What the policy pays, per acre of all parts; of a field of one part all that was found of it."""
    found = [(part, part.found["insurance"]) for part in parts if part.found["insurance"] is not None]
    if len(found) < 2:
        return found[0][1] if found else None
    total = sum(_acres(part) for part, _ in found)
    paid = sum(_acres(part) * one["payment_usd_ac"] for part, one in found) / total
    appraised = sum(_acres(part) * one["appraised_bu_ac"] for part, one in found) / total
    same = {key: found[0][1][key] for key in ("pays_below_bu_ac", "guarantee_bu_ac")}
    under = {name: None for _, one in found for name in one["pays_under"]}
    return {
        "pays": paid > 0.0, "payment_usd_ac": round(paid, 3), "appraised_bu_ac": round(appraised, 3), **same,
        "pays_under": list(under),
    }  # fmt: skip


KEYS = ("now_percent", "replant_percent", "gain_bu_ac", "gain_usd_ac")


def _common(parts: Sequence[PartReplant]) -> list[tuple[str, list[tuple[PartReplant, dict[str, Any]]]]]:
    """Tables that hold every part, in the order of the first one's: (name, each part with its row)."""
    rows = [(part, {row["name"]: row for row in part.found["tables"]}) for part in parts]
    names = [name for name in rows[0][1] if all(name in found for _, found in rows)] if rows else []
    return [(name, [(part, found[name]) for part, found in rows]) for name in names]


def _by_table(parts: Sequence[PartReplant]) -> list[float]:
    """US$ gained over all acres of some parts under each table that holds them all."""
    return [sum(_acres(part) * row["gain_usd_ac"] for part, row in found) for _, found in _common(parts)]


def _acres(part: PartReplant) -> float:
    return part.area_ha * ACRES_PER_HA
