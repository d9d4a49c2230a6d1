"""Keep a stand or replant it, in money under each named table: a question that needs no store."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from springwalk.engine import replant as engine
from springwalk.engine.stand_yield import Pattern, lost_yield, percent_at
from springwalk.errors import BadValue
from springwalk.jobs.replant_policy import Policy, insurance_notes, insured
from springwalk.jobs.stand_tables import Named, amount, day_number, in_order, loss_params
from springwalk.units import ACRES_PER_HA, DDF_PER_DDC

GAPS = ("none", "some", "many")
_OLD_REMOVED = "Every replanted yield here takes the old plants as removed."
_OLD_KEPT = (
    "Old plants that stay take from the new ones, by how much is not known; the gains shown are the most possible."
)


@dataclass(frozen=True)
class Case:
    """One case as typed. Stands in plants/acre, yield in bu/acre, money in US$ (per bu, per acre), heat in °F·day.

    ``cost_usd_ac`` is all that replanting costs with seed at full price, ``seed_usd_ac`` the seed's part of it and
    ``seed_share_paid`` how much of that is paid. ``full_stand`` is what stood before, for losses that are not even.
    ``cut_share_new`` is the share of the new stand that larvae still there will cut, ``cut_share_old`` that of the
    plants left, were they kept; a cut plant counts as lost. ``heat_to_frost`` is a year each,
    from the replanting date; ``hybrid_need`` is to black layer when planted by 1 May.
    """

    planted: date
    stand: float
    replant_on: date
    replant_stand: float
    yield_bu_ac: float
    price_usd_bu: float
    cost_usd_ac: float
    state: str = ""
    pattern: Pattern = "even"
    full_stand: float | None = None
    gaps: str = "none"
    cut_share_new: float = 0.0
    cut_share_old: float = 0.0
    seed_usd_ac: float = 0.0
    seed_share_paid: float = 1.0
    drying_usd_point_bu: float = 0.0
    hybrid_need: float | None = None
    rated_from_emergence: bool = False
    heat_to_frost: Sequence[float] = ()
    old_removed: bool = True
    earliest: date | None = None


def earliest_date(ready_from: date, *, dry: float, kill: float, label: float, queue: float) -> date:
    """The first real day to replant, days after ``ready_from``, a part of a day rounded up; see the engine."""
    days = engine.earliest_day(0.0, dry_days=dry, kill_days=kill, label_days=label, queue_days=queue)
    return ready_from + timedelta(days=math.ceil(days))


def replant(case: Case, policy: Policy | None = None) -> dict[str, Any]:
    """Advice on a stand, the gain by replanting under each table that holds the case, and the insurer's payment.

    Answers ``tables`` (the default of the state first: ``name``, ``now_percent``, ``replant_percent``, ``gain_bu_ac``,
    ``gain_usd_ac`` after costs, no payment in it), ``insurance`` (None without a policy), ``advice``,
    ``gain_usd_ac_range``, ``seed`` (advice with seed free and at full price; None where its price is not given),
    ``ripe_share`` (None without heat), ``replant_on`` (month and day), ``left_out`` (tables that do not hold the case,
    and why), ``notes`` and ``sources`` (basis and source of each table). Raises BadValue for values that cannot be and
    where no table holds the case.
    """
    _check(case)
    day = max(case.replant_on, case.earliest or case.replant_on)
    ripe, frost = _frost(case, day)
    lines, left_out = _lines(case, day, frost)
    gains = _gains(case, day, lines, case.seed_share_paid)
    insurance = None if policy is None else insured(policy, _appraised(case, lines))
    paid = insurance["payment_usd_ac"] if insurance else 0.0
    usd = [money for _, money in gains]
    advice = engine.advise(usd, paid, certain=case.old_removed)
    return {
        "tables": [
            {
                "name": table.title,
                "now_percent": round(now, 3),
                "replant_percent": round(then, 3),
                "gain_bu_ac": round(bu, 3),
                "gain_usd_ac": round(money, 3),
            }
            for (table, now, then), (bu, money) in zip(lines, gains, strict=True)
        ],
        "insurance": insurance,
        "advice": advice,
        "gain_usd_ac_range": [round(min(usd), 3), round(max(usd), 3)],
        "seed": _seed(case, day, lines, paid),
        "ripe_share": ripe,
        "replant_on": f"{day:%m-%d}",
        "left_out": left_out,
        "notes": [*_notes(case, day, lines), *insurance_notes(insurance, advice)],
        "sources": [{"name": table.title, "basis": table.mark, "source": table.source} for table, _, _ in lines],
    }


def _lines(case: Case, day: date, frost: float) -> tuple[list[tuple[Named, float, float]], list[dict[str, str]]]:
    """(table, percent now, percent replanted) of each table that holds the case, and those that do not with why."""
    lines: list[tuple[Named, float, float]] = []
    left_out = []
    ordered = in_order(case.state)
    lowest = min(table.now.stands_per_ha[0] for table in ordered)
    straight = _lowest_stand(case) * ACRES_PER_HA < lowest
    for table in ordered:
        at_bottom = (straight and table.now.stands_per_ha[0] == lowest) or _holds_uncut(case, table)
        now, then = _now(case, table, at_bottom), _then(case, table, day, frost, at_bottom)
        if math.isfinite(now) and math.isfinite(then):
            lines.append((table, now, then))
        else:
            left_out.append({"name": table.title, "why": _why(case, table, day)})
    if not lines:
        told = "no table holds these dates"
        raise BadValue("planted … replant-on", f"{case.planted:%m-%d} … {day:%m-%d}", told, "check the two dates")
    return lines, left_out


def _appraised(case: Case, lines: Sequence[tuple[Named, float, float]]) -> list[tuple[str, float]]:
    """(table, percent) of the stand as an adjuster finds it: what larvae may cut later is not in it."""
    today = replace(case, cut_share_old=0.0)
    return [(table.title, _now(today, table, True)) for table, _, _ in lines]


def _left(case: Case) -> float:
    """Plants per acre that would be left of the stand there is, once larvae are through with it."""
    return case.stand * (1.0 - case.cut_share_old)


def _now(case: Case, table: Named, straight: bool) -> float:
    """Percent of full yield of the stand there is: the full stand's, less L; printed gap losses go with even only."""
    left, planted = _left(case) * ACRES_PER_HA, day_number(case.planted)
    if case.pattern == "even":
        gaps = 0.0 if case.gaps == "none" else amount(f"gaps_{case.gaps}") / 100.0
        return float(percent_at(table.now, left, planted, straight_below=straight)) * (1.0 - gaps)
    full = float(case.full_stand or 0.0) * ACRES_PER_HA
    lost = lost_yield(full, left, case.pattern, loss_params(), table=table.now, day=planted)
    return float(percent_at(table.now, full, planted)) * (1.0 - float(lost))


