"""What a file has no column for: those parts of a record keep what is held of it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from springwalk.records import PLANT_STATES, Record

STOP = "stops."
"""Before the name of a part of each stop of a walk."""
PART_OF: Mapping[str, Mapping[str, str]] = {
    "field": {"name": "name", "grower": "grower", "note": "note", "elevation": "elevation_m"},
    "planting": {
        "planted": "planted", "hybrid": "hybrid", "trait": "trait", "lot": "lot", "planter": "planter",
        "seeds_per_acre": "seeds_per_ha", "row_width": "row_width_m", "acres": "area_ha",
    },
    "zone": {"name": "name"},
    "event": {"cover": "cover", "person": "person", "note": "note"},
    "trap": {"name": "name"},
    "catch": {"person": "person"},
    "walk": {
        "person": "person", "planting": "planting", "collars": "collars", "staging": "staging",
        "searched": "plants_searched", "hour": "hour", "soil": "soil", "larvae_mm": "larvae", "note": "note",
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
        kind: frozenset(part for column, part in PART_OF.get(kind, {}).items() if column in columns)
        for kind, columns in absent.items()
    }
    found = {}
    for record in records:
        names = parts.get(record.kind, frozenset())
        key = record.natural_key()
        names = names - {"planted"} if key in dated else names
        if names:
            found[key] = names
    return found
