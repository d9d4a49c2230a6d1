"""What is the same in many of today's fields is said once above them; each field then names it only."""

from __future__ import annotations

from collections import Counter

from springwalk.jobs.results import Look, Reason, Row, Sheet
from springwalk.show.facts import upper_first
from springwalk.show.look_text import guide, heading, jobs_of, look_why, passing, sentences
from springwalk.show.look_titles import title
from springwalk.show.pest_why import pest_how, pest_told
from springwalk.show.pest_words import pest_of
from springwalk.show.reasons import say

COMMON = 3
"""What is the same in this many fields is said once."""


def said_once(sheet: Sheet) -> dict[str, str]:
    """By look code, or pest: what is said in the same words of three or more of today's fields."""
    told: Counter[tuple[str, str]] = Counter()
    for row in sheet.rows:
        told.update({(look.code, guide(look)) for look in jobs_of(row)})
        told.update({(look.code, _whole(look)) for look in passing(row)})
        told.update({(_pest(reason), pest_how(reason.facts)) for reason in row.also if reason.code == "watch_pest"})
    out: dict[str, str] = {}
    for (key, text), times in told.most_common():
        if times >= COMMON and text and key not in out:
            out[key] = text
    return out


def guides(sheet: Sheet, once: dict[str, str]) -> list[dict[str, str]]:
    """What is said once, each with its name: looks in the order of the sheet, then pests."""
    named: dict[str, str] = {}
    for row in sheet.rows:
        named |= {look.code: title(look) for look in (*jobs_of(row), *passing(row)) if look.code not in named}
    for row in sheet.rows:
        named |= {_pest(r): upper_first(str(r.facts["name"])) for r in row.also if r.code == "watch_pest"}
    found = [(name, once[key]) for key, name in named.items() if key in once]
    return [{"title": name if name.endswith("?") else f"{name}:", "words": text} for name, text in found]


def also_lines(row: Row, once: dict[str, str]) -> list[str]:
    """What to see to while there: looks that are no walk of their own, and pests to watch for."""
    return [line for line, _ in also_items(row, once)]


def also_items(row: Row, once: dict[str, str]) -> list[tuple[str, str]]:
    """The lines of ``also_lines``, each with the pest it is of ("" for none)."""
    looks = [(_passing(look, row, once), pest_of(look)) for look in passing(row)]
    return [*looks, *((_watch(reason, once), str(reason.facts.get("pest", ""))) for reason in row.also)]


def _whole(look: Look) -> str:
    """All that is said of a look that is no walk of its own."""
    parts = (look_why(look), *(sentences(part) for part in (look.look_for, look.can_do, look.not_yet)))
    return " ".join(text for text in parts if text)


def _passing(look: Look, row: Row, once: dict[str, str]) -> str:
    text = _whole(look)
    return f"{heading(look, row)}." if once.get(look.code) == text else f"{heading(look, row)}. {text}"


def _pest(reason: Reason) -> str:
    return f"pest {reason.facts.get('name', '')}"


def _watch(reason: Reason, once: dict[str, str]) -> str:
    if reason.code != "watch_pest" or once.get(_pest(reason)) != pest_how(reason.facts):
        return say(reason)
    told = pest_told(reason.facts)
    return f"{upper_first(str(reason.facts['name']))}{f' ({told})' if told else ''}."
