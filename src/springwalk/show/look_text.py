"""The jobs of a field in words: its looks and the walk for cutworm, in the order they press."""

from __future__ import annotations

from typing import Any

from springwalk.jobs.results import DateRange, Look, Reason, Row, Sheet
from springwalk.show import numbers as n
from springwalk.show.facts import upper_first
from springwalk.show.look_titles import do, title, where
from springwalk.show.look_why import LOOK_WHY
from springwalk.show.pest_words import pest_of
from springwalk.show.reasons import say

OPEN = ("overdue", "last day", "due")
"""States of a look that is to be made today."""
URGENT = ("overdue", "last day")
FROM_EMERGENCE = ("stand_count", "green_bridge", "maggot")
"""Looks whose days are counted from emergence."""
SAID_BESIDE_LOOKS = (*LOOK_WHY, "corn_disagrees", "no_planting_date")
"""Reasons of a field that hold also where it is not walked for cutworm."""


def open_looks(row: Row) -> list[Look]:
    """The looks of a field that are to be made today."""
    return [look for look in row.looks if look.state in OPEN]


def jobs_of(row: Row) -> list[Look]:
    """The looks that make a walk today, each by itself."""
    return [look for look in open_looks(row) if look.alone]


def passing(row: Row) -> list[Look]:
    """The looks that are made today only by whoever is there anyway."""
    return [look for look in open_looks(row) if not look.alone]


def coming_looks(row: Row) -> list[Look]:
    """The looks of a field that open later, soonest first."""
    return sorted((look for look in row.looks if look.state == "coming"), key=lambda look: (look.opens, look.key))


def for_cutworm(row: Row) -> bool:
    """Whether a field is walked for cutworm today; one on the list without any look is."""
    return row.cutworm or (row.walk_today and not jobs_of(row))


def any_cutworm(sheet: Sheet) -> bool:
    """Whether any of today's walks is for cutworm."""
    return any(for_cutworm(row) for row in sheet.rows)


def front(look: Look) -> str:
    """What presses, in words that go first; "" where nothing does."""
    return {"overdue": "Overdue", "last day": "Last day", "missed": "Missed"}.get(look.state, "")


def window(look: Look) -> str:
    """The days of a look: ``8–9 May``; one that is over says that it was."""
    days = n.span(look.opens, look.closes)
    if look.state == "overdue":
        return f"was due {days}"
    return f"was due {days}, and is past telling" if look.state == "missed" else str(days)


def heading(look: Look, row: Row) -> str:
    """A look's name, its part of the field where that needs telling, and its days."""
    place = where(look, row)
    name = f"{title(look)}{f' ({place})' if place else ''}"
    return f"{name}{' ' if name.endswith('?') else ', '}{window(look)}"


def short(look: Look, row: Row) -> str:
    """A look on one line: ``count the stand (last day)``."""
    told = {"overdue": "overdue", "last day": "last day"}.get(look.state, "")
    notes = ", ".join(text for text in (where(look, row), told) if text)
    return f"{do(look)} ({notes})" if notes else do(look)


def look_why(look: Look) -> str:
    """Why there is something to look at, with the estimated date behind it where no reason has one."""
    said = " ".join(say(reason) for reason in look.why)
    if look.when is None or any(_estimated(value) for reason in look.why for value in reason.facts.values()):
        return said
    what = "Emergence" if look.code in FROM_EMERGENCE else "The date behind it is"
    return f"{said} {what} {n.dates(look.when)}."


def _estimated(value: Any) -> bool:
    return isinstance(value, DateRange) or (isinstance(value, dict) and "mid" in value and "early" in value)


def basis(look: Look) -> str:
    """What a look's days, or the count behind it, rest on: mark and source; "" where none is told."""
    told = ", ".join(text for text in (look.mark, look.source) if text)
    return f"Basis: {told.rstrip(chr(46))}." if told else ""


def sentences(reasons: tuple[Reason, ...]) -> str:
    """Reasons one after another."""
    return " ".join(say(reason) for reason in reasons)


def look_text(look: Look, row: Row, said_once: dict[str, str] | None = None) -> dict[str, str]:
    """One look as text by name; what is said once for all fields is left out here."""
    general = guide(look)
    once = (said_once or {}).get(look.code) == general and bool(general)
    return {
        "front": front(look),
        "title": heading(look, row),
        "why": look_why(look),
        "now": "",
        "stage": "",
        "look_for": "" if once else sentences(look.look_for),
        "can_do": sentences(look.can_do),
        "not_yet": "" if once and not _dated(look) else sentences(look.not_yet),
        "pest": pest_of(look),
    }


