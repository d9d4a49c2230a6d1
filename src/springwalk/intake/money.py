"""[money] and [team] of season.toml: prices, costs, wage; people, hours and where they leave from."""

from __future__ import annotations

from datetime import time

from springwalk.intake.cells import UnreadableError
from springwalk.intake.toml import Section
from springwalk.records import Money, Team

MONEY_KEYS = {
    "yield": ("crop_bu_ac", 1.0, 500.0), "price": ("price_usd_bu", 0.01, 100.0),
    "pass_cost": ("pass_usd_ac", 0.01, 500.0), "product_cost": ("product_usd_ac", 0.0, 500.0),
    "wage": ("wage_usd_h", 0.0, 1000.0),
}  # fmt: skip
"""Our key → the record's name, least and most: bushels an acre, $ a bushel, $ an acre, $ an hour."""


def read_money(told: Section | None) -> Money:
    """Prices and costs as typed; what is not there or wrong stays not told."""
    if told is None:
        return Money()
    told.only(*MONEY_KEYS, "days_to_sprayer")
    found = {name: told.number(key, low, high) for key, (name, low, high) in MONEY_KEYS.items()}
    return Money(**found, days_to_sprayer=told.whole("days_to_sprayer", 0, 14))


def read_team(told: Section | None) -> Team:
    """The day's people; a place needs both latitude and longitude."""
    if told is None:
        return Team()
    told.only("people", "hours", "leave", "latitude", "longitude")
    latitude, longitude = told.number("latitude", -90, 90), told.number("longitude", -180, 180)
    if (latitude is None) != (longitude is None):
        told.refuse("latitude" if latitude is None else "longitude", "", "a place needs both", "give the other one too")
        latitude = longitude = None
    return Team(
        people=told.whole("people", 1, 20), hours=told.number("hours", 0.25, 16.0), leave=told.read("leave", _hour),
        latitude=latitude, longitude=longitude,
    )  # fmt: skip


def _hour(text: str) -> time:
    try:
        return time.fromisoformat(text.strip().zfill(5))
    except ValueError:
        raise UnreadableError("not a time of day", 'write it like "07:00"') from None