def _then(case: Case, table: Named, day: date, frost: float, straight: bool) -> float:
    """Percent of full yield of the replanted stand, less what larvae and frost take."""
    stand = engine.stand_after_larvae(case.replant_stand * ACRES_PER_HA, case.cut_share_new)
    return float(percent_at(table.replant, stand, day_number(day), straight_below=straight)) * (1.0 - frost)


def _looked_up(case: Case) -> tuple[float, float]:
    """The stands that are looked up, now and replanted, plants per acre."""
    now = _left(case) if case.pattern == "even" else float(case.full_stand or 0.0)
    return now, case.replant_stand * (1.0 - case.cut_share_new)


def _lowest_stand(case: Case) -> float:
    """The thinner of the two."""
    return min(_looked_up(case))


def _holds_uncut(case: Case, table: Named) -> bool:
    """Whether a table holds the stands as counted: what larvae cut must not take a table away."""
    return not _below(replace(case, cut_share_old=0.0, cut_share_new=0.0), table)


def _below(case: Case, table: Named) -> bool:
    """Whether one of the two stands is thinner than the table it is looked up in."""
    pairs = zip(_looked_up(case), (table.now, table.replant), strict=True)
    return any(stand * ACRES_PER_HA < one.stands_per_ha[0] - 1.0 for stand, one in pairs)


