"""Named stand tables: the state's newest first, tables of dates laid on stands, and words that are not known."""

from __future__ import annotations

import re
from datetime import date

import numpy as np
import pytest

from springwalk.engine.stand_yield import percent_at
from springwalk.errors import BadValue
from springwalk.jobs.stand_tables import day_number, in_order, named_tables, pattern_of
from springwalk.units import ACRES_PER_HA

FIRST = [
    ("", "illinois_1994"), ("Nebraska", "illinois_1994"), ("IL", "illinois_2016"), ("illinois", "illinois_2016"),
    ("IA", "iowa_2010"), ("MN", "minnesota_2009"), ("WI", "wisconsin_full"), ("IN", "illinois_1994"),
    ("OH", "illinois_1994"),
]  # fmt: skip


@pytest.mark.parametrize(("state", "key"), FIRST)
def test_newest_table_of_the_state_comes_first(state: str, key: str) -> None:
    """A grower is answered by his own state's newest table; the fullest one where there is none."""
    order = in_order(state)
    assert order[0].key == key
    assert sorted(one.key for one in order) == sorted(one.key for one in named_tables())
    own = [one for one in order if set(one.states) & set(order[0].states)] if state else [order[0]]
    assert list(order[: len(own)]) == own, "then his state's older ones"
    for some in (own, order[len(own) :]):
        years = [one.year for one in some]
        assert years == sorted(years, reverse=True)


def test_unknown_letters_are_refused() -> None:
    """A slip in two letters must not quietly take another state's table."""
    told = "state = XX: not a state we know; write its name, or one of IA, IL, IN, MI, MN, MO, OH, PA, WI."
    with pytest.raises(BadValue, match=f"^{re.escape(told)}$"):
        in_order("XX")


def test_unknown_pattern_is_refused() -> None:
    """A pattern decides how plants are counted lost."""
    with pytest.raises(BadValue, match=r"^pattern = rows: no such pattern of loss; use one of even, singles, runs\.$"):
        pattern_of("rows")


def test_dates_are_laid_on_stands_in_points() -> None:
    """On its best date a table of dates has the stand row of 30 April; later all stands lose the same points."""
    by_key = {one.key: one.now for one in named_tables()}
    stands = np.array([12_000.0, 20_000.0, 30_000.0]) * ACRES_PER_HA
    base = percent_at(by_key["illinois_1994"], stands, 0.0)
    np.testing.assert_allclose(percent_at(by_key["illinois_2016"], stands, day_number(date(2015, 4, 17))), base)
    np.testing.assert_allclose(percent_at(by_key["illinois_2016"], stands, 20.0), base - 8.0)
    np.testing.assert_allclose(percent_at(by_key["minnesota_2009"], stands, 15.0), base - 10.0)  # 20 days × 0.5


def test_a_leap_year_has_the_same_days() -> None:
    """The tables know the day of the year only."""
    assert day_number(date(2016, 4, 25)) == day_number(date(2015, 4, 25)) == -5
    assert day_number(date(2016, 5, 1)) == 1
