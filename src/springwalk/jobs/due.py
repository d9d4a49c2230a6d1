"""The due list: every look of every field that is not over, by how it presses, from the sheet alone."""

from __future__ import annotations

from datetime import date, timedelta

from springwalk.jobs.results import KeepOut, Look, Result, Row, Sheet

AHEAD = timedelta(days=14)
"""Looks that open later than this are not listed yet."""


class DueLine(Result):
    """One look on the list, with the field it is in. ``row`` is the field's row of the sheet."""

    row: Row
    look: Look

    @property
    def held(self) -> KeepOut | None:
        """The lock that keeps people out of the field, if there is one."""
        return self.row.keep_out


class Due(Result):
    """Looks by state, each list by date and then by field; ``coming`` holds those of the next 14 days."""

    season: str
    today: date
    overdue: tuple[DueLine, ...]
    last_day: tuple[DueLine, ...]
    due: tuple[DueLine, ...]
    passing: tuple[DueLine, ...]
    """Only for whoever is there anyway."""
    coming: tuple[DueLine, ...]
    missed: tuple[DueLine, ...]


def due_of(sheet: Sheet) -> Due:
    """The due list of a sheet; pure. Open and missed looks stand by the day they close, coming ones by the day they
    open.

    A look a field cannot be entered for (kept out, too wet) is listed like the others.
    """
    lines = [DueLine(row=row, look=look) for row in (*sheet.rows, *sheet.rest) for look in row.looks]
    lines.sort(key=_order)
    passing = tuple(line for line in lines if not line.look.alone and line.look.state != "coming")
    lines = [line for line in lines if line.look.alone or line.look.state == "coming"]
    by = {state: tuple(line for line in lines if line.look.state == state) for state in ("overdue", "due", "missed")}
    return Due(
        season=sheet.season,
        today=sheet.today,
        overdue=by["overdue"],
        last_day=tuple(line for line in lines if line.look.state == "last day"),
        due=by["due"],
        passing=passing,
        coming=tuple(line for line in lines if line.look.state == "coming" and line.look.opens <= sheet.today + AHEAD),
        missed=by["missed"],
    )


def _order(line: DueLine) -> tuple[date, str, str, str]:
    """By the day that matters, then by the field's name, then for good."""
    day = line.look.opens if line.look.state == "coming" else line.look.closes
    return (day, line.row.name.casefold(), line.row.field, line.look.key)
