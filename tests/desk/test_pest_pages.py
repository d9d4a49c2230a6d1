"""The pages of stand pests, and the ways to them from the morning and a field."""

from __future__ import annotations

import html
import re
from datetime import date

import pytest

from springwalk.desk.access import Access
from springwalk.desk.links import card_link
from springwalk.desk.questions import Questions
from springwalk.jobs.pest_card import cards
from springwalk.jobs.results import FieldPage, Look, Reason, Row, Sheet
from springwalk.serve import build_app
from springwalk.show.caution import USUAL
from tests.desk.client import HOST, PORT, Client, asking_of
from tests.show import looks_sample

COUNTED = Reason(
    code="pest_counted",
    facts={"name": "stink bug", "looked": 100, "unit": "plants", "insects": 14, "date": date(2016, 5, 7)},
)


def _inside(sheet: Sheet | None = None, page: FieldPage | None = None) -> Client:
    shown = sheet or looks_sample.sheet()
    asked = Questions(sheet=lambda: shown, field=lambda ident: page or looks_sample.field_page(ident))
    return asking_of(asked)


def _plain(text: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())


def _counted(*, alone: bool) -> Row:
    """A field where a count of stink bugs is at its threshold."""
    row = looks_sample.rows()[0]
    made: Look = row.looks[0].model_copy(
        update={"code": "pest_act", "key": "pest_act:x::2016-05-07:stink bug", "why": (COUNTED,), "alone": alone}
    )
    return row.model_copy(update={"looks": (made,), "also": ()})


def test_the_list_has_every_card_with_its_time_and_rescue() -> None:
    """One line a pest, each leading to its card, so that nobody needs to know a name by heart."""
    text = _inside().get("/pests").text
    assert 'href="/pests" aria-current="page"' in text
    assert re.findall(r'<li><a href="(/pest/[^"]+)"', text) == [card_link(one.name) for one in cards()]
    said = _plain(text)
    assert "Wireworm from before planting to 6 collars; no rescue once planted" in said
    assert "Slug from before planting to 4 collars; bait only" in said
    assert "Stink bug from 1 collar to 6 collars; can be treated by a label that names it" in said


@pytest.mark.parametrize("one", cards(), ids=lambda one: one.name)
def test_every_card_opens_with_its_headings_and_cautions(one: object) -> None:
    """What, where, how to count, what the count means, what can and can't be done, and the cautions; nothing inline."""
    answer = _inside().get(card_link(one.name))  # type: ignore[attr-defined]
    assert answer.status_code == 200
    heads = re.findall(r"<h2>([^<]+)</h2>", answer.text)
    usual = ("What it does", "When", "Where", "How to count", "What the count means", "What can be done")
    assert tuple(heads[:6]) == usual
    assert heads[-1] == "Before anything is treated"
    assert _plain(answer.text).count(USUAL[1]) == 1
    assert not re.search(r"<script|<style|\sstyle=|\son\w+=", answer.text)


def test_a_card_says_whose_rule_it_is_and_what_it_rests_on() -> None:
    """A rule without its state, mark and source can't be judged; one not used says so."""
    text = _inside().get("/pest/stink-bug").text
    said = _plain(text)
    assert "North Carolina 13 or more bugs on 100 plants, as soon as 13 are found" in said
    assert '<span class="basis">published: NC State Extension, thresholds of stink bugs in corn</span>' in text
    assert "North Carolina 4 bugs a plant to six collars. (superseded, not used) published: NC State, old page" in said
    assert said.index("Nebraska 1 bug") < said.index("(superseded, not used)")
    assert 'springwalk pest "stink bug"' in said


@pytest.mark.parametrize(
    ("path", "told"),
    [
        ("/pest/stinkbog", "pest = stinkbog: no such pest here; did you mean stink bug? use one of seedcorn maggot,"),
        ("/pest/%3Cb%3E", "pest = <b>: no such pest here; use one of seedcorn maggot, wireworm,"),
    ],
)
def test_an_unknown_pest_is_answered_in_the_error_form(path: str, told: str) -> None:
    """A slip is answered by what was likely meant; what was typed is never markup."""
    answer = _inside().get(path)
    assert answer.status_code == 404
    assert told in _plain(answer.text)
    assert "<b>:" not in answer.text


def test_other_names_open_the_same_card() -> None:
    """People say grub and armyworms."""
    assert "<h1>White grub</h1>" in _inside().get("/pest/grubs").text
    assert "<h1>True armyworm</h1>" in _inside().get("/pest/Armyworm").text


def test_pests_to_watch_for_lead_to_their_cards() -> None:
    """On the morning and on a field's page the name of a pest is the way to its card."""
    client = _inside()
    assert '<a class="pest" href="/pest/wireworm">Wireworm</a>' in client.get("/").text
    row = looks_sample.rows()
    with_pest = next(one.field for one in row if any(reason.code == "watch_pest" for reason in one.also))
    assert '<a class="pest" href="/pest/wireworm">Wireworm</a>' in client.get(f"/field/{with_pest}").text


def test_a_look_of_a_pest_leads_to_its_card() -> None:
    """A count at its threshold needs the rule and what can be done at hand."""
    row = _counted(alone=True)
    sheet = looks_sample.sheet().model_copy(update={"rows": (row,), "rest": ()})
    link = '<a class="jump" href="/pest/stink-bug">The card of stink bug</a>'
    assert link in _inside(sheet).get("/").text
    page = looks_sample.field_page(row.field).model_copy(update={"row": row})
    assert link in _inside(page=page).get(f"/field/{row.field}").text


def test_a_look_beside_a_walk_leads_to_its_card() -> None:
    """Where the look is no drive of its own its line carries the way, and reads on after it."""
    other = looks_sample.rows()[0]
    both = _counted(alone=False).model_copy(update={"looks": (*_counted(alone=False).looks, other.looks[0])})
    sheet = looks_sample.sheet().model_copy(update={"rows": (both,), "rest": ()})
    text = _inside(sheet).get("/").text
    assert '<a class="pest" href="/pest/stink-bug">Card: stink bug</a> At its threshold: stink bug' in text


def test_the_pages_need_the_login() -> None:
    """Cards are no secret, but no page of the desk is open to whoever asks."""
    app = build_app(Questions(sheet=looks_sample.sheet, field=looks_sample.field_page), Access(PORT))
    client = Client(app, base_url=HOST)
    assert [client.get(path).status_code for path in ("/pests", "/pest/slug")] == [403, 403]
