"""passes.csv: what was sprayed, spread or hoed, when it ended, and how long the field is closed to people."""

from __future__ import annotations

from collections.abc import Iterable

from springwalk.intake import work_cells
from springwalk.intake.ids import Ids, settle
from springwalk.intake.rows import Row, make
from springwalk.intake.tables import Columns
from springwalk.intake.words import PASS_KINDS
from springwalk.records import Pass

PASS_COLUMNS = Columns(
    ("field", "date", "pass"),
    ("at", "zone", "planting", "product", "entry_hours", "direction", "untreated", "person", "note"),
)


def read_passes(rows: Iterable[Row], ids: Ids) -> list[Pass]:
    """passes.csv as passes; two of a kind on one day in one part must agree."""
    found = [(row, one) for row in rows if (one := _pass(row, ids)) is not None]
    return [one for _, one in settle(found, "pass", lambda one: one.natural_key())]


def _pass(row: Row, ids: Ids) -> Pass | None:
    field = ids.field(row)
    values = {
        "date": row.day("date", needed=True),
        "what": row.choice("pass", PASS_KINDS, needed=True),
        "at": row.read("at", work_cells.clock),
        "zone": None if field is None else ids.zone(row, field),
        "planting": None if field is None else ids.planting(row, field),
        "product": row.text("product"),
        "entry_hours": row.read("entry_hours", work_cells.entry_hours),
        "direction_deg": row.read("direction", work_cells.heading),
        "untreated": row.text("untreated"),
        "person": row.text("person"),
        "note": row.note_text(),
    }
    return None if row.bad or field is None else make(row, Pass, field=field, **values)
