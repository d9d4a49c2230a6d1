"""Command for a walk typed in the field: walk."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from springwalk.cli.entries import DateOption, NoteOption, PersonOption, PlantingOption
from springwalk.cli.talk import (
    FieldArgument,
    JsonOption,
    StoreOption,
    TodayOption,
    day,
    opened_store,
    say,
    say_json,
    tell,
    tell_undo,
)
from springwalk.errors import EXIT_FAULTS_LISTED, BadValue, SpringwalkError

if TYPE_CHECKING:
    from springwalk.jobs.advised import FieldAdvice
    from springwalk.jobs.changed import Changed
    from springwalk.jobs.results import Reason
    from springwalk.jobs.walk import Walked
    from springwalk.records import Walk
    from springwalk.store import Store

SAME = "The same walk is already kept; add --hour or --note if it is another."
Many = list[str] | None
StopOption = Annotated[
    Many, typer.Option("--stop", metavar="TEXT", help="One stop: '20 places: 1 fresh at, 2 leaf-fed'. Repeatable.")
]
RowOption = Annotated[
    Many,
    typer.Option("--row", metavar="TEXT", help="A marked row, to be counted again: 'A: 20 places: 2 fresh'."),
]
WorstOption = Annotated[
    Many, typer.Option("--worst", metavar="TEXT", help="A stop made where it looked worst. Repeatable.")
]
LarvaOption = Annotated[
    Many, typer.Option("--larva", metavar="SIZES", help="Larvae found, like 12mm, 1/2in or '12 15 18'. Repeatable.")
]


def walk(
    field: FieldArgument,
    stop: StopOption = None,
    row: RowOption = None,
    worst: WorstOption = None,
    larva: LarvaOption = None,
    searched: Annotated[int | None, typer.Option("--searched", metavar="N", help="Plants searched for larvae.")] = None,
    collars: Annotated[str, typer.Option("--collars", metavar="STAGE", help="Leaf collars, like V2 or 2.5.")] = "",
    staging: Annotated[
        str, typer.Option("--staging", metavar="WORD", help="How they were counted: collars, leaves, horizontal leaf.")
    ] = "",
    soil: Annotated[str, typer.Option("--soil", metavar="WORD", help="dry, moist, wet or crusted.")] = "",
    hour: Annotated[int | None, typer.Option("--hour", metavar="H", help="Hour of the walk, 0 to 23.")] = None,
    planting: PlantingOption = "",
    date: DateOption = None,
    person: PersonOption = "",
    note: NoteOption = "",
    correct: Annotated[
        str, typer.Option("--correct", metavar="WALK", help="The typed walk that this one takes the place of.")
    ] = "",
    no_advice: Annotated[bool, typer.Option("--no-advice", help="Print the receipt only.")] = False,
    store: StoreOption = None,
    today: TodayOption = None,
    json: JsonOption = False,
) -> None:
    """Tell a walk of one field, stop by stop, and read what it means.

    A stop is so many plant places and how many plants were in each state; "low: 20 places: none" is a stop in the
    zone low. A marked row told again on a later day is a recount of the same plants. The same walk told twice changes
    nothing. What can't be right as told is kept, asked about, and left out of the advice that follows.

    \b
    Examples:
      springwalk walk north --stop "20 places: 1 fresh at, 2 leaf-fed" --stop "20 places: none" --collars V2
      springwalk walk north --row "A: 20 places: 2 fresh" --row "B: low: 20 places: none" --person Ann
      springwalk walk north --searched 40 --larva "12 15mm" --soil moist --hour 20
    """
    if searched is None and not (stop or row or worst or larva or collars or note):
        todo = "give --stop, --row, --larva, --searched, --collars or --note"
        raise BadValue("walk", field, "nothing of it was told", todo)
    asked, on = day(today), day(date, name="date")
    with opened_store(store) as opened:
        from springwalk.jobs.sheet import local_date
        from springwalk.jobs.snapshot import season_of
        from springwalk.jobs.walk import keep_walk

        now = asked or local_date(season_of(opened))
        told: dict[str, object] = {
            "field": field, "walked": on or now, "person": person, "note": note, "planting": planting or None,
            "plants_searched": searched, "hour": hour,
        }  # fmt: skip
        made = _made(told, stop or (), row or (), worst or (), larva or (), stage=(collars, staging), soil=soil)
        walked = keep_walk(opened, made, person=person, today=now, correct=correct)
        advice = None if no_advice else _advice(opened, walked, now)
        changed = None if no_advice else _changed(opened, walked, now)
        _print(walked, advice, changed, store=store, json=json)
    if walked.entered.put == "conflict":
        raise typer.Exit(EXIT_FAULTS_LISTED)


def _made(
    told: dict[str, object], stops: Sequence[str], rows: Sequence[str], worst: Sequence[str], larvae: Sequence[str], *,
    stage: tuple[str, str], soil: str,
) -> Walk:  # fmt: skip
    """The walk as a record that has no id of its own yet."""
    from springwalk.jobs import typed, typed_walk
    from springwalk.jobs.walk import UNNAMED
    from springwalk.records import Walk

    at = typed_walk.collars(stage[0])
    return typed.made(
        Walk, id=UNNAMED, **told, collars=None if at is None else at[0],
        staging=typed.one_of(stage[1], typed_walk.STAGINGS, name="staging") if stage[1] else "collars",
        soil=typed.one_of(soil, typed_walk.SOILS, name="soil") if soil else None,
        stops=(
            *(typed_walk.stop(text) for text in stops), *(typed_walk.row(text) for text in rows),
            *(typed_walk.stop(text, counted=False) for text in worst),
        ),
        larvae=tuple(one for text in larvae for one in typed_walk.larvae(text)),
    )  # fmt: skip


def _advice(opened: Store, walked: Walked, today: datetime.date) -> FieldAdvice | SpringwalkError:
    """The advice for the walked field at the season's terms, or why there is none."""
    from springwalk.jobs.advise import advise_field
    from springwalk.jobs.snapshot import season_of
    from springwalk.jobs.terms import terms_of

    try:
        return advise_field(opened, walked.entered.field, terms_of(season_of(opened)), today=today)
    except SpringwalkError as error:
        return error


