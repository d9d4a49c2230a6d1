"""Counted stops: clumped plants, false ones, ages of cuts, leaf marks, marked rows."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from springwalk.engine.belief import StopSeen, log_likelihood, of_unit
from springwalk.engine.belief_stops import Load, Spot, _log_larva, likeness, log_marks, log_plants, spots
from tests.engine.belief_made import BEFORE, EARLY, GRID, MIDDLE, PARAMS, counted, lincoln, walk

FIELD = of_unit(lincoln(), 1)
LAM = GRID.lam[:, None]


def says(*walks, params=PARAMS) -> np.ndarray:  # type: ignore[no-untyped-def]
    """Log likelihood relative to its top."""
    found = log_likelihood(walks, FIELD, GRID, params)
    return np.asarray(found - found.max())


@pytest.mark.parametrize(
    ("frequencies", "a", "b", "minus_log"),
    [
        # methods.md 3.6: tomato spotted wilt, 160 quadrats of 9 plants (Cochran 1936), and two weeks of alcohol days.
        ((36, 48, 38, 23, 10, 3, 1, 1, 0, 0), 3.4444, 15.5534, 261.3189),
        ((47, 54, 43, 40, 40, 41, 39, 95), 0.72294, 0.58085, 813.4571),
        ((42, 47, 54, 40, 49, 40, 43, 84), 0.85753, 0.70076, 821.3922),
    ],
)
def test_beta_binomial_as_computed_elsewhere(
    frequencies: tuple[int, ...], a: float, b: float, minus_log: float
) -> None:
    """The larva part is a true beta-binomial: the three check sets' likelihoods (computed from published counts)."""
    n = len(frequencies) - 1
    rows = _log_larva(n, n, np.full((1, 1), a / (a + b)), np.full((1, 1), 1.0 / (a + b)))[:, 0, 0]
    assert -float(np.array(frequencies) @ rows) == pytest.approx(minus_log, abs=2e-4)


def test_no_likeness_is_the_binomial() -> None:
    """At ρ = 0 and at share 0 the products must not break: many places, rare plants."""
    from scipy.stats import binom

    rows = _log_larva(30, 700, np.array([[0.0, 0.02]]), np.zeros((1, 2)))[:, 0]
    assert rows[0, 0] == 0.0
    assert np.all(np.isneginf(rows[1:, 0]))
    assert rows[:, 1] == pytest.approx(binom.logpmf(np.arange(31), 700, 0.02), rel=1e-9)


def test_chances_of_all_stops_add_to_one() -> None:
    """Over every count of cut and leaf-fed plants of a stop the chances add to 1, for each load, shift and level."""
    k = FIELD.cut_by(MIDDLE)[None]
    load = Load(LAM, k, 1.5 * FIELD.leaf_by(MIDDLE)[None], (5, False), PARAMS)
    total = sum(
        np.exp(log_marks(c, leaf, 5, load, 0.003, PARAMS.leaf_levels)) for c in range(6) for leaf in range(6 - c)
    )
    assert total == pytest.approx(np.ones((3, *GRID.shape)), abs=1e-9)
    cut_only = sum(
        np.exp(log_marks(c, None, 5, Load(LAM, k, 0 * k, (5, False), PARAMS), 0.003, (0.01,))) for c in range(6)
    )
    assert cut_only == pytest.approx(np.ones((1, *GRID.shape)), abs=1e-9)


def test_mean_share_is_the_larvae_s_and_the_false() -> None:
    """The mean of a stop's cut plants is 1 − (1 − b)·exp(−λK/100): clumping moves the spread, never the mean."""
    k = FIELD.cut_by(MIDDLE)[None]
    load = Load(LAM, k, 0 * k, (8, False), PARAMS)
    mean = sum(c * np.exp(log_marks(c, None, 8, load, 0.003, (0.01,))[0]) for c in range(9)) / 8
    assert mean == pytest.approx(1.0 - 0.997 * np.exp(-LAM * k / 100.0), abs=1e-9)


def test_variance_of_larvae_in_patches() -> None:
    """Larvae by larvae: gamma patches, gamma appetites, Poisson cuts have the variance that likeness is made from."""
    rng, lam, k, n = np.random.default_rng(5), 4.0, 2.5, 20
    patch = rng.gamma(PARAMS.patch_shape, 1.0 / PARAMS.patch_shape, 200_000)
    larvae = rng.poisson(n * lam / 100.0 * patch)
    appetite = rng.gamma(np.maximum(larvae, 1e-9) / PARAMS.cut_spread, PARAMS.cut_spread) * (larvae > 0)
    cuts = rng.poisson(appetite * k)
    vmr = 1.0 + (n - 1) * float(likeness(np.array(lam), np.array(k), n, PARAMS))
    assert cuts.var() / cuts.mean() == pytest.approx(vmr, rel=0.03)


