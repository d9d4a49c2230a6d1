"""Ensemble forecasts as CSV: long, with a row for each member and day, or wide, with columns for each member."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from springwalk.intake import cells
from springwalk.intake.cells import UnreadableError
from springwalk.intake.faults import FaultList, some
from springwalk.intake.headings import obvious, plain_places, split_unit
from springwalk.intake.rawdays import RawDay, RawFile, plain_day, too_many_cells, value_of
from springwalk.intake.tables import csv_lines, normal, separator_fault

ISSUED = frozenset(("issued", "issue", "issue_date", "issued_on", "run_date", "init", "init_date", "initialized",
                    "reference_date", "forecast_date", "made", "made_on"))  # fmt: skip
MEMBER = frozenset(("member", "member_number", "number", "realization", "ensemble", "ensemble_member", "ens"))
_SAID = re.compile(r"#\s*issued\s*[:=]?\s*(.+)", re.IGNORECASE)
_NUMBERED = re.compile(r"(?P<stem>.*?[^0-9\s_.-])[\s_.-]*(?P<member>[0-9]{1,3})(?P<unit>[^0-9]*)")
ONE_MEMBER = "1"


@dataclass
class Member:
    """One member's days in the file's own units, and the headings they stood under."""

    name: str
    issued: date | None
    raw: RawFile


@dataclass
class RawForecast:
    """All members of a file; units as the headings name them, "" where they don't. ``issued`` is of the whole file."""

    members: list[Member] = field(default_factory=list)
    temperature_unit: str = ""
    rain_unit: str = ""
    issued: date | None = None
    _by_name: dict[tuple[str, date | None], Member] = field(default_factory=dict)

    def member(self, name: str, issued: date | None, headings: Mapping[str, str]) -> Member:
        """The member of this name and day of issue, made on first sight."""
        found = self._by_name.get((name, issued))
        if found is None:
            found = self._by_name[name, issued] = Member(name, issued, RawFile(headings=dict(headings)))
            self.members.append(found)
        return found


def read_forecast_table(text: str, faults: FaultList, columns: Mapping[str, str], date_form: str) -> RawForecast | None:
    """A forecast's members from its text; None, with one fault listed, where the headings won't do."""
    forecast = RawForecast()
    body = _said_issued(text, forecast, faults, date_form)
    lines = list(csv_lines(body, faults))
    if not lines:
        faults.not_read(0, "", "no row", "the file has no headings", "write the headings in the first line")
        return None
    (line, heads), rows = lines[0], lines[1:]
    if separator_fault(heads, line, faults):
        return None
    wide = _wide_places(heads)
    read = _read_wide if wide else _read_long
    return forecast if read(heads, line, rows, forecast, faults, columns, date_form) else None


def _said_issued(text: str, forecast: RawForecast, faults: FaultList, date_form: str) -> str:
    """The text with its leading # lines blanked; one that says the day of issue is heeded."""
    lines = text.splitlines(keepends=True)
    for at, line in enumerate(lines):
        if not line.lstrip().startswith("#"):
            break
        match = _SAID.fullmatch(line.strip().strip(",").strip())
        if match:
            try:
                forecast.issued = cells.day(match[1], date_form)
            except UnreadableError as error:
                faults.add("refused", at + 1, "# issued", match[1], error.rule, error.todo)
        lines[at] = "\n"
    return "".join(lines)


Rows = list[tuple[int, list[str]]]
Places = dict[str, dict[str, int]]


def _read_long(
    heads: list[str], line: int, rows: Rows, forecast: RawForecast, faults: FaultList, columns: Mapping[str, str],
    date_form: str,
) -> bool:  # fmt: skip
    issued_at, member_at = (_one(heads, names) for names in (ISSUED, MEMBER))
    others = ["" if at in (issued_at, member_at) else head for at, head in enumerate(heads)]
    places = plain_places(others, line, columns, faults)
    if places is None:
        faults.rows += len(rows)
        return False
    headings = {ours: heads[at].strip() for ours, at in places.items()}
    _units({ours: heads[at] for ours, at in places.items()}, forecast)
    issued: date | None = None
    name = ONE_MEMBER
    for number, row in rows:
        faults.rows += 1
        if too_many_cells(number, row, len(heads), faults):
            continue
        day = plain_day(number, row, places, headings, date_form, faults)
        place = 0
        try:
            if issued_at is not None:
                place = issued_at
                issued = cells.day(_cell(row, issued_at), date_form)
            if member_at is not None:
                place = member_at
                name = _name(_cell(row, member_at))
        except UnreadableError as error:
            faults.refused(number, heads[place], _cell(row, place), error.rule, error.todo)
            continue
        if day is not None:
            forecast.member(name, issued, headings).raw.days.append(day)
    return True


