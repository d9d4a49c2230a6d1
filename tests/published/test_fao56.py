"""Evapotranspiration piece by piece against the worked examples of FAO-56 (fao56.csv)."""

from __future__ import annotations

import pytest

from springwalk.engine import evaporation
from tests.published.reading import cases, rows


@pytest.mark.parametrize("row", cases("fao56", "what", "source"))
def test_piece_matches_its_example(row: dict[str, str]) -> None:
    """Each equation by itself, so that two slips can't cancel in the sum; inputs in the order of the function."""
    found = _result(row["what"], [float(x) for x in row["inputs"].split(";")])
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_every_row_says_how_it_is_known() -> None:
    """A recalled figure may not pass for one that was read."""
    allowed = {"published", "published and recomputed", "recalled", "recalled and recomputed"}
    assert {row["basis"] for row in rows("fao56")} <= allowed


def test_brussels_day_from_readings_to_result() -> None:
    """Example 18 whole (published result 3.9 mm): from raw readings, with no rounding between the steps."""
    low, high, height = 12.3, 21.5, 100.0
    above = evaporation.above_air_mj(50.80, 187)
    sun = evaporation.sun_from_hours_mj(above, 9.25, evaporation.day_length_h(50.80, 187))
    actual = evaporation.actual_kpa(low, high, 84, 63)
    lost = evaporation.net_long_mj(low, high, actual, sun, evaporation.clear_sun_mj(above, height))
    net = evaporation.net_short_mj(sun) - lost
    gamma = evaporation.psychrometric_kpa_per_c(evaporation.pressure_kpa(height))
    wind, full = evaporation.wind_at_2m(2.78, 10), evaporation.mean_saturation_kpa(low, high)
    et0 = evaporation.penman_monteith_mm((low + high) / 2, wind, net, full, actual, gamma)
    assert float(net) == pytest.approx(13.28, abs=0.005)
    assert float(et0) == pytest.approx(3.88, abs=0.005)


def _result(what: str, inputs: list[float]) -> float:
    if what == "penman_monteith_mm" and len(inputs) == 7:
        return float(evaporation.penman_monteith_mm(*inputs[:6], soil_mj=inputs[6]))
    return float(getattr(evaporation, what)(*inputs))
