"""Commands that make and keep a season: demo, start, intake, backup, restore."""

from __future__ import annotations

from datetime import date
from importlib.resources import as_file, files
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from springwalk.cli.talk import JsonOption, StoreOption, TodayOption, day, local_today, say, say_json, tell, write_bytes
from springwalk.errors import EXIT_FAULTS_LISTED, BadFile, BadValue
from springwalk.settings import store_location

if TYPE_CHECKING:
    from springwalk.intake import Fault
    from springwalk.jobs.receipt import Receipt

DEMO_FOLDER = Path("springwalk-demo")
DEMO_TODAY = date(2016, 5, 17)
DEMO_TAKEN_ON = date(2016, 12, 31)  # the example runs on after the demo's morning; nothing in it lies in the future
FIRST_YEAR, LAST_YEAR = 1950, 2100
_REVISIONS_SHOWN = 20
_NOTES_APART = 3


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
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="The folder to make.")],
    year: Annotated[
        int | None, typer.Option("--year", metavar="YEAR", help="The season's year.  [default: this year]")
    ] = None,
    name: Annotated[str, typer.Option("--name", metavar="NAME", help="What the sheet calls it.")] = "My season",
) -> None:
    """Make a season folder of your own to fill in.

    It gets a commented season.toml and empty files with the right headings. Nothing there is written over.

    \b
    Example:
      springwalk start myfarms
      springwalk start myfarms --year 2026 --name "Our corn 2026"
    """
    from springwalk.intake import start_folder

    asked = local_today().year if year is None else year
    if not FIRST_YEAR <= asked <= LAST_YEAR:
        raise BadValue("year", asked, f"outside {FIRST_YEAR} … {LAST_YEAR}", "give the year of the season")
    start_folder(folder, year=asked, name=name)
    tell(f"Made {folder}. Fill in {folder / 'season.toml'} first, then: springwalk intake {folder}")


def intake(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="A season folder; season.toml in it says the rest.")],
    store: StoreOption = None,
    today: TodayOption = None,
    person: Annotated[str, typer.Option("--person", metavar="NAME", help="Who takes the files in.")] = "",
    repair: Annotated[
        list[str] | None,
        typer.Option(
            "--repair", metavar="FILE:WHAT", help="Repair a suspected file: unit=C, unit=F, swap or as-is. Repeatable."
        ),
    ] = None,
    json: JsonOption = False,
) -> None:
    """Take a season folder into the store.

    Good rows are kept. Every fault is listed; where rows were left out the exit code is 9.
    The same folder twice changes nothing; a changed value is a listed revision. Rows dated
    after --today are left out.

    \b
    Examples:
      springwalk intake myfarms
      springwalk intake myfarms --store season.db --today 2016-05-17
      springwalk intake myfarms --repair weather/station.csv:unit=C
    """
    from springwalk.intake import parse_repairs
    from springwalk.jobs.take_in import take_in
    from springwalk.store import open_store

    asked = day(today) or local_today()
    repairs = parse_repairs(repair or [])
    _check_folder(folder)
    location = store_location(store)
    with open_store(location, create=True) as opened:
        receipt = take_in(opened, folder, today=asked, person=person, repairs=repairs)
    if json:
        say_json(receipt.plain())
    else:
        say(receipt_text(receipt, location))
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


def receipt_text(receipt: Receipt, location: str) -> str:
    """The receipt as text: a line a file, then every revision (the first 20 of a file) and every fault in full."""
    width = max([len(file.name) for file in receipt.files] + [4])
    lines = [f"{'file':<{width}}  {'new':>6} {'same':>6} {'revised':>8} {'left out':>9} {'suspected':>10}"]
    for file in receipt.files:
        counts = f"{file.new:>6} {file.same:>6} {len(file.revised):>8} {file.refused:>9} {file.suspected:>10}"
        lines.append(f"{file.name:<{width}}  {counts}")
    for file in receipt.files:
        if file.revised:
            lines += ["", f"Revised in {file.name}:"]
            lines += [f"  {item.what}: {item.before} → {item.after}" for item in file.revised[:_REVISIONS_SHOWN]]
            if len(file.revised) > _REVISIONS_SHOWN:
                lines.append(f"  … and {len(file.revised) - _REVISIONS_SHOWN} more; --json lists them all")
    faults = [fault for file in receipt.files for fault in file.faults]
    for severity, heading in (("refused", "Left out"), ("suspected", "Suspected")):
        found = [f"  {fault}" for fault in faults if fault.severity == severity]
        lines += ["", f"{heading}:", *found] if found else []
    notes = _notes([fault for fault in faults if fault.severity == "note"])
    lines += ["", "Noted:", *notes] if notes else []
    changed = "" if receipt.changed else " Nothing was new."
    lines += ["", f"Taken into {location}.{changed}"]
    return "\n".join(lines)


def _notes(notes: list[Fault]) -> list[str]:
    """Notes as lines; where one thing is noted of many rows of a file, one line tells it of them all."""
    alike: dict[tuple[str, str, str, str], list[Fault]] = {}
    for note in notes:
        alike.setdefault((note.file, note.column, note.rule, note.todo), []).append(note)
    lines = []
    for (file, column, rule, todo), same in alike.items():
        if len(same) <= _NOTES_APART:
            lines += [f"  {note}" for note in same]
        else:
            lines.append(f"  {file}, column {column}, {len(same)} rows, the first {same[0].row}: {rule}; {todo}.")
    return lines


def _tell_in_one_line(receipt: Receipt) -> None:
    new, same = sum(file.new for file in receipt.files), sum(file.same for file in receipt.files)
    tell(f"{len(receipt.files)} files: {new} rows new, {same} the same as before, {receipt.refused} left out.")


def _counted(counts: dict[str, int]) -> str:
    return ", ".join(f"{count} {name}" for name, count in counts.items())


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        reason = (error.strerror or "cannot be made").lower()
        raise BadFile("folder", folder, reason, "run this where you may write") from None


def _check_folder(folder: Path) -> None:
    """Refuse a folder that holds no season before a store is made for it."""
    if not folder.is_dir():
        todo = f"check the path, or make one: springwalk start {folder}"
        raise BadFile("folder", folder, "there is no such folder", todo)
    if not (folder / "season.toml").is_file():
        raise BadFile("folder", folder, "season.toml is not in it", "see docs/reference/files.md for what it says")


def add_to(app: typer.Typer) -> None:
    """Add this file's commands to the program."""
    for command in (demo, start, intake, backup, restore):
        app.command(command.__name__)(command)
