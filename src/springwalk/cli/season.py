"""Commands that make and keep a season: demo, start, intake, backup, restore."""

from __future__ import annotations

from datetime import date
from importlib.resources import as_file, files
from pathlib import Path
from shlex import quote
from typing import TYPE_CHECKING, Annotated

import typer

from springwalk.cli.receipt import Told
from springwalk.cli.talk import JsonOption, StoreOption, TodayOption, day, local_today, say, tell, write_bytes
from springwalk.errors import EXIT_FAULTS_LISTED, BadFile, BadValue
from springwalk.settings import store_location

if TYPE_CHECKING:
    from springwalk.jobs.receipt import Receipt

DEMO_FOLDER = Path("springwalk-demo")
DEMO_TODAY = date(2016, 5, 17)
DEMO_TAKEN_ON = date(2016, 12, 31)  # the example runs on after the demo's morning; nothing in it lies in the future
FIRST_YEAR, LAST_YEAR = 1950, 2100


def demo() -> None:
    """The example season, from files to the morning sheet.

    Everything is written into ./springwalk-demo. The place, the farms and the counts are
    invented; the daily temperatures of 2016 are real.

    \b
    Example:
      springwalk demo
    """
    from springwalk.jobs.sheet import sheet as sheet_job
    from springwalk.jobs.take_in import take_in
    from springwalk.paper.sheet import sheet as print_sheet
    from springwalk.show.terminal import sheet as sheet_text
    from springwalk.store import open_store

    _make_folder(DEMO_FOLDER)
    location = DEMO_FOLDER / "season.db"
    tell(f"Taking the example season into {location} …")
    with open_store(str(location), create=True) as store:
        with as_file(files("springwalk.example") / "season") as folder:
            receipt = take_in(store, folder, today=DEMO_TAKEN_ON, person="demo")
        _tell_in_one_line(receipt)
        result = sheet_job(store, DEMO_TODAY)
    say(sheet_text(result))
    pdf = DEMO_FOLDER / "sheet.pdf"
    write_bytes(pdf, print_sheet(result), what="sheet")
    tell(f"\nThe same sheet for the truck: {pdf}")
    tell(f"To open it in a browser:      springwalk serve --store {location} --today {DEMO_TODAY}")
    tell("Your own farms:               springwalk start myfarms")


def start(
    folder: Annotated[str, typer.Argument(metavar="FOLDER", help="The folder to make.")],
    year: Annotated[
        int | None, typer.Option("--year", metavar="YEAR", help="The season's year.  [default: this year]")
    ] = None,
    name: Annotated[str, typer.Option("--name", metavar="NAME", help="What the sheet calls it.")] = "My season",
) -> None:
    """Make a season folder of your own to fill in.

    It gets a commented season.toml, empty files with the right headings, and FILES.md, which explains
    them all. Nothing there is written over.

    \b
    Example:
      springwalk start myfarms
      springwalk start myfarms --year 2026 --name "Our corn 2026"
    """
    from springwalk.intake import start_folder

    asked = local_today().year if year is None else year
    if not FIRST_YEAR <= asked <= LAST_YEAR:
        raise BadValue("year", asked, f"outside {FIRST_YEAR} … {LAST_YEAR}", "give the year of the season")
    place = _folder(folder)
    start_folder(place, year=asked, name=name)
    tell(f"Made {place}. Fill in {place / 'season.toml'} first, then: springwalk intake {quote(str(place))}")
    tell(f"{place / 'FILES.md'} explains every file, column and word.")


