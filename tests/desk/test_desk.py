from __future__ import annotations

import logging
import re

import pytest

from springwalk.desk.access import Access
from springwalk.desk.questions import Questions
from springwalk.errors import NotFound
from springwalk.jobs.results import FieldPage, Sheet
from springwalk.serve import build_app
from tests.desk.client import Client
from tests.show import sample

PORT = 8765
HOST = f"http://127.0.0.1:{PORT}"


def _field(ident: str) -> FieldPage:
    try:
        return sample.field_page(ident)
    except StopIteration:
        raise NotFound("field", ident, "not in this season", "pick one from the morning sheet") from None


def _client(sheet: Sheet | None = None) -> tuple[Client, Access]:
    access = Access(PORT)
    shown = sheet or sample.sheet()
    app = build_app(Questions(sheet=lambda: shown, field=_field), access)
    return Client(app, base_url=HOST), access


@pytest.fixture
def inside() -> Client:
    """A client that has opened the login link."""
    client, access = _client()
    client.get(access.link())
    return client


def test_without_the_link_nothing_is_shown() -> None:
    """Another program on this machine gets a page that says how to get in, and no data."""
    client, _ = _client()
    for path in ("/", "/field/elm-bottom", "/field/elm-bottom/season.svg", "/sheet.pdf", "/sources", "/nowhere"):
        answer = client.get(path)
        assert answer.status_code == 403
        assert "run springwalk serve again and open the link it prints" in answer.text
        assert "Elm Bottom" not in answer.text


def test_the_link_works_once() -> None:
    """A link seen in a history or over a shoulder is of no use later."""
    client, access = _client()
    link = access.link()
    answer = client.get(link, follow_redirects=False)
    assert answer.status_code == 303
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie
    assert client.get("/").status_code == 200
    fresh = Client(client.app, base_url=HOST)
    again = fresh.get(link)
    assert again.status_code == 403
    assert "login link = used or wrong: it works once" in again.text
    with pytest.raises(RuntimeError, match="it works once"):
        access.link()


def test_wrong_tokens_and_cookies_are_refused() -> None:
    """A guess lets nobody in and does not use up the link; text that is not ASCII is refused too."""
    client, access = _client()
    for path in ("/login/wrong", "/login/%C3%A9"):
        assert client.get(path).status_code == 403
    client.cookies.set(access.cookie, "guess")
    assert client.get("/").status_code == 403
    client.cookies.clear()
    assert client.get(access.link()).status_code == 200


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1", "127.0.0.1:1", f"evil.example:{PORT}", ""])
def test_another_host_name_is_refused(inside: Client, host: str) -> None:
    """A name that was rebound to this machine must not read the sheet, even with the cookie."""
    answer = inside.get("/", headers={"host": host})
    assert answer.status_code == 421
    assert "open the link that springwalk serve prints" in answer.text
    assert "Elm Bottom" not in answer.text


def test_localhost_is_a_name_of_this_machine(inside: Client) -> None:
    """Both usual names of this machine may be used."""
    assert inside.get("/", headers={"host": f"localhost:{PORT}"}).status_code == 200


@pytest.mark.parametrize("path", ["/", "/field/elm-bottom", "/sources", "/nowhere", "/sheet.pdf", "/static/desk.css"])
def test_safety_headers_are_on_every_answer(inside: Client, path: str) -> None:
    """Nothing from elsewhere runs, frames or learns of a page; pages are not kept by the browser."""
    headers = inside.get(path).headers
    assert headers["content-security-policy"].startswith("default-src 'self'")
    assert "unsafe" not in headers["content-security-policy"]
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "no-referrer"
    assert headers["cache-control"] == ("max-age=3600" if path.startswith("/static/") else "no-store")


def test_pages_have_no_inline_style_or_script(inside: Client) -> None:
    """The strict policy would block them, so none may slip in."""
    for path in ("/", "/field/elm-bottom", "/field/hilltop", "/sources"):
        text = inside.get(path).text
        assert not re.search(r"<script|<style|\sstyle=|\son\w+=", text)


def test_the_morning_sheet_is_answer_first(inside: Client) -> None:
    """The headline comes before any field; every field has a link; the caution is there."""
    text = inside.get("/").text
    assert "<h1>Tuesday 17 May: walk six fields</h1>" in text
    assert text.index("<h1>") < text.index("/field/elm-bottom")
    for row in (*sample.walk_rows(), *sample.rest_rows()):
        assert f'href="/field/{row.field}"' in text
        assert inside.get(f"/field/{row.field}").status_code == 200
    assert "live larvae first" in text
    assert "4.1 (2.5–5.7) per 100 plants" in text


