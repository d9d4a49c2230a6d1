"""The morning sheet as text by name: what its page and its paper share."""

from __future__ import annotations

from typing import Any

from springwalk.jobs.results import Row, Sheet
from springwalk.show import caution, numbers as n, words
from springwalk.show.look_text import any_cutworm, for_cutworm, other_why, presses, row_looks
from springwalk.show.look_titles import CUTWORM
from springwalk.show.look_why import keep_out_words
from springwalk.show.once import also_lines, guides, said_once
from springwalk.show.rest_words import rest_words, why


def sheet_text(sheet: Sheet) -> dict[str, Any]:
    """What is said once on a sheet, above and below its fields."""
    return {
        "lead": words.lead(sheet),
        "yardstick": words.YARDSTICK if any_cutworm(sheet) else "",
        "look_elsewhere": words.LOOK_ELSEWHERE,
        "common_look": words.common_look(sheet),
        "guides": guides(sheet, said_once(sheet)),
        "notes": words.notes(sheet),
        "caution": caution.SHORT,
        "weather": words.weather_words(sheet),
        "basis": words.basis_line(sheet),
    }


def walk_text(row: Row, common: str, once: dict[str, str]) -> dict[str, Any]:
    """One field to walk: its jobs in the order they press, and what else to know there.

    ``common`` and ``once`` are what to look for that is said once, for cutworm and by look.
    """
    cutworm = for_cutworm(row)
    looks = row_looks(row, once)
    jobs = [cutworm_job(row, common, beside=bool(looks))] if cutworm else []
    return {
        "name": row.name,
        "place": words.place(row),
        "stake": words.stake(row) if cutworm else "",
        "jobs": looks + jobs if presses(row) else jobs + looks,
        "keep_out": keep_out_words(row.keep_out) if row.keep_out else "",
        "other": "" if cutworm else other_why(row),
        "also": also_lines(row, once),
        "come_back": n.weekday(row.come_back) if row.come_back else "",
    }


def cutworm_job(row: Row, common: str, *, beside: bool) -> dict[str, str]:
    """The walk for cutworm in the form of a look; it has a title where it stands beside others."""
    return {
        "front": "",
        "title": CUTWORM.title if beside else "",
        "why": why(row),
        "now": words.now(row),
        "stage": words.stage(row),
        "look_for": words.own_look(row, common),
        "can_do": "",
        "not_yet": "",
        "pest": "",
    }


def rest_text(row: Row, sheet: Sheet) -> dict[str, str]:
    """One field that is not walked today."""
    return {"name": words.known_as(row, sheet), "words": rest_words(row, sheet.today)}
