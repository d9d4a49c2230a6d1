"""At how many pests a plant a treatment pays for itself: a question that needs no store."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from springwalk.engine import injury

SHEET_PESTS_PER_PLANT = 0.6
"""Larvae per plant of the published sheet: 300 per 100 plants, of which a fifth live (Penn State, table 14)."""


def injury_level(
    *,
    cost: float,
    crop_yield: float,
    price: float,
    loss_per_pest: float,
    control: float,
    pests_per_plant: float = SHEET_PESTS_PER_PLANT,
) -> dict[str, Any]:
    """The injury level in pests per plant: ``per_plant`` exact, ``worksheet`` as a paper sheet rounds it.

    ``steps`` holds the sheet's lines for ``pests_per_plant``. Cost and yield are per the same area, the price per the
    same unit of yield. Raises BadValue. Source: engine.injury.
    """
    given = {
        "cost": cost, "crop_yield": crop_yield, "price": price, "loss_per_pest": loss_per_pest, "control": control,
    }  # fmt: skip
    sheet = asdict(injury.worksheet(**given, pests_per_plant=pests_per_plant))
    level = sheet.pop("level")
    return {
        "per_plant": injury.injury_level(**given),
        "worksheet": level,
        "steps": {"pests_per_plant": pests_per_plant, **sheet},
    }