def test_the_field_page_has_lines_figure_and_cautions(inside: Client) -> None:
    """Five dated lines first, then the figure with its words, then what they rest on."""
    text = inside.get("/field/elm-bottom").text
    order = [text.index(mark) for mark in ("<h1>", "Last seen", "Next look", "season.svg", "Moths and heat")]
    assert order == sorted(order)
    assert 'alt="Elm Bottom from 1 April to 20 June; today is 17 May.' in text
    assert "The product label is the law" in text


def test_a_field_without_a_figure_says_what_to_add(inside: Client) -> None:
    """No broken picture: words on what is missing, and the figure's address answers in the error form."""
    assert "No season figure for this field" in inside.get("/field/hilltop").text
    answer = inside.get("/field/hilltop/season.svg")
    assert answer.status_code == 404
    assert "figure = hilltop: this field has no series to draw" in answer.text


def test_figure_and_paper_have_their_types(inside: Client) -> None:
    """The picture may use its own styles and nothing else; the paper opens in the browser."""
    figure = inside.get("/field/elm-bottom/season.svg?size=narrow")
    assert figure.headers["content-type"].startswith("image/svg+xml")
    assert figure.headers["content-security-policy"].startswith("default-src 'none'")
    paper = inside.get("/sheet.pdf")
    assert paper.headers["content-type"] == "application/pdf"
    assert paper.content.startswith(b"%PDF")
    assert inside.get("/field/elm-bottom/season.svg?size=huge").status_code == 422


def test_what_is_not_there_is_said_in_the_error_form(inside: Client) -> None:
    """An unknown page and an unknown field say what to do next, in the one form."""
    page = inside.get("/nowhere")
    assert page.status_code == 404
    assert "page = /nowhere: there is no such page; go to the morning sheet." in page.text
    field = inside.get("/field/no-such")
    assert field.status_code == 404
    assert "field = no-such: not in this season; pick one from the morning sheet." in field.text
    assert inside.get("/field/%3Cscript%3E").text.count("<script>") == 0


def test_a_fault_of_ours_shows_no_trace(caplog: pytest.LogCaptureFixture) -> None:
    """A bug becomes a page and a short log line, never a traceback to the person."""

    def broken() -> Sheet:
        raise ZeroDivisionError("inner detail")

    access = Access(PORT)
    client = Client(build_app(Questions(sheet=broken, field=_field), access), base_url=HOST)
    with caplog.at_level(logging.ERROR):
        answer = client.get(access.link())
    assert answer.status_code == 500
    assert "page = /: ZeroDivisionError while making it; please report this." in answer.text
    assert "inner detail" not in answer.text + caplog.text
    assert "Traceback" not in caplog.text


def test_today_cannot_be_set_by_the_address(inside: Client) -> None:
    """The day is set when the server starts; a link cannot show another day as today."""
    assert "Tuesday 17 May" in inside.get("/?today=2016-06-01").text


def test_empty_seasons_say_what_to_do() -> None:
    """No fields, no traps, nothing to walk: each page names the next step and still works."""
    client, access = _client(sample.empty_sheet())
    text = client.get(access.link()).text
    assert "Put fields.geojson in the season" in text
    assert "add traps.csv and catches.csv" in text
    assert "Take in a season" in client.get("/sources").text
    client, access = _client(sample.sheet().model_copy(update={"rows": ()}))
    assert "Nothing needs a walk today." in client.get(access.link()).text


def test_fields_that_share_a_name_are_told_apart_in_the_list() -> None:
    """Two Home Quarters that need no walk are listed with their growers."""
    sheet = sample.sheet()
    twin = sheet.rest[1].model_copy(update={"name": "Mill East", "grower": "Two Creeks"})
    client, access = _client(sheet.model_copy(update={"rest": (sheet.rest[0], twin)}))
    text = client.get(access.link()).text
    assert "Mill East (Oak Lane Farms)" in text
    assert "Mill East (Two Creeks)" in text


def test_names_are_escaped() -> None:
    """A field's name is text, also when it looks like markup."""
    row = sample.walk_rows()[0].model_copy(update={"name": "<img src=x>", "field": "a/b c"})
    client, access = _client(sample.sheet().model_copy(update={"rows": (row,)}))
    text = client.get(access.link()).text
    assert "<img src=x>" not in text
    assert 'href="/field/a%2Fb%20c"' in text
