"""Command for a walk typed in the field: walk."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING, Annotated

import typer

from springwalk.cli.entries import DateOption, FieldArgument, NoteOption, PersonOption, PlantingOption, enter_on
from springwalk.cli.talk import JsonOption, StoreOption, TodayOption, say, say_json
from springwalk.errors import BadValue

if TYPE_CHECKING:
    from springwalk.records import Record, Walk


def walk(
    field: FieldArgument,
    stop: Annotated[
        list[str] | None,
        typer.Option("--stop", metavar="TEXT", help="One stop, like '20 places: 1 fresh at, 2 leaf-fed'. Repeatable."),
    ] = None,
    worst: Annotated[
        list[str] | None, typer.Option("--worst", metavar="TEXT", help="A stop made where it looked worst. Repeatable.")
    ] = None,
    larva: Annotated[
        list[str] | None, typer.Option("--larva", metavar="SIZE", help="One larva found, like 12mm. Repeatable.")
    ] = None,
    searched: Annotated[int | None, typer.Option("--searched", metavar="N", help="Plants searched for larvae.")] = None,
    collars: Annotated[str, typer.Option("--collars", metavar="STAGE", help="Leaf collars, like V2 or 2.5.")] = "",
    soil: Annotated[str, typer.Option("--soil", metavar="WORD", help="dry, moist, wet or crusted.")] = "",
    hour: Annotated[int | None, typer.Option("--hour", metavar="H", help="Hour of the walk, 0 to 23.")] = None,
    planting: PlantingOption = "",
    date: DateOption = None,
    person: PersonOption = "",
    note: NoteOption = "",
    store: StoreOption = None,
    today: TodayOption = None,
    json: JsonOption = False,
) -> None:
    """Tell a walk of one field, stop by stop.

    A stop is so many plant places and how many plants were in each state; "low: 20 places: none" is a stop in the
    zone low. The same walk told twice changes nothing. Then ask: springwalk advise FIELD.

    \b
    Examples:
      springwalk walk north --stop "20 places: 1 fresh at, 2 leaf-fed" --stop "20 places: none" --collars V2
      springwalk walk north --stop "20 places: 2 fresh" --larva 12mm --larva 15mm --searched 40 --soil moist --hour 20
    """
    if not (stop or worst or larva or collars or note):
        raise BadValue("walk", field, "nothing of it was told", "give --stop, --larva, --collars or --note")

    def made(on: datetime.date) -> Record:
        told = {"field": field, "walked": on, "person": person, "note": note, "planting": planting or None}
        return _made(told, stop or [], worst or [], larva or [], collars, soil, plants_searched=searched, hour=hour)

    entered, words = enter_on(made, date, person, store, today)
    if json:
        say_json(entered.model_dump(mode="json"))
        return
    say(words)
    if entered.entry is not None:
        say(f"To take it back: springwalk undo {entered.entry}")


def _made(
    told: dict[str, object],
    stops: list[str],
    worst: list[str],
    larvae: list[str],
    collars: str,
    soil: str,
    **more: object,
) -> Walk:
    """The walk as a record; its id is made of what was told, so that telling it twice is once."""
    import hashlib

    from springwalk.jobs import typed, typed_walk
    from springwalk.records import Walk

    stage = typed_walk.collars(collars)
    soils = ("dry", "moist", "wet", "crusted")
    values = {
        **told, **more, "collars": None if stage is None else stage[0],
        "soil": typed.one_of(soil, soils, name="soil") if soil else None,
        "stops": tuple(typed_walk.stop(s) for s in stops) + tuple(typed_walk.stop(s, counted=False) for s in worst),
        "larvae": tuple(typed_walk.larva(one) for one in larvae),
    }  # fmt: skip
    digest = hashlib.sha256(repr(sorted(values.items(), key=lambda item: item[0])).encode()).hexdigest()[:8]
    return typed.made(Walk, id=f"typed-{told['walked']}-{digest}", **values)


def add_to(app: typer.Typer) -> None:
    """Add the command to the program."""
    app.command()(walk)
