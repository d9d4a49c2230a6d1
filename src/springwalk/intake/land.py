"""Plantings, zones and dated events: rows of their CSV files, or objects inside an outline."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from springwalk.intake import cells, work_cells
from springwalk.intake.faults import did_you_mean
from springwalk.intake.ids import Ids, same, settle
from springwalk.intake.rows import Row, make
from springwalk.intake.tables import Columns
from springwalk.intake.words import COVERS, EVENT_KINDS, GREEN
from springwalk.records import Event, Planting, Zone
from springwalk.units import ACRES_PER_HA

PLANTING_COLUMNS = Columns(
    ("field",),
    ("planting", "planted", "hybrid", "trait", "lot", "planter", "seeds_per_acre", "row_width", "acres", "zone"),
)
ZONE_COLUMNS = Columns(("field", "zone", "acres"), ("name",))
EVENT_COLUMNS = Columns(("field", "date", "event"), ("cover", "zone", "planting", "hours", "person", "note"))
MOST_SEEDS_PER_ACRE = 1_000_000
TELLS_COVER = ("weeds seen", "cover killed", "tilled", "emerged")
LASTS = ("ponding", "water gone", "frost")
"""Events whose hours mean something: how long water stood, how long it froze."""
LEFT_AFTER = {"cover killed": "residue", "tilled": "black"}
"""What an event that ends green leaves where nothing else is told."""


@dataclass(frozen=True)
class Planted:
    """An event ``planted``: it sets the date of one planting."""

    row: Row
    field: str
    planting: str
    day: date


def planting_of(row: Row, field: str, ids: Ids) -> Planting | None:
    """One planting of a field; its short id is ``1`` where none is given. A lot that no table tells is noted."""
    name = row.id("planting") or "1"
    values = {
        "planted": row.day("planted"),
        "hybrid": row.text("hybrid"),
        "trait": row.text("trait"),
        "lot": ids.lot(row, row.text("lot")),
        "planter": row.text("planter"),
        "seeds_per_ha": row.read("seeds_per_acre", seeds_per_ha),
        "row_width_m": row.measure("row_width", "length_m", "in"),
        "area_ha": row.measure("acres", "area_ha", "ac"),
        "zone": ids.zone(row, field),
    }
    return None if row.bad else make(row, Planting, id=f"{field}/{name}", field=field, **values)


def seeds_per_ha(text: str) -> float:
    """Seeds per ha: a bare number is per acre, 1 to 1,000,000; ``80000/ha`` is per ha."""
    per_ha = text.strip().casefold().endswith("/ha")
    value = cells.number(text.strip()[:-3] if per_ha else text)
    cells.within(value, 1, MOST_SEEDS_PER_ACRE)
    return value if per_ha else value * ACRES_PER_HA


def zone_of(row: Row, field: str) -> Zone | None:
    """One zone of a field."""
    name = row.id("zone", needed=True)
    area_ha = row.measure("acres", "area_ha", "ac", needed=True)
    told = row.text("name")
    return None if row.bad else make(row, Zone, id=f"{field}/{name}", field=field, name=told or name, area_ha=area_ha)


def event_of(row: Row, field: str, ids: Ids) -> list[Event] | Planted | None:
    """One dated event of a field, or of its planting or zone, as the events it stands for.

    A green cover beside ``cover killed`` or ``tilled`` is what stood there until that day: it becomes weeds seen that
    day, and the event leaves residue (killed) or black (tilled).
    """
    day = row.day("date", needed=True)
    what = row.choice("event", EVENT_KINDS, needed=True)
    cover = row.choice("cover", COVERS)
    hours = row.read("hours", work_cells.hours)
    person, note = row.text("person"), row.note_text()
    zone = ids.zone(row, field)
    if what is not None:
        cover, hours = _told_beside(row, what, cover, hours)
    if what == "planted":
        planting = planted_part(row, field, ids)
        return None if row.bad or day is None or planting is None else Planted(row, field, planting, day)
    part = ids.planting(row, field)
    if row.bad:
        return None
    told = [(what, cover)]
    if what in LEFT_AFTER and cover in GREEN:
        told = [("weeds seen", cover), (what, LEFT_AFTER[what])]
    elif what == "tilled" and cover is None:
        told = [(what, LEFT_AFTER[what])]
    made = [
        make(
            row,
            Event,
            field=field,
            date=day,
            what=kind,
            cover=at,
            zone=zone,
            planting=part,
            hours=hours,
            person=person,
            note=note,
        )
        for kind, at in told
    ]
    return [event for event in made if event is not None]


def _told_beside(
    row: Row, what: str, cover: str | None, hours: float | None
) -> tuple[str | None, float | None]:  # fmt: skip
    """Cover and hours of an event that tells them; beside another they are noted and not read."""
    if cover is not None and what not in TELLS_COVER:
        row.note("cover", cover, f"not read beside {what}", "write the cover in a row of its own: weeds seen")
        cover = None
    if hours is not None and what not in LASTS:
        row.note("hours", row.values.get("hours", ""), f"not read beside {what}", f"hours go with {', '.join(LASTS)}")
        hours = None
    return cover, hours


def planted_part(row: Row, field: str, ids: Ids) -> str | None:
    """Full id of the planting that a row dates; a name not yet known makes a new planting, said aloud."""
    name, names = row.id("planting"), ids.plantings_of(field)
    name = name if name is None else same(name, names) or name
    if name is None and not row.bad:
        if len(names) > 1:
            listed = ", ".join(names[:8])
            row.refuse("planting", f"field {field!r} has {len(names)} plantings", f"say which one ({listed})")
            return None
        return f"{field}/{ids.only_planting(field)}"
    if name is not None and names and name not in names:
        hint = did_you_mean(name, names)
        if hint.startswith("did"):
            row.refuse(
                "planting", f"field {field!r} has no such planting", f"{hint}? Correct it, or add it to plantings.csv"
            )
            return None
        row.note("planting", name, "a planting not told before; this row makes it", "correct the name if it is another")
    return f"{field}/{name}"


def read_plantings(rows: Iterable[Row], ids: Ids, earlier: dict[str, Planting]) -> list[Planting]:
    """plantings.csv; ``earlier`` holds plantings told inside outlines."""
    found = [
        (row, planting)
        for row in rows
        if (field := ids.field(row)) is not None and (planting := planting_of(row, field, ids)) is not None
    ]
    kept = [planting for _, planting in settle(found, "field", lambda one: one.id, earlier)]
    for planting in kept:
        ids.add_planting(planting)
    return kept


def read_zones(rows: Iterable[Row], ids: Ids, earlier: dict[str, Zone]) -> list[Zone]:
    """zones.csv; ``earlier`` holds zones told inside outlines."""
    found = [
        (row, zone)
        for row in rows
        if (field := ids.field(row)) is not None and (zone := zone_of(row, field)) is not None
    ]
    kept = [zone for _, zone in settle(found, "zone", lambda one: one.id, earlier)]
    for zone in kept:
        ids.add_zone(zone.id)
    return kept


def read_events(rows: Iterable[tuple[Row, str]], ids: Ids) -> tuple[list[Event], list[Planted]]:
    """Rows, each with its field, as events and planting dates."""
    events: list[tuple[Row, Event]] = []
    implied: list[tuple[Row, Event]] = []
    planted = []
    for row, field in rows:
        found = event_of(row, field, ids)
        if isinstance(found, Planted):
            planted.append(found)
        elif found:
            events.append((row, found[-1]))
            implied += [(row, event) for event in found[:-1]]
    seen = {event.natural_key(): event.cover for _, event in events}
    for row, event in implied:
        # What another row says of the same day with the same cover needs no second telling.
        if seen.setdefault(event.natural_key(), None) != event.cover:
            seen[event.natural_key()] = event.cover
            events.append((row, event))
    kept = settle(
        sorted(events, key=lambda pair: (pair[0].line, pair[1].what != "weeds seen")),
        "event",
        lambda one: one.natural_key(),
    )
    return [event for row, event in kept if not row.bad], planted


def settle_planted(planted: Iterable[Planted], ids: Ids) -> dict[str, Planting]:
    """The plantings that events date, by id. Two dates for one planting are both refused."""
    groups: dict[str, list[Planted]] = {}
    for one in planted:
        groups.setdefault(one.planting, []).append(one)
    found = {}
    for full, group in groups.items():
        if len({one.day for one in group}) > 1:
            for one in group:
                todo = "keep the right one; give a replant its own planting id"
                one.row.refuse("date", f"planting {full!r} has two planting dates", todo)
            continue
        day, before = group[0].day, ids.plantings.get(full)
        if before is None:
            found[full] = Planting(id=full, field=group[0].field, planted=day)
        else:
            if before.planted is not None and before.planted != day:
                rule = f"the planting was dated {before.planted} before; the event counts"
                group[0].row.note("date", day, rule, "correct the one that is wrong")
            found[full] = before.model_copy(update={"planted": day})
        ids.add_planting(found[full])
    return found
