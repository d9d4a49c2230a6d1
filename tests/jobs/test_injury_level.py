"""The question behind ``injury-level``."""

from __future__ import annotations

import pytest

from springwalk.jobs.injury_level import injury_level

SHEET = {"cost": 15.0, "crop_yield": 135.0, "price": 3.0, "loss_per_pest": 0.059, "control": 0.72}


def test_sheet_is_worked_for_the_pests_given() -> None:
    """The exact level knows nothing of the pests found; the sheet's lines do."""
    published, other = injury_level(**SHEET), injury_level(**SHEET, pests_per_plant=1.2)
    assert published["per_plant"] == other["per_plant"]
    assert (published["worksheet"], published["steps"]["pests_per_plant"]) == (0.88, 0.6)
    assert other["steps"]["loss_share"] == pytest.approx(0.071)
    assert list(published) == ["per_plant", "worksheet", "steps"]
