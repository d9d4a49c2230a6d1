"""How the commands speak: data on stdout, talk on stderr; and the options that many commands share."""

from __future__ import annotations

import json
import re
import shlex
from contextlib import suppress
from datetime import date, time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from springwalk.errors import BadFile, BadValue

if TYPE_CHECKING:
    from pydantic import BaseModel

    from springwalk.store import Store

_PDF = b"%PDF"
_HOUR = re.compile(r"[0-9]{1,2}:[0-9]{2}")
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


def _named_store(text: str | None) -> str | None:
    """Refuse ``--store ""``, which a script with an unset name writes, before another store is taken for it."""
    if text is not None and not text.strip():
        raise BadValue("store", repr(text), "not a file name", "write it like --store season.db, or leave it out")
    return text


FieldArgument = Annotated[str, typer.Argument(metavar="FIELD", help="The field's id or name.")]
StoreOption = Annotated[
    str | None,
    typer.Option(
        "--store",
        metavar="FILE",
        help="The season's store. Not given: $SPRINGWALK_STORE, else ./season.db.",
        show_default=False,
        callback=_named_store,
    ),
]
TodayOption = Annotated[
    str | None,
    typer.Option("--today", metavar="DATE", help="The day to answer for, like 2016-05-17. Not given: today."),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON instead of text.")]


def opened_store(option: str | None) -> Store:
    """The store of ``--store``, to be closed by whoever opened it."""
    from springwalk.settings import store_location
    from springwalk.store import open_store

    return open_store(store_location(option))


def say(text: str) -> None:
    """Print data on stdout."""
    typer.echo(text.rstrip("\n"))


def tell(text: str) -> None:
    """Print talk on stderr; where nobody can hear it, the command still does its work."""
    with suppress(OSError):
        typer.echo(text, err=True)


def tell_undo(entry: str, store: str | None) -> None:
    """Tell how to take an entry back, as a command to be pasted; it names the store where ``--store`` did."""
    named = f" --store {shlex.quote(store)}" if store is not None else ""
    tell(f"To take it back: springwalk undo {entry}{named}")


def say_advice(found: BaseModel) -> None:
    """Print an answer that may speak of treating as JSON, with the usual cautions beside it."""
    from springwalk.show.caution import USUAL

    say_json({**found.model_dump(mode="json"), "cautions": list(USUAL)})


def say_json(data: Any) -> None:
    """Print JSON on stdout, in the order given."""
    say(json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False))


def day(text: str | None, *, name: str = "today") -> date | None:
    """The date written as year-month-day; None stays None. Raises BadValue for anything else."""
    if text is None:
        return None
    try:
        if _DATE.fullmatch(text.strip()):  # fromisoformat alone takes week dates and more
            return date.fromisoformat(text.strip())
    except ValueError:
        pass
    raise BadValue(name, repr(text), "not a date", "write it like 2016-05-17")


def hour(text: str, *, name: str = "at") -> time | None:
    """The local time written as hours and minutes; blank is None. Raises BadValue for anything else."""
    if not text.strip():
        return None
    try:
        if _HOUR.fullmatch(text.strip()):
            return time.fromisoformat(text.strip().zfill(5))
    except ValueError:
        pass
    raise BadValue(name, repr(text), "not a time of day", "write it like 14:30")


def local_today() -> date:
    """The local date of this machine."""
    return date.today()  # noqa: DTZ011  (a local day is what is meant)


def write_bytes(path: Path, content: bytes, *, what: str) -> None:
    """Write a PDF whole or not at all, in place of an older PDF only; raises BadFile where that cannot be done."""
    from springwalk.store.places import FILE, NOTHING, absolute, found_at, written_whole

    place, todo = absolute(path), "choose another place for it"
    try:
        found = found_at(place)
        if found not in (FILE, NOTHING):
            raise BadFile(what, path, f"{found}, not a file", todo)
        if found == FILE and not _is_pdf(place):
            raise BadFile(what, path, "there is another file here, not a PDF", todo)
        with written_whole(place) as file:
            file.write(content)
    except OSError as error:
        reason = error.strerror or "cannot be written"
        raise BadFile(what, path, reason.lower(), todo) from None


def _is_pdf(path: Path) -> bool:
    with path.open("rb") as file:
        return file.read(len(_PDF)) == _PDF
