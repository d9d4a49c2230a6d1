"""The command of the due list."""

from __future__ import annotations

import typer

from springwalk.cli.talk import JsonOption, StoreOption, TodayOption, day, opened_store, say


def due(store: StoreOption = None, today: TodayOption = None, json: JsonOption = False) -> None:
    """The list that can't be forgotten: every look that is overdue, due or coming.

    Each look stands here until it is made or set aside; its last line is the command that ends it.

    \b
    Examples:
      springwalk due
      springwalk due --today 2016-05-17 --json
    """
    asked = day(today)
    from springwalk.jobs.due import due_of
    from springwalk.jobs.sheet import sheet
    from springwalk.show import due_words

    with opened_store(store) as opened:
        found = due_of(sheet(opened, asked))
    say(due_words.as_json(found) if json else due_words.text(found))


def add_to(app: typer.Typer) -> None:
    """Add this file's command to the program."""
    app.command("due")(due)
