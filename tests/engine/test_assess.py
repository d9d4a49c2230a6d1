"""The assessment on the real spring of 2016 at Lincoln, and what must hold for any season."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from springwalk.engine.assess import Assessed, Inputs, assess
from springwalk.jobs.params import load
from tests.lincoln import DAYS, day, four_fields, season

PARAMS = load().engine
BLACK, AT_PLANTING, KILLED_EARLY, LATE = range(4)


def nearest(days: np.ndarray) -> np.ndarray:
    """Days as shown: the nearest midnight."""
    return np.floor(days + 0.5)


@pytest.mark.parametrize("today", [day(5, 24), day(5, 29)])
def test_the_two_fields_green_at_planting_lead(today: int) -> None:
    """The issue's four fields: on 24 and 29 May those that were green at planting have the most to lose."""
    cut = assess(four_fields(today=today), PARAMS).cut_ahead_per_100[:, 1]
    assert set(np.argsort(-cut)[:2]) == {AT_PLANTING, LATE}
    assert cut[BLACK] == 0.0
    assert cut[KILLED_EARLY] < 0.5 * min(cut[AT_PLANTING], cut[LATE])


def test_cutting_begins_at_instar_4_in_the_early_field() -> None:
    """Green at planting on 5 May: cutting begins about 22–25 May, most able larvae in instar 4."""
    got = assess(four_fields(today=day(5, 24)), PARAMS)
    early, mid, late = nearest(got.begins_day[AT_PLANTING])
    assert day(5, 22) <= mid <= day(5, 25)
    assert early < mid < late
    assert np.argmax(got.begin_shares[AT_PLANTING]) == 0


def test_cutting_begins_at_the_spike_in_the_late_field() -> None:
    """Planted 21 May: cutting begins with its spike about 28 May, most able larvae in instar 5."""
    got = assess(four_fields(today=day(5, 24)), PARAMS)
    assert abs(nearest(got.begins_day[LATE])[1] - day(5, 28)) <= 1
    assert nearest(got.begins_day[LATE])[1] == nearest(got.emergence_day[LATE])[1]
    assert np.argmax(got.begin_shares[LATE]) == 1


def test_a_field_without_eggs_has_no_dates() -> None:
    """Black ground before the flight: nothing is made up."""
    got = assess(four_fields(today=day(5, 24)), PARAMS)
    assert np.isnan(got.shares[BLACK]).all()
    assert np.isinf(got.begins_day[BLACK]).all()
    assert got.egg_load[BLACK] == 0.0


def one(today: int, night: int, **other: object) -> Inputs:
    """One field, dense green until its planting on 5 May, moths on one night."""
    return season(today=today, arrivals={night: 1.0}, cover=[np.ones(DAYS)], planted=[day(5, 5)], green_end=[np.nan])


def test_few_can_cut_when_the_rule_says_300() -> None:
    """Capture 15 April, single sine: 3–20 % can cut at 300 °F·day, 90 % are through not before 12 June."""
    # 300 °F·day after 15 April is reached on 21 May by single sine at this station, so it stands on the 22nd.
    got = assess(one(day(5, 22), day(4, 15)), PARAMS)
    able = 1.0 - got.shares[0, :2, 1].sum()
    assert 0.03 <= able <= 0.20
    assert nearest(got.through_90_day[0])[1] >= day(6, 12)


def test_shares_add_to_one() -> None:
    """Every larva is somewhere."""
    got = assess(four_fields(today=day(5, 24)), PARAMS)
    assert got.shares[1:, :, 1].sum(axis=1) == pytest.approx(1.0, abs=1e-9)


@given(night=st.integers(day(3, 20), day(5, 10)), later=st.integers(1, 20))
@settings(max_examples=25, deadline=None, derandomize=True)
def test_later_moths_never_cut_earlier(night: int, later: int) -> None:
    """A later flight can only bring later dates."""
    dates = [assess(one(day(5, 24), n), PARAMS) for n in (night, night + later)]
    for name in ("can_cut_10_day", "can_cut_half_day", "through_90_day", "begins_day"):
        first, second = (getattr(d, name)[0] for d in dates)
        assert (second >= first - 1e-9).all()


def test_the_order_of_fields_does_not_matter() -> None:
    """Permuting the fields permutes the answers."""
    inputs = four_fields(today=day(5, 24))
    order = np.array([2, 0, 3, 1])
    moved = replace(inputs, **{n: getattr(inputs, n)[order] for n in ("arrived", "cover", "planted", "green_end")})
    plain, permuted = assess(inputs, PARAMS), assess(moved, PARAMS)
    for field in fields(Assessed):
        np.testing.assert_allclose(getattr(permuted, field.name), getattr(plain, field.name)[order], rtol=1e-12)


def test_fields_in_several_cells_get_what_they_get_alone() -> None:
    """Working fields together in cells is only a saving."""
    inputs = four_fields(today=day(5, 24))
    two = replace(
        inputs, min_c=np.concatenate([inputs.min_c, inputs.min_c - 1.5]),
        max_c=np.concatenate([inputs.max_c, inputs.max_c - 1.5]), cell=np.array([0, 1, 0, 1]),
    )  # fmt: skip
    alone = replace(
        inputs, min_c=inputs.min_c - 1.5, max_c=inputs.max_c - 1.5, cell=np.zeros(1, np.int64),
        **{n: getattr(inputs, n)[[3]] for n in ("arrived", "cover", "planted", "green_end")},
    )  # fmt: skip
    np.testing.assert_allclose(assess(two, PARAMS).begins_day[3], assess(alone, PARAMS).begins_day[0], rtol=1e-9)
    np.testing.assert_allclose(assess(two, PARAMS).begins_day[1:3:2], assess(two, PARAMS).begins_day[[1]])


def test_collars_seen_win_over_the_planting_date() -> None:
    """Corn seen at four collars where the date says two: the field is believed."""
    inputs = replace(four_fields(today=day(5, 29)), seen_unit=np.array([1]), seen_day=np.array([day(5, 28)]),
                     seen_collars=np.array([4.0]))  # fmt: skip
    before, after = (assess(i, PARAMS).collars for i in (four_fields(today=day(5, 29)), inputs))
    assert before[1, 1] < 2.5
    assert 3.6 < after[1, 1] < 4.7
    np.testing.assert_allclose(after[2], before[2])


def test_without_a_planting_date_collars_say_where_the_corn_is() -> None:
    """A missing planting date is inferred from collars, never refused and never invented."""
    inputs = four_fields(today=day(5, 29))
    unknown = replace(inputs, planted=np.array([np.nan] * 4))
    assert np.isinf(assess(unknown, PARAMS).emergence_day).all()
    seen = replace(unknown, seen_unit=np.array([1]), seen_day=np.array([day(5, 28)]), seen_collars=np.array([2.4]))
    got = assess(seen, PARAMS)
    assert abs(got.emergence_day[1, 1] - day(5, 14)) <= 2
    assert np.isinf(got.emergence_day[2]).all()


def test_the_same_season_gives_the_same_answer() -> None:
    """Same inputs, same sheet: no clock, no unseeded chance."""
    first, second = (assess(four_fields(today=day(5, 24)), PARAMS) for _ in range(2))
    for field in fields(Assessed):
        np.testing.assert_array_equal(getattr(first, field.name), getattr(second, field.name))
