"""Heat of single days against published and computed values (heat_days.csv, heat_sums.csv)."""

from __future__ import annotations

from typing import cast

import pytest

from springwalk.engine.heat import AVERAGE, Cutoff, Method, Shape, crop_heat_units, degree_days, quarter_rule
from springwalk.units import DDF_PER_DDC, f_to_c
from tests.published.reading import cases, rows


def method_of(row: dict[str, str]) -> Method:
    """The method a row names, with its thresholds in °C."""
    lower = _celsius(row["lower"], row)
    upper = _celsius(row["upper"], row) if row["upper"] else None
    words = row["method"].split()
    if words[0] == "average":
        return Method(shape="average", cutoff="none", lower_c=lower, upper_c=None)
    if words[0] in ("86/50", "clipped-mean"):
        return Method(shape=cast(Shape, words[0]), lower_c=lower, upper_c=upper)
    double = words[0] == "double"
    shape, cutoff = words[1:] if double else words
    return Method(cast(Shape, shape), cast(Cutoff, cutoff), lower_c=lower, upper_c=upper, double=double)


def heat_of(row: dict[str, str]) -> float:
    """The day's heat by the engine, in degree-days of the row's own unit."""
    if row["method"] == "crop heat unit":
        return float(crop_heat_units(float(row["min"]), float(row["max"])))
    if row["method"] == "quarter rule":
        low, high, base = (_celsius(row[name], row) for name in ("min", "max", "lower"))
        return float(quarter_rule(low, high, lower_c=base)) * DDF_PER_DDC
    evening = _celsius(row["next_min"], row) if row["next_min"] else None
    heat = degree_days(_celsius(row["min"], row), _celsius(row["max"], row), method_of(row), next_min_c=evening)
    return float(heat) * (DDF_PER_DDC if row["unit"] == "F" else 1.0)


def _celsius(text: str, row: dict[str, str]) -> float:
    return float(f_to_c(float(text)) if row["unit"] == "F" else float(text))


@pytest.mark.parametrize("row", cases("heat_days", "id"))
def test_day_matches_its_source(row: dict[str, str]) -> None:
    """A heat sum is worth no more than its days: each must agree with what its source prints."""
    assert heat_of(row) == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", rows("heat_sums"), ids=lambda row: row["id"])
def test_sum_matches_its_source(row: dict[str, str]) -> None:
    """Totals printed over several days are the sum of the days."""
    days = [heat_of(day) for day in rows("heat_days") if day["id"].startswith(row["rows"])]
    assert len(days) > 1
    assert sum(days) == pytest.approx(float(row["expected_ddf"]), abs=float(row["tolerance"]))


def test_every_row_says_where_from() -> None:
    """A check without a source or a tolerance is no check."""
    for row in rows("heat_days"):
        assert row["source"], row
        assert row["basis"] in ("published", "derived", "computed"), row
        assert 0 < float(row["tolerance"]) <= 0.05, row


def test_warmer_day_grows_twice_as_fast() -> None:
    """Iowa State (1 May 2006) says 70 °F lets them grow twice as fast as 60 °F over base 50."""
    warm, cool = (float(degree_days(f_to_c(t), f_to_c(t), AVERAGE)) for t in (70.0, 60.0))
    assert warm == pytest.approx(2.0 * cool)
