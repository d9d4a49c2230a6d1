"""The command that writes everything out of a store."""

from __future__ import annotations

from pathlib import Path
from shlex import quote
from typing import TYPE_CHECKING, Annotated

import typer

from springwalk.cli.talk import JsonOption, StoreOption, TodayOption, day, opened_store, say, say_json
from springwalk.errors import BadValue

if TYPE_CHECKING:
    from springwalk.jobs.export import Exported
    from springwalk.jobs.export_answers import Words


def export(
    folder: Annotated[str, typer.Argument(metavar="FOLDER", help="The folder to write: new, or empty.")],
    store: StoreOption = None,
    today: TodayOption = None,
    json: JsonOption = False,
) -> None:
    """Write everything the store holds as a season folder of plain files.

    ``intake`` takes the folder in again, and every record and day comes back as it was. Entries that are not
    understood, or that the files can't tell exactly, go as they are into not_understood.jsonl. The folder today
    holds the day's answers for other programs: looks.csv and sheet.geojson. Tables are UTF-8; text that a
    spreadsheet would take for a formula has a blank in front. Earlier versions are not exported: that is backup.

    \b
    Examples:
      springwalk export myfarms-2016
      springwalk export myfarms-2016 --store season.db --today 2016-05-17
    """
    if not folder.strip():
        raise BadValue("folder", repr(folder), "not a folder's name", "write it like myfarms-2016")
    asked = day(today)
    from springwalk.jobs.export import export as job

    with opened_store(store) as opened:
        done = job(opened, Path(folder), today=asked, words=_words())
    if json:
        say_json(_values(done))
    else:
        say("\n".join(_lines(done)))


def _words() -> Words:
    """The sentences of the sheet and the due list."""
    from springwalk.jobs.export_answers import Words
    from springwalk.show.look_text import look_text, today_words
    from springwalk.show.rest_words import rest_words, why

    return Words(
        look=lambda look, row: (
            {name: text for name, text in look_text(look, row).items() if name in ("title", "can_do", "not_yet")}
            | {"why_words": look_text(look, row)["why"]}
        ),
        row=lambda row, today: {
            "today_words": today_words(row),
            "why": why(row) if row.walk_today else rest_words(row, today),
        },
    )


def _lines(done: Exported) -> list[str]:
    lines = [f"Wrote {done.folder}: {len(done.files)} files, {done.records} records, {done.days} days of weather."]
    if done.looks is None:
        lines.append("No looks: today is not in this season. Ask for a day of it: --today DATE")
    else:
        lines.append(f"Looks listed in {Path('today') / 'looks.csv'}: {done.looks}.")
    if done.raw:
        told = ", ".join(f"{number} {why}" for why, number in done.raw.items())
        lines.append(f"Kept as they are in not_understood.jsonl, which intake does not read: {told}.")
    repairs = "".join(f" --repair {quote(f'{name}:as-is')}" for name in done.as_is)
    if repairs:
        lines.append("Some numbers look odd and were confirmed before; the intake below says so again.")
    lines.append(f"To take it in again: springwalk intake {quote(str(done.folder))} --store NEW.db{repairs}")
    return lines


def _values(done: Exported) -> dict[str, object]:
    return {
        "folder": str(done.folder), "files": list(done.files), "records": done.records, "days": done.days,
        "kept_as_they_are": dict(done.raw), "as_is": list(done.as_is), "looks": done.looks,
    }  # fmt: skip


def add_to(app: typer.Typer) -> None:
    """Add this file's command to the program."""
    app.command("export")(export)
