"""The desk's forms for one field's walk: a whole walk, its marked rows counted again, a search for larvae alone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from starlette.responses import HTMLResponse, Response

from springwalk.desk.access import Access
from springwalk.desk.asked import Receipts, Told
from springwalk.desk.entries import back_with, check_token
from springwalk.desk.links import field_link
from springwalk.desk.render import page
from springwalk.desk.walk_boxes import recount_boxes, search_boxes, summary, walk_boxes
from springwalk.desk.walk_forms import BOX_OF, Form, as_typed, more_stops, read_recount, read_search, read_walk
from springwalk.errors import SpringwalkError
from springwalk.jobs.search_table import FieldSearch
from springwalk.jobs.walk import Walked, WalkGround
from springwalk.records import Walk
from springwalk.show import numbers as n, walk_form_words as said
from springwalk.show.advice_part_words import HOW_TO_SEARCH
from springwalk.show.caution import USUAL
from springwalk.show.entry_words import receipt
from springwalk.show.facts import upper_first
from springwalk.show.search_words import basis, headline, part_name, steps

FIVE = 5


@dataclass(frozen=True)
class Walks:
    """What the forms ask and do: ``ground(field)`` what a form offers; ``keep(walk, correct)`` one walk kept.

    ``typed(field, walk)`` a walk to be corrected; ``search(field)`` how long to search.
    """

    ground: Callable[[str], WalkGround]
    keep: Callable[[Walk, str], Walked]
    typed: Callable[[str, str], Walk]
    search: Callable[[str], FieldSearch]


async def _sent(request: Request) -> dict[str, str]:
    """What a form sent, files left out."""
    form = await request.form()
    return {name: value for name, value in form.items() if isinstance(value, str)}


Sent = Annotated[dict[str, str], Depends(_sent)]


def walk_router(walks: Walks, access: Access, receipts: Receipts) -> APIRouter:
    """The routes of the three forms; each slip brings the page back with all that was typed."""
    routes = APIRouter()

    def ours(sent: Sent) -> Form:
        check_token(access, sent.get("token", ""))
        return Form(sent)

    def kept(form: Form, ground: WalkGround, made: list[Walk]) -> Response | None:
        """Keep walks and send the browser to the field's page; None where one is refused, noted in the form."""
        done = [one for walk in made if (one := _keep(walks, form, walk)) is not None]
        if form.wrong or not done:
            return None
        told = Told(" ".join(_words(one) for one in done), _undoable(done))
        return back_with(receipts, told, field_link(ground.field))

    @routes.get("/field/{ident}/walk", response_class=HTMLResponse)
    def walk(ident: str, correct: str = "") -> Response:
        ground = walks.ground(ident)
        form = Form({**as_typed(walks.typed(ident, correct)), "correct": correct} if correct else {})
        return page("walk.html", **_walk(form, ground))

    @routes.post("/field/{ident}/walk", response_class=HTMLResponse)
    def told_walk(ident: str, form: Form = Depends(ours)) -> Response:
        ground = walks.ground(ident)
        if form.text("do") in ("more", "five"):
            more_stops(form, 1 if form.text("do") == "more" else FIVE)
            return page("walk.html", **_walk(form, ground))
        made = read_walk(form, ground)
        done = kept(form, ground, [made]) if made is not None else None
        return done or page("walk.html", status=422, **_walk(form, ground))

    @routes.get("/field/{ident}/recount", response_class=HTMLResponse)
    def recount(ident: str) -> Response:
        return page("walk_recount.html", **_recount(Form({}), walks.ground(ident)))

    @routes.post("/field/{ident}/recount", response_class=HTMLResponse)
    def told_recount(ident: str, form: Form = Depends(ours)) -> Response:
        ground = walks.ground(ident)
        done = kept(form, ground, read_recount(form, ground))
        return done or page("walk_recount.html", status=422, **_recount(form, ground))

    @routes.get("/field/{ident}/search", response_class=HTMLResponse)
    def search(ident: str) -> Response:
        return page("walk_search.html", **_search(Form({}), walks.ground(ident), walks))

    @routes.post("/field/{ident}/search", response_class=HTMLResponse)
    def told_search(ident: str, form: Form = Depends(ours)) -> Response:
        ground = walks.ground(ident)
        made = read_search(form, ground)
        done = kept(form, ground, [made]) if made is not None else None
        return done or page("walk_search.html", status=422, **_search(form, ground, walks))

    return routes


