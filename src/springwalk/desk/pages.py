"""The desk's pages: morning sheet, field, sources, and the pictures and paper they link to."""

from __future__ import annotations

from typing import Any, Literal

from fastapi import APIRouter
from starlette.responses import HTMLResponse, RedirectResponse, Response

from springwalk.desk.access import Access
from springwalk.desk.chain_pages import add_chains, field_chains
from springwalk.desk.day_pages import add_day
from springwalk.desk.links import card_link, field_link
from springwalk.desk.pest_pages import add_pests
from springwalk.desk.questions import Questions
from springwalk.desk.render import figure, page, pdf, problem
from springwalk.desk.replant_pages import add_replant, replant_link
from springwalk.desk.stop_pages import add_stops
from springwalk.errors import NotFound
from springwalk.jobs import typed
from springwalk.jobs.advised import AfterTreatment, FieldAdvice, MorningAdvice
from springwalk.jobs.changed import Changed
from springwalk.jobs.due import Due, due_of
from springwalk.jobs.results import FieldPage, Row, Sheet
from springwalk.show import caution, due_words, field_words, numbers as n, words
from springwalk.show.advice_words import advice_section, after_words, morning_rows
from springwalk.show.changed_words import changed_text
from springwalk.show.once import also_items, said_once
from springwalk.show.reasons import say
from springwalk.show.rest_words import rest_groups
from springwalk.show.sheet_text import rest_text, sheet_text, walk_text
from springwalk.show.walk_questions import asked_by_walk


def router(questions: Questions) -> APIRouter:
    """The routes that answer questions."""
    routes = APIRouter()

    @routes.get("/", response_class=HTMLResponse)
    def morning() -> Response:
        advice = questions.advice() if questions.advice is not None else None
        return page("morning.html", **_morning(questions.sheet(), advice))

    @routes.get("/due", response_class=HTMLResponse)
    def due() -> Response:
        return page("due.html", **_due(due_of(questions.sheet())))

    @routes.get("/field/{ident}", response_class=HTMLResponse)
    def field(ident: str, pass_in: str = "") -> Response:
        found = questions.field(ident)
        morning = questions.advice() if questions.advice is not None else None
        advice = morning.of(found.row.field) if morning is not None else None
        after = next((one for one in morning.after if one.field == found.row.field), None) if morning else None
        days = typed.days(pass_in, name="days to the pass")
        if days is not None and advice is not None and questions.riding is not None:
            advice = questions.riding(found.row.field, days)
        changed = questions.changed(found.row.field) if found.walks and questions.changed is not None else None
        chains = field_chains(questions.chains(), found.row.field, advised=advice is not None)
        replant = replant_link(found) if questions.replant is not None else {"replant": "", "replant_now": False}
        return page("field.html", **_field(found, advice, changed, after), **chains, **replant, pass_in=pass_in.strip())

    @routes.get("/field/{ident}/season.svg")
    def season(ident: str, size: Literal["wide", "narrow"] = "wide") -> Response:
        from springwalk.show.figures import season_figure

        found = questions.field(ident)
        if found.series is None:
            raise NotFound("figure", ident, "this field has no series to draw", "open the field's page to see why")
        return figure(season_figure(found.series, found.sheet_today, found.row, size=size))

    @routes.get("/sheet.pdf")
    def sheet_pdf() -> Response:
        from springwalk.paper.sheet import sheet as print_sheet

        found = questions.sheet()
        return pdf(print_sheet(found), f"sheet-{found.today.isoformat()}.pdf")

    add_pests(routes)
    add_day(routes, questions)
    add_stops(routes, questions)
    add_chains(routes, questions)
    add_replant(routes, questions)

    @routes.get("/sources", response_class=HTMLResponse)
    def sources() -> Response:
        found = questions.sheet()
        rows = [*found.rows, *found.rest]
        return page("sources.html", **_sources(found, questions.field(rows[0].field) if rows else None))

    return routes


def login_router(access: Access) -> APIRouter:
    """The route of the one-time login link."""
    routes = APIRouter()

    @routes.get("/login/{token}")
    def login(token: str) -> Response:
        session = access.redeem(token)
        if session is None:
            text = "login link = used or wrong: it works once; run springwalk serve again and open the link it prints."
            return problem(403, text)
        answer = RedirectResponse("/", status_code=303)
        answer.set_cookie(access.cookie, session, httponly=True, samesite="strict", path="/")
        return answer

    return routes


def _walk(row: Row, common: str, once: dict[str, str]) -> dict[str, Any]:
    """The text of one field to walk."""
    said = walk_text(row, common, once)
    return {
        **said,
        "jobs": [_with_card(job) for job in said["jobs"]],
        "also": [_also(line, pest) for line, pest in also_items(row, once)],
        "href": field_link(row.field),
        "stake_label": words.stake_label(row) if said["stake"] else "",
    }


