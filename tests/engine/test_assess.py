"""The assessment on the real spring of 2016 at Lincoln, and what must hold for any season."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from springwalk.engine.assess import Assessed, assess, begins_by
from springwalk.engine.draws import make_draws
from springwalk.engine.heat import NAMED
from springwalk.engine.working import Inputs, Params, cell_heat, plants_cut, work_cell
from springwalk.jobs.params import load
from tests.drawn import examples
from tests.lincoln import DAYS, day, four_fields, season

PARAMS = load().engine
BLACK, AT_PLANTING, KILLED_EARLY, LATE = range(4)


def nearest(days: np.ndarray) -> np.ndarray:
    """Days as shown: the nearest midnight."""
    return np.floor(days + 0.5)


@pytest.mark.parametrize("today", [day(5, 24), day(5, 29)])
def test_the_two_fields_green_at_planting_lead(today: int) -> None:
    """Four fields: on 24 and 29 May those that were green at planting have the most to lose."""
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
@settings(max_examples=examples(25), deadline=None, derandomize=True)
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


def seen(today: int, on: int, collars: float, unit: int = 1, **other: object) -> Inputs:
    """The four fields with one look at the corn of one of them."""
    return replace(four_fields(today=today), seen_unit=np.array([unit]), seen_day=np.array([on]),
                   seen_collars=np.array([collars]), **other)  # type: ignore[arg-type]  # fmt: skip


@pytest.mark.parametrize("collars", [1.4, 2.6, 4.5, 6.3])
def test_collars_seen_win_over_the_planting_date(collars: float) -> None:
    """The morning after a count the field stands where it was counted, whatever the planting date says."""
    got = assess(seen(day(5, 29), day(5, 28), collars), PARAMS).collars
    plain = assess(four_fields(today=day(5, 29)), PARAMS).collars
    assert abs(got[1, 1] - collars) < 0.35  # half a day's growth is 0.1 collar
    assert got[1, 2] - got[1, 0] < 1.0
    np.testing.assert_allclose(got[2], plain[2])


def test_a_look_before_the_planting_was_at_other_corn() -> None:
    """Collars counted before a planting do not speak of it."""
    plain, odd = (assess(i, PARAMS) for i in (four_fields(today=day(5, 29)), seen(day(5, 29), day(5, 15), 3.0, unit=3)))
    np.testing.assert_allclose(odd.emergence_day[3], plain.emergence_day[3])
    assert np.isnan(odd.corn_ahead_sd[3])


def test_corn_far_from_its_planting_date_is_told_in_standard_deviations() -> None:
    """Four collars ten days after planting: far ahead; two where two are due: not."""
    assert assess(seen(day(5, 20), day(5, 16), 4.0), PARAMS).corn_ahead_sd[1] > 3
    assert abs(assess(seen(day(5, 29), day(5, 28), 2.0), PARAMS).corn_ahead_sd[1]) < 2


@pytest.mark.slow
def test_a_gap_in_the_weather_does_not_bring_corn_up_before_it_was_planted() -> None:
    """Members that differ in a gap before planting agree on the corn after it."""
    base = four_fields(today=day(5, 29), members=30)
    shift = np.linspace(-4, 4, 30)[:, None] * ((np.arange(DAYS) >= day(4, 1)) & (np.arange(DAYS) < day(4, 25)))
    gap = replace(base, min_c=base.min_c + shift, max_c=base.max_c + shift)
    plain, holed = (assess(i, PARAMS).emergence_day for i in (base, gap))
    np.testing.assert_allclose(holed, plain, atol=0.3)
    assert (holed > np.array([day(5, 5), day(5, 5), day(5, 12), day(5, 21)])[:, None]).all()


def test_the_order_of_past_years_does_not_matter() -> None:
    """Which year stands first in the file must not decide who lives."""
    base = four_fields(today=day(5, 16), members=30)
    shift = np.linspace(-5, 5, 30)[:, None] * (np.arange(DAYS) >= day(5, 16))
    spread = replace(base, min_c=base.min_c + shift, max_c=base.max_c + shift)
    back = replace(spread, min_c=spread.min_c[:, ::-1], max_c=spread.max_c[:, ::-1])
    one_way, other = (assess(i, PARAMS) for i in (spread, back))
    np.testing.assert_allclose(other.survival, one_way.survival, atol=0.02)
    np.testing.assert_allclose(other.begins_day[1:, 1], one_way.begins_day[1:, 1], atol=0.6)


def width(inputs: Inputs, name: str, params: Params = PARAMS) -> float:
    """Width of the 10–90 % range of one answer for the field that was green at planting."""
    low, _, high = getattr(assess(inputs, params), name)[AT_PLANTING]
    return float(high - low)


@pytest.mark.parametrize(
    ("part", "change", "name"),
    [
        ("clock", {"scale_sd": 0.0}, "can_cut_10_day"),
        ("clock", {"field_sd_ddc": 0.0}, "can_cut_10_day"),
        ("corn", {"field_sd_ddc": 0.01}, "emergence_day"),
        ("corn", {"rate_cv": 0.0}, "collars"),
    ],
)
def test_every_spread_widens_its_range(part: str, change: dict[str, float], name: str) -> None:
    """Taking one source of doubt away must narrow the range it belongs to: none is forgotten."""
    inputs = four_fields(today=day(5, 29))
    sure = replace(PARAMS, **{part: replace(getattr(PARAMS, part), **change)})
    assert width(inputs, name, sure) < 0.97 * width(inputs, name)


def test_the_range_of_a_date_is_what_its_parts_add_up_to() -> None:
    """10 % can cut: scale 0.06 and field 14 °F·day together, by hand from the heat of those days (± 20 %)."""
    inputs = four_fields(today=day(5, 24))
    heat = cell_heat(inputs.min_c[0], inputs.max_c[0], PARAMS.insect_heat).insect[0]
    middle = float(assess(inputs, PARAMS).can_cut_10_day[AT_PLANTING, 1])
    a_day = (heat[int(middle) + 2] - heat[int(middle) - 3]) / 5
    since_laying = 0.9 * 312 / 1.8
    sd_days = np.hypot(0.06 * since_laying, 14 / 1.8) / a_day
    assert width(inputs, "can_cut_10_day") == pytest.approx(2 * 1.2816 * sd_days, rel=0.2)


def test_begins_by_other_methods_brackets_the_default() -> None:
    """86/50 runs ahead of single sine, the daily average behind it, as on the 300 rule."""
    inputs = four_fields(today=day(5, 24))
    by = {name: begins_by(inputs, PARAMS, NAMED[name])[AT_PLANTING] for name in ("86/50", "sine", "average")}
    assert by["86/50"] < by["sine"] < by["average"]
    assert by["sine"] == pytest.approx(assess(inputs, PARAMS).begins_day[AT_PLANTING, 1], abs=1.0)
    assert np.isinf(begins_by(inputs, PARAMS, NAMED["sine"])[BLACK])


def test_feeding_that_is_over_first_is_not_the_same_as_a_season_that_ends() -> None:
    """Corn planted in late June meets no larvae; a season cut short says nothing of feeding."""
    inputs = replace(four_fields(today=day(5, 24)), planted=np.array([day(6, 20)] * 4, float))
    got = assess(inputs, PARAMS)
    assert got.feeding_over[AT_PLANTING] > 0.9
    assert got.can_begin[AT_PLANTING] < 0.1
    short = four_fields(today=day(5, 17))
    cut = replace(short, min_c=short.min_c[:, :, :82], max_c=short.max_c[:, :, :82], arrived=short.arrived[:, :82],
                  cover=short.cover[:, :82], planted=np.minimum(short.planted, 81))  # fmt: skip
    got = assess(cut, PARAMS)
    assert got.feeding_over[AT_PLANTING] == 0.0


def test_without_a_planting_date_collars_say_where_the_corn_is() -> None:
    """A missing planting date is inferred from collars, never refused and never invented."""
    inputs = four_fields(today=day(5, 29))
    unknown = replace(inputs, planted=np.array([np.nan] * 4))
    assert np.isinf(assess(unknown, PARAMS).emergence_day).all()
    looked = replace(unknown, seen_unit=np.array([1]), seen_day=np.array([day(5, 28)]), seen_collars=np.array([2.4]))
    got = assess(looked, PARAMS)
    # 2.4 collars are 197 °F·day: back from noon of 28 May that is the night to 13 May.
    assert abs(got.emergence_day[1, 1] - day(5, 13)) <= 1.5
    assert np.isinf(got.emergence_day[2]).all()


def test_the_same_season_gives_the_same_answer() -> None:
    """Same inputs, same sheet: no clock, no unseeded chance."""
    first, second = (assess(four_fields(today=day(5, 24)), PARAMS) for _ in range(2))
    for field in fields(Assessed):
        np.testing.assert_array_equal(getattr(first, field.name), getattr(second, field.name))


def test_the_week_ahead_is_seven_days_of_the_season() -> None:
    """Cut in the next 7 days against the running total of the same draws: 7 days, no more, no fewer."""
    inputs = four_fields(today=day(5, 24))
    draws = make_draws(1)
    w = work_cell(inputs, PARAMS, draws, 0, np.arange(4))
    whole = plants_cut(w, PARAMS, first=0, last=DAYS - 1)
    week = whole[:, :, day(5, 30)] - whole[:, :, day(5, 23)]
    want = 100 * (1 - np.exp(-w.larvae_per_100[:, None] * week / 100))
    np.testing.assert_allclose(assess(inputs, PARAMS).cut_ahead_per_100[:, 1], want.mean(axis=1), rtol=1e-9)


def test_the_spike_of_two_april_plantings_in_the_spring_as_it_came() -> None:
    """Planted 22 and 27 April 2016: up during 6 May and 11 May, the later one between 8 and 13 May 8 times in 10."""
    inputs = season(
        today=day(4, 29), arrivals={}, cover=[np.zeros(DAYS)] * 2, planted=[day(4, 22), day(4, 27)],
        green_end=[np.nan] * 2,
    )  # fmt: skip
    early, late = np.floor(assess(inputs, load().engine).emergence_day)
    assert early[1] == day(5, 6)
    assert late.tolist() == [day(5, 8), day(5, 11), day(5, 13)]
