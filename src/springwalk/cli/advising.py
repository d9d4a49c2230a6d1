"""Command on what to do in a field that was walked: advise."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from springwalk.cli.talk import (
    FieldArgument,
    JsonOption,
    StoreOption,
    TodayOption,
    day,
    opened_store,
    say,
    say_advice,
    say_json,
)
from springwalk.cli.terms import (
    PassCostOption,
    PassInOption,
    PriceOption,
    ProductOption,
    SprayInOption,
    VisitOption,
    YieldOption,
    terms_for,
)  # fmt: skip

if TYPE_CHECKING:
    from springwalk.jobs.advised import MorningAdvice


def advise(
    field_id: Annotated[
        str, typer.Argument(metavar="[FIELD]", help="The field's id or name. Not given: every field walked lately.")
    ] = "",
    bushels: YieldOption = None,
    price: PriceOption = None,
    own_pass: PassCostOption = None,
    product: ProductOption = None,
    pass_in: PassInOption = None,
    spray_in: SprayInOption = None,
    visit: VisitOption = None,
    store: StoreOption = None,
    today: TodayOption = None,
    json: JsonOption = False,
) -> None:
    """What to do about black cutworm in a field walked in the last week.

    Leave it, treat it (whole or a part, on its own pass or riding along), or look again: the money, the odds
    that each is best, the state's rule beside it, and what would most change it. Nothing is advised to be
    sprayed unless live larvae were found. The label rules; the grower and the licensed adviser decide.
    Money that is not given is the season's, from [money] of season.toml, else a printed assumption.
    How good this advice is has not been scored on whole seasons yet.

    \b
    Examples:
      springwalk advise
      springwalk advise north --today 2016-05-24
      springwalk advise north --yield 180 --price 4.50 --pass-cost 16 --product-cost 7 --pass-in 2 --json
    """
    from springwalk.jobs.advise import advise_all, advise_field

    with opened_store(store) as opened:
        terms = terms_for(
            opened, bushels=bushels, price=price, own_pass=own_pass, product=product, spray_in=spray_in, visit=visit,
            pass_in=pass_in,
        )  # fmt: skip
        if not field_id:
            _say_all(advise_all(opened, terms, today=day(today)), json)
            return
        found = advise_field(opened, field_id, terms, today=day(today))
    if json:
        say_advice(found)
        return
    from springwalk.show.advice_words import advice_lines

    say("\n".join(advice_lines(found)))


def _say_all(found: MorningAdvice, json: bool) -> None:
    """The answer for every field walked lately, a line each."""
    if json:
        say_advice(found)
        return
    from springwalk.show.advice_words import morning_lines

    say("\n".join(morning_lines(found)))


def changed(
    field_id: FieldArgument,
    store: StoreOption = None,
    today: TodayOption = None,
    json: JsonOption = False,
) -> None:
    """What the newest walk of a field changed: for itself, for fields nobody walked, and for the season.

    \b
    Examples:
      springwalk changed north
      springwalk changed north --today 2016-05-24 --json
    """
    from springwalk.jobs.changed import changed as job

    with opened_store(store) as opened:
        found = job(opened, field_id, today=day(today))
    if json:
        say_json(found.model_dump(mode="json"))
        return
    from springwalk.show.changed_words import changed_lines

    say("\n".join(changed_lines(found)))


def add_to(app: typer.Typer) -> None:
    """Add the commands to the program."""
    app.command()(advise)
    app.command()(changed)
