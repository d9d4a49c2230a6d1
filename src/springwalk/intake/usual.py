"""Headings people commonly use, by our column: read without being mapped, and said so."""

from __future__ import annotations

from collections.abc import Collection, Mapping

USUAL: Mapping[str, tuple[str, ...]] = {
    "field": ("fld", "field id", "field name", "field no", "farm field", "location of field"),
    "planted": ("planting date", "date planted", "plant date", "planted on", "plant dt"),
    "hybrid": ("variety", "hybrid name"),
    "acres": ("area", "ac"),
    "row_width": ("row width", "rows", "row spacing", "row width in"),
    "seeds_per_acre": ("pop", "population", "seeding rate", "seeds per acre"),
    "zone": ("part", "area of field"),
    "date": ("when", "day", "date walked", "date seen"),
    "event": ("what", "activity", "operation", "what happened"),
    "cover": ("how green", "green", "greenness", "ground cover"),
    "person": ("who", "by", "scout", "initials"),
    "note": ("notes", "remarks", "comment", "comments"),
    "trap": ("location", "site", "trap id", "trap name", "trap site"),
    "kind": ("trap type", "type of trap", "trap kind", "type"),
    "latitude": ("lat",),
    "longitude": ("lon", "long", "lng"),
    "since": ("set", "last checked", "set on", "from"),
    "read": ("checked", "date checked", "read on", "date read", "date", "day"),
    "moths": ("count", "catch", "moth count", "bcw", "bcw moths", "black cutworm moths"),
    "walk": ("walk id", "walk no", "visit"),
    "places": ("plants", "plants checked", "plants looked at", "plant places"),
    "searched": ("plants searched", "plants dug"),
}


def usual_places(found: Mapping[str, list[int]], missing: Collection[str], taken: Collection[str]) -> dict[str, str]:
    """Column → heading in the file (both normal) for columns that go by a usual name there.

    ``found`` headings of the file, ``missing`` our columns without one, ``taken`` headings that are ours already.
    A heading that stands twice, or could be two columns, is left alone.
    """
    free = {key for key, ats in found.items() if len(ats) == 1 and key not in taken}
    told = {
        column: [key for name in USUAL.get(column, ()) if (key := name.replace(" ", "_")) in free] for column in missing
    }
    first = {column: names[0] for column, names in told.items() if names}
    claims = list(first.values())
    return {column: key for column, key in first.items() if claims.count(key) == 1}
