"""Recommendations at the desk: kept by one press, told by two, each step with its form, the cautions beside them."""

from __future__ import annotations

import html
import re
from datetime import date
from pathlib import Path

import pytest

from springwalk.desk.entries import _back
from springwalk.show.caution import USUAL
from springwalk.show.chain_words import NO_ADVICE
from tests.desk.client import Client, logged_in
from tests.desk.test_entries import kept, undo_form
from tests.jobs.chained import MAY_24, walked


@pytest.fixture(scope="module")
def today() -> date:
    """The day after the walk."""
    return MAY_24


@pytest.fixture
def location(tmp_path: Path) -> str:
    """A store with a field that was walked."""
    with walked(tmp_path) as store:
        return store.location


@pytest.fixture(scope="module")
def untouched(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A store that nothing is kept in, whatever is sent."""
    with walked(tmp_path_factory.mktemp("chain")) as store:
        return store.location


def forms(text: str) -> list[str]:
    """The forms of a page."""
    return re.findall(r"<form.*?</form>", text, re.DOTALL)


def press(client: Client, text: str, button: str, **typed: str) -> str:
    """Fill in the form of a page that has this button, press it, and give the page that comes."""
    form = next(one for one in forms(text) if f">{button}</button>" in one)
    sent = dict(re.findall(r'<input[^>]* name="(\w+)"[^>]* value="([^"]*)"', form))
    own = re.search(rf'<button(?: name="(\w+)" value="([^"]*)")?>{re.escape(button)}</button>', form)
    assert own is not None
    sent |= {own[1]: own[2]} if own[1] else {}
    action = re.search(r'action="([^"]+)"', form)
    assert action is not None
    answer = client.post(
        html.unescape(action[1]), {name: html.unescape(value) for name, value in {**sent, **typed}.items()}
    )
    assert answer.status_code == 200, answer.text
    return answer.text


def kept_page(client: Client) -> str:
    """The page of the recommendation just kept from the field's page."""
    return press(client, client.get("/field/north").text, "Keep today's advice as our recommendation", person="Wren")


def test_two_taps_say_she_was_told_by_phone_and_takes_it(inside: Client, location: str) -> None:
    """Nothing is typed: the grower is named already, and the second tap stands where the first one was."""
    first = kept_page(inside)
    assert "Recommendation of 24 May noted at The north field." in first
    second = press(inside, first, "Told by phone")
    assert "Told Invented Farms by phone on 24 May noted at The north field." in second
    third = press(inside, second, "Invented Farms takes it")
    assert "<b>Taken, not ordered yet.</b> Order it, to be done by 26 May." in third
    told = {one["what"]: (one["who"], one["how"]) for one in kept(location, "recommendation step")}
    assert told == {"told": ("Invented Farms", "phone"), "taken": ("Invented Farms", None)}


def test_the_whole_chain_by_forms(inside: Client, location: str) -> None:
    """Each page offers the next step; a pass that is noted is offered as the one that did it."""
    page = press(inside, kept_page(inside), "Told by text", who="Ann")
    page = press(inside, page, "Ann takes it")
    page = press(inside, page, "Ordered", who="the co-op", wanted="2016-05-26")
    assert "Ordered from the co-op on 24 May, for 26 May." in page
    treat = {"token": undo_form(page)["token"], "what": "insecticide", "entry": "24", "product": "Made-up <2>"}
    inside.post("/field/north/pass", treat)
    page = inside.get("/recommendations").text
    page = press(inside, page, "Done by the pass of 24 May: insecticide (Made-up &lt;2&gt;)")
    assert "<b>Done, not checked yet.</b> Count the same flags again 26–28 May" in page
    page = press(inside, page, "Checked", cut="2.5%", places="100", larvae="0")
    assert "Checked on 24 May (2.5 % of 100 plants cut again, no live larvae)." in page
    page = press(inside, page, "Worth it", note="yes")
    assert "<b>Closed.</b>" in page
    page = press(inside, page, "Note the step", what="untreated strip", where="row 40", cut="12")
    assert "Untreated strip at row 40, noted on 24 May (12 % of the plants cut)." in page
    assert len(kept(location, "recommendation step")) == 7
    text = inside.get("/recommendations").text
    assert "Closed: one recommendation" in text
    assert "Open:" not in text


def test_a_refusal_asks_why(inside: Client) -> None:
    """The reason is what August needs; without it nothing is kept."""
    page = press(inside, kept_page(inside), "Told in person")
    refusal = next(one for one in forms(page) if ">Not taken</button>" in one)
    assert re.search(r'<input name="note"[^>]* required>', refusal)
    page = press(inside, page, "Not taken", note="no sprayer <b>")
    assert "Refused by Invented Farms on 24 May: no sprayer &lt;b&gt;." in page


def test_a_chain_shows_text_words_and_cautions(inside: Client) -> None:
    """The three lines to copy, all that was shown, the money, and the cautions beside a treatment."""
    page = kept_page(inside)
    box = re.search(r"<textarea readonly[^>]*>(.*?)</textarea>", page, re.DOTALL)
    assert box is not None
    assert len(box[1].splitlines()) == 3
    assert "the product label is the law" in box[1]
    for line in USUAL:
        assert html.unescape(page).count(line) >= 2, "once as it was shown, once in the box of cautions"
    assert "Assumed, not typed: the yield" in page
    assert "Kept by Wren." in page
    assert not re.search(r"<script|<style|\sstyle=|\son\w+=", page)


def test_undo_of_a_step_and_of_the_recommendation(inside: Client, location: str) -> None:
    """A wrong tap is taken back where it was made; a recommendation that is gone leads to the list."""
    page = press(inside, kept_page(inside), "Told by phone")
    page = press(inside, page, "Undo")
    assert "Taken back: told Invented Farms by phone on 24 May at The north field." in page
    assert "<b>Not told yet.</b>" in page
    assert kept(location, "recommendation step") == []
    fresh = inside.get("/field/north").text
    again = press(inside, fresh, "Keep today's advice as our recommendation")
    assert "was noted at The north field already. Nothing changed." in again
    assert 'action="/undo"' not in again


def test_undone_at_once_the_list_is_shown(inside: Client, location: str) -> None:
    """There is no page of a chain that is not there any more."""
    page = press(inside, kept_page(inside), "Undo")
    assert "Taken back: recommendation of 24 May at The north field." in page
    assert "No recommendation is kept yet." in page
    assert kept(location, "recommendation") == []


def test_the_field_page_shows_its_chain(inside: Client) -> None:
    """What was said of a field stands on its page, with the next step's form."""
    before = inside.get("/field/north").text
    assert "Recommendations</h2>" in before
    kept_page(inside)
    text = inside.get("/field/north").text
    assert "24 May: Spray on 26 May, in the evening." in text
    assert ">Told by phone</button>" in text
    assert "Told by phone" not in inside.get("/field/south").text
    assert text.index('class="chain"') > text.index("<aside>"), "in the right column"


def test_without_advice_there_is_no_button(inside: Client, location: str) -> None:
    """A field nobody walked has nothing to keep: its page says so, and a press from an old page comes back to it."""
    button, text = "Keep today's advice as our recommendation", inside.get("/field/south").text
    assert button in inside.get("/field/north").text
    assert button not in text
    assert NO_ADVICE in text
    token = re.search(r'name="token" value="([0-9a-f]{64})"', text)
    assert token is not None
    answer = inside.post("/field/south/recommend", {"token": token[1]})
    assert answer.status_code == 200
    assert "Nothing was kept: no walk of the last week says anything of larvae here" in answer.text
    assert NO_ADVICE in answer.text, "the field's own page"
    assert kept(location, "recommendation") == []


def test_a_treated_field_has_nothing_to_keep(inside: Client) -> None:
    """After the treatment another look decides; advice of before it is not offered any more."""
    page = kept_page(inside)
    inside.post("/field/north/pass", {"token": undo_form(page)["token"], "what": "insecticide", "entry": "24"})
    text = inside.get("/field/north").text
    assert NO_ADVICE in text
    assert "Keep today's advice" not in text


def test_every_input_has_its_label(inside: Client) -> None:
    """A box without a name can't be filled in by somebody who does not see it."""
    for page in (kept_page(inside), inside.get("/recommendations").text, inside.get("/field/north").text):
        text = re.sub(r'<input type="hidden"[^>]*>', "", page)
        bare = re.sub(r"<label>.*?</label>", "", text, flags=re.DOTALL)
        assert not re.search(r"<input|<select|<textarea", bare)


@pytest.mark.parametrize(
    ("path", "sent", "status", "told"),
    [
        ("/field/nowhere/recommend", {}, 404, "field = nowhere: no such field in this store"),
        ("/recommendation/none/step", {"what": "told"}, 404, "recommendation = none: no such recommendation is kept"),
        ("/recommendation/north/step", {"what": "told"}, 404,
         "recommendation = north: no recommendation of this field is kept; keep one first: springwalk recommend"),
        ("/recommendation/north/step", {"what": "sold"}, 422, "what = sold: not one of the words known here"),
        ("/recommendation/north/step", {"what": "checked", "cut": "some"}, 422,
         "cut = some: not a number; write a plain number such as 12 or 4.5."),
        ("/recommendation/north/step", {"what": "checked", "places": "2.5"}, 422, "places = 2.5: not a whole number"),
        ("/recommendation/north/step", {"what": "told", "how": "owl"}, 422, "how = owl: not one of the words known"),
    ],
)  # fmt: skip
def test_what_is_refused_is_a_page_in_the_error_form(
    asking: Client, untouched: str, path: str, sent: dict[str, str], status: int, told: str
) -> None:
    """A slip answers with what is wrong and what to do, and keeps nothing."""
    token = re.search(r'name="token" value="([0-9a-f]{64})"', asking.get("/field/north").text)
    assert token is not None
    answer = asking.post(path, {"token": token[1], **sent})
    assert answer.status_code == status
    assert told in html.unescape(answer.text)
    assert kept(untouched, "recommendation") == kept(untouched, "recommendation step") == []


def test_a_form_without_the_token_is_refused(asking: Client, untouched: str) -> None:
    """What another page sends keeps nothing."""
    for path in ("/field/north/recommend", "/recommendation/x/step"):
        assert asking.post(path, {"token": "0" * 64}).status_code == 403
    assert kept(untouched, "recommendation") == []


def test_without_a_store_the_pages_are_empty(untouched: str) -> None:
    """A desk that answers and cannot enter shows chains without forms; an unknown one is not found."""
    client = logged_in(untouched, MAY_24, forms=False)
    text = client.get("/recommendations").text
    assert "No recommendation is kept yet." in text
    assert "<form" not in text
    answer = client.get("/recommendation/none")
    assert answer.status_code == 404
    assert "recommendation = none: no such recommendation is kept; pick one from the list" in answer.text


def test_the_way_back_knows_the_new_pages() -> None:
    """Undo leads back to a chain; anything else is still not followed."""
    assert _back("/recommendation/north%3A1", "/") == "/recommendation/north%3A1"
    assert _back("/recommendations", "/") == "/recommendations"
    assert _back("/recommendation/a/b", "/") == "/"
