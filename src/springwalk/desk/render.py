"""Templates of the desk: they print text only, and escape all of it."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.responses import HTMLResponse, Response

from springwalk.desk.asked import asked
from springwalk.show.numbers import only_shown

TEMPLATES = Path(__file__).parent / "templates"
STATIC = Path(__file__).parent / "static"

FIGURE_POLICY = "default-src 'none'; style-src 'unsafe-inline'; font-src data:"
TITLES = {403: "Not logged in", 404: "No such page", 421: "Not this machine", 500: "Something broke here"}


@lru_cache(maxsize=1)
def environment() -> Environment:
    """The one environment: escapes all, refuses unknown names, and refuses a bare number or date."""
    made = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=only_shown,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals["asked"] = asked
    return made


def page(template: str, *, status: int = 200, **data: Any) -> HTMLResponse:
    """A page made from a template and its data."""
    return HTMLResponse(environment().get_template(template).render(**data), status_code=status)


def figure(svg: str) -> Response:
    """A picture: its styles and fonts are its own, and nothing else may load."""
    return Response(svg, media_type="image/svg+xml", headers={"Content-Security-Policy": FIGURE_POLICY})


def pdf(content: bytes, name: str) -> Response:
    """A paper to read in the browser, called ``name`` where it is kept."""
    headers = {"Content-Disposition": f'inline; filename="{name}"'}
    return Response(content, media_type="application/pdf", headers=headers)


def problem(status: int, text: str) -> HTMLResponse:
    """A page that says what is wrong in the one error form, and what to do."""
    title = TITLES.get(status, "This cannot be shown")
    return page("problem.html", status=status, title=title, text=text, here="", inside=status not in (403, 421))
