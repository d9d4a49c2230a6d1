"""Tables to the parameters of advice: the one place where its published units become SI."""

from __future__ import annotations

from functools import cache

import numpy as np

from springwalk.engine.advice_facts import AdviceParams, FoundParams
from springwalk.engine.losses import YieldParams
from springwalk.engine.state_rule import StateRule
from springwalk.jobs.params import load
from springwalk.jobs.params_belief import belief_params
from springwalk.tables import number, number_in, rows
from springwalk.units import ACRES_PER_HA

_STANDS = (24_000, 30_000, 34_000, 38_000)


@cache
def advice_params() -> AdviceParams:
    """The parameters as the tables have them."""
    engine, belief = load().engine, belief_params()
    entries = engine.clock.entries_ddc
    spans = (entries[2] - entries[1], entries[3] - entries[2], entries[4] - entries[3])
    work = tuple(rate * span for rate, span in zip(engine.cutting.rate_per_ddc, spans, strict=True))
    lengths = belief.sizes.mean_mm
    return AdviceParams(
        yields=_yields(),
        found=_found((spans[0], spans[1], spans[2]), engine.corn.collar_ddc),
        cutting=engine.cutting,
        belief=belief,
        # Eggs are out of reach and pupae do no harm: nothing to stop in either.
        kill_by_stage=(0.0, *(kill_at(length) for length in lengths), 0.0),
        # Half of the present instar's work is still to come, and all of the later ones'.
        left_by_stage=(
            sum(work), sum(work), work[0] / 2 + work[1] + work[2], work[1] / 2 + work[2], work[2] / 2, 0.0,
        ),
        collars_seen_sd=_n("collars_seen_sd"),
        collars_unseen_sd=_n("collars_unseen_sd"),
        look_plants=int(_n("look_plants")),
        look_stops=int(_n("look_stops")),
        search_plants=int(_n("search_plants")),
        recount_days=int(_n("recount_days")),
    )  # fmt: skip


def kill_at(length_mm: float) -> float:
    """Share of larvae of a length (mm) that a treatment stops: level to 1 in., then straight down to the largest."""
    return float(
        np.interp(length_mm, (_n("kill_from_mm"), _n("kill_to_mm")), (_n("kill"), _n("kill_largest")))
    )  # fmt: skip


@cache
def state_rules() -> tuple[StateRule, ...]:
    """The states' published rules in the order of their table."""
    return tuple(_rule(row) for row in rows("state_rules"))


def _rule(row: dict[str, str]) -> StateRule:
    return StateRule(
        key=row["key"],
        state=row["state"],
        signs=tuple(row["sign"].split("+")) if row["sign"] else (),
        percent_low=number_in(row["percent_low"]),
        percent_high=number_in(row["percent_high"]),
        larva_mm=(number_in(row["larva_from_mm"]), number_in(row["larva_to_mm"])),
        collars=(number_in(row["collars_from"]), number_in(row["collars_to"])),
        larvae_per_100=number_in(row["larvae_per_100"]),
        live_larvae=row["live_larvae"] == "yes",
        height=row["height"],
    )


def _yields() -> YieldParams:
    injury = {name: number("injury_yield", name).value / 100.0 for name in ("cut_at_surface", "cut_below_surface")}
    clipped = number("injury_yield", "all_clipped_per_plant").value
    return YieldParams(
        heights_moist=_heights("moist"),
        heights_dry=_heights("dry"),
        heights_late=_heights("late"),
        late_from=_n("late_from"),
        height_plants=_n("height_plants"),
        above_loss=clipped,
        below_loss=injury["cut_below_surface"],
        surface_loss=(injury["cut_at_surface"], _n("surface_middle"), clipped),
        surface_easy=_surface("early"),
        surface_hard=_surface("hard"),
        singles_stand_per_ha=tuple(stand * ACRES_PER_HA for stand in _STANDS),
        singles_loss=tuple(_n(f"singles_{stand // 1000}k") for stand in _STANDS),
        singles_either_way=_n("singles_either_way"),
        run_share=_n("run_share"),
        usual_stand_per_ha=_n("usual_stand") * ACRES_PER_HA,
    )


def _heights(soil: str) -> tuple[float, float, float]:
    return _n(f"above_{soil}"), _n(f"at_{soil}"), _n(f"below_{soil}")


def _surface(which: str) -> tuple[float, float, float]:
    high, low = _n(f"surface_high_{which}"), _n(f"surface_low_{which}")
    return high, 1.0 - high - low, low


def _found(spans_ddc: tuple[float, float, float], collar_ddc: float) -> FoundParams:
    days = {row["stage"]: row for row in rows("feeding_left")}

    def middle(stage: str) -> float:
        return (float(days[stage]["days_low"]) + float(days[stage]["days_high"])) / 2.0

    return FoundParams(
        treatable_to_mm=_n("treatable_to_mm"),
        treatable_to_instar=_n("treatable_to_instar"),
        signal_per_100=_n("signal_per_100"),
        weak_search=_n("weak_search"),
        not_this_flight=_n("not_this_flight"),
        spans_ddc=spans_ddc,
        feeding_days=(middle("young"), middle("instar 4 card"), middle("instar 5 card"), middle("instar 6")),
        collar_ddc=collar_ddc,
    )


def _n(name: str) -> float:
    return number("advice", name).value
