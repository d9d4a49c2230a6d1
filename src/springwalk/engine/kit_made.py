"""Kits for the phone, made in the morning from the desk's own parts: see `kit`."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.advice_facts import Money
from springwalk.engine.belief import log_likelihood
from springwalk.engine.belief_larvae import larvae_seen
from springwalk.engine.belief_seen import FRESH_DAYS, BeliefParams, Grid, UnitHazard, WalkSeen, of_unit
from springwalk.engine.belief_share import priors, relative_load, season_nodes, share
from springwalk.engine.belief_stops import plants_by_level, spots
from springwalk.engine.hazard import Hazard
from springwalk.engine.kit import Act, Heights, Kit, Later
from springwalk.engine.losses import cut_heights, loss_nodes
from springwalk.engine.options import Setting, sure_options

Array = NDArray[np.float64]


def log_before(
    units: Sequence[int], walks: Sequence[WalkSeen], hazard: Hazard, larvae_per_100: Array, grid: Grid,
    params: BeliefParams,
) -> tuple[Array, ...]:  # fmt: skip
    """Log weight (v, L, S) by leaf level of each of some units, from its own walks and all other units'.

    It is the exact mixture of `belief_share` with the unit's own walks kept apart, so that stops still to come enter
    once. −∞ where a weight is 0.
    """
    by_unit: dict[int, list[WalkSeen]] = defaultdict(list)
    for walk in walks:
        by_unit[walk.unit].append(walk)
    walked = np.array(sorted(by_unit), np.int64)
    logs = np.zeros((len(walked), *grid.shape))
    for row, unit in enumerate(walked.tolist()):
        logs[row] = log_likelihood(by_unit[unit], of_unit(hazard, unit), grid, params)
    season = season_nodes(params)
    prior = priors(season, relative_load(larvae_per_100, params), grid, params)
    made = []
    for unit in units:
        others = walked != unit
        told = share(logs[others], walked[others], prior, season)[0][unit]
        with np.errstate(divide="ignore"):
            made.append(np.log(told) + _own(by_unit.get(unit, []), of_unit(hazard, unit), grid, params))
    return tuple(made)


def _own(walks: Sequence[WalkSeen], hazard: UnitHazard, grid: Grid, params: BeliefParams) -> Array:
    """Log likelihood (v, L, S) of a unit's walks under each leaf level, with the level's own odds."""
    by_level = plants_by_level(spots(walks), hazard, grid, params)
    larvae = larvae_seen(walks, hazard, grid, params).log_likelihood
    return np.asarray(by_level + larvae + np.log(params.leaf_weights)[:, None, None])


def make_kit(one: Setting, hazard: UnitHazard, day: int, before: Array, walks: Sequence[WalkSeen] = ()) -> Kit:
    """The kit of a unit for stops counted on ``day``, from `log_before`; ``walks`` are the unit's own earlier ones.

    The facts of the setting are those of the morning; its weight and its search have no part in a kit.
    """
    facts, belief, view, yields = one.facts, one.params.belief, one.view, one.params.yields
    horizon = view.ahead.shape[-1] - 1
    later = tuple(
        Later(
            days=then,
            cost=facts.money.visit,
            cut=belief.cut_found * (view.past + view.ahead[..., min(then, horizon)]).mean(axis=0),
            acts=_acts(one, not_before=then),
        )
        for then in facts.look_in_days
    )
    return Kit(
        lam=one.lam,
        cut=belief.cut_found * hazard.cut_by(day),
        cut_old=belief.cut_found * hazard.cut_by(day - FRESH_DAYS),
        leaf=belief.marks_per_larva * hazard.leaf_by(day),
        before=before,
        leaf_levels=belief.leaf_levels,
        background=belief.background,
        cut_spread=belief.cut_spread,
        patch_shape=belief.patch_shape,
        age_misread=belief.age_misread,
        false_fresh=belief.false_fresh,
        worth=_worth(one),
        heights=_three(yields.height_plants * cut_heights(replace(facts.plants, cut_heights=(0, 0, 0)), yields)),
        look_plants=one.params.look_plants,
        look_stops=one.params.look_stops,
        acts=_acts(one, not_before=0),
        later=later,
        rows_seen=_rows(walks),
    )


def _acts(one: Setting, *, not_before: int) -> tuple[Act, ...]:
    """What can be done for sure; with money of 1 and a plant lost for each cut, a loss is the share of plants cut."""
    bare = replace(
        one,
        facts=replace(one.facts, money=Money(1.0, 0.0)),
        around=replace(one.around, loss_per_cut=np.ones_like(one.around.loss_per_cut)),
    )
    pairs = zip(sure_options(one, not_before=not_before), sure_options(bare, not_before=not_before), strict=True)
    return tuple(Act(option.kind, option.days, option.cost, bare.mean(cut.losses)) for option, cut in pairs)


def _worth(one: Setting) -> Heights:
    """Money per ha that goes where all plants are cut above, at, or below the surface; a loss is linear in the mix."""
    plants, sure = one.facts.plants, replace(one.params.yields, height_plants=0.0)
    each = [loss_nodes(replace(plants, cut_heights=cut), sure) for cut in ((1, 0, 0), (0, 1, 0), (0, 0, 1))]
    return _three(np.array([one.facts.money.value * float(loss @ weight) for loss, weight in each]))


def _rows(walks: Sequence[WalkSeen]) -> tuple[str, ...]:
    """Marked rows counted before."""
    stops = [stop for walk in walks for stop in walk.stops if stop.counted and stop.sound]
    return tuple(sorted({stop.marked_row for stop in stops} - {""}))


def _three(values: Array) -> Heights:
    above, at, below = values.tolist()
    return above, at, below
