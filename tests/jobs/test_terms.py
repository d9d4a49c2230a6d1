"""Money of an answer: typed goes before the season's, and what nobody typed is named."""

from __future__ import annotations

import pytest

from springwalk.errors import BadValue
from springwalk.jobs.terms import terms_of
from springwalk.records import Money, Season
from springwalk.tables import number
from springwalk.units import ACRES_PER_HA

SEASON = Season(name="a", year=2016, money=Money(crop_bu_ac=200, price_usd_bu=4.0))


def test_typed_goes_before_the_season_and_the_rest_is_named() -> None:
    """Who reads an answer can tell which of its prices nobody typed."""
    terms = terms_of(SEASON, {"price": 5.0, "own_pass": None})
    assert terms.said is not None
    assert terms.crop_per_ha == pytest.approx(200 * 5.0 * ACRES_PER_HA)
    assert terms.said.pass_usd_ac == number("money", "own_pass").value
    assert terms.said.assumed == ("own_pass", "product", "wage", "days_to_sprayer")


def test_a_typed_nonsense_is_refused() -> None:
    """A yield of nothing is a slip, not a season."""
    with pytest.raises(BadValue, match="yield = 0: must be above 0; check the number"):
        terms_of(SEASON, {"crop": 0.0})
    with pytest.raises(BadValue, match="days to the pass = -1: must be 0 or more"):
        terms_of(SEASON, pass_in_days=-1)
