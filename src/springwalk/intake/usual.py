"""Headings people commonly use, by our column: read without being mapped, and said so."""

from __future__ import annotations

from collections.abc import Collection, Mapping

USUAL: Mapping[str, tuple[str, ...]] = {
    "field": ("fld", "field id", "field name", "field no", "farm field", "location of field"),
    "planted": ("planting date", "date planted", "plant date", "planted on", "plant dt"),
    "hybrid": ("variety", "hybrid name"),
    "acres": ("area", "ac", "acres planted"),
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
    "pass": ("trip", "kind of pass", "operation", "activity", "what"),
    "at": ("time", "ended", "time ended", "finished"),
    "product": ("products", "material", "chemical"),
    "entry_hours": ("rei", "reentry", "re entry", "entry interval", "restricted entry", "rei hours"),
    "direction": ("heading", "row direction"),
    "untreated": ("check strip", "untreated strip", "left out"),
    "hours": ("how long", "hours standing", "duration"),
    "rain": ("amount", "rainfall", "precip", "precipitation", "inches", "rain in"),
    "hard": ("hard rain", "pounding", "beating"),
    "source": ("from whom", "service", "reported by"),
    "near": ("place", "town", "county"),
    "night": ("date", "flight", "night of"),
    "either_way": ("plus minus", "give or take"),
    "lot": ("lot id", "lot no", "lot number", "seed lot"),
    "treatment": ("seed treatment", "trt"),
    "warm": ("warm test", "warm germ", "warm pct", "germ"),
    "cold": ("cold test", "cold germ", "cold pct"),
    "grower": ("client", "farmer", "customer"),
    "every": ("days", "every days", "how often", "interval"),
    "until": ("to", "last", "ends"),
    "pest": ("insect", "species", "what pest"),
    "unit": ("per", "sampling unit"),
    "looked": ("looked at", "units", "checked", "samples", "sampled"),
    "insects": ("count", "number", "found", "larvae", "total"),
    "with": ("units with", "plants with", "infested", "injured"),
    "size": ("length", "size mm", "length mm"),
    "look": ("key", "look key"),
    "on": ("date", "day", "done on"),
    "outcome": ("result", "ended"),
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
