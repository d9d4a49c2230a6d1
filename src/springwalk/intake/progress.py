"""progress.csv: acres planted day by day. The first day dates a planting that nothing else dates."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from springwalk.intake.faults import FaultList
from springwalk.intake.ids import Ids, settle
from springwalk.intake.land import planted_part
from springwalk.intake.repairs import Command
from springwalk.intake.rows import Row, make
from springwalk.intake.tables import Columns
from springwalk.records import Planting, Progress
from springwalk.units import ACRES_PER_HA

PROGRESS_COLUMNS = Columns(("field", "date", "acres"), ("planting", "person"))
ROOM = 1.05
"""A monitor's acres may be this much of an outline's before it looks like a slip: overlaps and end rows. Ours."""


def read_progress(rows: Iterable[Row], ids: Ids, *, as_is: bool, command: Command) -> list[tuple[Row, Progress]]:
    """progress.csv as days, each with its row; a day of more acres than the field has is held back unless ``as_is``."""
    found = []
    for row in rows:
        day = _progress(row, ids)
        if day is not None and (as_is or not _too_much(row, day, ids, command)):
            found.append((row, day))
    kept = settle(found, "date", lambda one: one.natural_key())
    _tell_sums(kept, ids)
    return kept


def _progress(row: Row, ids: Ids) -> Progress | None:
    field = ids.field(row)
    day = row.day("date", needed=True)
    area_ha = row.measure("acres", "area_ha", "ac", needed=True)
    person = row.text("person")
    planting = None if field is None else planted_part(row, field, ids)
    if row.bad or planting is None:
        return None
    return make(row, Progress, planting=planting, field=field, date=day, area_ha=area_ha, person=person)


def _too_much(row: Row, day: Progress, ids: Ids, command: Command) -> bool:
    land = ids.land.get(day.field)
    if land is None or day.area_ha <= land.area_ha * ROOM:
        return False
    rule = f"more than the field has ({land.area_ha * ACRES_PER_HA:.0f} ac); the row is held back"
    row.hold_back("acres", row.values["acres"].strip(), rule, f"correct it; if it is right: {command.plain('as-is')}")
    return True


def _tell_sums(kept: Sequence[tuple[Row, Progress]], ids: Ids) -> None:
    """Days that add to more than the field: often the acres so far, written each day. They are kept."""
    by_field: dict[str, list[tuple[Row, Progress]]] = {}
    for row, day in kept:
        by_field.setdefault(day.field, []).append((row, day))
    for field, days in by_field.items():
        land = ids.land.get(field)
        area_ha = sum(day.area_ha for _, day in days)
        if land is not None and len(days) > 1 and area_ha > land.area_ha * ROOM:
            row, last = max(days, key=lambda pair: pair[1].date)
            rule = (
                f"the days of this field add to {area_ha * ACRES_PER_HA:.0f} of {land.area_ha * ACRES_PER_HA:.0f} ac; "
                "they are kept as written"
            )
            todo = "write the acres of each day alone, not the acres so far"
            faults: FaultList = row.faults
            faults.suspected(
                row.line, row.place("acres"), f"{last.area_ha * ACRES_PER_HA:.0f}", rule, todo, unit="ac", kept=True
            )


def settle_progress(days: Sequence[tuple[Row, Progress]], ids: Ids, told: Collection[str]) -> list[Planting]:
    """The plantings that progress dates, and those told by nothing but progress; full ids in ``told`` are told
    elsewhere in the folder.

    A date of plantings.csv or of an event goes before the first day of progress; where the two differ that is noted.
    """
    first: dict[str, tuple[Row, Progress]] = {}
    for row, day in days:
        if day.planting not in first or day.date < first[day.planting][1].date:
            first[day.planting] = (row, day)
    found = []
    for full, (row, day) in first.items():
        before = ids.plantings.get(full)
        ours = full not in told and ids.planting_files.get(full) == row.faults.file
        if before is None:
            planting = Planting(id=full, field=day.field, planted=day.date)
        elif before.planted is None or ours:
            planting = before.model_copy(update={"planted": day.date})
        else:
            if before.planted != day.date:
                rule = f"the planting is dated {before.planted} elsewhere; that counts"
                row.note("date", day.date, rule, "correct the one that is wrong")
            continue
        ids.add_planting(planting)
        found.append(planting)
    return found
