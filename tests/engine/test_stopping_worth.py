"""What knowing and looking are worth, and the fields that no count can help."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.stats import binom

from springwalk.engine.stopping import StopTable, induct, stop_tables, worth_counting, worth_knowing, worth_seeing
from springwalk.engine.stopping_counts import CountParams, likeness, states, stop_chances, total_chances
from springwalk.engine.stopping_grid import CUTS, SHARES, common_chances, fold
from tests.engine.stopping_made import PARAMS, field, prior

Array = NDArray[np.float64]


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


def many_fields() -> tuple[Array, Array, Array, Array, Array]:
    """Weights, losses, shares cut, cuts per larva and costs of fields of many days, beliefs and costs of a stop."""
    rng = np.random.default_rng(5)
    parts = [field(heat) for heat in rng.uniform(-150.0, 260.0, 60)]
    losses, share, cuts = (np.stack([part[k] for part in parts]) for k in range(3))
    weight = np.stack([prior(any_larvae) for any_larvae in rng.uniform(0.005, 0.4, 60)])
    return weight, losses, share, cuts, rng.uniform(0.5, 40.0, 60)


def unscreened() -> StopTable:
    """The tables of the same fields, every one of them worked out."""
    weight, losses, share, cuts, cost = many_fields()
    folded = fold(weight, losses, share, cuts)
    return induct(common_chances(PARAMS), folded.weight, folded.loss, cost, PARAMS)


def test_fields_no_count_can_help_are_those_without_a_stop() -> None:
    """Left out of the work, a field's value, stops and action are those the work would have found: 0, 0, the same."""
    weight, losses, share, cuts, cost = many_fields()
    asks, every = worth_counting(weight, losses, cost), unscreened()
    assert 5 < asks.sum() < 55
    assert (every.value[~asks] == 0.0).all()
    assert (every.stops[~asks] == 0.0).all()
    made = stop_tables(weight, losses, share, cuts, cost, PARAMS)
    assert (made.value[~asks] == 0.0).all()
    assert made.stops == pytest.approx(every.stops, abs=1e-4)
    assert made.value == pytest.approx(every.value, abs=1e-3)
    assert made.without == pytest.approx(every.without)
    assert (made.best_without == every.best_without).all()


@pytest.mark.slow
def test_a_field_left_out_has_one_answer() -> None:
    """Nobody counts there; whatever a count would show, the action is that without one. Others keep their tables."""
    weight, losses, share, cuts, cost = many_fields()
    asks, every = worth_counting(weight, losses, cost), unscreened()
    made = stop_tables(weight, losses, share, cuts, cost, PARAMS)
    for k in range(PARAMS.most_stops + 1):
        assert not made.go_on[k][:, ~asks].any()
        assert (made.best[k][:, ~asks] == made.best_without[~asks]).all()
        assert made.chance[k][:, ~asks].sum() == pytest.approx(0.0 if k else (~asks).sum())
        assert made.chance[k][:, asks] == pytest.approx(every.chance[k][:, asks])
        assert made.loss[k][:, asks] == pytest.approx(every.loss[k][:, asks], rel=1e-5)


def in_doubles(heat: float, cost: float) -> tuple[list[Array], list[Array]]:
    """A field's losses and whether to go on (s,) by stops made: state by state in double precision, nothing skipped."""
    losses, share, cuts = field(heat)
    folded, chances = fold(prior()[None], losses[None], share[None], cuts[None]), common_chances(PARAMS)
    weight, loss = folded.weight[:, 0], folded.loss[:, :, 0]
    values: list[Array] = []
    goes: list[Array] = []
    for now, chance in zip(reversed(states(PARAMS)), reversed(chances.reached), strict=True):
        sure = chance @ weight
        value, known = (chance @ loss).min(axis=1) / sure, chance @ loss.min(axis=1) / sure
        go = np.zeros(len(value), bool)
        for row in range(len(now.to)):
            ways = (chance[row][:, None] * chances.stop * weight[:, None]).sum(axis=0)
            going = cost + max(float(ways @ values[-1][now.to[row]]) / sure[row], known[row])
            if known[row] + cost < value[row] and going < value[row]:
                go[row], value[row] = True, going
        values.append(value)
        goes.append(go)
    return values[::-1], goes[::-1]


@pytest.mark.parametrize(("heat", "cost"), [(-110.0, 4.0), (0.0, 1.0), (76.0, 0.3), (76.0, 4.0)])
def test_single_precision_and_skipped_states_cost_nothing(heat: float, cost: float) -> None:
    """The same losses as in double precision to a few parts in a million; the same answers but where they are even."""
    losses, share, cuts = field(heat)
    made = stop_tables(prior()[None], losses[None], share[None], cuts[None], cost, PARAMS)
    values, goes = in_doubles(heat, cost)
    for k, (value, go) in enumerate(zip(values, goes, strict=True)):
        assert made.loss[k][:, 0] == pytest.approx(value, rel=5e-6)
        assert (made.go_on[k][:, 0] != go).mean() < 0.01
    assert made.loss[0][0, 0] == pytest.approx(values[0][0], rel=2e-6)


def test_nobody_counts_where_knowing_all_is_not_worth_a_stop() -> None:
    """In counts that hardly ever come up (k, x, j) forgets what led there; the bound keeps it from going on."""
    losses, share, cuts = field(76.0)
    folded = fold(prior()[None], losses[None], share[None], cuts[None])
    made, odd = induct(common_chances(PARAMS), folded.weight, folded.loss, np.array([1.0]), PARAMS), 0
    for go, chance in zip(made.go_on, common_chances(PARAMS).reached, strict=True):
        sure = chance @ folded.weight[:, 0]
        worth = ((chance @ folded.loss[:, :, 0]).min(axis=1) - chance @ folded.loss[:, :, 0].min(axis=1)) / sure
        assert not (go[:, 0] & (worth < 1.0)).any()
        odd += int(go.sum())
    assert odd > 100