def _name(text: str) -> str:
    name = cells.one_line(text)
    if not name:
        raise UnreadableError("no member is named", "fill it in")
    return str(int(float(name))) if re.fullmatch(r"[0-9]{1,4}(\.0+)?", name) else name


def _one(heads: list[str], names: frozenset[str]) -> int | None:
    return next((at for at, head in enumerate(heads) if normal(head) in names), None)


def _cell(row: list[str], at: int) -> str:
    return row[at] if at < len(row) else ""


def _units(headings: Mapping[str, str], forecast: RawForecast) -> None:
    units = {ours: split_unit(heading)[1] for ours, heading in headings.items()}
    forecast.temperature_unit = forecast.temperature_unit or units.get("max") or units.get("min", "")
    forecast.rain_unit = forecast.rain_unit or units.get("rain", "")


def _wide_places(heads: list[str]) -> Places:
    """Columns of each member: ``min_01``, ``tmax3``, ``max_c_12``, ``rain 4 (mm)``."""
    found: Places = {}
    for at, head in enumerate(heads):
        match = _NUMBERED.fullmatch(head.strip())
        if match is None:
            continue
        plain = match["stem"] + match["unit"]
        ours = next((one for one in ("max", "min", "rain") if obvious(plain, one)), None)
        if ours:
            found.setdefault(str(int(match["member"])), {}).setdefault(ours, at)
    return {name: places for name, places in found.items() if {"max", "min"} & places.keys()}


def _read_wide(
    heads: list[str], line: int, rows: Rows, forecast: RawForecast, faults: FaultList, columns: Mapping[str, str],
    date_form: str,
) -> bool:  # fmt: skip
    members = _wide_places(heads)
    issued_at = _one(heads, ISSUED)
    wanted = normal(columns.get("date", "date"))
    dates = [at for at, head in enumerate(heads) if normal(head) == wanted] or [
        at for at, head in enumerate(heads) if at != issued_at and obvious(head, "date")
    ]
    halves = [name for name, places in members.items() if not {"max", "min"} <= places.keys()]
    if len(dates) != 1 or halves:
        rule = f"members without both extremes: {some(halves)}" if halves else "not one column could be the date"
        todo = "name the columns date, min_01, max_01, rain_01, min_02 and so on"
        faults.not_read(line, "headings", some(heads, 12), rule, todo)
        faults.rows += len(rows) * len(members)
        return False
    for places in members.values():
        _units({ours: _unnumbered(heads[at]) for ours, at in places.items()}, forecast)
    for number, row in rows:
        _wide_row(number, row, heads, (dates[0], issued_at), members, forecast, faults, date_form)
    return True


def _unnumbered(head: str) -> str:
    match = _NUMBERED.fullmatch(head.strip())
    return head if match is None else match["stem"] + match["unit"]


def _wide_row(
    number: int, row: list[str], heads: list[str], at: tuple[int, int | None], members: Places, forecast: RawForecast,
    faults: FaultList, date_form: str,
) -> None:  # fmt: skip
    """A day of every member; a cell that can't be read leaves out that member's day alone."""
    date_at, issued_at = at
    faults.rows += len(members)
    issued: date | None = None
    place = date_at
    try:
        day = cells.day(_cell(row, date_at), date_form)
        if issued_at is not None:
            place = issued_at
            issued = cells.day(_cell(row, issued_at), date_form)
        if any(cell.strip() for cell in row[len(heads) :]):
            place = len(heads)
            raise UnreadableError(f"the row has {len(row)} cells, the headings {len(heads)}", "count its commas")
    except UnreadableError as error:
        column = heads[place] if place < len(heads) else "after the last heading"
        faults.refused(number, column, _cell(row, place), error.rule, error.todo, rows=len(members), who=number)
        return
    for name, places in members.items():
        values: dict[str, float | None] = {}
        try:
            for ours, column_at in places.items():
                place = column_at
                values[ours] = value_of(_cell(row, column_at))
        except UnreadableError as error:
            faults.refused(number, heads[place], _cell(row, place), error.rule, error.todo, who=(number, name))
            continue
        headings = {"date": heads[date_at]} | {ours: heads[one].strip() for ours, one in places.items()}
        one = RawDay(number, day, values.get("max"), values.get("min"), values.get("rain"), who=(number, name))
        forecast.member(name, issued, headings).raw.days.append(one)
