"""Commands that end a look or take an entry back: done, undo."""

from __future__ import annotations

from typing import Annotated

import typer

from springwalk.cli.entries import NoteOption, PersonOption, tell_receipt
from springwalk.cli.talk import JsonOption, StoreOption, TodayOption, day, opened_store


def done(
    look: Annotated[str, typer.Argument(metavar="LOOK", help="The look's key, as springwalk due prints it.")],
    set_aside: Annotated[bool, typer.Option("--set-aside", help="It will not be made; --note says why.")] = False,
    note: NoteOption = "",
    on: Annotated[
        str | None, typer.Option("--on", metavar="DATE", help="The day it was made. Not given: today.")
    ] = None,
    person: PersonOption = "",
    store: StoreOption = None,
    today: TodayOption = None,
    json: JsonOption = False,
) -> None:
    """End a look of the due list: it was made, or is set aside with a reason.

    \b
    Examples:
      springwalk done hail:north-eighty::2016-05-14
      springwalk done hail:north-eighty::2016-05-14 --set-aside --note "grower looked himself"
    """
    from springwalk.jobs.enter import end_look

    asked, ended = day(today), day(on, name="on")
    with opened_store(store) as opened:
        entered = end_look(
            opened, look, outcome="set aside" if set_aside else "done", note=note, on=ended, person=person, today=asked
        )
    tell_receipt(entered, "", json, store)


def undo(
    entry: Annotated[str, typer.Argument(metavar="ENTRY", help="The entry's id, as its receipt prints it.")],
    person: PersonOption = "",
    store: StoreOption = None,
    json: JsonOption = False,
) -> None:
    """Take an entry back that was typed by hand.

    What it stood in place of is brought back. Nothing is deleted.

    \b
    Example:
      springwalk undo 0192f3a1-5c00-7000-8000-000000000000
    """
    from springwalk.jobs.enter import undo as job

    with opened_store(store) as opened:
        entered = job(opened, entry.strip(), person=person)
    tell_receipt(entered, "", json, store)


def add_to(app: typer.Typer) -> None:
    """Add this file's commands to the program."""
    app.command("done")(done)
    app.command("undo")(undo)
