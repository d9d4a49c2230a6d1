"""How the commands speak: data on stdout, talk on stderr; and the options that many commands share."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Annotated, Any

import typer

from springwalk.errors import BadFile, BadValue

StoreOption = Annotated[
    str | None,
    typer.Option(
        "--store",
        metavar="FILE",
        help="The season's store. Not given: $SPRINGWALK_STORE, else ./season.db.",
        show_default=False,
    ),
]
TodayOption = Annotated[
    str | None,
    typer.Option("--today", metavar="DATE", help="The day to answer for, like 2016-05-17. Not given: today."),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON instead of text.")]


def say(text: str) -> None:
    """Print data on stdout."""
    typer.echo(text.rstrip("\n"))


def tell(text: str) -> None:
    """Print talk on stderr."""
    typer.echo(text, err=True)


def say_json(data: Any) -> None:
    """Print JSON on stdout, in the order given."""
    say(json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False))


def day(text: str | None, *, name: str = "today") -> date | None:
    """The date written as year-month-day; None stays None. Raises BadValue for anything else."""
    if text is None:
        return None
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise BadValue(name, repr(text), "not a date", "write it like 2016-05-17") from None


def local_today() -> date:
    """The local date of this machine."""
    return date.today()  # noqa: DTZ011  (a local day is what is meant)


def write_bytes(path: Path, content: bytes, *, what: str) -> None:
    """Write a file; raises BadFile in the house form where that cannot be done."""
    try:
        path.write_bytes(content)
    except OSError as error:
        reason = error.strerror or "cannot be written"
        raise BadFile(what, path, reason.lower(), "choose another place for it") from None
