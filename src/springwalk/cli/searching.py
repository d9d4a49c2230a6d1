"""Command on searching a field for larvae today: search-table."""

from __future__ import annotations

from typing import Annotated

import typer

from springwalk.cli.talk import FieldArgument, JsonOption, StoreOption, TodayOption, day, opened_store, say, say_advice
from springwalk.cli.terms import (
    PassCostOption,
    PassInOption,
    PriceOption,
    ProductOption,
    SprayInOption,
    VisitOption,
    WageOption,
    YieldOption,
    terms_for,
)  # fmt: skip


def search_table(
    field_id: FieldArgument,
    hour: Annotated[int, typer.Option("--hour", metavar="H", help="Hour of the search, 0 to 23.")] = 20,
    soil: Annotated[str, typer.Option("--soil", metavar="WORD", help="dry, moist, wet or crusted.")] = "moist",
    bushels: YieldOption = None,
    price: PriceOption = None,
    own_pass: PassCostOption = None,
    product: ProductOption = None,
    wage: WageOption = None,
    hour_worth: Annotated[
        float, typer.Option("--hour-worth", metavar="$/H", help="What the hour would earn in other fields today.")
    ] = 0.0,
    visit: VisitOption = None,
    spray_in: SprayInOption = None,
    pass_in: PassInOption = None,
    store: StoreOption = None,
    today: TodayOption = None,
    json: JsonOption = False,
) -> None:
    """How long to search for black cutworm larvae in a field, and what then.

    After so many plants with none found: go on, come back on a day, or leave it; and what to do where one is found.
    A field where none is found is not treated. Today's count is taken into it.
    Money that is not given is the season's, from [money] of season.toml, else a printed assumption.

    \b
    Examples:
      springwalk search-table north --today 2016-05-17
      springwalk search-table north --hour 22 --soil dry --json
    """
    from springwalk.jobs import typed, typed_walk
    from springwalk.jobs.search_table import search_table as job
    from springwalk.jobs.terms import Hours

    asked, ground = day(today), typed.one_of(soil, typed_walk.SOILS, name="soil")
    with opened_store(store) as opened:
        terms = terms_for(
            opened, bushels=bushels, price=price, own_pass=own_pass, product=product, wage=wage, spray_in=spray_in,
            visit=visit, pass_in=pass_in,
        )  # fmt: skip
        assert terms.said is not None
        pay = Hours(terms.said.wage_usd_h, hour_worth)
        found = job(opened, field_id, terms, pay, today=asked, hour=hour, soil=ground)
    if json:
        say_advice(found)
        return
    from springwalk.show.search_words import search_lines

    say("\n".join(search_lines(found)))


def add_to(app: typer.Typer) -> None:
    """Add the command to the program."""
    app.command()(search_table)
