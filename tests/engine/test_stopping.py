"""When to stop counting: chances of counts, the value of looking, and the table against exact answers."""

from __future__ import annotations

from itertools import pairwise, product

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.stats import betabinom, binom, gamma, norm

from springwalk.engine.stopping import StopTable, induct, stop_cost, stop_tables, worth_knowing, worth_seeing
from springwalk.engine.stopping_counts import (
    CountParams,
    likeness,
    state_chances,
    states,
    stop_chances,
    total_chances,
)
from springwalk.engine.stopping_grid import CUTS, SHARES, fold
from springwalk.engine.stopping_plans import Earned, by_table, earned, fixed, sequential
from springwalk.jobs.params_stopping import count_params, stop_params

Array = NDArray[np.float64]

PARAMS = count_params()
LARVAE = np.concatenate([[0.0], np.geomspace(0.05, 60.0, 48)])
SHIFTS_F = np.arange(-150.0, 151.0, 15.0)
TREAT, FIELD = 1280.0, 64_000.0


def prior(any_larvae: float = 0.19) -> Array:
    """A usual field before any count: most have no larvae, the clock is known to 29 °F·day."""
    edges = np.concatenate([[0.0], np.sqrt(LARVAE[1:-1] * LARVAE[2:]), [np.inf]])
    some = np.diff(gamma.cdf(edges, 0.9, scale=2.5 / 0.9))
    shift = norm.pdf(SHIFTS_F / 28.65)
    return np.concatenate([[1.0 - any_larvae], any_larvae * some])[:, None] * shift / shift.sum()


def field(heat_f: float) -> tuple[Array, Array, Array]:
    """Losses (2, L, S) of leave and treat, cut share (L, S) and cuts per larva (S,), so long after mid-feeding."""
    past = 4.0 / (1.0 + np.exp(-(heat_f - SHIFTS_F) / 55.0))
    leave = FIELD * 0.65 * -np.expm1(-LARVAE[:, None] * (4.0 - past) / 100.0)
    return np.stack([leave, TREAT + 0.1 * leave]), -np.expm1(-LARVAE[:, None] * past / 100.0), past


def one_table(heat_f: float, cost: float = 4.0, any_larvae: float = 0.19) -> StopTable:
    """The stop table of one such field."""
    losses, share, past = field(heat_f)
    return stop_tables(prior(any_larvae)[None], losses[None], share[None], past[None], cost, PARAMS)


def full_chances(heat_f: float) -> Array:
    """Chances of one stop under every load and shift, none of them folded."""
    _, share, past = field(heat_f)
    return stop_chances(share.ravel(), likeness(share, past[None], PARAMS).ravel(), PARAMS)


def really(table: StopTable, heat_f: float, cost: float = 4.0) -> Earned:
    """What the table earns when followed exactly under every load and shift."""
    losses, _, _ = field(heat_f)
    return earned(table, full_chances(heat_f), prior().ravel(), losses.reshape(2, -1), cost)


def test_counts_of_a_stop_add_to_one() -> None:
    """Chances that do not add to one would make every value wrong."""
    made = stop_chances(SHARES[:, None], likeness(SHARES[:, None], CUTS, PARAMS), PARAMS)
    assert made.shape == (40, 6, 21)
    assert made.sum(axis=-1) == pytest.approx(1.0)
    assert (made >= 0.0).all()


def test_no_larvae_leaves_the_background() -> None:
    """Where no larva is, only miscounts are seen, each place for itself."""
    made = stop_chances(0.0, 0.2, PARAMS)
    assert made == pytest.approx(binom.pmf(np.arange(21), 20, PARAMS.background))


@pytest.mark.parametrize("rho", [0.01, 0.2, 0.8])
def test_larvae_part_is_beta_binomial(rho: float) -> None:
    """Without background the stop is the beta-binomial with α = p(1 − ρ)/ρ (SciPy's own as the other route)."""
    clean = CountParams(20, 3, 20, 0.3, 1.2, 0.0)
    want = betabinom.pmf(np.arange(21), 20, 0.1 * (1 - rho) / rho, 0.9 * (1 - rho) / rho)
    assert stop_chances(0.1, rho, clean) == pytest.approx(want)


