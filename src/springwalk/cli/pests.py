"""Command on stand pests alone, no store needed: pest."""

from __future__ import annotations

from typing import Annotated

import typer

from springwalk.cli.talk import JsonOption, say, say_json


def pest(
    name: Annotated[str, typer.Argument(metavar="NAME", help="The pest; not given, the pests there are.")] = "",
    json: JsonOption = False,
) -> None:
    """The rule card of a stand pest: when, where, how to count, what the count means, what can be done.

    \b
    Examples:
      springwalk pest
      springwalk pest "stink bug"
      springwalk pest wireworm --json
    """
    from springwalk.jobs.pest_card import card, cards

    if not name:
        from springwalk.show.pest_words import cards_text

        found = cards()
        if json:
            say_json([one.model_dump(mode="json") for one in found])
        else:
            say(cards_text(found))
        return
    from springwalk.show.pest_words import card_text

    one = card(name)
    if json:
        say_json(one.model_dump(mode="json"))
    else:
        say(card_text(one))


def add_to(app: typer.Typer) -> None:
    """Add the command to the program."""
    app.command()(pest)
