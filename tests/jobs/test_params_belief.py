"""Belief's parameters from the tables: units, weights and the shared numbers."""

from __future__ import annotations

import pytest

from springwalk.jobs.params import load
from springwalk.jobs.params_belief import belief_params
from springwalk.records.walks import Soil
from springwalk.tables import numbers

PARAMS = belief_params()


def test_shifts_are_in_celsius_days() -> None:
    """25 and 14 °F·day between seasons and fields are 13.9 and 7.8 °C·day; the field's is the cutworm clock's own."""
    assert PARAMS.season_shift_sd_ddc == pytest.approx(25 / 1.8)
    assert PARAMS.field_shift_sd_ddc == pytest.approx(load().engine.clock.field_sd_ddc)


def test_weights_are_chances() -> None:
    """Backgrounds of leaf feeding and stages of other larvae each add to 1; every share lies between 0 and 1."""
    assert sum(PARAMS.leaf_weights) == pytest.approx(1.0)
    assert sum(PARAMS.sizes.other) == pytest.approx(1.0)
    for share in (PARAMS.cut_found, PARAMS.found_day, PARAMS.found_night, PARAMS.other_prior, *PARAMS.sizes.found):
        assert 0.0 < share <= 1.0


def test_every_soil_of_a_walk_has_its_detection() -> None:
    """A soil the scout can tap must change what is found, never fall through to none."""
    assert set(PARAMS.soil_factor) == set(Soil.__args__)  # type: ignore[attr-defined]


def test_nothing_of_belief_is_shown_as_authority() -> None:
    """No source gives any of these numbers: all are assumptions, and said so."""
    assert {found.mark for found in numbers("belief").values()} == {"assumption"}