def test_likeness_grows_with_cuts_and_load() -> None:
    """ρ = (VMR − 1)/(n − 1) with VMR = 1 + K(1 + c²) + nλK/(100 h), worked by hand for K 2 and λK/100 = 0.1."""
    share = -np.expm1(-0.1)
    assert likeness(share, 2.0, PARAMS) == pytest.approx((2.0 * 1.3 + 20 * 0.1 / 1.2) / 19)
    assert likeness(0.0, 0.0, PARAMS) == 0.0
    assert likeness(0.9, 8.0, PARAMS) == 0.95


def test_states_add_to_one_after_every_stop() -> None:
    """No count may fall out of the states, also where it passes the most cut places followed."""
    small = CountParams(20, 4, 9, 0.3, 1.2, 0.003)
    chances = state_chances(stop_chances(np.array([0.0, 0.05, 0.4]), 0.1, small), small)
    open_now = 1.0
    for now, reached in zip(states(small), chances.reached, strict=True):
        total = reached.sum(axis=0)
        assert total == pytest.approx(open_now)
        open_now = total - reached[now.x == small.most_cut].sum(axis=0)


def test_total_of_stops_is_that_of_the_states() -> None:
    """Two routes to the cut places of five stops: convolution and the states."""
    params = CountParams(10, 5, 50, 0.3, 1.2, 0.003)
    stop = stop_chances(np.array([0.02, 0.2]), 0.1, params)
    reached = state_chances(stop, params).reached[5]
    by_state = np.zeros((51, 2))
    np.add.at(by_state, states(params)[5].x, reached)
    assert total_chances(stop, 5).T[:50] == pytest.approx(by_state[:50], abs=1e-12)


def test_value_of_perfect_knowledge_published_form() -> None:
    """P 0.3, loss 60, kill 0.8, cost 14: wait 18.00, treat 17.60, known 7.80, so 9.80 (worked from the definition)."""
    weight = np.array([0.7, 0.3])[:, None]
    loss = weight[:, :, None] * np.array([[0.0, 14.0], [60.0, 26.0]])[:, :, None]
    assert worth_knowing(loss)[0] == pytest.approx(9.80)
    look = np.array([[0.2, 0.9], [0.8, 0.1]])  # specificity 0.8, sensitivity 0.9
    assert worth_seeing(look, loss)[0] == pytest.approx(6.82)


@pytest.mark.parametrize(
    ("odds", "gains", "want"),
    [
        ([0.5, 0.3, 0.2], [[400, 100, -200], [0, 0, 0]], 40),  # decision-tree chapter, seen; 40 worked from it
        ([0.5, 0.3, 0.2], [[1500, 300, -800], [900, 600, -200], [500, 500, 500]], 350),
        ([0.9, 0.1], [[-25, -25], [0, -100]], 7.5),  # umbrella
    ],
)
def test_textbook_values_of_knowing(odds: list[float], gains: list[list[float]], want: float) -> None:
    """Textbook decisions: knowing the state beforehand is worth 40, 350 and 7.5."""
    loss = -np.array(gains, float).T * np.array(odds)[:, None]
    assert worth_knowing(loss[:, :, None])[0] == pytest.approx(want)


def beta_prior() -> tuple[Array, Array]:
    """Shares and weighted losses of the row θ ~ Beta(1, 19), value 600, kill 0.75, cost 14, on a fine grid."""
    edges = np.linspace(0.0, 1.0, 20_001)
    share = (edges[:-1] + edges[1:]) / 2.0
    weight = np.diff(1.0 - (1.0 - edges) ** 19)
    losses = np.stack([600.0 * share, 14.0 + 0.25 * 600.0 * share], axis=1)
    return share, (weight[:, None] * losses)[:, :, None]


@pytest.mark.slow
def test_value_of_looking_at_plants() -> None:
    """Beta(1, 19): knowing 3.4581; 10, 20, 50, 100, 1000 plants 0, 1.3397, 2.3163, 2.8309, 3.3863 (worked by us)."""
    share, loss = beta_prior()
    assert loss.sum(axis=0).min() == pytest.approx(21.5, abs=1e-4)
    assert worth_knowing(loss)[0] == pytest.approx(3.4581, abs=1e-4)
    seen = [
        worth_seeing(binom.pmf(np.arange(n + 1)[:, None], n, share), loss)[0] for n in (10, 20, 50, 100)
    ]  # fmt: skip
    assert seen == pytest.approx([0.0, 1.3397, 2.3163, 2.8309], abs=2e-4)
    many = worth_seeing(binom.pmf(np.arange(150)[:, None], 1000, share), loss)[0]
    beyond = (loss * binom.sf(149, 1000, share)[:, None, None]).sum(axis=0).min()  # 150 and more: treat in any case
    assert many - beyond == pytest.approx(3.3863, abs=2e-4)


