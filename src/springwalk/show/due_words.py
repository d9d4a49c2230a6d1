"""The due list in words: what is overdue, on its last day, due, coming and missed, and how to end a look."""

from __future__ import annotations

import shlex
import textwrap
from collections.abc import Mapping
from typing import Any

from springwalk.jobs.due import Due, DueLine
from springwalk.jobs.results import Row, Sheet
from springwalk.show import numbers as n
from springwalk.show.as_json import dumps, look_values
from springwalk.show.look_text import basis, look_text
from springwalk.show.rest_words import keep_out_short
from springwalk.show.words import known_names

NONE = "No look is due or coming in the next 14 days. The morning sheet says where to walk for cutworm."
HOW_TO_END = (
    "A look stays here until it is made. A walk of the field inside its days ends most of them; the others end when"
    " somebody says so."
)
_TITLES = (
    ("overdue", "Overdue"),
    ("last_day", "Last day today"),
    ("due", "Due today"),
    ("passing", "When you pass by"),
    ("coming", "In the next 14 days"),
    ("missed", "Missed: too late to tell anything now"),
)
WIDTH = 100


def headline(due: Due) -> str:
    """The list in one sentence: ``Sunday 8 May: one look overdue, two on their last day, three due``."""
    told = [
        f"{n.count(len(due.overdue), 'look')} overdue" if due.overdue else "",
        f"{n.count(len(due.last_day), 'on its', 'on their')} last day" if due.last_day else "",
        f"{n.count(len(due.due), 'due', 'due')}" if due.due else "",
    ]
    said = [text for text in told if text]
    if said and not due.overdue:
        said[0] = said[0].replace(" ", " look " if len(due.last_day or due.due) == 1 else " looks ", 1)
    return f"{n.weekday(due.today)}: {', '.join(said) or 'no look is due'}"


def groups(due: Due) -> list[tuple[str, tuple[DueLine, ...]]]:
    """The lists under their headings, those that press first; empty ones are left out."""
    found = [(title, getattr(due, name)) for name, title in _TITLES]
    return [(f"{title}: {n.count(len(lines), 'look')}", lines) for title, lines in found if lines]


def known_in(due: Due) -> dict[str, str]:
    """What each field of the list is called there, by its id: fields of one name are told apart."""
    return known_names(line.row for _, lines in groups(due) for line in lines)


def line_text(line: DueLine, known: Mapping[str, str]) -> dict[str, str]:
    """One look of the list as text by name; ``known`` is what fields are called (``known_in``)."""
    said = look_text(line.look, line.row)
    return {
        "name": known[line.row.field],
        "grower": line.row.grower,
        "title": said["title"],
        "why": said["why"],
        "can_do": said["can_do"],
        "held": hold_words(line.row),
        "basis": basis(line.look),
        "look": line.look.key,
        "field": line.row.field,
        "ends": ends_by(line),
    }


def ends_by(line: DueLine) -> str:
    """What ends a look."""
    end = "A walk ends it." if line.look.closed_by == "walk" else "Ends when somebody says it was done."
    return end if line.look.alone else f"{end} Not worth a drive of its own."


def hold_words(row: Row) -> str:
    """Why nobody can go in today, short; "" where the field is open."""
    if row.keep_out:
        return keep_out_short(row.keep_out)
    return "Too wet today." if row.too_wet else ""


def done_command(line: DueLine) -> str:
    """The command that ends a look."""
    return f"springwalk done {shlex.quote(line.look.key)}"


def text(due: Due) -> str:
    """The due list as plain text, 100 columns, ending in a newline."""
    lines = [headline(due), *_wrap(HOW_TO_END if groups(due) else NONE), ""]
    known = known_in(due)
    for title, found in groups(due):
        lines.append(title)
        for line in found:
            said = line_text(line, known)
            lines += _wrap(f"{said['name']}: {said['title']}", "  ")
            lines += _wrap(" ".join(t for t in (said["held"], said["why"]) if t), "      ")
            lines.append(f"      {done_command(line)}")
        lines.append("")
    return "\n".join(lines).rstrip() + "\n"


def _wrap(said: str, pad: str = "") -> list[str]:
    under = pad + "    " if pad == "  " else pad
    return textwrap.wrap(
        said, WIDTH, initial_indent=pad, subsequent_indent=under, break_long_words=False, break_on_hyphens=False
    )


def as_json(due: Due) -> str:
    """The due list as JSON text: each look's data with its words, by state; ends in a newline."""
    made: dict[str, Any] = {
        "words": {"headline": headline(due)},
        "season": due.season,
        "today": due.today.isoformat(),
    }
    for name, _ in _TITLES:
        made[name] = [
            {
                "field": line.row.field,
                "name": line.row.name,
                "grower": line.row.grower,
                "held": hold_words(line.row),
                "done": done_command(line),
                **look_values(line.look, line.row),
            }
            for line in getattr(due, name)
        ]
    return dumps(made)


def paper_groups(sheet: Sheet) -> list[dict[str, Any]]:
    """The due list for the last page of the sheet for the truck: heading, then field and look."""
    from springwalk.jobs.due import due_of

    due = due_of(sheet)
    known, keys = known_in(due), ("name", "title", "held")
    return [
        {"title": title, "rows": [{key: line_text(line, known)[key] for key in keys} for line in found]}
        for title, found in groups(due)
    ]
