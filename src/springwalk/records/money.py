"""What a season's owner typed of money and of the day's people; None = not told."""

from __future__ import annotations

from datetime import time
from typing import ClassVar

from pydantic import Field as Value

from springwalk.records.base import Record


class Money(Record):
    """What the crop, a treatment and an hour are worth, in US dollars, bushels and acres as they are talked of.

    ``pass_usd_ac`` is an own pass with its product, ``product_usd_ac`` the product alone on a pass that goes anyway;
    ``days_to_sprayer`` how long an order takes.
    """

    kind: ClassVar[str] = "money"
    crop_bu_ac: float | None = Value(default=None, gt=0, le=500)
    price_usd_bu: float | None = Value(default=None, gt=0, le=100)
    pass_usd_ac: float | None = Value(default=None, gt=0, le=500)
    product_usd_ac: float | None = Value(default=None, ge=0, le=500)
    wage_usd_h: float | None = Value(default=None, ge=0, le=1000)
    days_to_sprayer: int | None = Value(default=None, ge=0, le=14)


class Team(Record):
    """Who walks: how many people, hours each, when they leave, and the place they leave from and come home to."""

    kind: ClassVar[str] = "team"
    people: int | None = Value(default=None, ge=1, le=20)
    hours: float | None = Value(default=None, gt=0, le=16)
    leave: time | None = None
    latitude: float | None = Value(default=None, ge=-90, le=90)
    longitude: float | None = Value(default=None, ge=-180, le=180)
