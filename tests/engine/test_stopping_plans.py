"""Plans of counting followed through the same counts: by stop table, fixed, and Wald's test."""

from __future__ import annotations

from itertools import product

import numpy as np

from springwalk.engine.stopping import stop_tables
from springwalk.engine.stopping_counts import CountParams
from springwalk.engine.stopping_plans import by_table, fixed, sequential
from tests.engine.stopping_made import PARAMS, field, full_chances, one_table, prior, really


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
