"""A walk as people type it: stops such as ``20 places: 1 fresh at, 2 leaf-fed``, marked rows, and larvae: ``12mm``."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from typing import get_args

from springwalk.errors import BadValue
from springwalk.intake import UnreadableError, cells, one_line, shown
from springwalk.jobs.typed import made
from springwalk.records import PLANT_STATES, Larva, Stop
from springwalk.records.walks import LAST_INSTAR, LONGEST_LARVA_MM, Soil, Staging
from springwalk.units import quantity

WORDS: Mapping[str, str] = {
    "fresh": "fresh_cut_at", "fresh cut": "fresh_cut_at", "fresh at": "fresh_cut_at", "fresh above": "fresh_cut_above",
    "fresh below": "fresh_cut_below", "cut": "fresh_cut_at", "old": "old_cut", "leaf feeding": "leaf_fed",
    "fed": "leaf_fed", "empty": "empty_place", "gap": "empty_place", "gaps": "empty_place", "doubles": "double",
    "tunneled": "tunnelled",
}  # fmt: skip
"""What people say beside the states' own names; a fresh cut without its height is at the ground."""
STAGINGS: tuple[str, ...] = get_args(Staging)
SOILS: tuple[str, ...] = get_args(Soil)
_STOP = re.compile(r"(?:(?P<part>[^:]*?)\s*:\s*)?(?P<places>\d+)\s*places?\s*(?::\s*(?P<counts>.*))?", re.IGNORECASE)
_COUNT = re.compile(r"(?P<n>\d+)\s+(?P<state>[a-z][a-z\s_-]*)", re.IGNORECASE)
_FRACTION = re.compile(r"(?:(?P<whole>\d)[\s-])?(?P<top>\d{1,2})/(?P<bottom>\d{1,2})\s*(?P<unit>[a-z]*)")
_LARVA = re.compile(
    r"instar\s*\S+|(?:[1-3][\s-])?\d{1,2}/\d{1,2}\s*(?:[a-z]+)?|[\d.]+\s*(?!instar)[a-z]+|\S+", re.IGNORECASE
)
LIKE = "write it like '20 places: 1 fresh at, 2 leaf-fed', or 'low: 20 places: none'"
ROW_LIKE = "write it like 'A: 20 places: 2 fresh', or 'A: low: 20 places: none' in the zone low"
LARVA_LIKE = "write lengths like '12 15 18' (mm) or '1/2in', or 'instar 5'"
LONGEST_ROW_NAME, MOST_PLACES = 40, 2000
"""What a record holds at most; what is odd below that is kept and asked about."""


def stop(text: str, *, counted: bool = True) -> Stop:
    """One stop; what stands before the first colon and is no count of places is the zone. Raises BadValue.

    ``counted`` False for a stop made where it looked worst. More plants than places is no error here: it is kept, and
    asked about.
    """
    return _stop(text, text, counted=counted)


def row(text: str) -> Stop:
    """A marked row: its name before the first colon, then a stop. Raises BadValue."""
    name, _, rest = text.partition(":")
    if not rest.strip() or not name.strip():
        raise BadValue("row", shown(text), "no name and count of a marked row", ROW_LIKE)
    try:
        return _stop(rest, text, marked_row=row_name(name))
    except BadValue as error:
        raise BadValue("row", shown(text), error.rule, ROW_LIKE if error.todo == LIKE else error.todo) from None


def row_name(text: str) -> str:
    """A marked row's name as it is kept: one line without a leading "row"; "" for a blank. Raises BadValue."""
    name = re.sub(r"^row\s+", "", " ".join(text.split()), flags=re.IGNORECASE)
    try:
        name = one_line(name)
    except UnreadableError as error:
        raise BadValue("row", shown(text), error.rule, error.todo) from None
    if len(name) > LONGEST_ROW_NAME:
        raise BadValue("row", shown(text), f"a name longer than {LONGEST_ROW_NAME} characters", "call it by a letter")
    return name


