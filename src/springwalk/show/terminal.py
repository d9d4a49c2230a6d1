"""The sheet and the field as plain aligned text, 100 columns, answer first."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from datetime import date
from typing import TYPE_CHECKING

from springwalk.jobs.results import FieldPage, Row, Sheet
from springwalk.show import caution, field_words, numbers as n, words
from springwalk.show.advice_words import advice_lines
from springwalk.show.day_words import day_text
from springwalk.show.look_text import any_cutworm
from springwalk.show.once import guides, said_once
from springwalk.show.reasons import say
from springwalk.show.rest_words import rest_groups, rest_words
from springwalk.show.sheet_text import walk_text
from springwalk.show.walk_questions import question_lines

if TYPE_CHECKING:
    from springwalk.jobs.advised import AfterTreatment, FieldAdvice
    from springwalk.jobs.day_said import Day

WIDTH = 100


def _wrap(text: str, indent: int = 0, first: str | None = None) -> list[str]:
    """Text folded to WIDTH; ``first`` opens the first line in place of the indent."""
    pad = " " * indent
    opening = pad if first is None else first.ljust(indent)
    return textwrap.wrap(
        text, WIDTH, initial_indent=opening, subsequent_indent=pad, break_long_words=False, break_on_hyphens=False
    )


def _sides(left: str, right: str) -> str:
    """A line with something at either end; the right side moves to the next line where both do not fit."""
    if not right:
        return left
    room = WIDTH - len(left) - len(right)
    return f"{left}{' ' * room}{right}" if room >= 2 else f"{left}\n{right.rjust(WIDTH)}"


_LABELS = (
    ("why", "    Why"), ("now", "    Now"), ("look_for", "    Look for"), ("can_do", "    Can do"),
    ("not_yet", "    Not yet"),
)  # fmt: skip


def _walk(position: int, row: Row, common: str, once: dict[str, str]) -> list[str]:
    """The lines of one field to walk."""
    said = walk_text(row, common, once)
    title = f"{position:>2}. {row.name}  [{row.field}]  {said['place']}"
    lines = [_sides(title, said["stake"])]
    if said["keep_out"]:
        lines += _wrap(said["keep_out"], 4)
    for job in said["jobs"]:
        lines += _job(job)
    if said["other"]:
        lines += _wrap(said["other"], 14, "    Know")
    if said["also"]:
        lines += _wrap(" ".join(said["also"]), 14, "    Also")
    if row.come_back:
        lines += _wrap(f"{n.weekday(row.come_back)}.", 14, "    Come back")
    return [*lines, ""]


def _job(job: dict[str, str]) -> list[str]:
    """The lines of one thing to do in a field: its name where it has one, then why and what to look for."""
    front = f"{job['front'].upper()}: " if job["front"] else ""
    lines = _wrap(f"{front}{job['title']}", 4, "  * ") if job["title"] else []
    for key, label in _LABELS:
        if job[key]:
            lines += _wrap(job[key], 14, label)
    return lines


def _rest(rows: Iterable[Row], today: date) -> list[str]:
    """The lines of the fields that need no walk."""
    rows = list(rows)
    wide = min(34, max((len(f"{row.name} [{row.field}]") for row in rows), default=0)) + 2
    lines: list[str] = []
    for row in rows:
        lines += _wrap(rest_words(row, today), wide + 2, f"  {row.name} [{row.field}]  ")
    return lines


def sheet(result: Sheet) -> str:
    """The morning sheet as text ending in a newline."""
    lines = [words.headline(result), *_wrap(words.lead(result)), ""]
    if result.rows:
        if any_cutworm(result):
            lines += [*_wrap(words.YARDSTICK), ""]
        common, once = words.common_look(result), said_once(result)
        if common:
            lines += [*_wrap(f"{words.LOOK_ELSEWHERE} {common}"), ""]
        for guide in guides(result, once):
            lines += _wrap(f"{guide['title']} {guide['words']}")
        lines += [""] if once else []
        for position, row in enumerate(result.rows, start=1):
            lines += _walk(position, row, common, once)
    for title, rows in rest_groups(result):
        lines += [title, *_rest(rows, result.today), ""]
    lines += _list("Notes", words.notes(result))
    lines += _wrap(caution.SHORT)
    lines += _wrap(words.weather_words(result))
    lines += _wrap(words.basis_line(result))
    return "\n".join(lines).rstrip() + "\n"


def day_lines(day: Day) -> str:
    """The day's plan as text: the answer, each person's fields with their times, what is left out, what it rests on."""
    said = day_text(day)
    lines = [said["headline"], *_wrap(said["lead"]), *(_wrap(said["dusk"]) if said["dusk"] else []), ""]
    for person in said["people"]:
        lines += _wrap(person["title"])
        for visit in person["visits"]:
            head = f"  {visit['order']:>2}. {visit['time']}  {visit['name']}"
            lines.append(_sides(head, visit["worth"]))
            told = f"{visit['forced'].upper()}: {visit['what']}" if visit["forced"] else visit["what"]
            lines += _wrap(told, 6)
        lines.append("")
    lines += _list(
        "Left out", [" ".join(w for w in (f"{left['name']}:", left["what"], left["why"]) if w) for left in said["left"]]
    )
    if said["small"]:
        lines += [*_wrap(said["small"]), ""]
    for text in said["rests"]:
        lines += _wrap(text)
    return "\n".join(lines).rstrip() + "\n"


def _list(title: str, items: Iterable[str]) -> list[str]:
    """A titled list; nothing at all where it is empty."""
    lines = [line for item in items for line in _wrap(item, 4, "  - ")]
    return [title, *lines, ""] if lines else []


def field(page: FieldPage, advice: FieldAdvice | None = None, after: AfterTreatment | None = None) -> str:
    """One field as text ending in a newline: the answer, five dated lines, then what they rest on."""
    row = page.row
    lines = [field_words.field_headline(page, advice), f"{words.place(row)}  [{row.field}]", ""]
    for line in field_words.five_lines(page, advice, after):
        lines += _wrap(line.words, 12, line.label)
    lines.append("")
    if advice is not None:
        lines += _list("Advice", advice_lines(advice, cautions=False)[1:])
    lines += _list("Looks", field_words.look_lines(page))
    lines += _list("Why", [say(reason) for reason in row.why])
    lines += _list("What to look for", [say(reason) for reason in row.look_for])
    lines += _list("Watch for while there", [say(reason) for reason in row.also])
    lines += _list("Seedbed", field_words.seedbed_lines(page))
    lines += _list("Moths and heat", field_words.heat_lines(page))
    lines += _list("Other parts of this field", field_words.other_parts(page))
    lines += _list("Walks", [field_words.walk_words(walk) for walk in page.walks])
    lines += _list("What in the walks can't be right", question_lines(page.questions))
    lines += _list("Told and seen", [say(event) for event in page.events])
    lines += _list("Before anyone sprays", caution.USUAL)
    lines += _wrap(words.weather_words(page))
    if page.sources:
        used = n.count(len(page.sources), "number", words=False)
        lines += _wrap(
            f"Made from {used}, each with its mark and source: see them with --json, or on the desk's Sources."
        )
    return "\n".join(lines).rstrip() + "\n"
