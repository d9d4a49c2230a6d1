"""Traps and catches, from a file each or from one combined log."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from springwalk.intake import cells
from springwalk.intake.cells import UnreadableError
from springwalk.intake.geometry import Position, distance_km
from springwalk.intake.ids import Ids, settle
from springwalk.intake.rows import Row, make
from springwalk.intake.tables import Columns
from springwalk.intake.words import TRAP_KINDS
from springwalk.records import Catch, FlightReport, Trap

TRAP_COLUMNS = Columns(("trap", "kind", "latitude", "longitude"), ("name",))
CATCH_COLUMNS = Columns(("trap", "read", "moths"), ("since", "person", "kind", "latitude", "longitude", "name"))
TRAP_ITEMS = ("kind", "latitude", "longitude", "name")
"""Columns of a combined log that make the trap; told once for a trap, or the same in all its rows."""
SET = "set"
LEFT_OUT = "this trap's row in traps.csv was left out"
MOST_MOTHS = 100_000
MOST_NIGHTS_FOR_RULE = 2
FAR_KM = 500.0


def read_traps(rows: Iterable[Row], ids: Ids, places: Iterable[Position]) -> list[Trap]:
    """traps.csv; a trap far from every field and station is kept and suspected."""
    found = []
    for row in rows:
        name = row.id("trap", needed=True)
        kind = row.choice("kind", TRAP_KINDS, needed=True)
        latitude = row.number("latitude", -90, 90, needed=True)
        longitude = row.number("longitude", -180, 180, needed=True)
        told = row.text("name")
        trap = None
        if not row.bad:
            trap = make(row, Trap, id=name, name=told or name, trap_kind=kind, latitude=latitude, longitude=longitude)
        if trap is not None:
            found.append((row, trap))
        elif name is not None:
            ids.traps_left_out[name] = LEFT_OUT
    kept = settle(found, "trap", lambda one: one.id)
    ids.traps |= {trap.id for _, trap in kept}
    ids.folder_traps |= {trap.id for _, trap in kept}
    ids.traps_left_out |= {trap.id: LEFT_OUT for _, trap in found if trap.id not in ids.traps}
    tell_far(kept, list(places), "trap")
    return [trap for _, trap in kept]


def tell_far(kept: Iterable[tuple[Row, Trap | FlightReport]], places: list[Position], what: str) -> None:
    """Suspect what lies far from every field and station; it is kept, and said to be a ``what``."""
    for row, found in kept:
        nearest_km = min((distance_km((found.latitude, found.longitude), place) for place in places), default=0.0)
        if nearest_km > FAR_KM:
            rule = f"{nearest_km:.0f} km from every field and station; the {what} is kept"
            todo = "check latitude and longitude (west is minus)"
            row.faults.suspected(row.line, row.place("longitude"), found.longitude, rule, todo, unit="°", kept=True)


def read_log_traps(rows: Sequence[Row], ids: Ids, places: Iterable[Position]) -> list[Trap]:
    """Traps that a combined log tells beside its readings; one that traps.csv tells is not read again here."""
    groups: dict[str, list[Row]] = {}
    for row in rows:
        name = row.values.get("trap", "").strip()
        if not row.shifted and _log_tells(row) and not _elsewhere(name, ids):
            groups.setdefault(name.casefold(), []).append(row)
    kept = []
    for group in groups.values():
        name = group[0].values["trap"].strip()
        trap = _log_trap(group, ids.trap_called(name) or name)
        if trap is None:
            rule = f"this trap's kind or place can't be read (row {group[0].line})"
            ids.traps_left_out |= {row.values["trap"].strip(): rule for row in group}
        else:
            ids.traps.add(trap.id)
            kept.append((group[0], trap))
    tell_far(kept, list(places), "trap")
    return [trap for _, trap in kept]


def _log_tells(row: Row) -> bool:
    return any(row.values.get(item, "").strip() for item in TRAP_ITEMS)


def _elsewhere(name: str, ids: Ids) -> bool:
    """Whether the name is no id (the reading's own fault tells it), or of a trap that traps.csv tells."""
    try:
        cells.identifier(name)
    except UnreadableError:
        return True
    return not name or name in ids.traps_left_out or ids.trap_called(name) in ids.folder_traps


def _log_trap(group: list[Row], name: str) -> Trap | None:
    """One trap from the rows of a log that speak of it; None with its faults listed."""
    told: dict[str, str | float | None] = {}
    fine = True
    for item in TRAP_ITEMS:
        values = {value: row for row in group if (value := _trap_item(row, item)) is not None}
        told[item] = next(iter(values), None)
        if len(values) > 1:
            fine = False
            lines = ", ".join(str(row.line) for row in values.values())
            for row in values.values():
                todo = "make them the same, or blank all but one"
                row.refuse(item, f"rows {lines} tell trap {name!r} differently", todo)
    missing = [item for item in TRAP_ITEMS[:3] if told[item] is None]
    if missing and not any(row.bad for row in group):
        todo = "fill it in once, or tell the trap in traps.csv"
        group[0].refuse(missing[0], f"is needed to make trap {name!r}", todo)
    if missing or not fine:
        return None
    return make(
        group[0], Trap, id=name, name=told["name"] or name, trap_kind=told["kind"], latitude=told["latitude"],
        longitude=told["longitude"],
    )  # fmt: skip


def _trap_item(row: Row, item: str) -> str | float | None:
    if item == "kind":
        return row.choice("kind", TRAP_KINDS)
    if item == "name":
        return row.text("name") or None
    limit = 90 if item == "latitude" else 180
    return row.number(item, -limit, limit)


@dataclass
class _Reading:
    """One row of catches.csv: a reading, or (``moths`` None) a trap set that day."""

    row: Row
    trap: str
    read: date | None
    since: date | None
    moths: int | None
    setting: bool
    person: str


def read_catches(rows: Iterable[Row], ids: Ids) -> list[tuple[int, Catch]]:
    """catches.csv: moths from the evening of ``since`` to the morning of ``read``; overlapping readings are refused.

    Each catch comes with its line. A blank ``since`` is the day the trap was read, or set, before.
    """
    readings = [one for row in rows if (one := _reading(row, ids)) is not None]
    _fill_since(readings)
    found = []
    for one in readings:
        if one.row.bad or one.setting:
            continue
        catch = make(one.row, Catch, trap=one.trap, since=one.since, read=one.read, moths=one.moths, person=one.person)
        if catch is not None:
            found.append((one.row, catch))
    kept = _without_overlaps(settle(found, "trap", lambda one: (one.natural_key(), one.since)))
    for row, catch in kept:
        nights = len(catch.nights)
        if nights > MOST_NIGHTS_FOR_RULE:
            rule = f"a catch over {nights} nights is kept, but it can't be read as a two-night total"
            row.note("moths", catch.moths, rule, "read the trap daily in the flight", unit="moths")
    return [(row.line, catch) for row, catch in kept]


def _reading(row: Row, ids: Ids) -> _Reading | None:
    trap = ids.trap(row)
    since, read = row.day("since"), row.day("read", needed=True)
    word = row.values.get("moths", "").strip().casefold()
    bare = not row.values.get("since", "").strip()
    setting = word == SET or (not word and bare)
    if word == SET and not bare:
        row.refuse("since", "a row that says when the trap was set has no since", "blank since, or write the moths")
    moths = None if setting else row.whole("moths", 0, MOST_MOTHS, needed=True)
    person = row.text("person")
    if since is not None and read is not None and read <= since:
        row.refuse(
            "read", f"not after since ({since})", "read is the morning after the last night; correct one of the two"
        )
    return None if trap is None else _Reading(row, trap, read, since, moths, setting, person)


def _fill_since(readings: list[_Reading]) -> None:
    """Give each reading without ``since`` the day its trap was read or set before."""
    by_trap: dict[str, list[_Reading]] = {}
    for one in readings:
        by_trap.setdefault(one.trap, []).append(one)
    for group in by_trap.values():
        lost = [place for place, one in enumerate(group) if one.read is None]
        after_lost = {id(group[place + 1]): group[place] for place in lost if place + 1 < len(group)}
        dated = sorted((one for one in group if one.read is not None), key=lambda one: (one.read, not one.setting))
        for place, one in enumerate(dated):
            earlier = [before for before in dated[:place] if before.read != one.read]
            _blank_moths(one, bool(earlier))
            if one.setting or one.since is not None or one.row.values.get("since", "").strip():
                continue
            if id(one) in after_lost:
                rule = f"is needed: the date of the reading before (row {after_lost[id(one)].row.line}) can't be read"
                one.row.refuse("since", rule, "correct that date, or write since here")
            elif not earlier:
                rule = "is needed for a trap's first reading"
                todo = f'write the day the trap was set, or put a row before it: that day as read, "{SET}" as moths'
                one.row.refuse("since", rule, todo)
            else:
                one.since = earlier[-1].read


def _blank_moths(one: _Reading, later: bool) -> None:
    """A blank count tells a first row's setting; further down it may be a count that nobody wrote."""
    if one.setting and later and not one.row.values.get("moths", "").strip():
        one.row.refuse(
            "moths", "is needed", f'write the count (0 for none), or "{SET}" if the trap was set again that day'
        )


def _without_overlaps(found: list[tuple[Row, Catch]]) -> list[tuple[Row, Catch]]:
    """Catches of one trap that share no night. In order of ``since`` each is held against the latest reading so far."""
    overlapping: dict[int, int] = {}
    by_trap: dict[str, list[tuple[Row, Catch]]] = {}
    for pair in found:
        by_trap.setdefault(pair[1].trap, []).append(pair)
    for pairs in by_trap.values():
        pairs.sort(key=lambda pair: (pair[1].since, pair[1].read))
        latest = pairs[0]
        for pair in pairs[1:]:
            if pair[1].since < latest[1].read:
                overlapping.setdefault(latest[0].line, pair[0].line)
                overlapping.setdefault(pair[0].line, latest[0].line)
            latest = max(latest, pair, key=lambda each: each[1].read)
    for row, catch in found:
        if row.line in overlapping:
            rule = f"shares nights with row {overlapping[row.line]} of the same trap"
            row.refuse(
                "since",
                rule,
                "correct the dates, so that each night is counted once",
                value=f"{catch.since} to {catch.read}",
            )
    return [(row, catch) for row, catch in found if not row.bad]