def _why(case: Case, table: Named, day: date) -> str:
    lowest = max(table.now.stands_per_ha[0], table.replant.stands_per_ha[0]) / ACRES_PER_HA
    if _lowest_stand(case) < lowest - 0.5:
        return f"begins at {lowest:,.0f} plants per acre"
    planted, again = day_number(case.planted), day_number(day)
    if not table.now.first_day <= planted <= table.now.last_day:
        return "does not hold the planting date"
    return "does not hold the replanting date" if again > table.replant.last_day else "does not hold this stand"


def _gains(
    case: Case, day: date, lines: Sequence[tuple[Named, float, float]], seed_share: float
) -> list[tuple[float, float]]:
    """(bu, US$) per acre gained under each table with this share of the seed's price paid."""
    later = max((day - case.planted).days, 0)
    points = later / amount("planted_per_ripe_day") * amount("points_per_day") if case.drying_usd_point_bu else 0.0
    cost = case.cost_usd_ac - case.seed_usd_ac * (1.0 - seed_share)
    money = engine.Money(case.yield_bu_ac, case.price_usd_bu, cost, case.drying_usd_point_bu, points)
    bu, usd = engine.gain([now for _, now, _ in lines], [then for _, _, then in lines], money)
    return list(zip(bu.tolist(), usd.tolist(), strict=True))


def _seed(
    case: Case, day: date, lines: Sequence[tuple[Named, float, float]], paid: float
) -> dict[str, dict[str, Any]] | None:
    """Advice and money range with the seed free and at full price."""
    if not case.seed_usd_ac:
        return None
    made = {}
    for name, share in (("free", 0.0), ("full", 1.0)):
        usd = [money for _, money in _gains(case, day, lines, share)]
        word = engine.advise(usd, paid, certain=case.old_removed)
        made[name] = {"advice": word, "gain_usd_ac_range": [round(min(usd), 3), round(max(usd), 3)]}
    return made


def _frost(case: Case, day: date) -> tuple[float | None, float]:
    """(share of years the hybrid ripens before frost, mean share of yield lost); (None, 0) where no heat is given."""
    if case.hybrid_need is None and not case.heat_to_frost:
        return None, 0.0
    if case.hybrid_need is None or not case.heat_to_frost:
        missing = "hybrid-need" if case.hybrid_need is None else "heat-to-frost"
        raise BadValue(missing, "(not given)", "one is of no use without the other", "give both, or neither")
    falls = amount("need_falls") / DDF_PER_DDC
    rated = case.hybrid_need + (amount("rated_from_emergence") if case.rated_from_emergence else 0.0)
    need = float(engine.heat_needed_ddc(rated / DDF_PER_DDC, day_number(day), falls_ddc_per_day=falls))
    heat = [one / DDF_PER_DDC for one in case.heat_to_frost]
    points = [(amount(f"frost_short_{k}") / DDF_PER_DDC, amount(f"frost_loss_{k}") / 100.0) for k in (5, 10)]
    return engine.frost_loss(need, heat, points)


