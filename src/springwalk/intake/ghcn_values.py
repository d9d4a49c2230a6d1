"""Single values of GHCN-Daily to days: one value an element and day, in tenths, with its quality flag."""

from __future__ import annotations

import re
from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from datetime import date

from springwalk.intake import cells
from springwalk.intake.cells import UnreadableError
from springwalk.intake.faults import FaultList
from springwalk.intake.rawdays import RawDay, value_of

ELEMENTS = {"TMAX": "max", "TMIN": "min", "PRCP": "rain"}
FLAGGED = "the source's quality flag {flag!r} is set; the value is left out"
_PLACES = {"TMAX": "maximum", "TMIN": "minimum", "PRCP": "rain"}
_DAY = re.compile(r"([0-9]{4})([0-9]{2})([0-9]{2})")


@dataclass(frozen=True)
class Value:
    """One value as the file writes it: ``day`` is YYYYMMDD, ``flag`` the quality flag, ``who`` counts it once."""

    row: int
    day: str
    element: str
    text: str
    flag: str
    who: Hashable
    place: str = ""

    @property
    def column(self) -> str:
        """What a fault calls its place."""
        return self.place or self.element


def gather(values: Iterable[Value], faults: FaultList) -> list[RawDay]:
    """One RawDay per date. A value that is bad, flagged or told twice with different values is left out, alone."""
    days: dict[date, RawDay] = {}
    told: dict[tuple[date, str], tuple[Value, float | None]] = {}
    bad: set[tuple[date, str]] = set()
    for one in values:
        faults.rows += 1
        day = _day(one, faults)
        if day is None:
            continue
        value = None
        if one.flag and one.text.strip():
            todo = "nothing; the day counts as missing"
            faults.note(one.row, one.column, one.text, FLAGGED.format(flag=one.flag), todo)
        else:
            try:
                value = value_of(one.text)
            except UnreadableError as error:
                faults.refused(one.row, one.column, one.text, error.rule, error.todo, who=one.who)
                bad.add((day, one.element))
                continue
        before = told.setdefault((day, one.element), (one, value))
        if before[0] is not one:
            _tell_double(one, value, before, day, bad, faults)
            continue
        setattr(days.setdefault(day, RawDay(one.row, day)), _PLACES[one.element], value)
    for day, element in bad:
        if day in days:
            setattr(days[day], _PLACES[element], None)
    return list(days.values())


def _tell_double(
    one: Value,
    value: float | None,
    before: tuple[Value, float | None],
    day: date,
    bad: set[tuple[date, str]],
    faults: FaultList,
) -> None:
    first, held = before
    if value == held:
        rule = f"told twice, with the same value (also in row {first.row})"
        faults.note(one.row, one.column, day, rule, "delete one of the two")
        return
    bad.add((day, one.element))
    for here, there in ((first, one), (one, first)):
        rule = f"told twice with different values (also in row {there.row})"
        faults.refused(here.row, here.column, day, rule, "keep the right one, delete the other", who=here.who)


def _day(one: Value, faults: FaultList) -> date | None:
    match = _DAY.fullmatch(one.day)
    try:
        if match is None:
            raise UnreadableError("not a date of the form YYYYMMDD", "export the station again")
        return cells.day("-".join(match.groups()))
    except UnreadableError as error:
        column = one.place or "YYYYMMDD"
        faults.refused(one.row, column, one.day, error.rule, error.todo, who=one.who)
        return None
