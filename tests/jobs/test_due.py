"""The due list from a sheet."""

from __future__ import annotations

from datetime import timedelta

from springwalk.jobs.due import AHEAD, due_of
from tests.show import looks_sample
from tests.show.looks_sample import TODAY


def test_every_open_look_is_listed_once_whatever_its_field() -> None:
    """A look in a field that is kept out, wet or resting must not be forgotten."""
    sheet = looks_sample.sheet()
    due = due_of(sheet)
    listed = [line.look.key for line in (*due.overdue, *due.last_day, *due.due, *due.coming, *due.missed)]
    assert sorted(listed) == sorted(look.key for row in (*sheet.rows, *sheet.rest) for look in row.looks)
    assert [line.row.field for line in due.last_day] == ["north-eighty", "pond-quarter"]
    assert due.due[1].held is not None


def test_lists_stand_by_date_then_field() -> None:
    """Open looks by the day they close, coming ones by the day they open."""
    due = due_of(looks_sample.sheet())
    assert [line.row.name for line in due.due] == [
        "Long Eighty",
        "Mill East",
        "Schoolhouse",
        "Elm Bottom",
        "River Forty",
    ]
    assert [line.row.name for line in due.coming] == ["Lane Side", "South Draw"]


def test_looks_far_ahead_wait_and_missed_ones_stay() -> None:
    """The list holds 14 days; a look that was missed is still told."""
    sheet = looks_sample.sheet()
    row = sheet.rest[3]
    edge, far = (
        row.looks[0].model_copy(
            update={"key": f"k{n}", "opens": TODAY + AHEAD + timedelta(n), "closes": TODAY + AHEAD * 2}
        )
        for n in (0, 1)
    )
    missed = row.looks[0].model_copy(update={"key": "m", "state": "missed"})
    due = due_of(
        sheet.model_copy(update={"rows": (), "rest": (row.model_copy(update={"looks": (far, edge, missed)}),)})
    )
    assert [line.look.key for line in due.coming] == ["k0"]
    assert [line.look.key for line in due.missed] == ["m"]


def test_the_same_sheet_gives_the_same_list() -> None:
    """Pure: no clock and no order of storage in it."""
    sheet = looks_sample.sheet()
    turned = sheet.model_copy(update={"rows": sheet.rows[::-1], "rest": sheet.rest[::-1]})
    assert due_of(turned) == due_of(sheet)