def _dated(look: Look) -> bool:
    """Whether what not to decide yet has a date of its own."""
    return any(reason.facts for reason in look.not_yet)


def guide(look: Look) -> str:
    """What a look of this kind looks for, with what not to decide where that is the same everywhere."""
    return " ".join([sentences(look.look_for), "" if _dated(look) else sentences(look.not_yet)]).strip()


def row_looks(row: Row, once: dict[str, str] | None = None) -> list[dict[str, str]]:
    """Today's looks of a field as text, what presses first."""
    found = sorted(jobs_of(row), key=lambda look: (OPEN.index(look.state), look.closes, look.key))
    return [look_text(look, row, once) for look in found]


def presses(row: Row) -> bool:
    """Whether a field has a look that is overdue or on its last day, so that it goes before the walk for cutworm."""
    return any(look.state in URGENT for look in jobs_of(row)) and not row.seen_cutting


def other_why(row: Row) -> str:
    """What holds of a field that is not walked for cutworm: reasons that are not about moths and larvae."""
    return sentences(tuple(reason for reason in row.why if reason.code in SAID_BESIDE_LOOKS))


def today_words(row: Row) -> str:
    """Today's jobs of a field on one line: ``walk for cutworm; count the stand (last day)``; "" for none."""
    jobs = [short(look, row) for look in jobs_of(row)]
    cutworm = ["walk for cutworm"] if for_cutworm(row) else []
    return "; ".join(jobs + cutworm if presses(row) else cutworm + jobs)


def pressing(sheet: Sheet, known_as: dict[str, str]) -> str:
    """One sentence of the lead: the jobs that are overdue, then those on their last day; "" where nothing presses."""
    told = []
    for state, opening in (("overdue", "overdue"), ("last day", "last day today")):
        groups = _groups(sheet, known_as, state)
        if len(groups) == 1:
            told.append(f"{opening}: {_group_words(groups)}")
        elif groups:
            fields = list(dict.fromkeys(name for group in groups for _, name in group))
            told.append(f"{opening}: {n.count(sum(map(len, groups)), 'look')} in {few(fields)}")
    return f"{upper_first('; '.join(told))}." if told else ""


def jobs_lead(sheet: Sheet, known_as: dict[str, str]) -> str:
    """One sentence that names the day's jobs where nothing presses: two of them, then how many; "" for none."""
    groups = _groups(sheet, known_as, "due")
    return f"{upper_first(_group_words(groups))}." if groups else ""


def more_looks(sheet: Sheet) -> str:
    """How many looks are due beside those that press: ``Twelve more looks are due.``; "" for none."""
    due = sum(look.state == "due" for row in sheet.rows for look in jobs_of(row))
    more = "" if not any(look.state in URGENT for row in sheet.rows for look in jobs_of(row)) else "more "
    return f"{upper_first(n.count(due, f'{more}look is', f'{more}looks are'))} due." if due else ""


def few(fields: list[str]) -> str:
    """One or two fields by name, more by their count."""
    return " and ".join(fields) if len(fields) < 3 else n.count(len(fields), "field")


def _groups(sheet: Sheet, known_as: dict[str, str], state: str) -> list[list[tuple[Look, str]]]:
    """The jobs of a state, each with its fields by name, the same job together; names by field id."""
    groups: dict[str, list[tuple[Look, str]]] = {}
    for row in sheet.rows:
        for look in row.looks:
            if look.state == state and look.alone:
                groups.setdefault(do(look, several=True), []).append((look, known_as[row.field]))
    return list(groups.values())


def _group_words(groups: list[list[tuple[Look, str]]], most: int = 2) -> str:
    """``dig for cold-soaked seed in North Eighty; count stands in two fields``; two jobs at most, then how many."""
    told = []
    for group in groups[:most]:
        fields = list(dict.fromkeys(name for _, name in group))
        told.append(f"{do(group[0][0], several=len(fields) > 1)} in {few(fields)}")
    more = len(groups) - most
    return "; ".join([*told, str(n.count(more, "other job"))] if more > 0 else told)
