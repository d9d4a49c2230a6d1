"""Commands that type one thing in: tap, rain, pass, pest-count."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated, Any, get_args

import typer

from springwalk.cli.talk import (
    FieldArgument,
    JsonOption,
    StoreOption,
    TodayOption,
    day,
    opened_store,
    say,
    say_json,
    tell_undo,
)
from springwalk.errors import EXIT_FAULTS_LISTED, BadValue
from springwalk.jobs.taps import TAPS, WITH_HOURS

if TYPE_CHECKING:
    from springwalk.jobs.entered import Entered
    from springwalk.records import Record

DateOption = Annotated[
    str | None, typer.Option("--date", metavar="DATE", help="The day it was seen or done. Not given: today.")
]
ZoneOption = Annotated[str, typer.Option("--zone", metavar="ZONE", help="The zone. Not given: the whole field.")]
PlantingOption = Annotated[
    str, typer.Option("--planting", metavar="PLANTING", help="The planting. Not given: all of them.")
]
PersonOption = Annotated[str, typer.Option("--person", metavar="NAME", help="Who saw or did it.")]
NoteOption = Annotated[str, typer.Option("--note", metavar="TEXT", help="A note.")]


def tap(
    field: FieldArgument,
    what: Annotated[str, typer.Argument(metavar="WHAT", help=f"One of: {', '.join(TAPS)}.")],
    date: DateOption = None,
    hours: Annotated[
        str, typer.Option("--hours", metavar="HOURS", help="How long water stood or frost held, like 6 or 2d.")
    ] = "",
    zone: ZoneOption = "",
    planting: PlantingOption = "",
    person: PersonOption = "",
    note: NoteOption = "",
    store: StoreOption = None,
    today: TodayOption = None,
    json: JsonOption = False,
) -> None:
    """Tell what was seen in a field: hail, standing water, frost, a crust, corn up.

    The same told twice changes nothing. ponding is water standing, "water gone" the day it left.

    \b
    Examples:
      springwalk tap north-eighty hail
      springwalk tap north-eighty ponding --hours 12 --zone low --date 2016-05-16
      springwalk tap north-eighty "water gone"
    """
    from springwalk.jobs import typed
    from springwalk.records import Event

    word = typed.one_of(what, TAPS, name="what")
    stood = typed.hours(hours)
    if stood is not None and word not in WITH_HOURS:
        raise BadValue("hours", hours, f"{word} has no hours", f"leave --hours out, or tap {', '.join(WITH_HOURS)}")

    def made(on: datetime.date) -> Record:
        return typed.made(
            Event, field=field, date=on, what=word, hours=stood, zone=zone or None, planting=planting or None,
            person=person, note=note,
        )  # fmt: skip

    _enter(made, date, person, store, today, json)


def rain(
    amount: Annotated[str, typer.Argument(metavar="AMOUNT", help="Rain in your gauge: 1.3in or 33mm (none = in.).")],
    field: Annotated[str, typer.Option("--field", metavar="FIELD", help="The field. Not given: every field.")] = "",
    date: DateOption = None,
    hard: Annotated[
        bool | None, typer.Option("--hard/--soft", help="Whether it beat the soil. Not given: not told.")
    ] = None,
    person: PersonOption = "",
    store: StoreOption = None,
    today: TodayOption = None,
    json: JsonOption = False,
) -> None:
    """Tell rain read in your own gauge.

    One reading a field and day; another amount of the same day takes its place.

    \b
    Examples:
      springwalk rain 1.3in --field north-eighty --hard
      springwalk rain 33mm --date 2016-05-16
    """
    from springwalk.jobs import typed
    from springwalk.records import Gauge

    fell_mm = typed.rain_mm(amount)
    _enter(
        lambda on: typed.made(Gauge, field=field, date=on, rain_mm=fell_mm, hard=hard, person=person),
        date, person, store, today, json,
    )  # fmt: skip


def pass_(
    field: FieldArgument,
    what: Annotated[
        str,
        typer.Argument(
            metavar="WHAT",
            help="insecticide, herbicide, fungicide, manure, anhydrous, fertilizer, rotary hoe or other.",
        ),
    ],
    date: DateOption = None,
    at: Annotated[str, typer.Option("--at", metavar="TIME", help="When it ended, like 14:30.")] = "",
    entry: Annotated[
        str, typer.Option("--entry", metavar="HOURS", help="The entry interval from the label in hand, like 24h.")
    ] = "",
    product: Annotated[str, typer.Option("--product", metavar="NAME", help="The product, as its label says.")] = "",
    direction: Annotated[
        str, typer.Option("--direction", metavar="HEADING", help="Heading of travel: degrees, or N, NE, E …")
    ] = "",
    untreated: Annotated[
        str, typer.Option("--untreated", metavar="WHERE", help="Where a strip was left untreated.")
    ] = "",
    zone: ZoneOption = "",
    planting: PlantingOption = "",
    person: PersonOption = "",
    note: NoteOption = "",
    store: StoreOption = None,
    today: TodayOption = None,
    json: JsonOption = False,
) -> None:
    """Tell a pass over a field: spraying, manure, a rotary hoe.

    Product and entry interval are typed from the label in hand. A treated field is held out until its interval ends;
    without one typed it is held out for some days.

    \b
    Examples:
      springwalk pass north-eighty insecticide --at 14:30 --entry 24h --untreated "row 40, north end"
      springwalk pass north-eighty "rotary hoe" --date 2016-05-16
    """
    from springwalk.jobs import typed
    from springwalk.records import Pass
    from springwalk.records.work import PassKind

    word = typed.one_of(what, get_args(PassKind), name="what")
    ended, interval, way = typed.clock(at), typed.hours(entry, name="entry"), typed.heading(direction)

    def made(on: datetime.date) -> Record:
        return typed.made(
            Pass, field=field, date=on, what=word, at=ended, zone=zone or None, planting=planting or None,
            product=product, entry_hours=interval, direction_deg=way, untreated=untreated, person=person, note=note,
        )  # fmt: skip

    _enter(made, date, person, store, today, json)


def pest_count(
    field: FieldArgument,
    pest: Annotated[str, typer.Argument(metavar="PEST", help="The pest, as springwalk pest lists them.")],
    looked: Annotated[int, typer.Option("--looked", metavar="N", help="How many units were looked at.")],
    insects: Annotated[
        int | None, typer.Option("--insects", metavar="N", help="Insects found in them together.")
    ] = None,
    units_with: Annotated[
        int | None, typer.Option("--with", metavar="N", help="How many of them had any, or were injured.")
    ] = None,
    unit: Annotated[
        str, typer.Option("--unit", metavar="WORD", help="What was looked at. Not given: the pest's own.")
    ] = "",
    length: Annotated[float | None, typer.Option("--length-mm", metavar="MM", help="Length of the insects.")] = None,
    date: DateOption = None,
    zone: ZoneOption = "",
    planting: PlantingOption = "",
    person: PersonOption = "",
    note: NoteOption = "",
    store: StoreOption = None,
    today: TodayOption = None,
    json: JsonOption = False,
) -> None:
    """Tell a count of a stand pest other than cutworm.

    Give --insects, --with, or both: none found is a count too (0).

    \b
    Examples:
      springwalk pest-count north-eighty "stink bug" --looked 50 --insects 3
      springwalk pest-count north-eighty wireworm --looked 10 --insects 4 --with 3
    """
    from springwalk.jobs import typed
    from springwalk.jobs.pest_tables import find, unit_of
    from springwalk.records import PestCount

    known = find(pest)

    if insects is None and units_with is None:
        raise BadValue("count", "none", "neither insects nor places with any were given", "give --insects or --with")
    if units_with is not None and units_with > looked:
        raise BadValue("with", units_with, f"more than the {looked} looked at", "correct --with or --looked")

    def made(on: datetime.date) -> Record:
        return typed.made(
            PestCount, field=field, date=on, pest=known.name, unit=unit_of(unit), looked=looked, insects=insects,
            units_with=units_with, length_mm=length, zone=zone or None, planting=planting or None, person=person,
            note=note,
        )  # fmt: skip

    _enter(made, date, person, store, today, json)


def enter_on(
    made: Callable[[datetime.date], Record], told: str | None, person: str, store: str | None, today: str | None
) -> tuple[Entered, str]:
    """Enter the record made for the day told (today where none is); its receipt, and that in words."""
    from springwalk.jobs.enter import enter, look_after
    from springwalk.jobs.sheet import local_date
    from springwalk.jobs.snapshot import season_of
    from springwalk.show.entry_words import receipt

    asked, on = day(today), day(told, name="date")
    with opened_store(store) as opened:
        now = asked or local_date(season_of(opened))
        entered = enter(opened, made(on or now), person=person, today=now)
        return entered, receipt(entered, look_after(opened, entered, today=asked))


def _enter(
    made: Callable[[datetime.date], Record],
    told: str | None,
    person: str,
    store: str | None,
    today: str | None,
    json: bool,
) -> None:
    """Enter a record and print its receipt."""
    entered, words = enter_on(made, told, person, store, today)
    tell_receipt(entered, words, json, store)


def tell_receipt(entered: Entered, words: str, json: bool, store: str | None) -> None:
    """Print a receipt and how to undo it; a thing of which two versions are held ends with the code of rows left out.

    ``store`` is what ``--store`` named, None where it was not given.
    """
    from springwalk.show.entry_words import receipt

    if json:
        say_json(receipt_values(entered))
    else:
        say(words or receipt(entered))
        if entered.undoable is not None:
            tell_undo(entered.undoable, store)
    if entered.put == "conflict":
        raise typer.Exit(EXIT_FAULTS_LISTED)


def receipt_values(entered: Entered) -> dict[str, Any]:
    """A receipt as JSON-ready values, with its words."""
    from springwalk.show.entry_words import receipt

    return {**entered.model_dump(mode="json"), "words": receipt(entered)}


def add_to(app: typer.Typer) -> None:
    """Add this file's commands to the program."""
    for name, command in (("tap", tap), ("rain", rain), ("pass", pass_), ("pest-count", pest_count)):
        app.command(name)(command)
