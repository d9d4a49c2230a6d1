"""Weather rows as a file writes them, before units: how each form's cells become ``RawDay``."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field
from datetime import date

from springwalk.intake import cells
from springwalk.intake.cells import UnreadableError
from springwalk.intake.faults import FaultList
from springwalk.intake.headings import plain_places, split_unit
from springwalk.intake.tables import csv_lines, normal, separator_fault

MISSING_MARKS = frozenset(("", "m", "na", "n/a", "nan", "null", "-", "--", "-9999", "-9999.0", "9999"))
TRACE = "t"
"""How many services write rain too little to measure; read as 0."""


@dataclass
class RawDay:
    """One day in the file's own units; None where not reported."""

    row: int
    day: date
    maximum: float | None = None
    minimum: float | None = None
    rain: float | None = None
    who: Hashable = None
    """Who is left out where it is refused, if that is not the whole line."""

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
    unfound: dict[str, str] = field(default_factory=dict)
    """Headings that season.toml names and the file does not have, by our names."""


def value_of(text: str) -> float | None:
    """One reading; None for a blank or a mark for missing; raises UnreadableError."""
    word = text.strip().casefold()
    if word in MISSING_MARKS:
        return None
    return 0.0 if word == TRACE else cells.number(text)


def read_plain(text: str, faults: FaultList, columns: Mapping[str, str], date_form: str) -> RawFile | None:
    """A table with a day a row; headings as season.toml names them, else the obvious ones. None where they won't do."""
    lines = csv_lines(text, faults)
    line, heads = next(lines, (0, []))
    if not heads:
        faults.not_read(0, "", "no row", "the file has no headings", "write the headings in the first line")
        return None
    if separator_fault(heads, line, faults):
        return None
    raw = RawFile()
    places = plain_places(heads, line, columns, faults)
    if places is None:
        faults.rows += sum(1 for _ in lines)
        return None
    units = {ours: split_unit(heads[at])[1] for ours, at in places.items()}
    raw.temperature_unit, raw.rain_unit = units.get("max") or units.get("min", ""), units.get("rain", "")
    there = {normal(head) for head in heads}
    raw.unfound = {ours: heading for ours, heading in columns.items() if normal(heading) not in there}
    raw.headings = {ours: heads[at].strip() for ours, at in places.items()}
    for number, row in lines:
        faults.rows += 1
        if [normal(cell) for cell in row] == [normal(head) for head in heads]:
            faults.refused(number, "headings", row[0], "the headings stand here again", "delete this line")
            continue
        if too_many_cells(number, row, len(heads), faults):
            continue
        day = plain_day(number, row, places, raw.headings, date_form, faults)
        if day is not None:
            raw.days.append(day)
    return raw


def too_many_cells(number: int, row: list[str], heads: int, faults: FaultList) -> bool:
    """Whether something stands after the last heading: then nobody knows which cell is which; listed if so."""
    extra = [cell for cell in row[heads:] if cell.strip()]
    if extra:
        rule = f"the row has {len(row)} cells, the headings {heads}"
        faults.refused(number, "after the last heading", ",".join(extra), rule, "quote a cell that holds a comma")
    return bool(extra)


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
