"""Command on what to do in a field that was walked: advise."""

from __future__ import annotations

from typing import Annotated

import typer

from springwalk.cli.talk import JsonOption, StoreOption, TodayOption, day, opened_store, say, say_json
from springwalk.cli.terms import FieldIdArgument, PassCostOption, PriceOption, SprayInOption, YieldOption


def advise(
    field_id: FieldIdArgument,
    bushels: YieldOption,
    price: PriceOption,
    own_pass: PassCostOption,
    product: Annotated[
        float, typer.Option("--product-cost", metavar="$/ACRE", help="The product alone, on a pass that goes anyway.")
    ] = 0.0,
    pass_in: Annotated[
        int | None, typer.Option("--pass-in", metavar="DAYS", help="Days until a pass goes anyway; none if not given.")
    ] = None,
    spray_in: SprayInOption = 1,
    visit: Annotated[float, typer.Option("--visit", metavar="$", help="What another visit costs.")] = 20.0,
    store: StoreOption = None,
    today: TodayOption = None,
    json: JsonOption = False,
) -> None:
    """What to do about black cutworm in a field walked in the last week.

    Leave it, treat it (whole or a part, on its own pass or riding along), or look again: the money, the odds
    that each is best, the state's rule beside it, and what would most change it. Nothing is advised to be
    sprayed unless live larvae were found. The label rules; the grower and the licensed adviser decide.
    How good this advice is has not been scored on whole seasons yet.

    \b
    Examples:
      springwalk advise north --yield 180 --price 4.50 --pass-cost 16 --today 2016-05-24
      springwalk advise north --yield 180 --price 4.50 --pass-cost 16 --product-cost 7 --pass-in 2 --json
    """
    from springwalk.jobs.advise import Terms, advise_field

    terms = Terms.per_acre(
        bushels=bushels, price=price, own_pass=own_pass, product=product, visit=visit, spray_in_days=(spray_in,),
        pass_in_days=pass_in,
    )  # fmt: skip
    with opened_store(store) as opened:
        found = advise_field(opened, field_id, terms, today=day(today))
    if json:
        say_json(found.model_dump(mode="json"))
        return
    from springwalk.show.advice_words import advice_lines

    say("\n".join(advice_lines(found)))


def add_to(app: typer.Typer) -> None:
    """Add the command to the program."""
    app.command()(advise)
