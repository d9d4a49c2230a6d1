"""The answers of one morning for other programs: the due list as a table, the fields as a map layer."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from springwalk.jobs.export_files import collection_text, geometry
from springwalk.jobs.export_said import csv_text, day, plain, text_cell
from springwalk.jobs.results import Look, Reason, Row, Sheet
from springwalk.records import Field

LOOK_COLUMNS = (
    "today", "look", "field", "name", "grower", "code", "planting", "zone", "state", "opens", "closes", "lapses",
    "ends_by", "alone", "minutes", "kept_out", "why",
)  # fmt: skip


@dataclass(frozen=True)
class Words:
    """Sentences beside the codes, if somebody has them: of a look in its field, and of a field on a day."""

    look: Callable[[Look, Row], Mapping[str, str]] = lambda look, row: {}
    row: Callable[[Row, date], Mapping[str, str]] = lambda row, today: {}


CODES = Words()
"""No sentences: codes alone."""


def looks_text(sheet: Sheet, words: Words = CODES) -> str:
    """Every look of the sheet that is not over, as CSV text: a row a look, by field and then by its first day."""
    rows = []
    extra: dict[str, None] = {}
    for row in sorted((*sheet.rows, *sheet.rest), key=lambda one: one.field):
        for look in sorted(row.looks, key=lambda one: (one.opens, one.key)):
            said = words.look(look, row)
            extra |= dict.fromkeys(said)
            rows.append({**_look(look, row, sheet.today), **{key: text_cell(text) for key, text in said.items()}})
    return csv_text([*LOOK_COLUMNS, *(name for name in extra if name not in LOOK_COLUMNS)], rows)


def _look(look: Look, row: Row, today: date) -> dict[str, str]:
    texts = {"look": look.key, "field": row.field, "name": row.name, "grower": row.grower}
    parts = {"planting": look.planting or "", "zone": look.zone or "", "why": _codes(look.why)}
    return {
        **{name: text_cell(text) for name, text in (texts | parts).items()},
        "today": day(today), "code": look.code, "state": look.state, "opens": day(look.opens),
        "closes": day(look.closes), "lapses": day(look.lapses), "ends_by": look.closed_by,
        "alone": "yes" if look.alone else "no", "minutes": plain(look.minutes),
        "kept_out": "yes" if row.keep_out else "no",
    }  # fmt: skip


def _codes(reasons: Iterable[Reason]) -> str:
    return "; ".join(dict.fromkeys(reason.code for reason in reasons))


def sheet_layer(sheet: Sheet, fields: Iterable[Field], words: Words = CODES) -> str:
    """The fields as GeoJSON text, each with the day's answer; those to walk first, in their order.

    ``place_on_sheet`` is 1 for the first walk and null for a field that needs none.
    """
    outlines = {field.id: geometry(field) for field in fields}
    walks = {row.field: at for at, row in enumerate(sheet.rows, start=1)}
    features = (
        {
            "type": "Feature",
            "properties": _answer(row, sheet.today, walks.get(row.field), words),
            "geometry": outlines.get(row.field),
        }
        for row in (*sheet.rows, *sheet.rest)
    )
    return collection_text(features)


def _answer(row: Row, today: date, place: int | None, words: Words) -> dict[str, Any]:
    return {
        "id": row.field, "name": row.name, "grower": row.grower, "today": day(today), "walk_today": row.walk_today,
        "place_on_sheet": place, "cannot_say": row.cannot_say, "for_cutworm": row.cutworm,
        "looks": [look.code for look in row.looks if look.state in ("overdue", "last day", "due")],
        "kept_out": row.keep_out is not None, "area_ha": row.area_ha, "why_codes": _codes(row.why),
        **words.row(row, today),
    }  # fmt: skip
