"""Soil temperature (soil_temperature.csv) and the surface layer (surface_water.csv) as their equations give them."""

from __future__ import annotations

import pytest

from springwalk.engine.soil_heat import soil_by_day, surface_c
from springwalk.engine.surface_water import Layer, drying_rate, evaporable_mm
from springwalk.jobs.seedbed_params import seedbed_params
from tests.published.reading import cases


@pytest.mark.parametrize("row", cases("soil_temperature", "case"))
def test_soil_follows_the_model_at_100_mm(row: dict[str, str]) -> None:
    """The shipped coefficients give what was worked by hand from the paper's equations, to the last place."""
    params = seedbed_params().soil
    assert params.depth_mm == 100.0
    air, expected = ([float(x) for x in row[key].split(";")] for key in ("air_c", "soil_c"))
    leaf, green = float(row["leaf_area"]), float(row["green_area"])
    soil = soil_by_day(air, start_c=float(row["start_c"]), params=params, leaf_area=leaf, green_area=green)
    assert soil == pytest.approx(expected, abs=0.0005)
    if row["surface_c"]:
        assert float(surface_c(air[0], params=params, leaf_area=leaf)) == pytest.approx(
            float(row["surface_c"]), abs=5e-4
        )


@pytest.mark.parametrize("row", cases("surface_water", "what", "inputs"))
def test_surface_layer_equation(row: dict[str, str]) -> None:
    """Total evaporable water, and drying that slows from REW on and ends at TEW."""
    values = [float(x) for x in row["inputs"].split(";")]
    found = evaporable_mm(*values) if row["what"] == "evaporable_mm" else drying_rate(values[0], Layer(*values[1:]))
    assert float(found) == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))