def test_likeness_grows_through_the_season_and_spaced_plants_drop_k() -> None:
    """VMR by hand at n 20, λ 3, K 2: 1 + 2·1.3 + 20·3·2/120 = 4.6; without the K term 2.0."""
    lam, k = np.array(3.0), np.array(2.0)
    assert likeness(lam, k, 20, PARAMS) == pytest.approx(3.6 / 19)
    assert likeness(lam, k, 20, PARAMS, spaced=True) == pytest.approx(1.0 / 19)
    assert likeness(lam, np.array(0.2), 20, PARAMS) < likeness(lam, k, 20, PARAMS)
    assert likeness(lam, k, 1, PARAMS) == 0.0


def test_one_hot_spot_counts_less_than_the_same_plants_spread() -> None:
    """Five cut plants in one stop may be one larva's; one in each of five stops is a field that has many."""
    hot, spread = says(walk(MIDDLE, counted(5, 0, 0, 0, 0))), says(walk(MIDDLE, counted(1, 1, 1, 1, 1)))
    high, low = np.searchsorted(GRID.lam, 8.0), np.searchsorted(GRID.lam, 0.5)
    assert (spread[high, 10] - spread[low, 10]) > (hot[high, 10] - hot[low, 10]) + 2.0


def test_order_of_stops_never_matters() -> None:
    """A scout may walk the stops in any order, and the walks may arrive in any order."""
    stops = (*counted(0, 3, 1, leaf=1), StopSeen(25, 1, 2), StopSeen(10, 0, 1, marked_row="a"))
    later = walk(MIDDLE, (StopSeen(10, 1, 1, marked_row="a"), *counted(2, 0)))
    one = says(walk(EARLY, stops), later)
    other = says(later, walk(EARLY, stops[::-1]))
    assert other == pytest.approx(one, abs=1e-9)


def test_none_of_100_before_cutting_says_nothing() -> None:
    """Where no shift of the clock lets a larva cut yet, a clean count moves no weight at all."""
    assert FIELD.cut_by(BEFORE).max() < 1e-12
    assert np.abs(says(walk(BEFORE, counted(0, 0, 0, 0, 0)))).max() < 1e-6
    assert np.ptp(says(walk(MIDDLE, counted(0, 0, 0, 0, 0)))) > 1.0


def test_cuts_before_cutting_are_false_cuts_only() -> None:
    """A cut seen before any larva can cut tells nothing of larvae: birds, tools, a miscount."""
    assert np.abs(says(walk(BEFORE, counted(1, 0, 0, 0, 0)))).max() < 1e-6


def test_false_cuts_look_fresh_as_often_as_the_table_says() -> None:
    """Before any larva can cut, the odds of fresh against old are the table's, blurred by misread ages; 1 at a half."""
    assert PARAMS.false_fresh == 0.5
    for share in (0.5, 0.8):
        params, e = replace(PARAMS, false_fresh=share), PARAMS.age_misread
        fresh, old = (log_likelihood([walk(BEFORE, (stop,))], FIELD, GRID, params)
                      for stop in (StopSeen(20, 1, 0), StopSeen(20, 0, 1)))  # fmt: skip
        odds = ((1 - e) * share + e * (1 - share)) / ((1 - e) * (1 - share) + e * share)
        assert fresh - old == pytest.approx(np.full(GRID.shape, np.log(odds)), abs=1e-6)


def test_fresh_and_old_cuts_tell_the_clock() -> None:
    """The same five plants: all fresh means a brood that has just begun, all old one that began earlier."""
    fresh = says(walk(EARLY, (StopSeen(20, 5, 0), *counted(0, 0))))
    old = says(walk(EARLY, (StopSeen(20, 0, 5), *counted(0, 0))))
    k = np.searchsorted(GRID.lam, 5.0)
    shift = [
        float(np.exp(row - row.max()) @ GRID.shifts_ddc / np.exp(row - row.max()).sum()) for row in (fresh[k], old[k])
    ]
    assert shift[0] > shift[1] + 2.0


