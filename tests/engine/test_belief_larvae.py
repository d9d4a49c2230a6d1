"""Larvae found: a weak 'none', sizes that move the clock, and larvae that are not of this flight."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from springwalk.engine.belief import UnitHazard, believe, contradictions, log_likelihood, of_unit
from springwalk.engine.belief_larvae import detection, larvae_seen, size_odds
from tests.engine.belief_made import EARLY, EXPECTED, GRID, LATE, MIDDLE, PARAMS, lincoln, walk
from tests.lincoln import day

FIELD = of_unit(lincoln(), 1)
SMALL, BIG = (8.0, 12.0, 10.0, 14.0, 9.0, 12.0, 13.0, 12.0, 15.0, 20.0), (38.0, 42.0, 40.0, 34.0, 39.0) * 2


def grown() -> UnitHazard:
    """A brood that is all in instar 6, whatever the shift."""
    stages = np.zeros((21, 137, 6))
    stages[..., 4] = 1.0
    return UnitHazard(np.zeros((21, 137)), stages, np.zeros((21, 137)))


def test_none_found_is_weak() -> None:
    """At 2 per 100 and 30 % detection a search round 100 plants finds none 55 % of the time (ENGINE 6.3, computed)."""
    found = larvae_seen([walk(MIDDLE, plants_searched=100, hour=12, soil="moist")], grown(), GRID, PARAMS)
    at = np.interp(2.0, GRID.lam, np.exp(found.this_flight)[:, 0])
    assert at == pytest.approx(0.55, abs=0.005)


def test_hour_and_soil_change_what_is_found() -> None:
    """Larvae come up at dusk and sit deep in dry soil; an untold hour or soil is a moist day."""
    assert detection(22, None, PARAMS) > detection(20, None, PARAMS) > detection(12, None, PARAMS)
    assert detection(12, "dry", PARAMS) < detection(12, "wet", PARAMS) < detection(12, "moist", PARAMS)
    assert detection(None, None, PARAMS) == detection(12, "moist", PARAMS)
    dusk = larvae_seen([walk(MIDDLE, plants_searched=100, hour=20)], grown(), GRID, PARAMS).this_flight
    noon = larvae_seen([walk(MIDDLE, plants_searched=100, hour=12)], grown(), GRID, PARAMS).this_flight
    assert np.all(dusk[1:] < noon[1:])


def test_ten_larvae_dug_on_purpose_move_the_clock() -> None:
    """Ten measured larvae move the shift by more than the field's own spread; two move it by much less."""

    def moved(sizes: tuple[float, ...]) -> float:
        seen = [walk(MIDDLE, plants_searched=100, larvae_found=len(sizes), lengths_mm=sizes)]
        return float(believe(seen, lincoln(), EXPECTED, GRID, PARAMS).mean_shift_ddc[1])

    assert moved(SMALL) > 20.0
    assert moved(BIG) < -20.0
    assert 0.0 < moved(SMALL[:2]) < 0.75 * moved(SMALL)


def test_larvae_far_too_big_for_the_date_are_of_other_origin() -> None:
    """Full-grown larvae in the first days of May can't be of a mid-April flight; the same ones in June can."""
    sizes = (40.0, 42.0, 38.0)

    def other(on: int) -> float:
        seen = [walk(on, plants_searched=50, larvae_found=3, lengths_mm=sizes)]
        return float(believe(seen, lincoln(), EXPECTED, GRID, PARAMS).other_origin[1])

    assert other(day(5, 6)) > 0.95
    assert other(LATE) < 0.1
    belief = believe([walk(day(5, 6), plants_searched=50, larvae_found=3, lengths_mm=sizes)], lincoln(), EXPECTED, GRID,
                     PARAMS)  # fmt: skip
    # They don't drag the clock: a component of the mixture, not a wider shift.
    assert abs(belief.mean_shift_ddc[1]) < 2.0


def test_typed_instars_count_like_lengths() -> None:
    """An instar told by the head and the length of that instar point the same way."""
    told = larvae_seen([walk(MIDDLE, plants_searched=50, larvae_found=2, instars=(4, 4))], FIELD, GRID, PARAMS)
    measured = larvae_seen(
        [walk(MIDDLE, plants_searched=50, larvae_found=2, lengths_mm=(14.0, 14.0))], FIELD, GRID, PARAMS
    )
    k = np.searchsorted(GRID.lam, 2.0)
    assert np.argmax(told.this_flight[k]) == pytest.approx(np.argmax(measured.this_flight[k]), abs=1)
    odds = size_odds(walk(MIDDLE, larvae_found=4, instars=(1, 4, 6, 8)), PARAMS.sizes)
    assert odds.argmax(axis=1).tolist() == [0, 1, 3, 3]


def test_instar_misreadings_add_to_one() -> None:
    """A larva of a true class is typed as something: the chances over what is typed add to 1."""
    odds = size_odds(walk(MIDDLE, larvae_found=4, instars=(3, 4, 5, 6)), PARAMS.sizes)
    assert odds.sum(axis=0) == pytest.approx(np.ones(4))


def test_counts_add_to_one() -> None:
    """Over all counts of unmeasured larvae the chances add to 1 once each row has its 1/k! and effort back."""
    effort = 0.5 * PARAMS.found_day
    total, fact = np.zeros(GRID.shape), 1.0
    for k in range(80):
        fact *= max(k, 1)
        row = larvae_seen([walk(MIDDLE, plants_searched=50, larvae_found=k)], FIELD, GRID, PARAMS).this_flight
        total += np.exp(row) * effort**k / fact
    assert total == pytest.approx(np.ones(GRID.shape), abs=1e-6)


def test_live_larvae_of_the_right_size_rule_out_an_empty_field() -> None:
    """Larvae of treatable size in season: hardly any chance is left that the field has none."""
    seen = [walk(MIDDLE, plants_searched=50, larvae_found=3, lengths_mm=(24.0, 26.0, 15.0))]
    assert believe(seen, lincoln(), EXPECTED, GRID, PARAMS).any_larvae[1] > 0.95


def test_order_of_larvae_never_matters() -> None:
    """Sizes and walks in any order say the same."""
    a = walk(EARLY, plants_searched=40, larvae_found=3, lengths_mm=(12.0, 20.0), hour=20)
    b = walk(LATE, plants_searched=60, larvae_found=1, instars=(6,))
    turned = replace(a, lengths_mm=a.lengths_mm[::-1])
    one, other = (log_likelihood(walks, FIELD, GRID, PARAMS) for walks in ([a, b], [b, turned]))
    assert other == pytest.approx(one, abs=1e-9)


def test_larvae_without_a_search_are_marked_and_only_their_sizes_count() -> None:
    """'Found 2, searched none' can't be: it is told, never raised; the sizes still say how far the brood is."""
    odd = walk(MIDDLE, larvae_found=2, lengths_mm=(12.0, 11.0))
    assert contradictions(odd) == ("larvae found but no plants searched",)
    belief = believe([odd], lincoln(), EXPECTED, GRID, PARAMS)
    assert belief.marked == ((1, "larvae found but no plants searched"),)
    assert belief.mean_shift_ddc[1] > 3.0
    unsized = log_likelihood([walk(MIDDLE, larvae_found=2)], FIELD, GRID, PARAMS)
    assert np.ptp(unsized) < 1e-9


def test_more_sizes_than_larvae_is_marked() -> None:
    """Three lengths of two larvae: told, never raised."""
    odd = walk(MIDDLE, larvae_found=2, plants_searched=20, lengths_mm=(12.0, 11.0, 13.0))
    assert contradictions(odd) == ("more larvae measured than found",)
