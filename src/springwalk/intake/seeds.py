"""seed_lots.csv: lots of seed with their tests in percent."""

from __future__ import annotations

from collections.abc import Iterable

from springwalk.intake import cells
from springwalk.intake.ids import Ids, settle
from springwalk.intake.rows import Row, make
from springwalk.intake.tables import Columns
from springwalk.records import SeedLot

LOT_COLUMNS = Columns(("lot",), ("hybrid", "trait", "treatment", "warm", "cold", "note"))


def read_lots(rows: Iterable[Row], ids: Ids) -> list[SeedLot]:
    """seed_lots.csv as lots; each id is made known to the plantings."""
    found = []
    for row in rows:
        name = row.read("lot", cells.one_line, needed=True)
        values = {
            "hybrid": row.text("hybrid"),
            "trait": row.text("trait"),
            "treatment": row.text("treatment"),
            "warm_pct": row.read("warm", _percent),
            "cold_pct": row.read("cold", _percent),
            "note": row.note_text(),
        }
        lot = None if row.bad else make(row, SeedLot, id=name, **values)
        if lot is not None:
            found.append((row, lot))
    kept = [lot for _, lot in settle(found, "lot", lambda one: one.id)]
    ids.lots |= {lot.id for lot in kept}
    return kept


def _percent(text: str) -> float:
    """Percent from 0 to 100, with or without its sign."""
    value = cells.number(text.strip().removesuffix("%"))
    cells.within(value, 0, 100)
    return value
