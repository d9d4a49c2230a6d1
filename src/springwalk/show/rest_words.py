"""The fields not walked today: under which heading each stands, why, and what comes next."""

from __future__ import annotations

from datetime import date

from springwalk.jobs.results import KeepOut, Look, Row, Sheet
from springwalk.show import numbers as n
from springwalk.show.facts import day_of
from springwalk.show.look_text import coming_looks, for_cutworm, jobs_of, open_looks, short
from springwalk.show.look_titles import do
from springwalk.show.look_why import keep_out_words
from springwalk.show.reasons import say

KEEP_OUT, TOO_WET, UNKNOWN = "Keep out", "Too wet today", "Can't say yet"
LATER, PASSING, NOTHING = "Look on a later date", "Only if you pass by", "Nothing more to look for"
HEADINGS = (KEEP_OUT, TOO_WET, UNKNOWN, LATER, PASSING, NOTHING)


def coming_look(row: Row, today: date) -> date | None:
    """The date of the next look at a field not walked today, of cutworm or another; None where none is due."""
    own = row.come_back or row.first_look
    dates = [look.opens for look in coming_looks(row)] + [own] * (own is not None)
    return min((day for day in dates if day is not None and day > today), default=None)


def heading_of(row: Row, today: date) -> str:
    """Under which heading a field stands that is not walked today."""
    if row.keep_out:
        return KEEP_OUT
    if row.too_wet:
        return TOO_WET
    if row.cannot_say:
        return UNKNOWN
    if coming_look(row, today):
        return LATER
    return PASSING if open_looks(row) else NOTHING


def rest_groups(sheet: Sheet) -> list[tuple[str, list[Row]]]:
    """The fields left out under their headings, kept out first; inside a heading by the next look."""
    groups: dict[str, list[Row]] = {title: [] for title in HEADINGS}
    for row in sheet.rest:
        groups[heading_of(row, sheet.today)].append(row)
    groups[LATER].sort(key=lambda row: coming_look(row, sheet.today) or date.max)
    return [(f"{title}: {n.count(len(rows), 'field')}", rows) for title, rows in groups.items() if rows]


def rest_words(row: Row, today: date) -> str:
    """Why a field is not walked today and what comes next, each date said once."""
    if row.keep_out:
        wet = f" {say(row.too_wet)}" if row.too_wet else ""
        return f"{keep_out_words(row.keep_out)}{wet}{_then(row, today)}"
    if row.too_wet:
        return f"{say(row.too_wet)}{_then(row, today)}"
    return " ".join(text for text in (why(row), _next(row, today)) if text)


def why(row: Row) -> str:
    """Why this field, or why not: which part leads, then its reasons as sentences."""
    part = row.parts[0] if row.parts else None
    lead_part = [f"Worst part: {row.lead_part}, {n.area(part.area_ha)}."] if row.lead_part and part else []
    return " ".join([*lead_part, *(say(reason) for reason in row.why)])


def keep_out_short(held: KeepOut) -> str:
    """The lock on one short line."""
    if held.opens is None:
        return "Keep out: no entry interval typed."
    return f"Keep out until {n.moment(held.opens)}."


def held_up(row: Row) -> bool:
    """Whether a field would be walked today if people could go in."""
    due = row.cutworm or bool(jobs_of(row))
    return due and (row.keep_out is not None or row.too_wet is not None)


def waiting(row: Row) -> str:
    """What is due in a field that nobody can go into: ``count the stand (last day)``; "" where nothing is."""
    cutworm = ["walk for cutworm"] if row.cutworm else []
    return "; ".join([*cutworm, *(short(look, row) for look in jobs_of(row))])


def _then(row: Row, today: date) -> str:
    """What is to be done there once it opens or dries, else what comes next."""
    due = [*(["walk for cutworm."] if row.cutworm else []), *(_held_job(look, row) for look in jobs_of(row))]
    if due:
        return f" Then: {' '.join(due)}"
    if row.come_back and row.come_back <= _shut_until(row):
        return " Then: walk for cutworm."
    text = _next(row, today)
    return f" {text}" if text else f" {why(row)}" if row.why else " Nothing is due there now."


def _held_job(look: Look, row: Row) -> str:
    """A look that waits for the field to open: what, its days, and why; still worth making after its last day."""
    said = f"{do(look)}, {n.span(look.opens, look.closes)}"
    after = ", still worth doing then" if look.closes < _shut_until(row) or look.state == "overdue" else ""
    return f"{said}{after}: {say(look.why[0])}" if look.why else f"{said}{after}."


def _shut_until(row: Row) -> date:
    """The first day people can likely go in; long ago where that is not known."""
    opens = row.keep_out.opens.date() if row.keep_out and row.keep_out.opens else date.min
    fit = row.too_wet.facts.get("until") if row.too_wet else None
    return max(opens, day_of(fit) if fit else date.min)


def _next(row: Row, today: date) -> str:
    """The next look where no reason has said it: the walk for cutworm, and what else comes first."""
    told = {reason.code: reason.facts for reason in row.why}
    if ("not_yet" in told and told["not_yet"].get("first_look")) or (
        "next_look" in told and not _sooner(row, today, told)
    ):
        return ""
    own = row.come_back or row.first_look
    coming = coming_looks(row)
    if coming and "next_look" not in told and (own is None or own <= today or own >= coming[0].opens):
        return f"Next: {do(coming[0])}, {n.span(coming[0].opens, coming[0].closes)}."
    if own is None or own <= today:
        return ""
    return f"Before that, walk for cutworm {n.weekday(own)}." if "next_look" in told else f"Next look {n.weekday(own)}."


def _sooner(row: Row, today: date, told: dict[str, dict[str, object]]) -> bool:
    """Whether the field is looked at before the next look that its reasons name."""
    own, named = row.come_back or row.first_look, told["next_look"].get("date")
    return own is not None and own > today and isinstance(named, date | str) and own < day_of(named)


def next_look(row: Row, today: date) -> str:
    """When to look next, in words that can stand alone; a day already past is said to be past."""
    if row.walk_today:
        looks = [short(look, row) for look in jobs_of(row)]
        jobs = [*(["walk for cutworm"] if for_cutworm(row) else []), *looks] if looks else []
        after = f"; then come back {n.weekday(row.come_back)}" if row.come_back else ""
        return f"Today{': ' if jobs else ''}{', '.join(jobs)}{after}."
    if row.keep_out or row.too_wet:
        return rest_words(row, today)
    look = coming_look(row, today)
    if look is None:
        return "Can't say yet; see why." if row.cannot_say else "Nothing more is due here."
    first = next((other for other in coming_looks(row) if other.opens == look), None)
    return f"{n.weekday(look)}: {do(first)}." if first else f"{n.weekday(look)}."
