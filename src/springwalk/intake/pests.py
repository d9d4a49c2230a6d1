"""pest_counts.csv: counts of stand pests other than cutworm."""

from __future__ import annotations

from collections.abc import Iterable

from springwalk.intake import work_cells
from springwalk.intake.ids import Ids, settle
from springwalk.intake.rows import Row, make
from springwalk.intake.tables import Columns
from springwalk.intake.words import PESTS
from springwalk.records import PestCount

PEST_COLUMNS = Columns(
    ("field", "date", "pest", "looked"),
    ("unit", "insects", "with", "size", "zone", "planting", "person", "note"),
)
MOST_LOOKED = 100_000
MOST_INSECTS = 1_000_000


def read_pest_counts(rows: Iterable[Row], ids: Ids) -> list[PestCount]:
    """pest_counts.csv as counts; two of a pest in one part, unit and day must agree."""
    found = [(row, one) for row in rows if (one := _count(row, ids)) is not None]
    return [one for _, one in settle(found, "pest", lambda one: one.natural_key())]


def _count(row: Row, ids: Ids) -> PestCount | None:
    field = ids.field(row)
    looked = row.whole("looked", 1, MOST_LOOKED, needed=True)
    insects, units_with = row.whole("insects", 0, MOST_INSECTS), row.whole("with", 0, MOST_LOOKED)
    values = {
        "date": row.day("date", needed=True),
        "pest": row.choice("pest", PESTS, needed=True),
        "unit": row.text("unit"),
        "length_mm": row.read("size", work_cells.length_mm),
        "zone": None if field is None else ids.zone(row, field),
        "planting": None if field is None else ids.planting(row, field),
        "person": row.text("person"),
        "note": row.note_text(),
    }
    if row.bad or field is None:
        return None
    if insects is None and units_with is None:
        row.refuse("insects", "nothing counted", "write insects (0 for none), or with: how many units had any")
    elif looked is not None and units_with is not None and units_with > looked:
        row.refuse("with", f"more than the {looked} looked at", "correct one of the two")
    if row.bad:
        return None
    return make(row, PestCount, field=field, looked=looked, insects=insects, units_with=units_with, **values)
