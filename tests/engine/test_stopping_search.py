"""The search for larvae before any treatment: nothing found is never treated, and it ends when it no longer pays."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.stats import poisson

from springwalk.engine.stopping_search import SearchTable, larvae_per_search, search_tables, treat_if_found

Array = NDArray[np.float64]

LARVAE = np.array([0.0, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0])
WEIGHT = np.array([0.4, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1])[None, :, None]
LEAVE = 700.0 * LARVAE[None, :, None]
TREAT = 1280.0 + 0.1 * LEAVE
EXPECTED = larvae_per_search(LARVAE, 0.8, plants=5, detection=0.4)[None, :, None]


def searched(cost: float, most: int = 8) -> SearchTable:
    """The search of one made-up field, a larva costing 700 if left."""
    return search_tables(WEIGHT, TREAT, LEAVE[:, None], EXPECTED, cost, most=most)


def test_larvae_expected_in_a_search() -> None:
    """2 per 100 places, all alive, found at 0.3: round a hundred plants 0.6 are expected, none 55 % of the time."""
    expected = larvae_per_search(2.0, 1.0, plants=100, detection=0.3)
    assert expected == pytest.approx(0.6)
    assert np.exp(-expected) == pytest.approx(0.55, abs=0.005)


def test_none_found_is_never_treated() -> None:
    """However much is believed to be there, without a larva found the answer is not to treat."""
    certain = np.zeros_like(WEIGHT)
    certain[0, -1, 0] = 1.0
    table = search_tables(certain, TREAT, LEAVE[:, None], EXPECTED, 1.0, most=8)
    assert not table.treat[:, 0].any()
    assert table.treat[1:, 1:].all()


def test_a_larva_found_ends_most_searches() -> None:
    """One larva in the first batch makes treating the better side here, and more digging pays no longer."""
    table = searched(20.0)
    assert table.go_on[0, 0, 0]
    assert table.treat[1, 1, 0]
    assert not table.go_on[1, 2:, 0].any()


def test_dearer_search_ends_sooner() -> None:
    """The batches dug without finding any fall as a batch costs more, to none."""
    dug = [int(searched(cost).go_on[:, 0, 0].sum()) for cost in (5.0, 60.0, 150.0, 5000.0)]
    assert all(a >= b for a, b in pairwise(dug))
    assert (dug[0], dug[-1]) == (8, 0)


def test_search_loss_against_all_ways() -> None:
    """Two batches worked out by hand over every outcome give the same expected loss (other route)."""
    cost = 20.0
    w, rate = WEIGHT.ravel(), EXPECTED.ravel()
    leave, treat = LEAVE.ravel(), TREAT.ravel()

    def best(chance: Array, found: int, left: int) -> float:
        ending = float(chance @ leave) if not found else min(float(chance @ leave), float(chance @ treat))
        if not left:
            return ending
        ways = [best(chance * poisson.pmf(y, rate), min(found + y, 4), left - 1) for y in range(30)]
        return min(ending, cost * float(chance.sum()) + sum(ways))

    assert searched(cost, most=2).loss[0, 0, 0] == pytest.approx(best(w, 0, 2), rel=0.003)


def test_ways_not_to_treat_are_chosen_by_what_was_found() -> None:
    """With none found the cheaper way for few larvae is taken, with one the cheaper for many; and the margin is theirs.

    A second way costs 900 and half of leaving's loss, so it pays only where more than 1,800 would be lost.
    """
    waits = np.stack([LEAVE, 900.0 + 0.5 * LEAVE], axis=1)
    table = search_tables(WEIGHT, TREAT, waits, EXPECTED, 20.0, most=8)
    w, rate = WEIGHT.ravel(), EXPECTED.ravel()
    for y, way in ((0, 0), (1, 1)):
        chance = w * poisson.pmf(y, 8 * rate)
        means = [float(chance @ one.ravel()) / chance.sum() for one in (LEAVE, waits[:, 1])]
        assert int(table.wait[8, y, 0]) == way == int(np.argmin(means))
        if y:
            saved = min(means) - float(chance @ TREAT.ravel()) / chance.sum()
            assert table.margin[8, y, 0] == pytest.approx(saved, rel=0.01)
    sure = search_tables(WEIGHT, TREAT, waits, EXPECTED, 20.0, most=8, waits_found=waits - 500.0)
    assert sure.margin[8, 1, 0] == pytest.approx(table.margin[8, 1, 0] - 500.0)
    assert sure.loss[8, 0, 0] == table.loss[8, 0, 0]


def test_treat_if_found_lies_between() -> None:
    """With nothing to find it is the loss otherwise, with much to find that of treating, the search paid in both."""
    made = treat_if_found(np.array([10.0, 10.0]), np.array([30.0, 30.0]), np.array([0.0, 50.0]), 2.0)
    assert made == pytest.approx([32.0, 12.0])
    half = treat_if_found(np.array([10.0]), np.array([30.0]), np.array([np.log(2.0)]), 0.0)
    assert half == pytest.approx([20.0])
