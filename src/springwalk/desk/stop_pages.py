"""The page of a field's stop table, and its card on paper."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import HTMLResponse, Response

from springwalk.desk.links import field_link
from springwalk.desk.questions import Questions
from springwalk.desk.render import page, pdf
from springwalk.show.stop_words import stop_text


def add_stops(routes: APIRouter, questions: Questions) -> None:
    """Add the routes of stop tables where they can be asked."""
    ask = questions.stops
    if ask is None:
        return

    @routes.get("/field/{ident}/stop-table", response_class=HTMLResponse)
    def table(ident: str) -> Response:
        found = ask(ident)
        here = field_link(found.field)
        title = f"When to stop counting in {found.name}"
        return page(
            "stop_table.html", **stop_text(found), here="", title=title, back=here, paper=f"{here}/stop-table.pdf"
        )

    @routes.get("/field/{ident}/stop-table.pdf")
    def paper(ident: str) -> Response:
        from springwalk.paper.card import card

        found = ask(ident)
        return pdf(card(found), f"stop-table-{found.today.isoformat()}.pdf")