def test_value_of_looking_grows_to_that_of_knowing() -> None:
    """Looking is worth 0 or more, more with more stops, never more than knowing, and comes near it."""
    losses, share, past = field(0.0)
    clean = CountParams(20, 1, 20, 0.3, 1.2, 0.0)
    folded = fold(prior()[None], losses[None], share[None], past[None])
    h_share, h_cuts = np.repeat(SHARES, len(CUTS)), np.tile(CUTS, len(SHARES))
    independent = stop_chances(h_share, 0.0, clean)
    clumped = stop_chances(h_share, likeness(h_share, h_cuts, clean), clean)
    knowing = worth_knowing(folded.loss)[0]
    for stop, last in ((independent, 0.95), (clumped, 0.85)):
        values = [worth_seeing(total_chances(stop, n).T, folded.loss)[0] for n in (1, 2, 5, 20, 100)]
        assert values[0] >= 0.0
        assert all(a <= b + 1e-9 for a, b in pairwise(values))
        assert last * knowing < values[-1] <= knowing


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


def test_simulated_counts_earn_what_the_exact_follow_says() -> None:
    """Drawing counts one by one is the other route to the same loss: within 4 standard errors."""
    rng = np.random.default_rng(3)
    table, losses = one_table(0.0), field(0.0)[0].reshape(2, -1)
    at = rng.choice(prior().size, 4000, p=prior().ravel())
    edges = np.cumsum(full_chances(0.0), axis=1)
    counts = (rng.random((4000, PARAMS.most_stops, 1)) > edges[at][:, None, :-1]).sum(axis=-1)
    path = by_table(counts, table)
    lost = losses[path.action, at] + 4.0 * path.stops
    assert abs(lost.mean() - really(table, 0.0).loss) < 4.0 * lost.std() / np.sqrt(4000)


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


def test_fixed_plan_with_live_larvae_rule() -> None:
    """Three of 100 treats at 3 %, two do not; without a larva found nothing is treated."""
    counts = np.array([[1, 0, 2, 0, 0, 9], [1, 0, 1, 0, 0, 9], [5, 5, 5, 5, 5, 0]])
    plain = fixed(counts, stops=5, places=20, share=0.03)
    assert plain.action.tolist() == [1, 0, 1]
    assert plain.stops.tolist() == [5, 5, 5]
    found = fixed(counts, stops=5, places=20, share=0.03, found=np.array([True, True, False]))
    assert found.action.tolist() == [1, 0, 0]


def test_wald_plan_by_stops() -> None:
    """Increments add until a bound; at the last stop the sign decides."""
    steps, bounds = np.array([-1.0, 0.5, 2.0]), (-2.0, 2.0)
    path = sequential(np.array([[0, 0, 0], [2, 0, 0], [1, 0, 1], [1, 1, 0]]), steps, bounds)
    assert path.stops.tolist() == [2, 1, 3, 3]
    assert path.action.tolist() == [0, 1, 1, 1]
    later = sequential(np.array([[2, 0, 0]]), steps, bounds, least=2)
    assert (later.stops.tolist(), later.action.tolist()) == ([3], [1])


def test_vectors_of_counts_match_a_table_walked_by_hand() -> None:
    """Following a table over simulated counts stops where the table says stop, for all vectors of a small case."""
    params = CountParams(2, 3, 6, 0.3, 1.2, 0.003)
    losses, share, past = field(0.0)
    table = stop_tables(prior(0.5)[None], losses[None], share[None], past[None], 4.0, params)
    counts = np.array(list(product(range(3), repeat=3)))
    path = by_table(counts, table)
    for vector, stops, action in zip(counts, path.stops, path.action, strict=True):
        k = x = j = 0
        while table.go_on[k][table.row(k, x, j), 0]:
            x, j, k = x + int(vector[k]), j + int(vector[k] > 0), k + 1
        assert (k, table.best[k][table.row(k, x, j), 0]) == (stops, action)


def test_numbers_of_the_table_of_stopping() -> None:
    """The shipped numbers reach the engine: a stop of twenty, five stops on a later day."""
    params = stop_params()
    assert (params.count.places, params.stops_later, params.count.background) == (20, 5, 0.003)
    assert params.count.most_cut < params.count.places * params.count.most_stops