def _changed(opened: Store, walked: Walked, today: datetime.date) -> Changed | None:
    """What the walk changed for other fields; None where nothing of it counts yet."""
    from springwalk.jobs.changed import changed_by
    from springwalk.jobs.snapshot import snapshot

    try:
        return changed_by(snapshot(opened, today=today), walked.entered.field, walked.walk)
    except SpringwalkError:
        return None


def _print(
    walked: Walked, advice: FieldAdvice | SpringwalkError | None, changed: Changed | None, *,
    store: str | None, json: bool,
) -> None:  # fmt: skip
    """The receipt and what is asked, then the advice, then what the walk changed for other fields."""
    entered = walked.entered
    if json:
        from springwalk.show.entry_words import receipt

        say_json({
            "entered": {**entered.model_dump(mode="json"), "walk": walked.walk, "words": receipt(entered)},
            "questions": _asked_json(walked.questions),
            "advice": _advice_json(advice),
            "changed": changed.model_dump(mode="json") if changed is not None else None,
        })  # fmt: skip
        return
    _print_receipt(walked, store)
    if advice is not None:
        say("")
        say("\n".join(_advice_lines(advice, walked.questions)))
    if changed is not None and changed.others:
        from springwalk.show.changed_words import changed_lines

        say("")
        say("\n".join(changed_lines(changed)))


def _print_receipt(walked: Walked, store: str | None) -> None:
    from springwalk.show.entry_words import SAME_WALK, receipt
    from springwalk.show.walk_questions import question_lines

    entered = walked.entered
    say(receipt(entered).replace(SAME_WALK, SAME))
    for line in question_lines(walked.questions):
        say(line)
    if entered.undoable is not None:
        tell_undo(entered.undoable, store)


def _advice_lines(advice: FieldAdvice | SpringwalkError, said: Sequence[Reason]) -> Sequence[str]:
    """The advice without the questions that the receipt has asked already; or in one line why there is none."""
    if isinstance(advice, SpringwalkError):
        return (f"No advice yet: {advice.rule}; {advice.todo}.",)
    from springwalk.show.advice_words import advice_lines

    left = tuple(one for one in advice.questions if one not in said)
    return advice_lines(advice.model_copy(update={"questions": left}))


def _advice_json(advice: FieldAdvice | SpringwalkError | None) -> object:
    """The advice as values; where there is none its reason is told aside."""
    if advice is None or not isinstance(advice, SpringwalkError):
        return None if advice is None else advice.model_dump(mode="json")
    tell(str(advice))
    return None


def _asked_json(questions: Sequence[Reason]) -> list[dict[str, object]]:
    from springwalk.show.walk_questions import question

    return [{**one.model_dump(mode="json"), "words": question(one)} for one in questions]


def add_to(app: typer.Typer) -> None:
    """Add the command to the program."""
    app.command()(walk)
