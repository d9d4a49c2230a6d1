"""Walks: one line per stop, put together by walk id."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from springwalk.intake import cells, work_cells
from springwalk.intake.cells import UnreadableError
from springwalk.intake.faults import shown
from springwalk.intake.ids import Ids
from springwalk.intake.rows import Row, make
from springwalk.intake.tables import Columns
from springwalk.records import PLANT_STATES, Larva, Stop, Walk
from springwalk.records.walks import LAST_INSTAR, LONGEST_LARVA_MM

STAGINGS = ("collars", "leaves", "horizontal leaf")
SOILS = ("dry", "moist", "wet", "crusted")
MOST_PLACES = 2000
ONCE = ("field", "date", "planting", "collars", "staging", "searched", "hour", "soil")
"""Columns that speak of the whole walk: rows of one walk must agree, or leave them blank."""
LARVAE = ("larvae_mm", "instars")
COUNTED_WORDS = (*PLANT_STATES, "searched", *LARVAE)
NONE_WORDS = ("none", "no", "nil", "zero")
WALK_COLUMNS = Columns(
    ("walk", "field", "date", "places"),
    ("person", "planting", "collars", "staging", "part", "counted", "marked_row", *PLANT_STATES, "searched", "hour",
     "soil", *LARVAE, "note"),
)  # fmt: skip


@dataclass
class _Line:
    """One good row: its stop, its larvae, and what it says of the whole walk."""

    row: Row
    walk: str
    stop: Stop | None
    whole: dict[str, Any]
    larvae: tuple[Larva, ...] = ()
    person: str = ""
    note: str = ""


def read_walks(rows: Iterable[Row], ids: Ids) -> list[Walk]:
    """walks.csv as walks, in the order they first appear; a walk with a stop that can't be read is held back whole."""
    groups: dict[str, list[_Line]] = {}
    listed: list[Row] = []
    heads: dict[str, Row] = {}
    for row in rows:
        _as_on_paper(row, heads)
        listed.append(row)
        line = _line(row, ids)
        if line is not None:
            groups.setdefault(line.walk, []).append(line)
    lost = _lost(listed)
    found = []
    for name, lines in groups.items():
        if name in lost:
            _hold_back(name, lines, lost[name])
        elif (walk := _walk(name, lines)) is not None:
            found.append(walk)
    return found


def _as_on_paper(row: Row, heads: dict[str, Row]) -> None:
    """Read a row as it is typed from paper: a dash is a blank, ``none`` is 0, and what stands once at the head of a
    walk (its field and date) counts for its other lines. ``heads`` holds the first line of each walk.
    """
    values = {column: "" if work_cells.is_dash(text) else text for column, text in row.values.items()}
    for column in COUNTED_WORDS:
        if values.get(column, "").strip().casefold() in NONE_WORDS:
            values[column] = "0" if column not in LARVAE else ""
    name = values.get("walk", "").strip()
    head = heads.setdefault(name, row) if name else row
    if head is not row and not row.shifted:
        for column in ("field", "date"):
            values[column] = values.get(column, "").strip() or head.values.get(column, "")
    row.values = values


def _lost(rows: list[Row]) -> Counter[str]:
    """Stops that can't be read, by walk; a row that names no walk belongs to the one it stands in."""
    if not rows:
        return Counter()
    named = [(row.line, row.values.get("walk", "").strip()) for row in rows]
    lost = Counter(row.values.get("walk", "").strip() for row in rows if row.bad)
    seen = {line for line, _ in named}
    unreadable = [(line, "") for line in rows[0].faults.rows_out() if line not in seen]
    before = ""
    waiting = 0
    for _, name in sorted([*named, *unreadable]):
        if not name:
            waiting += 1
            continue
        if name == before:
            lost[name] += waiting
        before, waiting = name, 0
    lost[before] += waiting
    lost.pop("", None)
    return +lost


def _hold_back(name: str, lines: list[_Line], lost: int) -> None:
    first, total = lines[0].row, len(lines) + lost
    rule = f"{lost} of {total} stops can't be read; the whole walk is left out until they are corrected"
    first.faults.refused(first.line, first.place("walk"), name, rule, "correct the rows listed here")
    for line in lines:
        first.faults.leave_out(line.row.line)


