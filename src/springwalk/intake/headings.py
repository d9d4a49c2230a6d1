"""Headings of plain weather tables: which column is the date, the high, the low and the rain, and in what unit."""

from __future__ import annotations

import re
from collections.abc import Mapping

from springwalk.intake.faults import FaultList, did_you_mean, some
from springwalk.intake.tables import normal

_TEMPERATURE_AROUND = frozenset(("temp", "temperature", "t", "air", "daily", "day", "of", "the"))
_RAIN_AROUND = frozenset(("total", "daily", "day", "amount", "sum", "24h", "liquid"))
_DATE_AROUND = frozenset(("time", "local", "obs", "observation", "observed", "valid", "of"))
OBVIOUS: Mapping[str, tuple[frozenset[str], frozenset[str]]] = {
    "date": (frozenset(("date", "datetime", "ymd", "day")), _DATE_AROUND),
    "max": (frozenset(("max", "maximum", "tmax", "maxt", "hi", "high", "highest")), _TEMPERATURE_AROUND),
    "min": (frozenset(("min", "minimum", "tmin", "mint", "lo", "low", "lowest")), _TEMPERATURE_AROUND),
    "rain": (frozenset(("rain", "rainfall", "prcp", "precip", "precipitation", "pcpn")), _RAIN_AROUND),
}
"""Our name: words of which a heading has exactly one, and words that may stand around it (``Daily Max Air Temp``)."""
_UNIT_WORDS = {"c": "C", "degc": "C", "celsius": "C", "f": "F", "degf": "F", "fahrenheit": "F", "mm": "mm", "in": "in",
               "inch": "in", "inches": "in"}  # fmt: skip
_NEW_WORD = re.compile(r"(?<=[a-z])(?=[A-Z])")
EXTREMES = ("max", "min")


def split_unit(heading: str) -> tuple[str, str]:
    """A heading's words and the unit it ends in: ``Max Temp (°F)`` gives ``max_temp`` and ``F``."""
    bare = "".join(c if c.isalnum() else " " for c in _NEW_WORD.sub(" ", heading))
    words = normal(bare).split("_")
    if len(words) > 1 and words[-1] in _UNIT_WORDS:
        unit = _UNIT_WORDS[words.pop()]
        if len(words) > 1 and words[-1] in ("deg", "degrees", "in"):
            words.pop()
        return "_".join(words), unit
    return "_".join(words), ""


def obvious(heading: str, ours: str) -> bool:
    """Whether a heading plainly means one of our columns, in any case and with its unit in it."""
    key, around = OBVIOUS[ours]
    words = split_unit(heading)[0].split("_")
    return sum(word in key for word in words) == 1 and all(word in key or word in around for word in words)


def plain_places(heads: list[str], line: int, columns: Mapping[str, str], faults: FaultList) -> dict[str, int] | None:
    """Where our columns stand, by the user's headings where the file has them, else by the obvious ones.

    None, with its fault listed, where the headings won't do. A table without extremes is read for its rain alone
    only where nothing else is in it, or where ``columns`` names rain and no extreme: an extreme under a heading not
    understood must not be lost in silence.
    """
    places: dict[str, int] = {}
    for ours in OBVIOUS:
        named = [at for at, head in enumerate(heads) if ours in columns and normal(head) == normal(columns[ours])]
        at = named or _obvious_places(heads, ours, [normal(heading) for heading in columns.values()])
        if len(at) > 1:
            names = some(heads[one] for one in at)
            todo = f"name the right one under [station.columns] in season.toml: {ours} = …"
            faults.not_read(line, "headings", names, f"more than one column could be {ours}", todo)
            return None
        if at:
            places[ours] = at[0]
    return places if _enough(heads, line, places, columns, faults) and _one_unit(heads, line, places, faults) else None


def _obvious_places(heads: list[str], ours: str, taken: list[str]) -> list[int]:
    at = [at for at, head in enumerate(heads) if obvious(head, ours) and normal(head) not in taken]
    dates = [one for one in at if "date" in split_unit(heads[one])[0]]
    return dates if ours == "date" and dates else at


def _enough(
    heads: list[str], line: int, places: Mapping[str, int], columns: Mapping[str, str], faults: FaultList
) -> bool:
    others = [head.strip() for at, head in enumerate(heads) if head.strip() and at not in places.values()]
    without = "rain" in places and not any(ours in places for ours in EXTREMES)
    rain_named = "rain" in columns and not any(ours in columns for ours in EXTREMES)
    needed = ("date",) if without and (rain_named or not others) else ("date", *EXTREMES)
    missing = [columns.get(ours, ours) for ours in needed if ours not in places]
    if not missing:
        return True
    hints = [did_you_mean(name, others) for name in missing]
    near = "".join(f"{name}: {hint}? " for name, hint in zip(missing, hints, strict=True) if hint.startswith("did"))
    rule = f"needed and not there (found: {some([head.strip() for head in heads if head.strip()], 20)})"
    todo = f"{near}name your headings under [station.columns] in season.toml"
    if without and "date" in places:
        todo += "; if rain alone is meant, name only date and rain there"
    faults.not_read(line, "headings", ", ".join(missing), rule, todo)
    return False


def _one_unit(heads: list[str], line: int, places: Mapping[str, int], faults: FaultList) -> bool:
    names = [heads[places[ours]] for ours in EXTREMES if ours in places]
    if len({unit for name in names if (unit := split_unit(name)[1])}) < 2:
        return True
    told = ", ".join(name.strip() for name in names)
    faults.not_read(line, "headings", told, "the two headings name different units", "correct the headings")
    return False
