"""What is typed in at the desk: taps, rain, passes, the end of a look; and taking the last one back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Annotated, Literal
from urllib.parse import quote

from fastapi import APIRouter, Depends, Form
from starlette.exceptions import HTTPException
from starlette.responses import RedirectResponse, Response

from springwalk.desk.access import Access
from springwalk.desk.asked import PASSES, TAPS, Receipts, Told
from springwalk.desk.links import field_link
from springwalk.jobs import typed
from springwalk.jobs.entered import Entered
from springwalk.jobs.recommended import Recommended
from springwalk.jobs.replanted import Replant
from springwalk.jobs.results import Look
from springwalk.jobs.taps import WITH_HOURS
from springwalk.records import Event, Gauge, Pass, Record, Step
from springwalk.show.entry_words import receipt

if TYPE_CHECKING:
    from springwalk.desk.walk_pages import Walks

HARD = {"hard": True, "soft": False, "": None}
WRONG_TOKEN = "form = old: it was made before this login; open the page again and send it again."

Text = Annotated[str, Form()]


@dataclass(frozen=True)
class Entries:
    """How the desk enters: each callable writes one entry and returns its receipt.

    ``enter(record, person)``; ``end(look, outcome, note, person)``; ``undo(entry)``; ``look(entered)`` is the look an
    entry opened; ``today()`` is the local day that entries are made on. ``recommend(field, person)`` asks for advice
    and keeps it, ``step(step, person)`` keeps a step of its chain, ``replanted(told)`` a replant; None = the desk
    has no forms for them.
    """

    enter: Callable[[Record, str], Entered]
    end: Callable[[str, Literal["done", "set aside"], str, str], Entered]
    undo: Callable[[str], Entered]
    look: Callable[[Entered], Look | None]
    today: Callable[[], date]
    recommend: Callable[[str, str], Recommended] | None = None
    step: Callable[[Step, str], Entered] | None = None
    walks: Walks | None = None
    replanted: Callable[[Replant], Entered] | None = None


def check_token(access: Access, token: str) -> None:
    """Refuse a form that does not carry this session's token."""
    if not access.knows_form(token):
        raise HTTPException(403, WRONG_TOKEN)


def our_forms(access: Access) -> APIRouter:
    """A router whose forms must carry the session's token."""

    def ours(token: Text = "") -> None:
        check_token(access, token)

    return APIRouter(dependencies=[Depends(ours)])


def back_with(receipts: Receipts, told: Told, back: str) -> Response:
    """Send the browser back to a page that shows a receipt."""
    return RedirectResponse(f"{back}?told={receipts.keep(told)}", status_code=303)


def teller(entries: Entries, receipts: Receipts) -> Callable[[Entered, str], Response]:
    """What sends the browser back to a page with the receipt of an entry."""

    def told(entered: Entered, back: str) -> Response:
        text = receipt(entered, entries.look(entered))
        undoable = entered.entry if entered.put in ("new", "revised") else None
        return back_with(receipts, Told(text, undoable or ""), back)

    return told


def entry_router(entries: Entries, access: Access, receipts: Receipts) -> APIRouter:
    """The routes that enter something; each answers by sending the browser back with a receipt."""
    routes, told = our_forms(access), teller(entries, receipts)

    def day(text: str) -> date:
        return typed.day(text) or entries.today()

    @routes.post("/field/{ident}/tap")
    def tap(ident: str, what: Text = "", date: Text = "", hours: Text = "", person: Text = "") -> Response:
        word = typed.one_of(what, TAPS, name="what")
        stood = typed.hours(hours) if word in WITH_HOURS else None
        return told(entries.enter(typed.made(Event, field=ident, date=day(date), what=word, hours=stood), person),
                    field_link(ident))  # fmt: skip

    @routes.post("/field/{ident}/rain")
    def rain(ident: str, amount: Text = "", hard: Text = "", date: Text = "", person: Text = "") -> Response:
        fell_mm = typed.rain_mm(amount, name="amount")
        record = typed.made(
            Gauge,
            field=ident,
            date=day(date),
            rain_mm=fell_mm,
            hard=HARD[typed.one_of(hard, tuple(HARD), name="hard")] if hard else None,
        )
        return told(entries.enter(record, person), field_link(ident))

    @routes.post("/field/{ident}/pass")
    def treat(
        ident: str, what: Text = "", date: Text = "", at: Text = "", entry: Text = "", product: Text = "",
        direction: Text = "", untreated: Text = "", person: Text = "",
    ) -> Response:  # fmt: skip
        record = typed.made(
            Pass, field=ident, date=day(date), what=typed.one_of(what, PASSES, name="what"), at=typed.clock(at),
            entry_hours=typed.hours(entry, name="entry"), product=product, direction_deg=typed.heading(direction),
            untreated=untreated,
        )  # fmt: skip
        return told(entries.enter(record, person), field_link(ident))

    @routes.post("/done")
    def done(look: Text = "", outcome: Text = "done", note: Text = "", back: Text = "", person: Text = "") -> Response:
        word = typed.one_of(outcome.replace("-", " "), ("done", "set aside"), name="outcome")
        ended: Literal["done", "set aside"] = "set aside" if word == "set aside" else "done"
        return told(entries.end(look, ended, note, person), _back(back, "/due"))

    @routes.post("/undo")
    def undo(entry: Text = "", back: Text = "") -> Response:
        undone = entries.undo(entry)
        return told(undone, _still_there(undone, _back(back, "/")))

    return routes


def _still_there(undone: Entered, back: str) -> str:
    """Where to go after an undo: a recommendation that was taken back has no page of its own any more."""
    gone = undone.said.code == "entered_recommendation" and undone.put == "taken back"
    return "/recommendations" if gone and back.startswith("/recommendation/") else back


def _back(path: str, otherwise: str) -> str:
    """The page of ours to go back to; anything that could lead elsewhere is not followed."""
    first, *rest = path.removeprefix("/").split("/")
    ours = path in ("/", "/due", "/recommendations") or (first in ("field", "recommendation") and len(rest) == 1)
    return quote(path, safe="/%") if path.startswith("/") and ours and rest != [""] else otherwise