def _with_card(job: dict[str, str]) -> dict[str, str]:
    """A look with the address of its pest's card, "" where it is of none."""
    return {**job, "card": card_link(job["pest"]) if job["pest"] else ""}


def _also(line: str, pest: str) -> dict[str, str]:
    """A line on what to see to while there; where it begins with its pest's name, the name leads to the card."""
    if not pest:
        return {"name": "", "words": line, "card": ""}
    named = line[: len(pest)].casefold() == pest.casefold()
    return {
        "name": line[: len(pest)] if named else f"Card: {pest}",
        "words": line[len(pest) :] if named else f" {line}",
        "card": card_link(pest),
    }


def _rest(row: Row, sheet: Sheet) -> dict[str, str]:
    """The text of one field that needs no walk."""
    return {**rest_text(row, sheet), "href": field_link(row.field)}


def _heat(sheet: Sheet) -> list[str]:
    """Heat since each capture that counts for a field on the sheet, each capture once, oldest first."""
    found = {(c.night, c.trap): c for row in (*sheet.rows, *sheet.rest) for c in row.captures}
    told = (words.heat_words(found[key], sheet.heat_method) for key in sorted(found))
    return list(dict.fromkeys(text[:1].upper() + text[1:] for text in told if text))


def _morning(sheet: Sheet, advice: MorningAdvice | None) -> dict[str, Any]:
    """All text of the morning sheet's page."""
    said, once = sheet_text(sheet), said_once(sheet)
    return {
        **said,
        "here": "/",
        "title": words.headline(sheet),
        "season": sheet.season,
        "walks": [_walk(row, said["common_look"], once) for row in sheet.rows],
        "rest": [{"title": title, "rows": [_rest(row, sheet) for row in rows]} for title, rows in rest_groups(sheet)],
        "heat": _heat(sheet),
        "advised": _advised(advice),
    }


def _advised(advice: MorningAdvice | None) -> list[dict[str, str]]:
    """Fields whose advice asks for something to be done: treat, or look again."""
    rows = morning_rows(advice) if advice is not None else []
    after = advice.after if advice is not None else ()
    return [{"name": one.name, "href": field_link(one.field), "words": after_words(one)} for one in after] + [
        {"name": field.name, "href": field_link(field.field), "words": said}
        for field, said in rows
        if field.what != "none" or any(part.verdict == "look again" for part in field.parts)
    ]


def _field(
    found: FieldPage, advice: FieldAdvice | None, changed: Changed | None, after: AfterTreatment | None
) -> dict[str, Any]:
    """All text of a field's page."""
    row = found.row
    alt = ""
    if found.series is not None:
        from springwalk.show.alt import season_words

        alt = season_words(found.series, found.sheet_today, row)
    return {
        "here": "",
        "title": field_words.field_headline(found, advice),
        "name": row.name,
        "place": words.place(row),
        "day": n.weekday(found.sheet_today),
        "lines": field_words.five_lines(found, advice, after),
        "stops": f"{field_link(row.field)}/stop-table",
        "advice": advice_section(advice) if advice is not None else None,
        "changed": changed_text(changed) if changed is not None else None,
        "figure": f"{field_link(row.field)}/season.svg" if found.series is not None else "",
        "alt": alt,
        "why": [say(reason) for reason in row.why],
        "look_for": [say(reason) for reason in row.look_for],
        "stake": words.expected(row) if advice is None else "",
        "looks": [_with_card(look) for look in field_words.page_looks(found)],
        "also": [_also(say(reason), str(reason.facts.get("pest", ""))) for reason in row.also],
        "seedbed": field_words.seedbed_lines(found),
        "heat": field_words.heat_lines(found),
        "parts": field_words.other_parts(found),
        "walks": [field_words.walk_words(walk) for walk in found.walks],
        "questions": asked_by_walk(found.questions),
        "events": [say(event) for event in found.events],
        "cautions": caution.USUAL,
        "weather": words.weather_words(found),
    }


def _due(due: Due) -> dict[str, Any]:
    """All text of the due list's page."""
    found, known = due_words.groups(due), due_words.known_in(due)
    return {
        "here": "/due",
        "title": due_words.headline(due),
        "season": due.season,
        "lead": due_words.HOW_TO_END if found else due_words.NONE,
        "groups": [
            {
                "title": title,
                "rows": [{**due_words.line_text(line, known), "href": field_link(line.row.field)} for line in lines],
            }
            for title, lines in found
        ],
    }


def _sources(sheet: Sheet, found: FieldPage | None) -> dict[str, Any]:
    """All text of the page of sources."""
    return {
        "here": "/sources",
        "title": "What the numbers rest on",
        "sources": found.sources if found else (),
        "attribution": sheet.weather.attribution,
        "gaps": [say(gap) for gap in sheet.weather.gaps],
        "weather": words.weather_words(sheet),
        "basis": words.basis_line(sheet),
    }