def _stop(text: str, whole: str, **more: object) -> Stop:
    found = _STOP.fullmatch(" ".join(text.split()))
    if found is None:
        raise BadValue("stop", shown(whole), "not a stop", LIKE)
    counts = _counts(whole, found["counts"] or "")
    places = int(found["places"][:9])
    if not 1 <= places <= MOST_PLACES:
        raise BadValue("stop", shown(whole), f"a stop has 1 to {MOST_PLACES} places", "count the places looked at")
    return made(Stop, places=places, part=found["part"] or "", **more, **counts)


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
        out[state] = int(found["n"][:9])
    return out


def _state(text: str) -> str | None:
    asked = " ".join(text.casefold().replace("-", " ").replace("_", " ").split()).removesuffix(" plants")
    if asked in WORDS:
        return WORDS[asked]
    own = asked.replace(" ", "_")
    return own if own in PLANT_STATES else None


def larvae(text: str) -> tuple[Larva, ...]:
    """Larvae in one line, parted by blanks, commas or semicolons: ``12 15 18mm``, ``1/2in, 5/8in``; blank = none.

    A bare number is in mm. Raises BadValue.
    """
    plain = " ".join(text.replace('"', "in").replace(",", " ").replace(";", " ").split())
    return tuple(larva(found) for found in _LARVA.findall(plain))


def larva(text: str) -> Larva:
    """One larva: its length such as ``12mm``, ``0.5in`` or ``5/8in`` (a bare number is mm), or ``instar 5``.

    Raises BadValue.
    """
    asked = text.strip().casefold()
    if asked.startswith("instar"):
        number = asked.removeprefix("instar").strip()
        if not number.isdecimal() or not 1 <= int(number[:9]) <= LAST_INSTAR:
            raise BadValue("larva", shown(text), "not an instar", "write it like 'instar 5', or a length like 12mm")
        return made(Larva, instar=int(number))
    try:
        length_mm = round(quantity(_decimal(asked, text), "length_m", name="larva") * 1000.0, 6)
    except BadValue as error:
        todo = error.todo if error.rule.endswith("does not fit") else LARVA_LIKE
        raise BadValue("larva", shown(text), error.rule, todo) from None
    if not 0.0 < length_mm <= LONGEST_LARVA_MM:
        rule = f"not a larva's length (above 0, at most {LONGEST_LARVA_MM:g} mm)"
        raise BadValue("larva", shown(text), rule, LARVA_LIKE)
    return made(Larva, length_mm=length_mm)


def _decimal(asked: str, text: str) -> str:
    """A length with a decimal number and a unit; a fraction must tell its unit, since nobody measures 1/2 mm."""
    asked = asked.replace('"', "in")
    parts = _FRACTION.fullmatch(asked)
    if parts is None:
        return f"{asked}mm" if asked.replace(".", "", 1).isdecimal() else asked
    if not parts["unit"] or not int(parts["bottom"]):
        raise BadValue("larva", shown(text), "a part of what is not told", LARVA_LIKE)
    value = int(parts["whole"] or 0) + Fraction(int(parts["top"]), int(parts["bottom"]))
    return f"{float(value)!r}{parts['unit']}"


def count(text: str, *, most: int) -> int:
    """A whole number from 0 to ``most``; raises BadValue."""
    try:
        value = cells.whole(text)
        cells.within(value, 0, most)
    except UnreadableError as error:
        raise BadValue("count", shown(text), error.rule, error.todo) from None
    return value


def collars(text: str) -> tuple[float, bool] | None:
    """Leaf collars such as ``2``, ``V2`` or ``VE`` and whether they were told by collar; None for blank."""
    if not text.strip():
        return None
    try:
        return cells.collars(text.strip())
    except UnreadableError as error:
        raise BadValue("collars", shown(text), error.rule, error.todo) from None