def _notes(case: Case, day: date, lines: Sequence[tuple[Named, float, float]]) -> list[str]:
    """What a reader has to know beside the numbers, one sentence each."""
    notes = []
    if day > case.replant_on:
        notes.append(f"Replanting cannot start before {day:%m-%d}; the sums are for that day.")
    densest = max(case.stand, case.replant_stand)
    weak = [table.title for table, _, _ in lines if densest * ACRES_PER_HA > table.warn_above_per_ha + 1.0]
    if weak:
        notes.append(f"{densest:,.0f} plants per acre is above what these tables were made for: {'; '.join(weak)}.")
    blanks = [table.title for table, _, _ in lines if table.blanks_filled]
    if blanks:
        notes.append(f"Cells not read in print are worked out by the table's own form: {'; '.join(blanks)}.")
    lowest = _lowest_stand(case) * ACRES_PER_HA
    if lowest < min(table.now.stands_per_ha[0] for table, _, _ in lines) - 1.0:
        notes.append("The stand is below every table; yield is taken to fall straight to nothing, which is too low.")
    elif below := [table.title for table, _, _ in lines if _below(case, table)]:
        told = "With what larvae cut a stand is below these tables, and yield taken to fall straight to nothing"
        notes.append(f"{told}, which is too low: {'; '.join(below)}.")
    if case.pattern != "even":
        notes.append(_plant_note(case))
    if case.heat_to_frost:
        notes.append("Frost loss comes on top of the tables, whose latest dates already hold a little of it.")
    if case.stand > amount("no_gain_above"):
        notes.append("One trial found no gain from replanting with this many plants left (Terry et al. 2012).")
    if case.stand < amount("gain_below"):
        notes.append(
            "One trial found that replanting paid with this few left, the old plants removed (Terry et al. 2012)."
        )
    notes.append(_OLD_REMOVED if case.old_removed else _OLD_KEPT)
    return notes


def _plant_note(case: Case) -> str:
    """What a missing plant was counted as, mean over the plants lost, with the bounds it is held in."""
    params, full = loss_params(), float(case.full_stand or 0.0) * ACRES_PER_HA
    left = _left(case) * ACRES_PER_HA
    day = day_number(case.planted)
    lost = float(lost_yield(full, left, case.pattern, params, table=in_order(case.state)[0].now, day=day))
    normal = min(full, params.best_stand_per_ha) if case.pattern == "singles" else full
    each = lost * normal / (full - left) if full > left else 0.0
    bounds = (
        f" (held between {params.single_floor:g} and {params.single_ceiling:g})" if case.pattern == "singles" else ""
    )
    return f"Each missing plant counts as {each:.2f} of a normal one{bounds}; no stand table is added to it."


def _check(case: Case) -> None:
    for name in ("stand", "replant_stand"):
        _number(name, getattr(case, name), 0.0, 100_000.0, "plants/acre")
    for name, unit in (("yield_bu_ac", "bu/acre"), ("price_usd_bu", "US$/bu"), ("cost_usd_ac", "US$/acre")):
        _number(name, getattr(case, name), 0.0, 5000.0, unit)
    _number("seed_usd_ac", case.seed_usd_ac, 0.0, case.cost_usd_ac, "US$/acre")
    for name in ("seed_share_paid", "cut_share_new", "cut_share_old"):
        _number(name, getattr(case, name), 0.0, 1.0, "")
    _number("drying_usd_point_bu", case.drying_usd_point_bu, 0.0, 1.0, "US$/point/bu")
    if case.replant_on <= case.planted:
        told = f"not after planted = {case.planted:%m-%d}"
        raise BadValue("replant-on", f"{case.replant_on:%m-%d}", told, "check the two dates")
    if case.gaps not in GAPS:
        raise BadValue("gaps", case.gaps, "no such size of gaps", f"use one of {', '.join(GAPS)}")
    if case.pattern != "even" and case.gaps != "none":
        raise BadValue("gaps", case.gaps, f"counted already by pattern {case.pattern}", "leave one of the two out")
    if case.pattern != "even" and case.full_stand is None:
        todo = "give the stand there was before the loss"
        raise BadValue("full-stand", "(not given)", f"pattern {case.pattern} is worked from it", todo)


def _number(name: str, value: float, low: float, high: float, unit: str) -> None:
    if not low <= value <= high:
        asked = name.removesuffix("_usd_ac").removesuffix("_bu_ac").removesuffix("_usd_bu")
        told = f"outside {low:g} … {high:g}"
        raise BadValue(asked.replace("_", "-"), f"{value:g}", told, "check the number and its unit", unit=unit)
