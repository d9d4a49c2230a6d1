"""promises.csv and done.csv: visits promised every so many days, and looks that were made or set aside."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import date

from springwalk.intake import work_cells
from springwalk.intake.faults import did_you_mean
from springwalk.intake.ids import Ids, same, settle
from springwalk.intake.rows import Row, make
from springwalk.intake.tables import Columns
from springwalk.records import Done, Promise

PROMISE_COLUMNS = Columns(("every",), ("grower", "field", "since", "until", "note"))
DONE_COLUMNS = Columns(("look", "field", "on"), ("outcome", "person", "note"))


def read_promises(rows: Iterable[Row], ids: Ids, begins: date) -> list[Promise]:
    """promises.csv; a blank ``since`` is ``begins``, the season's first day."""
    growers = ids.growers
    found = [(row, one) for row in rows if (one := _promise(row, ids, growers, begins)) is not None]
    return [one for _, one in settle(found, "every", lambda one: one.natural_key())]


def _promise(row: Row, ids: Ids, growers: Collection[str], begins: date) -> Promise | None:
    field = ids.field(row) if row.values.get("field", "").strip() else None
    grower = _grower(row, growers)
    every = row.read("every", work_cells.every_days, needed=True)
    since, until = row.coming_day("since") or begins, row.coming_day("until")
    note = row.note_text()
    if row.bad or row.shifted:
        return None
    if until is not None and until < since:
        row.refuse("until", f"before since ({since})", "correct one of the two")
    if not field and not grower:
        row.refuse("grower", "is needed", "write the grower, or one field")
    land = ids.land.get(field or "")
    if field and grower and (land is None or land.grower != grower):
        row.refuse("grower", f"not the grower of field {field!r}", "write the grower or the field, not both")
    if row.bad:
        return None
    promised = {"field": field} if field else {"grower": grower}
    return make(row, Promise, every_days=every, since=since, until=until, note=note, **promised)


def _grower(row: Row, growers: Collection[str]) -> str:
    """The grower as the fields tell it, in any case; one that no field has is refused."""
    text = row.text("grower")
    if not text:
        return ""
    name = same(text, growers)
    if name is None:
        hint = did_you_mean(text, growers)
        if hint.startswith("did"):
            todo = f"{hint}? Correct it"
        else:
            todo = hint or "tell the growers of the fields with their outlines"
        row.refuse("grower", "no field has this grower", todo)
    return name or ""


def read_done(rows: Iterable[Row], ids: Ids) -> list[Done]:
    """done.csv: looks that were made, or set aside with a reason."""
    found = [(row, one) for row in rows if (one := _done(row, ids)) is not None]
    return [one for _, one in settle(found, "look", lambda one: one.natural_key())]


def _done(row: Row, ids: Ids) -> Done | None:
    look = row.text("look")
    if not look and not row.bad and not row.shifted:
        row.refuse("look", "is needed", "copy its key from the list: springwalk due")
    field = ids.field(row)
    day = row.day("on", needed=True)
    outcome = row.choice("outcome", ("done", "set aside")) or "done"
    person, note = row.text("person"), row.note_text()
    if outcome == "set aside" and not note and not row.bad:
        row.refuse("note", "a look is set aside with a reason", "say why in a few words")
    if row.bad or field is None:
        return None
    return make(row, Done, look=look, field=field, on=day, outcome=outcome, person=person, note=note)
