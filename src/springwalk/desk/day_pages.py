"""The page of the day: who walks which fields in which order, with its map, and the form of the people and hours."""

from __future__ import annotations

from typing import Any, Literal
from urllib.parse import urlencode

from fastapi import APIRouter
from starlette.responses import HTMLResponse, Response

from springwalk.desk.links import field_link
from springwalk.desk.questions import Questions, TeamTyped
from springwalk.desk.render import figure, page, pdf
from springwalk.jobs.day_said import Day
from springwalk.show.day_map import day_map, map_words
from springwalk.show.day_words import day_text
from springwalk.show.numbers import Shown, number, weekday


def add_day(routes: APIRouter, questions: Questions) -> None:
    """Add the routes of the day where it can be planned."""
    ask = questions.day
    if ask is None:
        return

    @routes.get("/day", response_class=HTMLResponse)
    def day(people: str = "", hours: str = "", leave: str = "", start: str = "") -> Response:
        typed = TeamTyped(people, hours, leave, start)
        return page("day.html", **_day(ask(typed), typed))

    @routes.get("/day.svg")
    def the_map(
        people: str = "", hours: str = "", leave: str = "", start: str = "", size: Literal["wide", "narrow"] = "wide"
    ) -> Response:
        return figure(day_map(ask(TeamTyped(people, hours, leave, start)), size=size))

    @routes.get("/day.pdf")
    def the_paper(people: str = "", hours: str = "", leave: str = "", start: str = "") -> Response:
        from springwalk.paper.sheet import sheet as print_sheet

        planned = ask(TeamTyped(people, hours, leave, start))
        return pdf(print_sheet(questions.sheet(), planned), f"day-{planned.today.isoformat()}.pdf")


def _day(planned: Day, typed: TeamTyped) -> dict[str, Any]:
    """All text of the day's page."""
    asked = {name: value for name, value in vars(typed).items() if value}
    query = f"?{urlencode(asked)}" if asked else ""
    said = day_text(planned)
    return {
        **said,
        "people": [{**person, "visits": [_linked(visit) for visit in person["visits"]]} for person in said["people"]],
        "left": [_linked(one) for one in said["left"]],
        "here": "/day",
        "title": said["headline"],
        "when": weekday(planned.today),
        "map": f"/day.svg{query}" if any(person.visits for person in planned.people) else "",
        "map_narrow": f"/day.svg?{urlencode({**asked, 'size': 'narrow'})}",
        "map_words": map_words(planned),
        "paper": f"/day.pdf{query}",
        "form": {
            "people": typed.people or Shown(str(len(planned.people))),
            "hours": typed.hours or number(planned.hours, "", decimals=0 if planned.hours % 1 == 0 else 2),
            "leave": typed.leave or Shown(f"{planned.leave:%H:%M}"),
            "start": typed.start,
        },
        "kept": ", ".join(row.name for row in planned.kept_out),
    }


def _linked(said: dict[str, str]) -> dict[str, str]:
    return {**said, "href": field_link(said["field"])}