def _line(row: Row, ids: Ids) -> _Line | None:
    name = row.id("walk", needed=True)
    place = ids.field(row)
    walked: date | None = row.day("date", needed=True)
    collars = row.read("collars", cells.collars)
    whole = {
        "field": place,
        "date": walked,
        "planting": None if place is None else ids.planting(row, place),
        "collars": None if collars is None else collars[0],
        "staging": row.choice("staging", STAGINGS) or ("collars" if collars and collars[1] else None),
        "searched": row.read("searched", cells.searched),
        "hour": row.read("hour", cells.hour),
        "soil": row.choice("soil", SOILS),
    }
    stop = None if _nothing_counted(row) else _stop(row, place, ids)
    larvae = (
        *(Larva(length_mm=length_mm) for length_mm in row.read("larvae_mm", _lengths_mm) or ()),
        *(Larva(instar=instar) for instar in row.read("instars", _instars) or ()),
    )
    person, note = row.text("person"), row.note_text()
    if row.bad or name is None:
        return None
    if stop is not None:
        _tell_counts(row, stop)
    return _Line(row, name, stop, whole, larvae, person, note)


def _nothing_counted(row: Row) -> bool:
    """A visit without a count, such as one before the corn is up: no places and no plant states."""
    return not any(row.values.get(column, "").strip(" -") for column in ("places", *PLANT_STATES))


def _stop(row: Row, place: str | None, ids: Ids) -> Stop | None:
    places = row.whole("places", 1, MOST_PLACES, needed=True)
    counted = row.choice("counted", ("yes", "no"))
    counts = {state: row.whole(state, 0, MOST_PLACES) for state in PLANT_STATES}
    part = None if place is None else ids.zone(row, place, "part")
    marked_row = row.text("marked_row")
    if row.bad:
        return None
    told = {state: count for state, count in counts.items() if count is not None}
    return make(row, Stop, places=places, part=part or "", counted=counted != "no", marked_row=marked_row, **told)


def _tell_counts(row: Row, stop: Stop) -> None:
    """A place is in one state, save that a double holds two plants: more states than places is a slip somewhere."""
    total = sum(getattr(stop, state) or 0 for state in PLANT_STATES if state != "double")
    if total > stop.places:
        rule = f"counts add to {total} of {stop.places} places; the stop is kept as written"
        row.faults.suspected(
            row.line, row.place("places"), stop.places, rule, "check the counts of this stop", unit="places", kept=True
        )


def _lengths_mm(text: str) -> tuple[float, ...]:
    lengths = []
    for word in text.replace(";", " ").split():
        try:
            length_mm = cells.number(word)
        except UnreadableError:
            raise UnreadableError(
                f"{shown(word)!r} is not a length", "write lengths in mm with blanks between: 8 12 15"
            ) from None
        if not 0 < length_mm <= LONGEST_LARVA_MM:
            rule = f"{shown(word)} mm is not a larva's length (above 0, at most {LONGEST_LARVA_MM:g} mm)"
            raise UnreadableError(rule, "correct it; lengths are in mm")
        lengths.append(length_mm)
    return tuple(lengths)


def _instars(text: str) -> tuple[int, ...]:
    instars = []
    for word in text.replace(";", " ").split():
        if not (word.isascii() and word.isdecimal() and 1 <= int(word[:9]) <= LAST_INSTAR):
            rule = f"{shown(word)!r} is not an instar (1 to {LAST_INSTAR})"
            raise UnreadableError(rule, "write instars with blanks between: 4 5 5")
        instars.append(int(word))
    return tuple(instars)


def _walk(name: str, lines: list[_Line]) -> Walk | None:
    whole: dict[str, Any] = {}
    for column in ONCE:
        told = {line.whole[column]: line for line in lines if line.whole[column] is not None}
        if len(told) > 1:
            rows = ", ".join(str(line.row.line) for line in told.values())
            for line in told.values():
                line.row.refuse(
                    column, f"rows {rows} of walk {name!r} differ here", "make them the same, or give two walk ids"
                )
        whole[column] = next(iter(told), None)
    first = lines[0].row
    if any(line.row.bad for line in lines):
        for line in lines:
            line.row.faults.leave_out(line.row.line)
        return None
    if whole["collars"] is not None and whole["staging"] is None:
        first.note("staging", "", "not told; collars are taken as leaf collars", "fill in staging if they are leaves")
    return make(
        first,
        Walk,
        id=name,
        field=whole["field"],
        planting=whole["planting"],
        walked=whole["date"],
        person=next((line.person for line in lines if line.person), ""),
        collars=whole["collars"],
        staging=whole["staging"] or "collars",
        stops=tuple(line.stop for line in lines if line.stop is not None),
        larvae=tuple(larva for line in lines for larva in line.larvae),
        plants_searched=whole["searched"],
        hour=whole["hour"],
        soil=whole["soil"],
        note="; ".join(dict.fromkeys(line.note for line in lines if line.note)),
    )
