"""Command on counting in a field today: stop-table."""

from __future__ import annotations

from typing import Annotated

import typer

from springwalk.cli.talk import JsonOption, StoreOption, TodayOption, day, opened_store, say, say_json
from springwalk.cli.terms import FieldIdArgument, PassCostOption, PriceOption, SprayInOption, YieldOption


def stop_table(
    field_id: FieldIdArgument,
    bushels: YieldOption,
    price: PriceOption,
    own_pass: PassCostOption,
    wage: Annotated[float, typer.Option("--wage", metavar="$/H", help="An hour of whoever walks.")],
    hour_worth: Annotated[
        float, typer.Option("--hour-worth", metavar="$/H", help="What the hour would earn in other fields today.")
    ] = 0.0,
    visit: Annotated[float, typer.Option("--visit", metavar="$", help="The way to the field on a later day.")] = 20.0,
    spray_in: SprayInOption = 1,
    store: StoreOption = None,
    today: TodayOption = None,
    json: JsonOption = False,
) -> None:
    """When to stop counting cut plants in a field, and what then.

    For each count that can come up, by stops made, plants cut and stops with any cut: count on, leave it,
    come back on a day, or search for larvae and treat where one is found. Rests on what was seen before today.

    \b
    Examples:
      springwalk stop-table north --yield 180 --price 4.50 --pass-cost 16 --wage 40 --today 2016-05-17
      springwalk stop-table north --yield 180 --price 4.50 --pass-cost 16 --wage 40 --hour-worth 120 --json
    """
    from springwalk.jobs.advise import Terms
    from springwalk.jobs.stop_table import Hours, stop_table as job

    terms = Terms.per_acre(
        bushels=bushels, price=price, own_pass=own_pass, product=0.0, visit=visit, spray_in_days=(spray_in,)
    )
    hours, asked = Hours(wage, hour_worth), day(today)
    with opened_store(store) as opened:
        found = job(opened, field_id, terms, hours, today=asked)
    if json:
        say_json(found.model_dump(mode="json"))
        return
    from springwalk.show.stop_words import stop_lines

    say("\n".join(stop_lines(found)))


def add_to(app: typer.Typer) -> None:
    """Add the command to the program."""
    app.command()(stop_table)
