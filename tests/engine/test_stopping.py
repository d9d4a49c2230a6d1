"""When to stop counting: the table against exact answers."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from springwalk.engine.stopping import induct, stop_cost, stop_tables, worth_knowing, worth_seeing
from springwalk.engine.stopping_counts import CountParams, likeness, state_chances, stop_chances
from springwalk.engine.stopping_grid import fold
from springwalk.engine.stopping_plans import earned
from tests.engine.stopping_made import PARAMS, field, full_chances, one_table, prior, really

Array = NDArray[np.float64]


def test_table_is_worth_no_more_than_knowing() -> None:
    """A table's value lies between 0 and that of perfect knowledge, also where stops cost nothing."""
    for heat in (-110.0, 0.0, 110.0):
        losses, share, past = field(heat)
        knowing = worth_knowing(fold(prior()[None], losses[None], share[None], past[None]).loss)[0]
        free, paid = one_table(heat, 0.0).value[0], one_table(heat, 4.0).value[0]
        assert 0.0 <= paid <= free <= knowing


def exact_loss(stop: Array, weight: Array, losses: Array, cost: float, stops: int) -> float:
    """Least expected loss with every stop remembered: all ways of all stops, no states."""

    def best(chance: Array, left: int) -> float:
        ending = float((chance * losses).sum(axis=1).min())
        if not left:
            return ending
        going = cost * float(chance.sum()) + sum(best(chance * stop[:, x], left - 1) for x in range(stop.shape[1]))
        return min(ending, going)

    return best(weight, stops)


@pytest.mark.parametrize("seed", range(8))
def test_table_near_exact_enumeration(seed: int) -> None:
    """Keeping only (k, x, j) of each count loses at most 0.3 % against remembering every stop (small cases)."""
    rng = np.random.default_rng(seed)
    params = CountParams(5, 4, 20, 0.3, 1.2, 0.003)
    share, cuts = np.repeat([0.0, 0.02, 0.08, 0.2, 0.5], 3), np.tile([0.2, 1.0, 3.0], 5)
    stop = stop_chances(share, likeness(share, cuts, params), params)
    weight = rng.dirichlet(np.ones(len(share)))
    leave = 100.0 * share * rng.uniform(0.5, 1.5, len(share))
    losses = np.stack([leave, 8.0 + 0.1 * leave])
    cost = float(rng.uniform(0.02, 0.3))
    table = induct(
        state_chances(stop, params), weight[:, None], (weight * losses).T[:, :, None], np.array([cost]), params
    )
    want = exact_loss(stop, weight, losses, cost, params.most_stops)
    assert earned(table, stop, weight, losses, cost).loss == pytest.approx(want, rel=0.003)
    assert table.loss[0][0, 0] == pytest.approx(want, rel=0.003)


@pytest.mark.slow
@pytest.mark.parametrize("heat", [-110.0, -55.0, 0.0, 55.0, 90.0])
def test_common_list_is_near_the_full_grid(heat: float) -> None:
    """Folding onto the common shares and cuts moves the expected loss by at most 0.2 %."""
    losses, _, _ = field(heat)
    weight = prior().reshape(-1, 1)
    full = induct(
        state_chances(full_chances(heat), PARAMS),
        weight,
        (weight.T * losses.reshape(2, -1)).T[:, :, None],
        np.array([4.0]),
        PARAMS,
    )
    assert one_table(heat).loss[0][0, 0] == pytest.approx(full.loss[0][0, 0], rel=0.002)


@pytest.mark.parametrize("heat", [-110.0, -55.0, 0.0, 55.0, 90.0])
def test_table_earns_what_it_claims(heat: float) -> None:
    """Followed exactly under every load and shift, a table loses what it said, within 0.5 %, in about as many stops."""
    table = one_table(heat)
    real = really(table, heat)
    assert real.action.sum() == pytest.approx(1.0)
    assert table.loss[0][0, 0] == pytest.approx(real.loss, rel=0.005)
    assert table.stops[0] == pytest.approx(real.stops, abs=0.05)


def test_dearer_stops_are_fewer() -> None:
    """The more a stop costs, the fewer are made, down to none at all."""
    stops = [one_table(0.0, cost).stops[0] for cost in (0.5, 2.0, 8.0, 32.0, 500.0)]
    assert all(a > b for a, b in pairwise(stops))
    assert stops[-1] == 0.0


def test_a_batch_worth_nothing_may_lead_on() -> None:
    """No outcome of the first ten plants changes the decision, yet more after them pay: so one looks ahead."""
    params = CountParams(10, 10, 100, 0.3, 1.2, 0.0)
    share = np.linspace(0.0025, 0.3, 60)
    weight = np.diff(1.0 - (1.0 - np.append(0.0, share + 0.0025)) ** 19)
    weight = weight / weight.sum()
    loss = weight[:, None] * np.stack([600.0 * share, 14.0 + 150.0 * share], axis=1)
    stop = stop_chances(share, 0.0, params)
    assert worth_seeing(stop.T, loss[:, :, None])[0] == pytest.approx(0.0, abs=1e-9)
    table = induct(state_chances(stop, params), weight[:, None], loss[:, :, None], np.array([0.1]), params)
    assert table.value[0] > 1.0
    assert table.go_on[0][0, 0]


def test_sure_field_is_not_counted() -> None:
    """Where nothing a count shows could change the advice, no stop is made and its value is exactly 0."""
    table = one_table(250.0)  # feeding is over
    assert table.value[0] == 0.0
    assert table.stops[0] == 0.0
    assert not table.go_on[0][0, 0]


def test_many_fields_are_each_as_alone() -> None:
    """Fields in one call do not touch each other."""
    heats = (-55.0, 0.0, 55.0)
    parts = [field(heat) for heat in heats]
    losses, share, past = (np.stack([p[i] for p in parts]) for i in range(3))
    together = stop_tables(np.repeat(prior()[None], 3, 0), losses, share, past, np.array([4.0, 4.0, 4.0]), PARAMS)
    alone = [one_table(heat).value[0] for heat in heats]
    assert together.value == pytest.approx(alone)


def test_more_cut_never_turns_to_leaving() -> None:
    """After five stops, with as many stops showing any, more cut plants never change treating to leaving."""
    table = one_table(0.0)
    held, best = table.held[5], table.best[5][:, 0]
    for j in range(1, 6):
        action = best[held.j == j]
        assert (np.diff(action) >= 0).all()
        assert action[-1] == 1


def test_row_of_a_state() -> None:
    """A count is looked up by its three numbers; an impossible one is told by −1."""
    table = one_table(0.0)
    assert table.row(0, 0, 0) == 0
    at = table.row(3, 4, 2)
    assert (table.held[3].x[at], table.held[3].j[at]) == (4, 2)
    assert table.row(3, 1, 2) == -1
    assert table.row(10, 55, 9) == table.row(10, PARAMS.most_cut, 9)


def test_cost_of_a_stop_is_the_dearer_hour() -> None:
    """A stop costs the wage, or what the hour would earn in another field where that is more."""
    assert stop_cost(6.0, wage_per_h=40.0, hour_worth=10.0) == pytest.approx(4.0)
    assert stop_cost(6.0, wage_per_h=40.0, hour_worth=120.0) == pytest.approx(12.0)