def test_worst_spots_never_enter() -> None:
    """A stop where the scout went to look where it was worst says nothing of the field."""
    plain = says(walk(MIDDLE, counted(0, 1, 0)))
    worst = StopSeen(20, 15, 3, leaf_fed=2, counted=False)
    assert says(walk(MIDDLE, (*counted(0, 1, 0), worst))) == pytest.approx(plain)


def test_marked_row_gives_increments() -> None:
    """Plants seen twice are the same plants: what was already cut isn't cut again, and no plant is counted twice."""
    first = walk(EARLY, (StopSeen(20, 2, 1, marked_row="a"),))
    again = walk(EARLY + 8, (StopSeen(20, 1, 3, marked_row="a"),))
    assert spots([again, first]) == (Spot(20, False, (EARLY - 2, EARLY, EARLY + 8), (1, 2, 1), EARLY, None),)
    apart = [replace(w, stops=(replace(w.stops[0], marked_row=""),)) for w in (first, again)]
    assert [s.places for s in spots(apart)] == [20, 20]


def test_fresh_cuts_at_a_recount_are_new_even_where_old_ones_are_gone() -> None:
    """A cut plant can vanish by the recount; three fresh ones after a week are three new ones."""
    first = walk(EARLY, (StopSeen(20, 4, 0, marked_row="a"),))
    again = walk(EARLY + 7, (StopSeen(20, 3, 0, marked_row="a"),))
    assert spots([first, again])[0].new == (0, 4, 3)
    fewer = walk(EARLY + 7, (StopSeen(20, 0, 1, marked_row="a"),))
    assert spots([first, fewer])[0].new == (0, 4, 0)


def test_recount_without_new_cuts_speaks_for_a_brood_that_is_through() -> None:
    """Hazard seen directly: three cut, and none more in eight days, is an earlier brood than three and six more."""
    k = np.searchsorted(GRID.lam, 8.0)

    def middle(new: int) -> float:
        row = says(
            walk(EARLY + 6, (StopSeen(40, 3, 3, marked_row="a"),)),
            walk(EARLY + 14, (StopSeen(40, new, 6, marked_row="a"),)),
        )[k]
        weight = np.exp(row - row.max())
        return float(weight @ GRID.shifts_ddc / weight.sum())

    assert middle(0) < middle(6) - 5.0


def test_leaf_feeding_before_cutting_speaks_for_larvae() -> None:
    """The only early sign: marks on a third of the stops' plants are beyond any background we know of."""
    marked = says(walk(EARLY - 2, counted(0, 0, 0, leaf=4)))
    clean = says(walk(EARLY - 2, counted(0, 0, 0, leaf=0)))
    k = np.searchsorted(GRID.lam, 20.0)
    assert marked[k, 10] - marked[0, 10] > 2.0
    assert clean[k, 10] - clean[0, 10] < -0.5


def test_leaf_background_is_the_field_s_own() -> None:
    """Two walks share one unknown background: together they say other than each with its own."""
    first, second = walk(BEFORE, counted(0, 0, 0, leaf=2)), walk(EARLY - 2, counted(0, 0, 0, leaf=2))
    assert says(first, second) != pytest.approx(
        says(first) + says(second) - (says(first) + says(second)).max(), abs=0.05
    )
    # Marks from before any larva hatched are background: they make the same marks later say less of larvae.
    k = np.searchsorted(GRID.lam, 20.0)
    with_past, alone = says(first, second), says(second)
    assert with_past[k, 10] - with_past[0, 10] < alone[k, 10] - alone[0, 10] - 0.1


def test_known_background_is_a_single_level() -> None:
    """With all weight on one level the mixture is that level's product, walk by walk."""
    one = replace(PARAMS, leaf_levels=(0.01,), leaf_weights=(1.0,))
    a, b = walk(EARLY, counted(0, 1, leaf=1)), walk(MIDDLE, counted(1, 1, leaf=0))
    apart = log_likelihood([a], FIELD, GRID, one) + log_likelihood([b], FIELD, GRID, one)
    assert log_likelihood([a, b], FIELD, GRID, one) == pytest.approx(apart, abs=1e-9)


def test_every_plant_cut_is_not_impossible() -> None:
    """An extreme but possible stop must leave finite weight, at no larvae too: nothing is ruled out by rounding."""
    found = log_plants(spots([walk(MIDDLE, (StopSeen(300, 200, 100),))]), FIELD, GRID, PARAMS)
    assert np.isfinite(found).all()
