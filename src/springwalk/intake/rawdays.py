"""Weather rows as a file writes them, before units: how each form's cells become ``RawDay``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from springwalk.intake import cells
from springwalk.intake.cells import UnreadableError
from springwalk.intake.faults import FaultList, did_you_mean, some
from springwalk.intake.tables import csv_lines, normal, separator_fault

MISSING_MARKS = frozenset(("", "m", "na", "n/a", "nan", "null", "-", "--", "-9999", "-9999.0", "9999"))
TRACE = "t"
"""How many services write rain too little to measure; read as 0."""

_DATE_WORDS = ("date", "day", "ymd")
_MAX_WORDS = ("max", "tmax", "high", "maximum", "max_temp", "temp_max", "max_temperature", "maximum_temperature",
              "temperature_max", "high_temp", "max_air_temp", "t_max")  # fmt: skip
_MIN_WORDS = ("min", "tmin", "low", "minimum", "min_temp", "temp_min", "min_temperature", "minimum_temperature",
              "temperature_min", "low_temp", "min_air_temp", "t_min")  # fmt: skip
_RAIN_WORDS = ("rain", "prcp", "precip", "precipitation", "rainfall")
OBVIOUS: Mapping[str, tuple[str, ...]] = {
    "date": _DATE_WORDS,
    "max": _MAX_WORDS,
    "min": _MIN_WORDS,
    "rain": _RAIN_WORDS,
}
_UNIT_WORDS = {"c": "C", "degc": "C", "celsius": "C", "f": "F", "degf": "F", "fahrenheit": "F", "mm": "mm", "in": "in",
               "inch": "in", "inches": "in"}  # fmt: skip


@dataclass
class RawDay:
    """One day in the file's own units; None where not reported."""

    row: int
    day: date
    maximum: float | None = None
    minimum: float | None = None
    rain: float | None = None

    @property
    def values(self) -> tuple[float | None, float | None, float | None]:
        """Maximum, minimum and rain."""
        return self.maximum, self.minimum, self.rain


@dataclass
class RawFile:
    """All rows of one file that could be read, the headings they stood under, and units the headings name."""

    days: list[RawDay] = field(default_factory=list)
    headings: dict[str, str] = field(
        default_factory=lambda: {"date": "DATE", "max": "TMAX", "min": "TMIN", "rain": "PRCP"}
    )
    temperature_unit: str = ""
    rain_unit: str = ""
    station: str = ""


def value_of(text: str) -> float | None:
    """One reading; None for a blank or a mark for missing; raises UnreadableError."""
    word = text.strip().casefold()
    if word in MISSING_MARKS:
        return None
    return 0.0 if word == TRACE else cells.number(text)


def split_unit(heading: str) -> tuple[str, str]:
    """A heading's words and the unit it ends in: ``Max Temp (°F)`` gives ``max_temp`` and ``F``."""
    bare = "".join(c if c.isalnum() else " " for c in heading)
    words = normal(bare).split("_")
    if len(words) > 1 and words[-1] in _UNIT_WORDS:
        unit = _UNIT_WORDS[words.pop()]
        if len(words) > 1 and words[-1] in ("deg", "degrees"):
            words.pop()
        return "_".join(words), unit
    return "_".join(words), ""


def read_plain(text: str, faults: FaultList, columns: Mapping[str, str], date_form: str) -> RawFile | None:
    """A table with a day a row; headings as season.toml names them, else the obvious ones. None where they won't do."""
    lines = csv_lines(text, faults)
    line, heads = next(lines, (0, []))
    if not heads:
        faults.refused(0, "", "no row", "the file has no headings", "write the headings in the first line")
        return None
    if separator_fault(heads, line, faults):
        return None
    raw = RawFile()
    places = _plain_places(heads, line, columns, faults, raw)
    if places is None:
        return None
    raw.headings = {ours: heads[at].strip() for ours, at in places.items()}
    for number, row in lines:
        day = plain_day(number, row, places, raw.headings, date_form, faults)
        if day is not None:
            raw.days.append(day)
    return raw


def plain_day(
    number: int, row: list[str], places: Mapping[str, int], headings: Mapping[str, str], form: str, faults: FaultList
) -> RawDay | None:
    """One row by the places of its columns; None with its faults listed."""
    found: dict[str, float | None] = {}
    day, bad = None, False
    for ours, at in places.items():
        text = row[at] if at < len(row) else ""
        try:
            if ours == "date":
                day = cells.day(text, form)
            else:
                found[ours] = value_of(text)
        except UnreadableError as error:
            bad = True
            faults.refused(number, headings[ours], text, error.rule, error.todo)
    if bad or day is None:
        return None
    return RawDay(number, day, found.get("max"), found.get("min"), found.get("rain"))


def _plain_places(
    heads: list[str], line: int, columns: Mapping[str, str], faults: FaultList, raw: RawFile
) -> dict[str, int] | None:
    places: dict[str, int] = {}
    for ours, words in OBVIOUS.items():
        if ours in columns:
            at = [at for at, head in enumerate(heads) if normal(head) == normal(columns[ours])]
        else:
            at = [at for at, head in enumerate(heads) if split_unit(head)[0] in words]
        if len(at) > 1:
            names = some(heads[one] for one in at)
            todo = f"name the right one under [station.columns] in season.toml: {ours} = …"
            faults.refused(line, "headings", names, f"more than one column could be {ours}", todo)
            return None
        if at:
            places[ours] = at[0]
    rain_alone = "rain" in places and not {"max", "min"} & {*places, *columns}
    needed = ("date",) if rain_alone else ("date", "max", "min")
    missing = [columns.get(ours, ours) for ours in needed if ours not in places]
    if missing:
        hints = [did_you_mean(name, [head.strip() for head in heads if head.strip()]) for name in missing]
        near = "".join(f"{name}: {hint}? " for name, hint in zip(missing, hints, strict=True) if hint.startswith("did"))
        rule = f"needed and not there (found: {some([head.strip() for head in heads if head.strip()], 20)})"
        todo = f"{near}name your headings under [station.columns] in season.toml"
        faults.refused(line, "headings", ", ".join(missing), rule, todo)
        return None
    units = {ours: split_unit(heads[at])[1] for ours, at in places.items()}
    if units.get("max") != units.get("min"):
        names = f"{heads[places['max']].strip()}, {heads[places['min']].strip()}"
        faults.refused(line, "headings", names, "the two headings name different units", "correct the headings")
        return None
    raw.temperature_unit, raw.rain_unit = units.get("max", ""), units.get("rain", "")
    return places
