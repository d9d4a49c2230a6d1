"""The sheet for the truck: the morning sheet on letter paper, with boxes to tick and lines to write on."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import typst

from springwalk.jobs.results import Row, Sheet
from springwalk.show import caution, faces, numbers as n, words
from springwalk.show.reasons import say

_TEMPLATE = Path(__file__).with_name("sheet.typ")


def sheet(sheet: Sheet) -> bytes:
    """The morning sheet as PDF bytes, letter size; the same sheet gives the same bytes."""
    made: bytes = typst.compile(  # type: ignore[misc]
        _TEMPLATE,
        font_paths=[str(faces.STYLE_DIR)],
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(_data(sheet), ensure_ascii=False)},
    )
    return made


def _data(sheet: Sheet) -> dict[str, Any]:
    """All text of the sheet, ready to print."""
    common = words.common_look(sheet)
    return {
        "headline": words.headline(sheet),
        "lead": words.lead(sheet),
        "rows": [_row(row, common) for row in sheet.rows],
        "yardstick": words.YARDSTICK,
        "look_elsewhere": words.LOOK_ELSEWHERE,
        "common_look": common,
        "rest": [
            {"title": title, "rows": [_rest(row, sheet) for row in rows]} for title, rows in words.rest_groups(sheet)
        ],
        "notes": [say(note) for note in sheet.notes],
        "caution": caution.SHORT,
        "weather": words.weather_words(sheet),
        "basis": words.basis_line(sheet),
        "footer": f"{sheet.season}, {n.full_day(sheet.today)}",
    }


def _row(row: Row, common: str) -> dict[str, str]:
    """The text of one field to walk."""
    return {
        "name": row.name,
        "place": f"{row.field} · {words.place(row)}" if row.field != row.name else words.place(row),
        "stake": words.stake(row),
        "why": words.why(row),
        "now": words.stage(row),
        "look_for": words.own_look(row, common),
        "come_back": n.weekday(row.come_back) if row.come_back else "",
    }


def _rest(row: Row, sheet: Sheet) -> dict[str, str]:
    """The text of one field that needs no walk."""
    return {"name": words.known_as(row, sheet), "words": words.rest_words(row, sheet.today)}
