"""The forms of a chain: keep today's advice as a recommendation, and tell the next step of one."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Annotated, get_args
from urllib.parse import quote

from fastapi import APIRouter, Form
from starlette.responses import Response

from springwalk.errors import BadValue
from springwalk.intake import UnreadableError, cells, shown
from springwalk.jobs import typed
from springwalk.jobs.entered import Entered
from springwalk.jobs.recommended import Recommended
from springwalk.records import Step
from springwalk.records.advice import How, StepKind

Text = Annotated[str, Form()]


def add_chain_entries(
    routes: APIRouter,
    recommend: Callable[[str, str], Recommended],
    step: Callable[[Step, str], Entered],
    today: Callable[[], date],
    told: Callable[[Entered, str], Response],
) -> None:
    """Add the two routes; each answers by sending the browser to the chain with a receipt."""

    @routes.post("/field/{ident}/recommend")
    def kept(ident: str, person: Text = "") -> Response:
        done = recommend(ident, person)
        return told(done.entered, chain_link(done.record.id))

    @routes.post("/recommendation/{ident}/step")
    def next_step(
        ident: str, what: Text = "", date: Text = "", at: Text = "", who: Text = "", how: Text = "", wanted: Text = "",
        where: Text = "", pass_key: Text = "", cut: Text = "", places: Text = "", larvae: Text = "", note: Text = "",
        person: Text = "",
    ) -> Response:  # fmt: skip
        record = typed.made(
            Step, recommendation=ident, date=typed.day(date) or today(),
            what=typed.one_of(what, get_args(StepKind), name="what"), at=typed.clock(at), who=who,
            how=typed.one_of(how, get_args(How), name="how") if how.strip() else None,
            wanted_on=typed.day(wanted, name="for"), where=where, pass_key=pass_key,
            cut_again_pct=_number(cut, "cut", cells.number), places=_number(places, "places", cells.whole),
            larvae=_number(larvae, "larvae", cells.whole), note=note,
        )  # fmt: skip
        done = step(record, person)
        return told(done, chain_link(str(done.said.facts["recommendation"])))


def chain_link(ident: str) -> str:
    """The address of a chain: ``/recommendation/north%3A2016-05-24%3Aab12cd34``."""
    return f"/recommendation/{quote(ident, safe='')}"


def after_undo(undone: Entered, back: str) -> str:
    """Where to go after an undo: a recommendation that was taken back has no page of its own any more."""
    gone = undone.said.code == "entered_recommendation" and undone.put == "taken back"
    return "/recommendations" if gone and back.startswith("/recommendation/") else back


def _number(text: str, name: str, reader: Callable[[str], float]) -> float | None:
    """A plain number, None for a blank; BadValue for anything else."""
    told = text.strip().removesuffix("%").strip()
    if not told:
        return None
    try:
        return reader(told)
    except UnreadableError as error:
        raise BadValue(name, shown(text), error.rule, error.todo) from None
