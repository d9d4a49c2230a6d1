"""A walk as people type it: stops such as ``20 places: 1 fresh at, 2 leaf-fed``, and larvae such as ``12mm``."""

from __future__ import annotations

import re
from collections.abc import Mapping

from springwalk.errors import BadValue
from springwalk.intake import UnreadableError, cells, shown
from springwalk.jobs.typed import made
from springwalk.records import PLANT_STATES, Larva, Stop
from springwalk.units import quantity

WORDS: Mapping[str, str] = {
    "fresh": "fresh_cut_at", "fresh cut": "fresh_cut_at", "fresh at": "fresh_cut_at", "fresh above": "fresh_cut_above",
    "fresh below": "fresh_cut_below", "cut": "fresh_cut_at", "old": "old_cut", "leaf feeding": "leaf_fed",
    "fed": "leaf_fed", "empty": "empty_place", "gap": "empty_place", "gaps": "empty_place", "doubles": "double",
    "tunneled": "tunnelled",
}  # fmt: skip
"""What people say beside the states' own names; a fresh cut without its height is at the ground."""
_STOP = re.compile(r"(?:(?P<part>[^:]*?)\s*:\s*)?(?P<places>\d+)\s*places?\s*(?::\s*(?P<counts>.*))?", re.IGNORECASE)
_COUNT = re.compile(r"(?P<n>\d+)\s+(?P<state>[a-z][a-z\s_-]*)", re.IGNORECASE)
LIKE = "write it like '20 places: 1 fresh at, 2 leaf-fed', or 'low: 20 places: none'"


def stop(text: str, *, counted: bool = True) -> Stop:
    """One stop; what stands before the first colon and is no count of places is the zone. Raises BadValue.

    ``counted`` False for a stop made where it looked worst.
    """
    found = _STOP.fullmatch(" ".join(text.split()))
    if found is None:
        raise BadValue("stop", shown(text), "not a stop", LIKE)
    counts = _counts(text, found["counts"] or "")
    told = {"places": int(found["places"]), "part": found["part"] or "", "counted": counted, **counts}
    seen = sum(number for state, number in counts.items() if state != "double")
    if seen > int(found["places"]):
        raise BadValue("stop", shown(text), f"{seen} plants in {found['places']} places", "correct one of the two")
    return made(Stop, **told)


def _counts(stop_text: str, text: str) -> dict[str, int]:
    out: dict[str, int] = {}
    for each in (part.strip() for part in text.split(",")):
        if not each or each.casefold() in ("none", "nothing"):
            continue
        found = _COUNT.fullmatch(each)
        state = _state(found["state"]) if found else None
        if found is None or state is None:
            words = ", ".join(name.replace("_", " ") for name in PLANT_STATES)
            raise BadValue("stop", shown(stop_text), f"{each!r} is no count of a plant state", f"use {words}")
        if state in out:
            raise BadValue("stop", shown(stop_text), f"{state.replace('_', ' ')} is told twice", "tell it once")
        out[state] = int(found["n"])
    return out


def _state(text: str) -> str | None:
    asked = " ".join(text.casefold().replace("-", " ").replace("_", " ").split()).removesuffix(" plants")
    if asked in WORDS:
        return WORDS[asked]
    own = asked.replace(" ", "_")
    return own if own in PLANT_STATES else None


def larva(text: str) -> Larva:
    """One larva: its length such as ``12mm`` or ``0.5in`` (a bare number is mm), or ``instar 5``. Raises BadValue."""
    asked = text.strip().casefold()
    if asked.startswith("instar"):
        number = asked.removeprefix("instar").strip()
        if not number.isdecimal():
            raise BadValue("larva", shown(text), "not an instar", "write it like 'instar 5', or a length like 12mm")
        return made(Larva, instar=int(number))
    bare = asked.replace(".", "", 1).isdecimal()
    metres = quantity(f"{asked}mm" if bare else asked, "length_m", name="larva")
    return made(Larva, length_mm=metres * 1000.0)


def collars(text: str) -> tuple[float, bool] | None:
    """Leaf collars such as ``2``, ``V2`` or ``VE`` and whether they were told by collar; None for blank."""
    if not text.strip():
        return None
    try:
        return cells.collars(text.strip())
    except UnreadableError as error:
        raise BadValue("collars", shown(text), error.rule, error.todo) from None
