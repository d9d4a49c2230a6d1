"""Traps and catches."""

from __future__ import annotations

from collections.abc import Iterable

from springwalk.intake.geometry import Position, distance_km
from springwalk.intake.ids import Ids, settle
from springwalk.intake.rows import Row, make
from springwalk.intake.tables import Columns
from springwalk.records import Catch, Trap

TRAP_KINDS = ("wing", "bucket", "cone", "other")
TRAP_COLUMNS = Columns(("trap", "kind", "latitude", "longitude"), ("name",))
CATCH_COLUMNS = Columns(("trap", "since", "read", "moths"), ("person",))
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
            ids.traps_left_out.add(name)
    kept = settle(found, "trap", lambda one: one.id)
    ids.traps |= {trap.id for _, trap in kept}
    ids.traps_left_out |= {trap.id for _, trap in found} - ids.traps
    _tell_far(kept, list(places))
    return [trap for _, trap in kept]


def _tell_far(kept: list[tuple[Row, Trap]], places: list[Position]) -> None:
    for row, trap in kept:
        nearest_km = min((distance_km((trap.latitude, trap.longitude), place) for place in places), default=0.0)
        if nearest_km > FAR_KM:
            rule = f"{nearest_km:.0f} km from every field and station; the trap is kept"
            todo = "check latitude and longitude (west is minus)"
            row.faults.suspected(row.line, row.place("longitude"), trap.longitude, rule, todo, unit="°")


def read_catches(rows: Iterable[Row], ids: Ids) -> list[Catch]:
    """catches.csv: moths from the evening of ``since`` to the morning of ``read``; overlapping readings are refused."""
    found = []
    for row in rows:
        trap = ids.trap(row)
        since, read = row.day("since", needed=True), row.day("read", needed=True)
        moths = row.whole("moths", 0, MOST_MOTHS, needed=True)
        person = row.text("person")
        if since is not None and read is not None and read <= since:
            todo = "read is the morning after the last night; correct one of the two"
            row.refuse("read", f"not after since ({since})", todo)
        if row.bad:
            continue
        catch = make(row, Catch, trap=trap, since=since, read=read, moths=moths, person=person)
        if catch is not None:
            found.append((row, catch))
    kept = _without_overlaps(settle(found, "trap", lambda one: (one.natural_key(), one.since)))
    for row, catch in kept:
        nights = len(catch.nights)
        if nights > MOST_NIGHTS_FOR_RULE:
            rule = f"a catch over {nights} nights is kept, but it can't be read as a two-night total"
            row.note("moths", catch.moths, rule, "read the trap daily in the flight", unit="moths")
    return [catch for _, catch in kept]


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
