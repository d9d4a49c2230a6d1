"""Looks that follow from planting alone: chilled seed, the spike, the stand, a late kill, roots."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np

from springwalk.engine.events import cold_rain_day
from springwalk.jobs.looks.facts import FieldFacts, Sown
from springwalk.jobs.looks.frame import make_look, reason
from springwalk.jobs.results import DateRange, Look, Reason


def corn_looks(facts: FieldFacts, sown: Sown) -> list[Look]:
    """Every look of one planting that its planting date or its corn makes."""
    out = [*chilled_seed(facts, sown), *spike(facts, sown), *stand(facts, sown), *late_kill(facts, sown)]
    return [*out, *roots(facts, sown)]


def cold_rain(facts: FieldFacts, sown: Sown) -> Reason | None:
    """The rain that may have chilled the seed, with what was cold; None where there was none or nothing is known."""
    sky = facts.sky
    if sky is None or sown.planted is None or sown.planted > facts.today:
        return None
    planted = np.array([float(facts.index(sown.planted))])
    found = cold_rain_day(sky.rain_mm[None], sky.mean_c[None], sky.soil_c[None], planted, facts.rules.soak)[0]
    if np.isnan(found):
        return None
    day = int(found)
    after = sky.mean_c[day + 1] if day + 1 < len(sky.mean_c) else np.nan
    return reason(
        "cold_rain", rain_mm=float(sky.rain_mm[day]), rained=facts.day(day), planted=sown.planted,
        mean_c=_known(sky.mean_c[day]), next_mean_c=_known(after), soil_c=sky.soil_on(day),
    )  # fmt: skip


def _known(value: float) -> float | None:
    return None if np.isnan(value) else float(value)


def chilled_seed(facts: FieldFacts, sown: Sown) -> list[Look]:
    """Dig cold-soaked seed at 90–100 GDD, and again at 120 where nothing is up (Purdue 2020)."""
    why = cold_rain(facts, sown)
    first, last, again = (sown.heat.get(name) for name in ("dig_from", "dig_to", "spike_heat"))
    if why is None or sown.up_seen or first is None or last is None or first.mid is None or last.mid is None:
        return []
    assert sown.planted is not None
    lapses = (again.mid if again and again.mid else last.mid) + timedelta(days=10)
    spike = [reason("no_replant_until_spike", date=sown.spike)] if sown.spike else []
    dig = make_look(
        facts, "dig_cold", sown, sown.planted, (first.mid, last.mid, lapses), rule="dig_from",
        timed=("soak_mean",), minutes="dig_minutes",
        when=_span(first, last), closed_by="done",
        why=(why, _dig_heat(facts, _span(first, last)), *weak_lot(facts, sown)),
        look_for=(reason("ten_seeds"), reason("corkscrew")), can_do=(reason("ask_seed"),), not_yet=tuple(spike),
    )  # fmt: skip
    if again is None or again.mid is None:
        return [dig]
    second = make_look(
        facts, "dig_cold_again", sown, sown.planted, (again.mid, again.mid + timedelta(days=1), lapses),
        rule="spike_heat", minutes="dig_minutes", when=again, closed_by="done",
        why=(reason("no_spike_told", date=again),), look_for=(reason("spike_rows"), reason("dig_if_none")),
        can_do=(reason("ask_seed"),), not_yet=tuple(spike),
    )  # fmt: skip
    return [dig, second]


def _dig_heat(facts: FieldFacts, when: DateRange) -> Reason:
    """The heat since planting at which chilled seed is dug, and when."""
    return reason("seed_heat", date=when, low_f=facts.rules.table["dig_from"], high_f=facts.rules.table["dig_to"])


def weak_lot(facts: FieldFacts, sown: Sown) -> list[Reason]:
    """A lot of seed whose cold test is low: it stands a cold, wet bed less well."""
    lot = facts.lots.get(sown.planting.lot) if sown.planting else None
    if lot is None or lot.cold_pct is None or lot.cold_pct >= facts.rules.table["weak_cold_test"]:
        return []
    return [reason("lot_weak", lot=lot.id, cold_pct=lot.cold_pct, warm_pct=lot.warm_pct)]


def _span(first: DateRange, last: DateRange) -> DateRange:
    """Both heats as one estimated window."""
    return DateRange(early=first.early, mid=first.mid, late=last.late)


def spike(facts: FieldFacts, sown: Sown) -> list[Look]:
    """Is it up, at 120 GDD: asked again every few days until somebody says that it is (Iowa State).

    A walk that saw no plant (no collars, no stop) puts the question again.
    """
    due = sown.heat.get("spike_heat")
    if sown.up_seen or due is None or due.mid is None or sown.planted is None:
        return []
    every = facts.rules.days("spike_days")
    mine = [w.walked for w in facts.walks if w.planting in (None, sown.id) and w.walked >= due.mid]
    opens = max(mine) + every if mine else due.mid
    cause = f"{sown.planted}" if not mine else f"{sown.planted}+{max(mine)}"
    return [
        make_look(
            facts, "spike_check", sown, cause, (opens, opens + every, opens + timedelta(days=21)),
            rule="spike_heat", timed=("spike_days",),
            when=None if mine else due, why=(reason("no_spike_told", date=due), *dry_bed(facts, sown)),
            look_for=(reason("spike_rows"), reason("dig_if_none")),
        )
    ]  # fmt: skip


def dry_bed(facts: FieldFacts, sown: Sown) -> list[Reason]:
    """No rain since planting and a surface dried out: seed may lie dry, and heat alone brings nothing up."""
    sky = facts.sky
    if sky is None or sown.planted is None:
        return []
    days = facts.span(sown.planted, facts.today - timedelta(days=1))
    a, b = days.start, days.stop
    if b <= a or not sky.rain_known[a:b].all() or (sky.rain_mm[a:b] >= facts.rules.table["wet_again"]).any():
        return []
    dry = sky.dry_on(b - 1, facts.rules.table["dry_share"])
    return [reason("dry_bed", since=sown.planted)] if dry else []


def stand(facts: FieldFacts, sown: Sown) -> list[Look]:
    """Count the stand 5–7 days after emergence (trade)."""
    up = sown.up
    if up is None:
        return []
    rules = facts.rules
    window = (up + rules.days("stand_opens"), up + rules.days("stand_closes"), up + rules.days("stand_lapses"))
    seen = reason("emerged", date=sown.spike_told or sown.spike or up, seen=sown.spike_told is not None)
    return [
        make_look(
            facts, "stand_count", sown, sown.planted or "corn", _before_end(sown, window), rule="stand_opens",
            minutes="count_minutes", when=None if sown.spike_told else sown.spike, why=(seen, *weak_lot(facts, sown)),
            look_for=tuple(reason(code) for code in ("count_stand", "late_plants", "cut_or_holed")),
            not_yet=(reason("no_replant_on_one_count"),),
        )
    ]  # fmt: skip


def late_kill(facts: FieldFacts, sown: Sown) -> list[Look]:
    """Cover killed less than 10 days before planting: look at the new corn for armyworm and at its roots."""
    killed, planted = sown.green_killed, sown.planted
    if killed is None or planted is None or sown.up is None:
        return []
    gap = (planted - killed).days
    if gap >= facts.rules.table["kill_gap"]:
        return []
    closes = sown.up + facts.rules.days("bridge_closes")
    return [
        make_look(
            facts, "green_bridge", sown, planted, (sown.up, closes, closes + timedelta(days=10)),
            rule="kill_gap", timed=("bridge_closes",),
            when=None if sown.spike_told else sown.spike,
            why=(reason("kill_gap", killed=killed, planted=planted, days=gap),),
            look_for=(reason("armyworm_new"), reason("seedling_roots")),
        )
    ]  # fmt: skip


def roots(facts: FieldFacts, sown: Sown) -> list[Look]:
    """The root dig from V3 until V5 (trade)."""
    first, last, end = (sown.collar.get(name) for name in ("root_from", "root_to", "last_collar"))
    if first is None or first.mid is None:
        return []
    closes = last.mid - timedelta(days=1) if last and last.mid else first.mid + timedelta(days=6)
    lapses = end.mid if end and end.mid else closes + timedelta(days=14)
    return [
        make_look(
            facts, "root_dig", sown, sown.planted or "corn", (first.mid, closes, lapses), rule="root_from",
            minutes="dig_minutes", when=first, closed_by="done",
            why=(reason("collars_window", first=first, last=last or first),),
            look_for=(reason("crown_roots"), reason("count_again")), not_yet=(reason("not_one_cause"),),
        )
    ]  # fmt: skip


def _before_end(sown: Sown, window: tuple[date, date, date]) -> tuple[date, date, date]:
    """A window that does not run past the stage where this sheet ends."""
    end = sown.collar.get("last_collar")
    last = end.mid if end and end.mid else window[2]
    return window[0], window[1], max(window[1], min(window[2], last))