def _keep(walks: Walks, form: Form, walk: Walk) -> Walked | None:
    """Keep one walk; what is refused is noted beside its box, or with the whole form: nothing typed is lost."""
    try:
        return walks.keep(walk, form.text("correct"))
    except SpringwalkError as error:
        box = BOX_OF.get(error.name, error.name)
        form.refuse(box if box in ("date", "person", "note", "sizes", "collars") else "", error)
        return None


def _words(done: Walked) -> str:
    """A receipt, and that something in the walk is asked about where that is so."""
    asked = len(done.questions)
    if not asked:
        return receipt(done.entered)
    things = n.count(asked, "thing")
    return f"{receipt(done.entered)} Kept, but {things} in it must be looked at again: see below."


def _undoable(done: list[Walked]) -> str:
    """The entry that Undo takes back: that of the only walk that wrote something; "" for none or several."""
    wrote = [one.entered.entry for one in done if one.entered.put in ("new", "revised") and one.entered.entry]
    return wrote[0] if len(wrote) == 1 else ""


def _common(form: Form, ground: WalkGround, what: str) -> dict[str, Any]:
    """What the three pages share."""
    return {
        "here": "",
        "name": ground.name,
        "back": field_link(ground.field),
        "action": f"{field_link(ground.field)}/{what}",
        "wrong": form.wrong.get("", ""),
    }


def _walk(form: Form, ground: WalkGround) -> dict[str, Any]:
    """All text of the form for a walk."""
    boxes = walk_boxes(form, ground)
    last = f"stop-{form.stops + 1}"
    return {
        **_common(form, ground, "walk"),
        **boxes,
        "title": f"{'Correct a walk' if form.text('correct') else 'Type a walk'}: {ground.name}",
        "slips": summary(form, boxes["labels"]),
        "next_stop": f"{field_link(ground.field)}/walk#{last}",
        "correct": form.text("correct"),
        "count": str(form.stops),
        "stop_hint": said.STOP_HINT,
        "row_hint": said.ROW_HINT,
    }


def _recount(form: Form, ground: WalkGround) -> dict[str, Any]:
    """All text of the form for a recount."""
    boxes = recount_boxes(form, ground)
    return {
        **_common(form, ground, "recount"),
        **boxes,
        "title": f"Count marked rows again: {ground.name}",
        "slips": summary(form, boxes["labels"]),
        "how": said.RECOUNT_HOW if ground.rows else said.NO_ROWS,
        "walk": f"{field_link(ground.field)}/walk",
    }


def _search(form: Form, ground: WalkGround, walks: Walks) -> dict[str, Any]:
    """All text of the form for a search, with how long to go on."""
    boxes = search_boxes(form, ground)
    return {
        **_common(form, ground, "search"),
        **boxes,
        **_how_long(walks, ground),
        "title": f"Search for larvae: {ground.name}",
        "slips": summary(form, boxes["labels"]),
        "how": HOW_TO_SEARCH,
        "when": said.WHEN_TO_SEARCH,
        "cautions": USUAL,
    }


def _how_long(walks: Walks, ground: WalkGround) -> dict[str, Any]:
    """How long to search, part by part; where that can't be said, why not, and the form works all the same."""
    try:
        found = walks.search(ground.field)
    except SpringwalkError as error:
        return {"parts": [], "why_not": f"How long to search can't be said: {error.rule}; {error.todo}.", "basis": ""}
    parts = [
        {
            "name": upper_first(part_name(found, part)),
            "words": upper_first(headline(found, part)),
            "steps": steps(part, found.most_plants),
        }
        for part in found.parts
    ]
    why_not = "" if parts else "Treated, so no search decides here. Look at the flagged plants again instead."
    return {"parts": parts, "why_not": why_not, "basis": basis(found) if parts else ""}
