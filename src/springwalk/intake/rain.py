"""rain.csv: rain read in a person's own gauge."""

from __future__ import annotations

from collections.abc import Iterable

from springwalk.intake import work_cells
from springwalk.intake.ids import Ids, settle
from springwalk.intake.repairs import Command
from springwalk.intake.rows import Row, make
from springwalk.intake.tables import Columns
from springwalk.records import Gauge
from springwalk.units import MM_PER_IN

RAIN_COLUMNS = Columns(("date", "rain"), ("field", "hard", "person"))
MOST_LIKELY_IN = 6.0
"""More than this in a day is rare in corn country, and 7 to 20 is what bare millimetres look like. Ours."""
EVERY_FIELD = ("all", "every field", "all fields", "everywhere")


def read_rain(rows: Iterable[Row], ids: Ids, *, as_is: bool, command: Command) -> list[Gauge]:
    """rain.csv as gauge readings in mm; more than 6 in. in a day is held back until it is said to be right."""
    found = []
    for row in rows:
        gauge = _gauge(row, ids)
        if gauge is not None and (as_is or not _too_much(row, gauge, command)):
            found.append((row, gauge))
    return [gauge for _, gauge in settle(found, "date", lambda one: one.natural_key())]


def _gauge(row: Row, ids: Ids) -> Gauge | None:
    told = row.values.get("field", "").strip()
    every = not told or (told.casefold() in EVERY_FIELD and not ids.has_field(told))
    field = "" if every else ids.field(row)
    day = row.day("date", needed=True)
    rain_mm = row.read("rain", work_cells.rain_mm, needed=True)
    hard = row.choice("hard", ("yes", "no"))
    person = row.text("person")
    if row.bad or field is None:
        return None
    fell_hard = None if hard is None else hard == "yes"
    return make(row, Gauge, field=field, date=day, rain_mm=rain_mm, hard=fell_hard, person=person)


def _too_much(row: Row, gauge: Gauge, command: Command) -> bool:
    if gauge.rain_mm <= MOST_LIKELY_IN * MM_PER_IN:
        return False
    told = row.values["rain"].strip()
    rule = f"{gauge.rain_mm / MM_PER_IN:.1f} in. ({gauge.rain_mm:.0f} mm) in a day is more than {MOST_LIKELY_IN:g} in."
    todo = f"write the unit behind it (33 mm, 1.3in); if it is right: {command.plain('as-is')}"
    row.hold_back("rain", told, f"{rule}; the row is held back", todo)
    return True
