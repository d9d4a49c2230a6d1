"""GHCN-Daily: one station's wide CSV with headings, the long by-station form, and the fixed-width form.

Source: NOAA NCEI, GHCN-Daily readme (elements TMAX, TMIN in tenths °C, PRCP in tenths mm; flags MFLAG, QFLAG,
SFLAG; −9999 = missing; columns of a .dly line). A value with a quality flag failed a check there: it is left out
and noted.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from springwalk.intake.faults import FaultList, some
from springwalk.intake.ghcn_values import ELEMENTS, FLAGGED, Value, gather
from springwalk.intake.rawdays import RawFile, plain_day
from springwalk.intake.tables import csv_lines, separator_fault

_LONG_ROW = re.compile(r'\s*"?[A-Z0-9_-]{11}"?\s*,\s*"?[0-9]{8}"?\s*,\s*"?[A-Z]{2}[A-Z0-9]{2}"?\s*,')
_LONG_CELLS = 4
FIRST_LINES = 10
_SET_PREFIX = "GHCND:"
LONG_HEADINGS = {"date": "YYYYMMDD", "max": "TMAX", "min": "TMIN", "rain": "PRCP"}
_DLY_LINE = re.compile(r"[A-Z0-9_-]{11}[0-9]{4}[0-9]{2}[A-Z]{2}[A-Z0-9]{2}[ 0-9-]{5}")
_DLY_HEAD, _DLY_VALUE, _DLY_DAYS = 21, 8, 31
_DLY_LENGTH = _DLY_HEAD + _DLY_VALUE * _DLY_DAYS
_DLY_BLANK_END = 3
"""Flags that may be blank at the end of a line, and that an editor may have cut off."""
_DLY_MISSING = "-9999"


def looks_long(text: str) -> bool:
    """Whether one of the first lines is a row of the long form: the very first may be broken."""
    return any(_LONG_ROW.match(line) for line in _first_lines(text))


def _first_lines(text: str) -> list[str]:
    return [line[:200] for line in text[:20_000].split("\n")[:FIRST_LINES]]


def looks_wide(text: str) -> bool:
    """Whether the first line has the headings of the wide form."""
    first = text.lstrip().partition("\n")[0][:20_000]
    heads = {head.strip().strip('"').strip() for head in first.split(",")}
    return {"STATION", "DATE"} <= heads and bool(ELEMENTS.keys() & heads)


def looks_fixed(text: str) -> bool:
    """Whether one of the first lines is of the fixed-width form: station, year, month, element, and 31 days."""
    return any(_DLY_LINE.match(line) for line in _first_lines(text))


def read_wide(text: str, faults: FaultList, station: str, date_form: str) -> RawFile | None:
    """The wide CSV; rows of other stations are left out. ``station`` "" takes the only one in the file."""
    lines = csv_lines(text, faults)
    line, heads = next(lines, (0, []))
    if separator_fault(heads, line, faults):
        return None
    heads = [head.strip() for head in heads]
    at = {head: place for place, head in reversed(list(enumerate(heads)))}
    rain_alone = "PRCP" in at and not {"TMAX", "TMIN"} & at.keys()
    needed = ("STATION", "DATE") if rain_alone else ("STATION", "DATE", "TMAX", "TMIN")
    missing = [head for head in needed if head not in at]
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
    flags = {
        ours: at[f"{head}_ATTRIBUTES"] for head, ours in ELEMENTS.items() if {head, f"{head}_ATTRIBUTES"} <= at.keys()
    }
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
        faults.note(number, heading, row[at], FLAGGED.format(flag=flag), "nothing; the day counts as missing")
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
    raw = RawFile(station=chosen, headings=dict(LONG_HEADINGS))
    raw.days = gather(_long_values(text, chosen, faults), faults)
    return raw


def _long_values(text: str, chosen: str, faults: FaultList) -> Iterator[Value]:
    for number, row in csv_lines(text, faults):
        if len(row) < _LONG_CELLS:
            rule = f"the row has {len(row)} cells, not ID, YYYYMMDD, ELEMENT, VALUE and flags"
            faults.rows += 1
            faults.refused(number, "ID", ",".join(row), rule, "export the station again")
        elif _plain_id(row[0]) == chosen and row[2].strip() in ELEMENTS:
            yield Value(number, row[1].strip(), row[2].strip(), row[3], _cell(row, 5).strip(), who=number)


def read_fixed(text: str, faults: FaultList, station: str) -> RawFile | None:
    """The fixed-width form: a line is a station's month of one element; other elements are passed over."""
    lines = [(number, line) for number, line in enumerate(text.splitlines(), start=1) if line.strip()]
    chosen = _choose({line[:11].strip() for _, line in lines if _DLY_LINE.match(line)}, station, faults)
    if chosen is None:
        return None
    raw = RawFile(station=chosen, headings=dict(LONG_HEADINGS))
    raw.days = gather(_fixed_values(lines, chosen, faults), faults)
    return raw


def _fixed_values(lines: list[tuple[int, str]], chosen: str, faults: FaultList) -> Iterator[Value]:
    """Every value of a month's line that is not missing."""
    for number, line in lines:
        if not _DLY_LINE.match(line):
            faults.rows += 1
            rule, todo = "not a line of station, year, month, element and 31 days", "download the station again"
            faults.refused(number, "line", line[:40], rule, todo)
            continue
        if line[:11].strip() != chosen or line[17:21] not in ELEMENTS:
            continue
        if not _DLY_LENGTH - _DLY_BLANK_END <= len(line.rstrip("\r\n")) <= _DLY_LENGTH:
            faults.rows += 1
            rule = f"the line has {len(line)} characters, not {_DLY_LENGTH}; its month is left out"
            faults.refused(number, line[17:21], line[:21], rule, "download the station again")
            continue
        whole = line.ljust(_DLY_LENGTH)
        for day in range(1, _DLY_DAYS + 1):
            at = _DLY_HEAD + _DLY_VALUE * (day - 1)
            if (value := whole[at : at + 5].strip()) != _DLY_MISSING:
                yield Value(
                    number, f"{line[11:17]}{day:02d}", line[17:21], value, whole[at + 6].strip(), who=(number, day),
                    place=f"{line[17:21]} of day {day}",
                )  # fmt: skip
