"""The desk's pages of recommendations: the list, one chain, and what a field's page shows of its own."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from starlette.responses import HTMLResponse, Response

from springwalk.desk.links import chain_link, field_link
from springwalk.desk.questions import Questions
from springwalk.desk.render import page
from springwalk.errors import NotFound
from springwalk.jobs.recommended import Chain, PassSaid, Recommendations
from springwalk.show import chain_words as words, numbers as n
from springwalk.show.caution import USUAL
from springwalk.show.step_words import HOW, STEPS, step_line

CLOSED_SHOWN = 1
"""How many closed chains a field's page shows under the open ones; the list has all."""


def add_chains(routes: APIRouter, questions: Questions) -> None:
    """Add the two pages; a recommendation that is not there raises NotFound."""

    @routes.get("/recommendations", response_class=HTMLResponse)
    def listed() -> Response:
        return page("recommendations.html", **_list(questions.chains()))

    @routes.get("/recommendation/{ident}", response_class=HTMLResponse)
    def one(ident: str) -> Response:
        found = next((one for one in questions.chains().chains if one.recommendation.id == ident), None)
        if found is None:
            rule, todo = "no such recommendation is kept", "pick one from the list of recommendations"
            raise NotFound("recommendation", ident[:120], rule, todo)
        return page("recommendation.html", **_one(found))


def field_chains(found: Recommendations, field: str, *, advised: bool) -> dict[str, Any]:
    """What a field's page shows: its open chains and the newest closed one; and why there is no advice to keep."""
    mine = [one for one in found.chains if one.recommendation.field == field]
    closed = [one for one in mine if not one.open]
    shown = [*(one for one in mine if one.open), *closed[:CLOSED_SHOWN]]
    return {"chains": [chain_text(one) for one in shown], "nothing_to_keep": "" if advised else words.NO_ADVICE}


def _list(found: Recommendations) -> dict[str, Any]:
    """All text of the list: open ones first, then the others."""
    opened = [one for one in found.chains if one.open]
    closed = [one for one in found.chains if not one.open]
    groups = (("Open", opened), ("Closed", closed))
    return {
        "here": "/recommendations",
        "title": words.headline(found),
        "lead": words.KEPT if found.chains else words.NONE,
        "groups": [
            {
                "title": f"{title}: {n.count(len(chains), 'recommendation')}",
                "chains": [chain_text(one) for one in chains],
            }
            for title, chains in groups
            if chains
        ],
        "cautions": USUAL if any(one.recommendation.treats for one in opened) else (),
        "stray": [step_line(step.model_dump()) for step in found.stray],
    }


def _one(found: Chain) -> dict[str, Any]:
    """All text of one chain's page."""
    return {
        "here": "/recommendations",
        "title": f"{found.name}: {words.state(found).lower()}",
        "chain": chain_text(found),
    }


def _pass(one: PassSaid) -> dict[str, str]:
    """A pass that may be the one that did it."""
    product = f" ({one.product})" if one.product else ""
    return {"key": one.key, "date": one.date.isoformat(), "words": f"{one.what}{product}", "day": n.day(one.date)}


def chain_text(chain: Chain) -> dict[str, Any]:
    """All text of a chain, and what its forms send."""
    record = chain.recommendation
    return {
        "id": record.id,
        "href": chain_link(record.id),
        "field": field_link(record.field),
        "name": chain.name,
        "title": words.title(chain),
        "state": words.state(chain),
        "next": chain.next,
        "next_words": words.next_words(chain),
        "steps": words.step_lines(chain),
        "marks": words.marks(chain),
        "to": chain.to,
        "passes": [_pass(one) for one in chain.passes],
        "wanted": chain.by.isoformat() if chain.next == "ordered" and chain.by and not chain.late else "",
        "text": record.text,
        "to_send": chain.next in ("told", "answer"),
        "said": record.said.splitlines(),
        "money": words.money_words(record),
        "made": words.made_by(record),
        "note": record.note,
        "cautions": USUAL if record.treats else (),
        "ways": list(HOW.items()),
        "kinds": list(STEPS.items()),
    }
