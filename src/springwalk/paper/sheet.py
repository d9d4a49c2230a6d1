"""The sheet for the truck: the morning sheet on letter paper, with boxes to tick and lines to write on."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typst

from springwalk.jobs.results import Row, Sheet
from springwalk.show import due_words, faces, numbers as n, words
from springwalk.show.day_map import day_map
from springwalk.show.day_words import day_text
from springwalk.show.look_text import for_cutworm
from springwalk.show.once import said_once
from springwalk.show.rest_words import rest_groups
from springwalk.show.sheet_text import rest_text, sheet_text, walk_text

if TYPE_CHECKING:
    from springwalk.jobs.day_said import Day

_TEMPLATE = Path(__file__).with_name("sheet.typ")


def sheet(sheet: Sheet, day: Day | None = None) -> bytes:
    """The morning sheet as PDF bytes, letter size, the planned day first; the same sheet gives the same bytes."""
    made: bytes = typst.compile(  # type: ignore[misc]
        _TEMPLATE,
        font_paths=[str(faces.STYLE_DIR)],
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(_data(sheet, day), ensure_ascii=False)},
    )
    return made


def _data(sheet: Sheet, day: Day | None) -> dict[str, Any]:
    """All text of the sheet, ready to print."""
    said, once = sheet_text(sheet), said_once(sheet)
    return {
        **said,
        "day": {**day_text(day), "map": day_map(day, embed=False)} if day is not None else None,
        "headline": words.headline(sheet),
        "rows": [_row(row, said["common_look"], once) for row in sheet.rows],
        "rest": [
            {"title": title, "rows": [rest_text(row, sheet) for row in rows]} for title, rows in rest_groups(sheet)
        ],
        "due": due_words.paper_groups(sheet),
        "footer": f"{sheet.season}, {n.full_day(sheet.today)}",
    }


def _row(row: Row, common: str, once: dict[str, str]) -> dict[str, Any]:
    """The text of one field to walk, with the id it is entered under; paper says the stage, not the span of dates."""
    said = walk_text(row, common, once)
    place = f"{row.field} · {said['place']}" if row.field != row.name else said["place"]
    return {**said, "place": place, "cutworm": "cut" if for_cutworm(row) else ""}
