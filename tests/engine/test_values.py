"""Losses of many units at once are those of one unit's options, and a visit's worth keeps its bounds."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from springwalk.engine import belief as believing
from springwalk.engine.advice_facts import FieldFacts, Money
from springwalk.engine.hazard import Hazard
from springwalk.engine.losses import Plants, loss_nodes, outlook
from springwalk.engine.many import Costs, Many, all_losses, losses_after
from springwalk.engine.options import setting, sure_options
from springwalk.engine.state_rule import Counted
from springwalk.engine.values import visits_of, worth, worth_all
from springwalk.jobs.params_advice import advice_params
from springwalk.jobs.params_belief import belief_params
from springwalk.jobs.params_stopping import count_params
from tests.advising import GREEN, GRID, lincoln
from tests.lincoln import day

TODAY = day(5, 22)
MONEY = Money(900.0 * 2.471, 16.0 * 2.471, 7.0 * 2.471)
COSTS = Costs(
    stop=2.0, search=10.0, later_visit=25.0, later_search=10.0, plants=40.0, stops_later=5, later_days=(3, 7),
    count=count_params(),
)  # fmt: skip


def many(hazard: Hazard, **more: object) -> Many:
    """The four Lincoln fields with what is believed before any walk."""
    params = advice_params()
    weight = believing.believe([], hazard, np.array([0.02, 1.0, 0.3, 0.0]), GRID, belief_params()).weight
    collars = hazard.collars[:, TODAY]
    lost = [float(np.dot(*loss_nodes(Plants(collars=float(c)), params.yields))) for c in collars]
    made = Many(
        weight=weight, lam=GRID.lam, hazard=hazard, place=np.arange(4), today=TODAY, area_ha=np.full(4, 30.0),
        fit_in=np.zeros(4, np.int64),
        loss_per_cut=np.array(lost), collars=collars, collars_sd=np.full(4, params.collars_unseen_sd), money=MONEY,
        spray_in_days=(2,), pass_in_days=None, live=np.zeros(4, bool), params=params,
    )  # fmt: skip
    return replace(made, **more)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def hazard() -> Hazard:
    """The hazard on 22 May."""
    return lincoln(today=TODAY)


@pytest.mark.parametrize("wait", [0, 3, 7])
def test_losses_are_those_of_the_options(hazard: Hazard, wait: int) -> None:
    """One morning values all fields together; each must be what its own advice would say."""
    all_of_them = many(hazard)
    leave, treat = losses_after(all_of_them, wait)
    for k in range(4):
        facts = FieldFacts(MONEY, Plants(collars=float(all_of_them.collars[k])), Counted(cut=0.0), spray_in_days=(2,))
        one = setting(all_of_them.weight[k], GRID.lam, outlook(hazard, k, TODAY), facts, advice_params())
        options = sure_options(one, not_before=wait)
        np.testing.assert_allclose(leave[k], one.mean(options[0].losses), rtol=1e-9, atol=1e-9)
        np.testing.assert_allclose(treat[k], one.mean(options[1].losses), rtol=1e-9, atol=1e-9)


def test_no_visit_is_worth_more_than_knowing_all(hazard: Hazard) -> None:
    """Sampling can't beat perfect knowledge, and a visit that can't pay is worth nothing, never less."""
    fields = many(hazard)
    made = worth(fields, COSTS)
    assert (made.prize >= 0.0).all()
    assert (made.prize <= worth_all(fields.weight, all_losses(fields, COSTS)) + 1e-9).all()
    assert made.prize[GREEN] > 1.0
    assert made.prize[3] < 1e-6, "no eggs, nothing to find"


def test_fields_left_out_of_the_tables_would_have_gained_nothing(hazard: Hazard) -> None:
    """The screen by perfect knowledge must not change any answer."""
    fields = many(hazard)
    knowing = worth_all(fields.weight, all_losses(fields, COSTS))
    costs = replace(COSTS, stop=float(np.sort(knowing)[1]) + 1e-6)  # dear enough for two of the four
    losses = all_losses(fields, costs)
    made, out = worth(fields, costs), worth_all(fields.weight, losses) <= costs.stop
    assert out.any()
    assert not out.all()
    for fresh in (False, True):
        full = visits_of(fields, costs, losses, fresh=fresh)
        np.testing.assert_allclose(full.prize[out], 0.0, atol=1e-6)
        np.testing.assert_allclose(full.without[out], made.without[out], rtol=1e-9)


def test_live_larvae_found_make_another_look_worth_less(hazard: Hazard) -> None:
    """Where a larva was found treating needs no visit, so a visit can only be worth what could still change that."""
    plain, found = worth(many(hazard), COSTS), worth(many(hazard, live=np.ones(4, bool)), COSTS)
    assert (found.without <= plain.without + 1e-9).all()
    sure = many(hazard, live=np.ones(4, bool), weight=np.where(GRID.lam[None, :, None] > 8.0, 1.0 / 200.0, 0.0)
                * np.ones((4, 1, len(GRID.shifts_ddc))))  # fmt: skip
    sure = replace(sure, weight=sure.weight / sure.weight.sum(axis=(1, 2), keepdims=True))
    told = worth(sure, COSTS)
    assert told.wait_days[GREEN] == -1
    assert told.prize[GREEN] < 0.01 * told.without[GREEN]


def test_dearer_stops_make_fewer_of_them(hazard: Hazard) -> None:
    """The cost of a stop is what the hour would earn elsewhere."""
    fields, now = many(hazard), replace(COSTS, later_days=(), search=500.0)
    cheap, dear = worth(fields, now), worth(fields, replace(now, stop=12.0))
    assert 0.0 < dear.stops.sum() < cheap.stops.sum()
    assert (dear.prize <= cheap.prize + 1e-9).all()


def test_one_way_without_a_visit_for_both_ways_of_counting(hazard: Hazard) -> None:
    """The worth of a visit is the least loss without one less the least with one, however one counts."""
    fields = many(hazard)
    losses = all_losses(fields, COSTS)
    every, fresh = (visits_of(fields, COSTS, losses, fresh=f) for f in (False, True))
    made = worth(fields, COSTS)
    without = np.minimum(every.without, fresh.without)
    with_one = np.minimum(every.visits.table.loss[0][0], fresh.visits.table.loss[0][0])
    pays = (worth_all(fields.weight, losses) > COSTS.stop) & (fields.up >= 0.5)
    np.testing.assert_allclose(made.prize[pays], np.maximum(without - with_one, 0.0)[pays], rtol=1e-9, atol=1e-9)


def test_nobody_counts_where_no_corn_stands_and_wet_ground_holds_the_pass(hazard: Hazard) -> None:
    """Larvae are searched round plants; and a pass that waits for the ground saves less."""
    early = replace(many(hazard), today=day(5, 8))
    assert (early.up < 0.5).any()
    assert (worth(early, COSTS).prize[early.up < 0.5] == 0.0).all()
    dry, wet = (losses_after(many(hazard, fit_in=np.full(4, days)), 0)[1] for days in (0, 6))
    kept = many(hazard).weight
    assert (np.einsum("uls,uls->u", kept, wet) >= np.einsum("uls,uls->u", kept, dry) - 1e-9).all()
