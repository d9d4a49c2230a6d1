"""Command on counting in a field today: stop-table."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

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
    tell,
    write_bytes,
)
from springwalk.cli.terms import (
    PassCostOption,
    PriceOption,
    SprayInOption,
    WageOption,
    YieldOption,
    terms_for,
)  # fmt: skip


def stop_table(
    field_id: FieldArgument,
    bushels: YieldOption = None,
    price: PriceOption = None,
    own_pass: PassCostOption = None,
    wage: WageOption = None,
    hour_worth: Annotated[
        float, typer.Option("--hour-worth", metavar="$/H", help="What the hour would earn in other fields today.")
    ] = 0.0,
    visit: Annotated[
        float | None, typer.Option("--visit", metavar="$", help="The way to the field on a later day.")
    ] = None,
    spray_in: SprayInOption = None,
    pdf: Annotated[
        Path | None, typer.Option("--pdf", metavar="FILE", readable=False, help="Also write the card as a PDF.")
    ] = None,
    store: StoreOption = None,
    today: TodayOption = None,
    json: JsonOption = False,
) -> None:
    """When to stop counting cut plants in a field, and what then.

    For each count that can come up, by stops made, plants cut and stops with any cut: count on, leave it,
    come back on a day, or search for larvae and treat where one is found. Rests on what was seen before today.
    Money that is not given is the season's, from [money] of season.toml, else a printed assumption.

    \b
    Examples:
      springwalk stop-table north --today 2016-05-17
      springwalk stop-table north --yield 180 --price 4.50 --pass-cost 16 --wage 40 --hour-worth 120 --json
    """
    from springwalk.jobs.stop_table import stop_table as job
    from springwalk.jobs.terms import Hours

    asked = day(today)
    with opened_store(store) as opened:
        terms = terms_for(
            opened, bushels=bushels, price=price, own_pass=own_pass, wage=wage, spray_in=spray_in, visit=visit
        )
        assert terms.said is not None
        found = job(opened, field_id, terms, Hours(terms.said.wage_usd_h, hour_worth), today=asked)
    if pdf is not None:
        from springwalk.paper.card import card

        write_bytes(pdf, card(found), what="pdf")
        tell(f"Wrote {pdf}.")
    if json:
        say_advice(found)
        return
    from springwalk.show.stop_words import stop_lines

    say("\n".join(stop_lines(found)))


def add_to(app: typer.Typer) -> None:
    """Add the command to the program."""
    app.command()(stop_table)
