"""Made-up fields for advice: money per acre as it is talked of, larvae of known fate, and walks from real weather."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from springwalk.engine import belief
from springwalk.engine.advice import Advice, advise
from springwalk.engine.advice_facts import FieldFacts, Money
from springwalk.engine.hazard import Hazard, hazards
from springwalk.engine.losses import Outlook, Plants, outlook
from springwalk.engine.state_rule import Counted
from springwalk.jobs.params import load
from springwalk.jobs.params_advice import advice_params, state_rules
from springwalk.jobs.params_belief import belief_params
from springwalk.units import ACRES_PER_HA
from tests.lincoln import day, four_fields

GRID = belief.make_grid()
GREEN = 1
"""The field that was green till it was planted on 5 May."""
MIDDLE = len(GRID.shifts_ddc) // 2


def per_acre(value: float, own_pass: float, product: float = 0.0, visit: float = 1.0) -> Money:
    """Money per acre as money per ha."""
    return Money(*(ACRES_PER_HA * x for x in (value, own_pass, product, visit)))


USUAL = per_acre(200 * 4.5, 16.0, 7.0)
"""200 bushels at $4.50, an own pass for $16 with its product, $7 of product on a pass that goes anyway."""


def known(ahead: float, *, past: float = 0.0, stage: int = 4, days: int = 15, pace: float = 1.0) -> Outlook:
    """One larva of known fate: ``ahead`` plants still to cut, ``pace`` of them a day, in one stage of larvae.STAGES."""
    stages = np.zeros((1, days, 6))
    stages[..., stage] = 1.0
    cut = np.minimum(pace * np.arange(days), ahead)
    return Outlook(np.full((1, 1), past), cut[None, None], np.full((1, 1), ahead), stages)


def facts(plants: Plants, **more: object) -> FieldFacts:
    """Facts of a field with the usual money and four larvae of 5/8 in. found, unless told otherwise."""
    found = belief.WalkSeen(0, 0, larvae_found=4, plants_searched=40, hour=20, soil="moist", lengths_mm=(16.0,) * 4)
    made = FieldFacts(USUAL, plants, Counted(cut=5.0, collars=plants.collars), found)
    return replace(made, **more)  # type: ignore[arg-type]


def advise_known(lam: float, view: Outlook, given: FieldFacts) -> Advice:
    """Advice where load and corn stage are known for sure and only leaving and treating are open."""
    sure = replace(advice_params(), collars_seen_sd=0.0)
    return advise(np.ones((1, 1)), np.array([lam]), view, replace(given, look_in_days=()), sure)


def lincoln(*, today: int, collars: float | None = None) -> Hazard:
    """The hazard of the four Lincoln fields; ``collars`` seen today in the green field win over its planting date."""
    inputs = four_fields(today=today)
    if collars is not None:
        inputs = replace(
            inputs, seen_unit=np.array([GREEN]), seen_day=np.array([today]), seen_collars=np.array([collars])
        )
    return hazards(inputs, load().engine, np.arange(4), GRID.shifts_ddc)


def flagged(walked: int, fresh: list[int], old: list[int], **search: object) -> belief.WalkSeen:
    """A walk of the green field along five marked rows of 20 plants."""
    stops = tuple(
        belief.StopSeen(20, f, o, marked_row=f"row {k}") for k, (f, o) in enumerate(zip(fresh, old, strict=True))
    )
    return belief.WalkSeen(GREEN, walked, stops, **search)  # type: ignore[arg-type]


def advise_walked(
    walks: list[belief.WalkSeen], seen: Counted, plants: Plants, *, state: str, today: int, fresh: bool = True
) -> Advice:
    """Advice for the green field from its walks alone, all the way from the weather."""
    hazard = lincoln(today=today, collars=plants.collars)
    believed = belief.believe(walks, hazard, np.full(4, 0.3), GRID, belief_params())
    given = FieldFacts(USUAL, plants, seen, walks[-1], state=state, fresh_cuts=fresh)
    view = outlook(hazard, GREEN, today)
    return advise(believed.weight[GREEN], GRID.lam, view, given, advice_params(), rules=state_rules())


MAY_22, MAY_24 = day(5, 22), day(5, 24)