def intake(
    folder: Annotated[str, typer.Argument(metavar="FOLDER", help="A season folder; season.toml in it says the rest.")],
    store: StoreOption = None,
    today: TodayOption = None,
    person: Annotated[str, typer.Option("--person", metavar="NAME", help="Who takes the files in.")] = "",
    repair: Annotated[
        list[str] | None,
        typer.Option(
            "--repair", metavar="FILE:WHAT", help="Repair a suspected file: unit=C, unit=F, swap or as-is. Repeatable."
        ),
    ] = None,
    take_back: Annotated[
        list[str] | None,
        typer.Option(
            "--take-back",
            metavar="FILE",
            help="Take back what an earlier FILE gave and it no longer holds. Repeatable.",
        ),
    ] = None,
    all_faults: Annotated[
        bool, typer.Option("--all-faults", help="Print every fault, also where many rows break the same rule.")
    ] = False,
    json: JsonOption = False,
) -> None:
    """Take a season folder into the store.

    Good rows are kept. Every fault is listed (where many rows break one rule, the first three and how many more);
    where rows were left out the exit code is 9.
    The same folder twice changes nothing; a changed value is a listed revision; what a file no longer
    holds is listed and kept until you take it back. Rows dated after --today are left out.

    \b
    Examples:
      springwalk intake myfarms
      springwalk intake myfarms --store season.db --today 2016-05-17
      springwalk intake myfarms --repair weather/station.csv:unit=C
      springwalk intake myfarms --take-back catches.csv
    """
    from springwalk.intake import parse_repairs
    from springwalk.jobs.take_in import take_in
    from springwalk.store import open_store

    asked = day(today) or local_today()
    repairs = parse_repairs(repair or [])
    place = _season_folder(folder)
    location = store_location(store)
    told = Told(location, all_faults=all_faults, json=json)
    try:
        with open_store(location, create=True) as opened:
            receipt = take_in(
                opened,
                place,
                today=asked,
                person=person,
                repairs=repairs,
                options=_said_again(store, today, person, repair or []),
                take_back=take_back or [],
                telling=told,
            )
    except BaseException as error:
        told.broken(error)
        raise
    told.end(receipt)
    if receipt.refused or receipt.suspected:
        raise typer.Exit(EXIT_FAULTS_LISTED)


def backup(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The backup to write.")],
    store: StoreOption = None,
) -> None:
    """Write the whole store into one file.

    ``restore`` reads it on any machine.

    \b
    Example:
      springwalk backup --store season.db season-backup.zip
    """
    from springwalk.store import backup as job, open_store

    with open_store(store_location(store)) as opened:
        counts = job(opened, file)
    tell(f"Wrote {file}: {_counted(counts)}.")


def restore(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A file that backup wrote.")],
    store: StoreOption = None,
) -> None:
    """Make a new store from a backup.

    An existing store is never written over.

    \b
    Example:
      springwalk restore --store restored.db season-backup.zip
    """
    from springwalk.store import restore as job

    location = store_location(store)
    counts = job(file, location)
    tell(f"Restored {location}: {_counted(counts)}.")


def _said_again(store: str | None, today: str | None, person: str, repairs: list[str]) -> str:
    """The options of this intake as words of a command line: what it says to run next must mean the same intake."""
    told = [("--store", store), ("--today", today), ("--person", person), *(("--repair", each) for each in repairs)]
    return " ".join(f"{name} {quote(value)}" for name, value in told if value)


def _tell_in_one_line(receipt: Receipt) -> None:
    new, same = sum(file.new for file in receipt.files), sum(file.same for file in receipt.files)
    tell(f"{len(receipt.files)} files: {new} records new, {same} the same as before, {receipt.left_out} rows left out.")


def _counted(counts: dict[str, int]) -> str:
    return ", ".join(f"{count} {name}" for name, count in counts.items())


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        reason = (error.strerror or "cannot be made").lower()
        raise BadFile("folder", folder, reason, "run this where you may write") from None


def _folder(name: str) -> Path:
    """The folder a person names; ``\"\"``, which a script with an unset name writes, is not this folder."""
    if not name.strip():
        raise BadValue("folder", repr(name), "not a folder's name", "write it like myfarms, or . for this folder")
    return Path(name)


def _season_folder(name: str) -> Path:
    """The folder to take in; one that can't be read or holds no season is refused before a store is made for it."""
    from springwalk.intake import check_folder
    from springwalk.store.places import FILE, NOTHING, found_at

    folder = _folder(name)
    check_folder(folder)
    found = found_at(folder / "season.toml")
    if found == NOTHING:
        todo = "name the folder it is in, or make one: springwalk start FOLDER"
        raise BadFile("folder", folder, "season.toml is not in it", todo)
    if found != FILE:
        raise BadFile("season.toml", folder / "season.toml", f"{found}, not a file", "put the season's file there")
    return folder


def add_to(app: typer.Typer) -> None:
    """Add this file's commands to the program."""
    for command in (demo, start, intake, backup, restore):
        app.command(command.__name__)(command)
