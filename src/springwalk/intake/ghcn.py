"""GHCN-Daily: one station's wide CSV with headings, and the long by-station form without.

Source: NOAA NCEI, GHCN-Daily readme (elements TMAX, TMIN in tenths °C, PRCP in tenths mm; flags MFLAG, QFLAG,
SFLAG; −9999 = missing). A value with a quality flag failed a check there: it is left out and noted.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date

from springwalk.intake import cells
from springwalk.intake.cells import UnreadableError
from springwalk.intake.faults import FaultList, some
from springwalk.intake.rawdays import RawDay, RawFile, plain_day, value_of
from springwalk.intake.tables import csv_lines, separator_fault

ELEMENTS = {"TMAX": "max", "TMIN": "min", "PRCP": "rain"}
_LONG_ROW = re.compile(r'\s*"?[A-Z0-9_-]{11}"?\s*,\s*"?[0-9]{8}"?\s*,\s*"?[A-Z]{2}[A-Z0-9]{2}"?\s*,')
_LONG_DAY = re.compile(r"([0-9]{4})([0-9]{2})([0-9]{2})")
_LONG_CELLS = 4
_SET_PREFIX = "GHCND:"
_FLAGGED = "the source's quality flag {flag!r} is set; the value is left out"


def looks_long(text: str) -> bool:
    """Whether the first line is a row of the long form."""
    return _LONG_ROW.match(text.lstrip()[:200]) is not None


def looks_wide(text: str) -> bool:
    """Whether the first line has the headings of the wide form."""
    first = text.lstrip().partition("\n")[0][:20_000]
    heads = {head.strip().strip('"').strip() for head in first.split(",")}
    return {"STATION", "DATE"} <= heads and bool({"TMAX", "TMIN"} & heads)


def read_wide(text: str, faults: FaultList, station: str, date_form: str) -> RawFile | None:
    """The wide CSV; rows of other stations are left out. ``station`` "" takes the only one in the file."""
    lines = csv_lines(text, faults)
    line, heads = next(lines, (0, []))
    if separator_fault(heads, line, faults):
        return None
    heads = [head.strip() for head in heads]
    at = {head: place for place, head in reversed(list(enumerate(heads)))}
    missing = [head for head in ("STATION", "DATE", "TMAX", "TMIN") if head not in at]
    if missing:
        rule = f"needed and not there (found: {some([head for head in heads if head], 20)})"
        todo = 'export the station again, or give format = "plain" in season.toml'
        faults.not_read(line, "headings", ", ".join(missing), rule, todo)
        return None
    doubled = [head for head in ("STATION", "DATE", *ELEMENTS) if heads.count(head) > 1]
    if doubled:
        faults.not_read(line, "headings", ", ".join(doubled), "this heading is there twice", "delete or rename one")
        return None
    chosen = _choose(_stations(text, at["STATION"]) - {"STATION"}, station, faults)
    if chosen is None:
        return None
    raw = RawFile(station=chosen)
    places = {"date": at["DATE"]} | {ours: at[head] for head, ours in ELEMENTS.items() if head in at}
    flags = {ours: at[f"{head}_ATTRIBUTES"] for head, ours in ELEMENTS.items() if f"{head}_ATTRIBUTES" in at}
    for number, row in lines:
        if _plain_id(_cell(row, at["STATION"])) != chosen:
            continue
        faults.rows += 1
        for ours, place in flags.items():
            _drop_flagged(number, row, places[ours], _cell(row, place), raw.headings[ours], faults)
        day = plain_day(number, row, places, raw.headings, date_form, faults)
        if day is not None:
            raw.days.append(day)
    return raw


def _stations(text: str, at: int) -> set[str]:
    """Every station of the file: a pass of its own, so that large files are never held in memory as cells."""
    unheard = FaultList("")
    return {_plain_id(_cell(row, at)) for _, row in csv_lines(text, unheard)}


def _cell(row: list[str], at: int) -> str:
    return row[at] if at < len(row) else ""


def _plain_id(text: str) -> str:
    return text.strip().removeprefix(_SET_PREFIX)


def _drop_flagged(number: int, row: list[str], at: int, attributes: str, heading: str, faults: FaultList) -> None:
    parts = attributes.split(",")
    flag = parts[1].strip() if len(parts) > 1 else ""
    if flag and at < len(row) and row[at].strip():
        faults.note(number, heading, row[at], _FLAGGED.format(flag=flag), "nothing; the day counts as missing")
        row[at] = ""


def _choose(there: set[str], station: str, faults: FaultList) -> str | None:
    there.discard("")
    wanted = _plain_id(station)
    if wanted in there:
        if len(there) > 1:
            others = len(there) - 1
            faults.note(
                0,
                "STATION",
                others,
                f"rows of other stations were left out; {wanted} is read",
                "nothing",
                unit="others",
            )
        return wanted
    if not wanted and len(there) == 1:
        return there.pop()
    if not there:
        faults.not_read(0, "STATION", "", "no row names a station", "export the station again")
    elif wanted:
        todo = "write the file's station as id of the [[station]], or name the right file"
        faults.not_read(0, "STATION", some(sorted(there)), f"the file holds no row of station {wanted}", todo)
    else:
        faults.not_read(
            0, "STATION", some(sorted(there)), "the file holds several stations", "say which one, or export one"
        )
    return None


def read_long(text: str, faults: FaultList, station: str) -> RawFile | None:
    """The long form: ID, YYYYMMDD, ELEMENT, VALUE, MFLAG, QFLAG, SFLAG, OBSTIME; other elements are passed over."""
    chosen = _choose(_stations(text, 0), station, faults)
    if chosen is None:
        return None
    raw = RawFile(station=chosen, headings={"date": "YYYYMMDD", "max": "TMAX", "min": "TMIN", "rain": "PRCP"})
    raw.days = _gather(csv_lines(text, faults), chosen, faults)
    return raw


def _gather(rows: Iterable[tuple[int, list[str]]], chosen: str, faults: FaultList) -> list[RawDay]:
    """One RawDay per date; a date with a bad or doubled value is left out."""
    days: dict[date, RawDay] = {}
    told: dict[tuple[date, str], tuple[int, float | None]] = {}
    bad: set[date] = set()
    for number, row in rows:
        if len(row) < _LONG_CELLS:
            rule = f"the row has {len(row)} cells, not ID, YYYYMMDD, ELEMENT, VALUE and flags"
            faults.refused(number, "ID", ",".join(row), rule, "export the station again")
            continue
        element = row[2].strip()
        if _plain_id(row[0]) != chosen or element not in ELEMENTS:
            continue
        faults.rows += 1
        day = _long_day(number, row[1], faults)
        if day is None:
            continue
        if len(row) > 5:
            _drop_flagged(number, row, 3, f",{row[5]}", element, faults)
        try:
            value = value_of(row[3])
        except UnreadableError as error:
            faults.refused(number, element, row[3], error.rule, error.todo)
            bad.add(day)
            continue
        before = told.setdefault((day, element), (number, value))
        if before[0] != number:
            _tell_double(number, element, value, before, day, bad, faults)
            continue
        one = days.setdefault(day, RawDay(number, day))
        setattr(one, {"max": "maximum", "min": "minimum", "rain": "rain"}[ELEMENTS[element]], value)
    return [one for day, one in days.items() if day not in bad]


def _tell_double(
    number: int, element: str, value: float | None, before: tuple[int, float | None], day: date, bad: set[date],
    faults: FaultList,
) -> None:  # fmt: skip
    if value == before[1]:
        faults.note(
            number, element, day, f"told twice, with the same value (also in row {before[0]})", "delete one of the two"
        )
        return
    bad.add(day)
    for here, there in ((before[0], number), (number, before[0])):
        rule = f"told twice with different values (also in row {there})"
        faults.refused(here, element, day, rule, "keep the right one, delete the other")


def _long_day(number: int, text: str, faults: FaultList) -> date | None:
    match = _LONG_DAY.fullmatch(text.strip())
    try:
        if match is None:
            raise UnreadableError("not a date of the form YYYYMMDD", "export the station again")
        return cells.day("-".join(match.groups()))
    except UnreadableError as error:
        faults.refused(number, "YYYYMMDD", text, error.rule, error.todo)
        return None
