"""What the forms for a walk say: names of plant states, hours and soils, and a marked row as it was counted last."""

from __future__ import annotations

from typing import TYPE_CHECKING

from springwalk.show import numbers as n
from springwalk.show.facts import upper_first

if TYPE_CHECKING:  # words need the shapes, not what makes them
    from springwalk.jobs.walk import MarkedRow, WalkGround

STATES: dict[str, str] = {
    "fresh_cut_above": "Fresh cut, above the soil",
    "fresh_cut_at": "Fresh cut, at the soil",
    "fresh_cut_below": "Fresh cut, below it",
    "old_cut": "Old cut",
    "regrown": "Cut and regrown",
    "tunnelled": "Tunnelled",
    "wilted": "Wilted",
    "leaf_fed": "Leaf-fed",
    "empty_place": "Empty place",
    "sound": "Sound",
}
"""A box each; fresh means cut in the last two days."""
FOUND = tuple(state for state in STATES if state != "sound")
"""What is something found; a sound plant is not."""
COUNTED = {
    "fresh_cut": "fresh cut", "old_cut": "old cut", "regrown": "regrown", "tunnelled": "tunnelled",
    "empty_place": "empty", "wilted": "wilted", "leaf_fed": "leaf-fed",
}  # fmt: skip
STOP_HINT = (
    "Fresh means cut in the last two days. A box left blank is 0. Nothing found at a stop? Tick that, or it does not"
    " count as looked at."
)
ROW_HINT = "Name a row length you mark with a flag, and count it again in two days: only new cuts are then added."
SIZES_HINT = "Lengths in mm with blanks between, like 12 15 18, or with a unit: 1/2in. Or instar 5."
STAGE_HINT = "The usual plant, like V2 or 2.5."
RECOUNT_HOW = (
    "Count every cut plant in the row as it is now: what was fresh last time is old now. A cut plant may be old,"
    " regrown, tunnelled or gone (an empty place). Type 0 where there is none; a row left blank was not looked at."
)
NO_ROWS = "No row of this field is marked yet. Name one in the form of a walk, and it can be counted again here."
WHEN_TO_SEARCH = (
    "Best from dusk on, with a lamp; by day larvae sit in the soil. Say the hour: it changes what is found."
)
NOTHING_TOLD = (
    "Nothing was told: fill in a stop, or tick that nothing was found there, or a search, the collars or a note."
)
CLEAN_OR_NOT_MADE = (
    "Nothing is told of this stop: tick that nothing was found, or clear the places if nobody looked there."
)
CLEAN_YET_FOUND = "Ticked as nothing found, yet plants are told: take the tick away, or clear their boxes."
NO_PLACES = "Say how many places were looked at, at least 1."
NO_SEARCH_TOLD = "Say how many plants were searched."
NO_ROW_TOLD = "No row was counted: type at least one number, 0 where there is none."
STAGINGS = {"collars": "leaf collars", "leaves": "leaves showing", "horizontal leaf": "by the horizontal leaf"}


def hours() -> list[tuple[str, str]]:
    """Each hour of a day as a form sends it and as people say it."""
    return [(str(h), f"{(h + 11) % 12 + 1} {'am' if h < 12 else 'pm'}") for h in range(24)]


def row_title(row: MarkedRow, ground: WalkGround) -> str:
    """A marked row's name, with its zone and planting where the field has some: ``Row A, Low corner``."""
    zones = {zone.id: zone.name for zone in ground.zones}
    plantings = {one.id: one.name for one in ground.plantings}
    zone = zones.get(row.stop.part, "")
    planting = f"planting {plantings.get(row.planting, row.planting)}" if row.planting and len(plantings) > 1 else ""
    name = upper_first(row.name) if row.name.casefold().startswith("row ") else f"Row {row.name}"
    return ", ".join(text for text in (name, zone, planting) if text)


def row_counted(row: MarkedRow) -> str:
    """A marked row as it was counted last: ``On 14 May: two fresh cut, one empty in 20 places.``"""
    found = {name: int(getattr(row.stop, name)) for name in COUNTED}
    told = [f"{n.count(count, COUNTED[name], COUNTED[name])}" for name, count in found.items() if count]
    places = n.count(row.stop.places, "place", words=False)
    return f"On {n.day(row.walked)}: {', '.join(told) or 'nothing cut'} in {places}."
