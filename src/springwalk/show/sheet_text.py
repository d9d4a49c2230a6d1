"""The morning sheet as text by name: what its page and its paper share."""

from __future__ import annotations

from typing import Any

from springwalk.jobs.results import Row, Sheet
from springwalk.show import caution, numbers as n, words
from springwalk.show.reasons import say


def sheet_text(sheet: Sheet) -> dict[str, Any]:
    """What is said once on a sheet, above and below its fields."""
    return {
        "lead": words.lead(sheet),
        "yardstick": words.YARDSTICK,
        "look_elsewhere": words.LOOK_ELSEWHERE,
        "common_look": words.common_look(sheet),
        "notes": [say(note) for note in sheet.notes],
        "caution": caution.SHORT,
        "weather": words.weather_words(sheet),
        "basis": words.basis_line(sheet),
    }


def walk_text(row: Row, common: str) -> dict[str, str]:
    """One field to walk; ``common`` is what to look for that is said once."""
    return {
        "name": row.name,
        "place": words.place(row),
        "stake": words.stake(row),
        "why": words.why(row),
        "look_for": words.own_look(row, common),
        "come_back": n.weekday(row.come_back) if row.come_back else "",
    }


def rest_text(row: Row, sheet: Sheet) -> dict[str, str]:
    """One field that needs no walk, or of which nothing can be said yet."""
    return {"name": words.known_as(row, sheet), "words": words.rest_words(row, sheet.today)}
