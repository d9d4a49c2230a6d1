"""The forms of a chain: keep today's advice as a recommendation, and tell the next step of one."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, get_args

from fastapi import APIRouter, Form
from starlette.responses import Response

from springwalk.desk.access import Access
from springwalk.desk.asked import Receipts, Told
from springwalk.desk.entries import Entries, back_with, our_forms, teller
from springwalk.desk.links import chain_link, field_link
from springwalk.errors import BadValue, NotFound
from springwalk.intake import UnreadableError, cells, shown
from springwalk.jobs import typed
from springwalk.records import Step
from springwalk.records.advice import How, StepKind

Text = Annotated[str, Form()]


def chain_entry_router(entries: Entries, access: Access, receipts: Receipts) -> APIRouter:
    """The two routes, where the desk can recommend; each sends the browser to the chain with a receipt.

    Where there is no advice to keep it goes back to the field's page, which says why.
    """
    routes, told = our_forms(access), teller(entries, receipts)
    recommend, step = entries.recommend, entries.step
    if recommend is None or step is None:
        return routes

    @routes.post("/field/{ident}/recommend")
    def kept(ident: str, person: Text = "") -> Response:
        try:
            done = recommend(ident, person)
        except NotFound as error:
            if error.name != "advice":
                raise
            nothing = Told(f"Nothing was kept: {error.rule}; {error.todo}.", "")
            return back_with(receipts, nothing, field_link(ident))
        return told(done.entered, chain_link(done.record.id))

    @routes.post("/recommendation/{ident}/step")
    def next_step(
        ident: str, what: Text = "", date: Text = "", at: Text = "", who: Text = "", how: Text = "", wanted: Text = "",
        where: Text = "", pass_key: Text = "", cut: Text = "", places: Text = "", larvae: Text = "", note: Text = "",
        person: Text = "",
    ) -> Response:  # fmt: skip
        record = typed.made(
            Step, recommendation=ident, date=typed.day(date) or entries.today(),
            what=typed.one_of(what, get_args(StepKind), name="what"), at=typed.clock(at), who=who,
            how=typed.one_of(how, get_args(How), name="how") if how.strip() else None,
            wanted_on=typed.day(wanted, name="for"), where=where, pass_key=pass_key,
            cut_again_pct=_number(cut, "cut", cells.number), places=_number(places, "places", cells.whole),
            larvae=_number(larvae, "larvae", cells.whole), note=note,
        )  # fmt: skip
        done = step(record, person)
        return told(done, chain_link(str(done.said.facts["recommendation"])))

    return routes


def _number(text: str, name: str, reader: Callable[[str], float]) -> float | None:
    """A plain number, None for a blank; BadValue for anything else."""
    told = text.strip().removesuffix("%").strip()
    if not told:
        return None
    try:
        return reader(told)
    except UnreadableError as error:
        raise BadValue(name, shown(text), error.rule, error.todo) from None
