"""The page of one field that says whether to replant it, and the form that tells that it was replanted."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request
from starlette.responses import HTMLResponse, Response

from springwalk.desk.access import Access
from springwalk.desk.asked import Receipts
from springwalk.desk.entries import Entries, check_token, teller
from springwalk.desk.links import field_link
from springwalk.desk.questions import Questions, ReplantQuestions
from springwalk.desk.render import page
from springwalk.desk.replant_boxes import question_boxes, replanted_boxes
from springwalk.desk.replant_forms import read_asked, read_replanted, refuse
from springwalk.desk.walk_boxes import summary
from springwalk.desk.walk_forms import WHOLE, Form
from springwalk.desk.walk_pages import Sent
from springwalk.errors import BadValue, NotFound, SpringwalkError
from springwalk.jobs.entered import Entered
from springwalk.jobs.replant_ground import ReplantGround
from springwalk.jobs.replanted import Replant
from springwalk.jobs.results import FieldPage
from springwalk.show import replant_page as said

LAST_COLLARS = 6.0
"""Past about this many collars hardly anyone replants (common practice): the link then moves into a fold-out."""


def add_replant(routes: APIRouter, questions: Questions) -> None:
    """Add the page where the question can be asked."""
    ask = questions.replant
    if ask is None:
        return

    @routes.get("/field/{ident}/replant", response_class=HTMLResponse)
    def replant(ident: str, typed: Typed) -> Response:
        ground = ask.ground(ident)
        asked, answer = _asked(typed, ground, ask)
        return page("replant.html", status=422 if asked.wrong else 200, **_page(asked, Form({}), ground, answer))


def replant_entry_router(ask: ReplantQuestions, entries: Entries, access: Access, receipts: Receipts) -> APIRouter:
    """The route that keeps a replant; a slip brings the page back with all that was typed in both of its forms."""
    routes, told = APIRouter(), teller(entries, receipts)
    keep = entries.replanted
    if keep is None:
        return routes

    @routes.post("/field/{ident}/replant", response_class=HTMLResponse)
    def replanted(ident: str, sent: Sent, typed: Typed) -> Response:
        check_token(access, sent.get("token", ""))
        ground, done = ask.ground(ident), Form(sent)
        kept = _kept(done, ground, keep)
        if kept is not None:
            return told(kept, field_link(ground.field))
        asked, answer = _asked(typed, ground, ask)
        return page("replant.html", status=422, **_page(asked, done, ground, answer))

    return routes


def replant_link(found: FieldPage) -> dict[str, Any]:
    """The address of a field's replant page, and whether its corn is where one asks: from the spike to about V6.

    Where the corn's stage is not known, plants counted on a walk say that there is a stand.
    """
    stands = any(part.emergence is not None and part.collars is not None for part in found.row.parts)
    if stands:
        now = any(_between(part, found) for part in found.row.parts)
    else:
        now = any(walk.places for walk in found.walks)
    return {"replant": f"{field_link(found.row.field)}/replant", "replant_now": now}


def _typed(request: Request) -> dict[str, str]:
    """What stands in the address after its question mark, but for the name of a receipt."""
    return {name: text for name, text in request.query_params.items() if name != "told"}


Typed = Annotated[dict[str, str], Depends(_typed)]


def _between(part: Any, found: FieldPage) -> bool:
    up, collars = part.emergence, part.collars
    begun = up is not None and up.early is not None and up.early <= found.sheet_today
    return bool(begun and collars is not None and collars.low <= LAST_COLLARS)


def _kept(done: Form, ground: ReplantGround, keep: Callable[[Replant], Entered]) -> Entered | None:
    """Keep what was replanted; None where something is wrong, noted in the form."""
    told = read_replanted(done, ground)
    if told is None:
        return None
    try:
        return keep(told)
    except SpringwalkError as error:
        refuse(done, error, replanted_boxes(done, ground)["done_labels"])
        return None


def _asked(typed: dict[str, str], ground: ReplantGround, ask: ReplantQuestions) -> tuple[Form, dict[str, Any] | None]:
    """The question as typed with what is wrong in it, and the answer's text where enough is typed."""
    form = Form(typed)
    read = read_asked(form, ground) if typed else None
    if read is None:
        return form, None
    try:
        return form, said.replant_page(ask.answer(ground.field, *read))
    except (BadValue, NotFound) as error:
        refuse(form, error, question_boxes(form, ground)["labels"])
        return form, None


def _page(asked: Form, done: Form, ground: ReplantGround, answer: dict[str, Any] | None) -> dict[str, Any]:
    """All text of the page."""
    boxes, again = question_boxes(asked, ground), replanted_boxes(done, ground)
    here = f"{field_link(ground.field)}/replant"
    typed = {name: text for name, text in asked.sent.items() if text}
    return {
        **boxes, **again,
        "here": "", "title": f"Keep or replant: {ground.name}", "name": ground.name, "back": field_link(ground.field),
        "action": here, "done_action": f"{here}?{urlencode(typed)}" if typed else here, "answer": answer,
        "slips": summary(asked, boxes["labels"]), "wrong": asked.wrong.get(WHOLE, ""),
        "done_slips": summary(done, again["done_labels"]), "done_wrong": done.wrong.get(WHOLE, ""),
        "blanks": said.blanks_words(), "waits_hint": said.WAITS_HINT, "terms_lead": said.TERMS_LEAD,
        "terms_hint": said.terms_words(), "area_hint": said.AREA_HINT, "more_hint": said.money_words(ground),
        "after_lead": said.AFTER_LEAD,
    }  # fmt: skip
