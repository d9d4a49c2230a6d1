"""The desk's pages of stand pests: the list of rule cards, and one card."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from starlette.responses import HTMLResponse, Response

from springwalk.desk.links import card_link
from springwalk.desk.render import page
from springwalk.jobs.pest_card import PestCard, card, cards
from springwalk.show import pest_words
from springwalk.show.caution import USUAL

LIST_LEAD = "What to look for, where, how to count, what a count means, and what can and can't be done."
NOT_HERE = "Black cutworm has no card here: the morning sheet and each field's page are about it."


def add_pests(routes: APIRouter) -> None:
    """Add the two pages; a name that is no pest's raises NotFound with what was likely meant."""

    @routes.get("/pests", response_class=HTMLResponse)
    def pests() -> Response:
        return page("pests.html", **_list())

    @routes.get("/pest/{name}", response_class=HTMLResponse)
    def pest(name: str) -> Response:
        return page("pest.html", **_card(card(name)))


def _list() -> dict[str, Any]:
    """All text of the list of cards."""
    return {
        "here": "/pests",
        "title": "Stand pests",
        "lead": LIST_LEAD,
        "cards": [
            {"name": pest_words.title(one), "href": card_link(one.name), "words": pest_words.in_short(one)}
            for one in cards()
        ],
        "not_here": NOT_HERE,
    }


def _card(one: PestCard) -> dict[str, Any]:
    """All text of a card."""
    return {
        "here": "/pests",
        "title": pest_words.title(one),
        "latin": one.latin,
        "lead": pest_words.RESCUE[one.rescue],
        "sections": [section._asdict() for section in pest_words.sections(one)],
        "cautions": USUAL,
        "command": f'springwalk pest "{one.name}"',
    }
