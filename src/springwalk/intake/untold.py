"""What a file has no column for: those parts of a record keep what is held of it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from springwalk.intake.money import MONEY_KEYS
from springwalk.records import PLANT_STATES, Record

STOP = "stops."
"""Before the name of a part of each stop of a walk."""
PART_OF: Mapping[str, Mapping[str, str]] = {
    "field": {
        "name": "name", "grower": "grower", "note": "note", "elevation": "elevation_m", "texture": "texture",
        "previous_crop": "previous_crop", "history": "history",
    },
    "planting": {
        "planted": "planted", "hybrid": "hybrid", "trait": "trait", "lot": "lot", "planter": "planter",
        "seeds_per_acre": "seeds_per_ha", "row_width": "row_width_m", "acres": "area_ha", "zone": "zone",
    },
    "zone": {"name": "name"},
    "event": {"cover": "cover", "hours": "hours", "person": "person", "note": "note"},
    "trap": {"name": "name"},
    "catch": {"person": "person"},
    "flight report": {"either_way": "nights_either_way", "note": "note"},
    "pass": {
        "at": "at", "product": "product", "entry_hours": "entry_hours", "direction": "direction_deg",
        "untreated": "untreated", "person": "person", "note": "note",
    },
    "gauge": {"hard": "hard", "person": "person"},
    "progress": {"person": "person"},
    "seed lot": {
        "hybrid": "hybrid", "trait": "trait", "treatment": "treatment", "warm": "warm_pct", "cold": "cold_pct",
        "note": "note",
    },
    "promise": {"since": "since", "until": "until", "note": "note"},
    "pest count": {
        "insects": "insects", "with": "units_with", "size": "length_mm", "person": "person", "note": "note",
    },
    "recommendation": {
        "parts": "parts", "text": "text", "treats": "treats", "act_on": "act_on", "visit": "visit_usd",
        **{key: name for key, (name, _, _) in MONEY_KEYS.items()}, "days_to_sprayer": "days_to_sprayer",
        "pass_in": "pass_in_days", "assumed": "assumed", "engine": "engine_version", "settings": "settings_hash",
        "shown": "shown", "person": "person", "note": "note",
    },
    "recommendation step": {
        "at": "at", "for": "wanted_on", "pass": "pass_key", "cut_again": "cut_again_pct", "places": "places",
        "larvae": "larvae", "person": "person", "note": "note",
    },
    "done": {"outcome": "outcome", "person": "person", "note": "note"},
    "walk": {
        "person": "person", "planting": "planting", "collars": "collars", "staging": "staging",
        "searched": "plants_searched", "hour": "hour", "soil": "soil", "larvae_mm": "larvae",
        "instars": "larvae", "note": "note",
        **{part: f"{STOP}{part}" for part in ("part", "counted", "marked_row", *PLANT_STATES)},
    },
}  # fmt: skip
"""Column, then the part of the record it tells, by kind. Columns that name the thing, or are needed, are not here;
nor is ``since``, which follows from the readings where it has no column."""


def untold(
    records: Iterable[Record], absent: Mapping[str, Collection[str]], dated: Collection[str]
) -> dict[str, frozenset[str]]:
    """The parts of each record that its file has no column for, by natural key.

    ``absent`` are the columns the file lacks, by kind; ``dated`` the plantings whose date an event told.
    """
    parts = {
        kind: frozenset(told.values()) - {part for column, part in told.items() if column not in columns}
        for kind, columns in absent.items()
        if (told := PART_OF.get(kind, {}))
    }
    found = {}
    for record in records:
        names = parts.get(record.kind, frozenset())
        key = record.natural_key()
        names = names - {"planted"} if key in dated else names
        if names:
            found[key] = names
    return found
