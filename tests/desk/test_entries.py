from __future__ import annotations

import re
from pathlib import Path

import pytest

from springwalk.desk.asked import MOST_RECEIPTS, TAPS, Receipts, Told
from springwalk.desk.entries import _back
from springwalk.jobs import enter as module
from springwalk.store import open_store
from springwalk.store.entries import given_by
from tests.desk.client import HOST, PORT, Client
from tests.jobs.test_enter import with_look
from tests.stores import season_store


@pytest.fixture
def location(tmp_path: Path) -> str:
    """A store with the small season in it."""
    return season_store(tmp_path / "season.db")


@pytest.fixture(scope="module")
def untouched(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A store that nothing is kept in, whatever is sent."""
    return season_store(tmp_path_factory.mktemp("entries") / "season.db")


def token(client: Client) -> str:
    """The form token that a field's page carries."""
    found = re.search(r'name="token" value="([0-9a-f]{64})"', client.get("/field/north").text)
    assert found is not None
    return found[1]


def undo_form(page: str) -> dict[str, str]:
    """What the Undo button of a page sends."""
    form = page.split('action="/undo"')[1].split("</form>")[0]
    return dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))


def kept(location: str, kind: str) -> list[dict[str, object]]:
    """Records of a kind that were entered at the desk and stand."""
    with open_store(location) as store, store.reading() as read:
        found = [entry.record for entry in given_by(read, "desk") if entry.kind == kind]
    return [record.model_dump(mode="json") for record in found if record is not None]


def test_the_field_page_has_a_button_for_each_tap(asking: Client) -> None:
    """Everything that can be seen in a field is one tap, dated today unless said otherwise; no script."""
    text = asking.get("/field/north").text
    for word in TAPS:
        assert f'<button name="what" value="{word}">' in text
    assert text.count('name="date" value="2016-05-17" max="2016-05-17"') == 3
    assert not re.search(r"<script|<style|\sstyle=|\son\w+=", text)
    assert "Tell what you saw" not in asking.get("/").text


def test_a_tap_is_kept_said_and_undone(inside: Client, location: str) -> None:
    """One press, the browser goes back to the field, one line says what was kept, and Undo takes it back."""
    sent = {"token": token(inside), "what": "hail", "date": "2016-05-15", "person": "Ada"}
    answer = inside.post("/field/north/tap", sent, follow_redirects=False)
    assert answer.status_code == 303
    assert answer.headers["location"].startswith("/field/north?told=")
    page = inside.get(answer.headers["location"]).text
    assert "Hail on 15 May noted at The north field." in page
    (event,) = kept(location, "event")
    assert (event["what"], event["date"], event["person"], event["hours"]) == ("hail", "2016-05-15", "Ada", None)
    assert "Hail on 15 May noted" not in inside.get("/field/north").text
    undone = inside.post("/undo", undo_form(page))
    assert undone.status_code == 200
    assert undone.url.path == "/field/north"
    assert "Taken back: hail on 15 May at The north field." in undone.text
    assert 'action="/undo"' not in undone.text
    assert kept(location, "event") == []


@pytest.mark.slow
def test_a_tap_pressed_twice_is_once(inside: Client, location: str) -> None:
    """A phone with a slow line sends twice: one entry, and no Undo that would take back the first."""
    sent = {"token": token(inside), "what": "wind"}
    first, second = (inside.post("/field/north/tap", sent) for _ in range(2))
    assert "Wind on 17 May noted at The north field." in first.text
    assert "Wind on 17 May was noted at The north field already. Nothing changed." in second.text
    assert 'action="/undo"' not in second.text
    assert len(kept(location, "event")) == 1


def test_hours_go_with_water_and_frost_only(inside: Client, location: str) -> None:
    """The one box of hours stands beside all buttons: what is left in it is not taken for the hours of hail."""
    sent = {"token": token(inside), "hours": "12"}
    inside.post("/field/north/tap", {**sent, "what": "ponding"})
    inside.post("/field/north/tap", {**sent, "what": "hail"})
    assert {str(one["what"]): one["hours"] for one in kept(location, "event")} == {"ponding": 12.0, "hail": None}


def test_the_receipt_says_when_to_look(inside: Client) -> None:
    """The look that the tap opened is said at once, from the new sheet, and is on the due list."""
    sent = {"token": token(inside), "what": "hail", "date": "2016-05-14"}
    text = inside.post("/field/north/tap", sent).text
    assert re.search(r"Hail on 14 May noted at The north field\. Look \d+–\d+ May\.", text)
    assert 'name="look" value="hail:north' in inside.get("/due").text


def test_a_look_is_ended_by_the_button_of_the_due_list(inside: Client, location: str) -> None:
    """What the list's own form sends ends the look; the list then says so and no longer has it."""
    inside.post("/field/north/tap", {"token": token(inside), "what": "hail", "date": "2016-05-14"})
    form = next(f for f in inside.get("/due").text.split("<form") if 'value="hail:north' in f)
    sent = dict(re.findall(r'<(?:input|button)[^>]* name="(\w+)" value="([^"]*)"', form.split("</form>")[0]))
    page = inside.post("/done", sent)
    assert page.url.path == "/due"
    assert "Look “After hail” done on 17 May noted at The north field." in page.text
    assert 'name="look" value="hail:north' not in page.text
    assert [one["look"] for one in kept(location, "done")] == [sent["look"]]


@pytest.mark.slow
def test_rain_and_a_pass_are_kept(inside: Client, location: str) -> None:
    """What was read in a gauge and typed from a label in hand goes the same way."""
    sent = {"token": token(inside), "date": "2016-05-16"}
    rain = inside.post("/field/north/rain", {**sent, "amount": "1.3", "hard": "hard"}).text
    assert "1.30 in. of rain on 16 May (fell hard) noted at The north field." in rain
    treated = inside.post(
        "/field/north/pass",
        {**sent, "what": "insecticide", "at": "14:30", "entry": "24", "direction": "E", "product": "Made-up <2>"},
    ).text
    assert "Insecticide (Made-up &lt;2&gt;) on 16 May noted at The north field." in treated
    assert "Nobody enters before Tuesday 17 May, 14:30." in treated
    ((gauge,), (spray,)) = kept(location, "gauge"), kept(location, "pass")
    assert (gauge["hard"], spray["entry_hours"], spray["direction_deg"]) == (True, 24.0, 90.0)


def test_a_look_is_ended_from_the_list(inside: Client, location: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Done and Set aside are two buttons of one form; setting aside needs its reason."""
    key = "hail:north::2016-05-14"
    row = with_look(key=key).rows[0].model_copy(update={"field": "north"})
    monkeypatch.setattr(module, "latest_sheet", lambda store, today: with_look().model_copy(update={"rows": (row,)}))
    sent = {"token": token(inside), "look": key, "field": "north"}
    answer = inside.post("/done", {**sent, "outcome": "done"}, follow_redirects=False)
    assert answer.status_code == 303
    assert answer.headers["location"].startswith("/due?told=")
    refused = inside.post("/done", {**sent, "outcome": "set aside"})
    assert refused.status_code == 422
    assert "note = (blank): a look is set aside with a reason; say why in a few words." in refused.text
    back = inside.post("/done", {**sent, "outcome": "set aside", "note": "grower looked", "back": "/field/north"})
    assert "Look “After hail” set aside on 17 May noted at The north field" in back.text
    assert [one["outcome"] for one in kept(location, "done")] == ["set aside"]


@pytest.mark.parametrize(
    ("path", "sent", "status", "told"),
    [
        ("/field/nort/tap", {"what": "hail"}, 404, "field = nort: no such field in this store; did you mean"),
        ("/field/north/tap", {"what": "fire"}, 422, "what = fire: not one of the words known here; write one of: hail"),
        ("/field/north/tap", {}, 422, "what = (blank): not one of the words known here"),
        ("/field/north/tap", {"what": "hail", "date": "2016-05-18"}, 422,
         "date = 2016-05-18: after today (2016-05-17); give the day it was seen or done."),
        ("/field/north/tap", {"what": "frost", "hours": "some"}, 422, "hours = some: not a number of hours"),
        ("/field/north/rain", {"amount": ""}, 422,
         "amount = (blank): not a number with a unit of this kind; write it like 12in"),
        ("/field/north/pass", {"what": "other", "at": "late"}, 422, "at = late: not a time of day"),
        ("/undo", {"entry": "none"}, 404, "entry = none: the store holds no such entry; copy it from the receipt."),
    ],
)  # fmt: skip
def test_what_is_refused_is_a_page_in_the_error_form(
    asking: Client, untouched: str, path: str, sent: dict[str, str], status: int, told: str
) -> None:
    """A slip answers with what is wrong and what to do, and keeps nothing."""
    answer = asking.post(path, {"token": token(asking), **sent})
    assert answer.status_code == status
    assert told in answer.text.replace("&#39;", "'")
    assert kept(untouched, "event") == kept(untouched, "gauge") == kept(untouched, "pass") == []


@pytest.mark.parametrize(
    "headers",
    [
        {"sec-fetch-site": "cross-site", "origin": "https://evil.example"},
        {"sec-fetch-site": "same-site", "origin": "http://127.0.0.1:1"},
        {"sec-fetch-site": "none"},
        {"sec-fetch-site": "", "origin": "null"},
        {"sec-fetch-site": "", "origin": ""},
        {"sec-fetch-site": "", "origin": "https://evil.example"},
        {"sec-fetch-site": "same-origin", "origin": "https://evil.example"},
    ],
)
def test_a_form_from_elsewhere_is_refused(asking: Client, untouched: str, headers: dict[str, str]) -> None:
    """Another site, or a program without a page, must not enter anything, even with cookie and token."""
    answer = asking.post("/field/north/tap", {"token": token(asking), "what": "hail"}, headers=headers)
    assert answer.status_code == 403
    assert "this form was not sent by a page of this desk; open the page here and send it again." in answer.text
    assert kept(untouched, "event") == []


@pytest.mark.slow
@pytest.mark.parametrize(
    "headers",
    [
        {"sec-fetch-site": "same-origin", "origin": "null"},
        {"sec-fetch-site": "", "origin": f"http://localhost:{PORT}"},
    ],
)
def test_forms_of_our_own_pages_pass(inside: Client, headers: dict[str, str]) -> None:
    """Browsers hide the origin of a page that sends no referrer, and old ones do not say the site."""
    answer = inside.post("/field/north/tap", {"token": token(inside), "what": "hail"}, headers=headers)
    assert answer.status_code == 200


def test_without_the_session_or_its_token_nothing_is_entered(asking: Client, untouched: str) -> None:
    """The cookie alone is not enough, and neither is the token."""
    good = token(asking)
    for wrong in ("", "0" * 64, "é"):
        answer = asking.post("/field/north/tap", {"token": wrong, "what": "hail"})
        assert answer.status_code == 403
        assert "form = old: it was made before this login; open the page again and send it again." in answer.text
    stranger = Client(asking.app, base_url=HOST)
    answer = stranger.post("/field/north/tap", {"token": good, "what": "hail"})
    assert answer.status_code == 403
    assert "run springwalk serve again" in answer.text
    assert kept(untouched, "event") == []


def test_a_file_where_a_word_belongs_is_refused(asking: Client, untouched: str) -> None:
    """A form that is not text is answered in the error form, without an inner name."""
    part = 'Content-Disposition: form-data; name="{}"{}\r\n\r\n{}\r\n'
    parts = (part.format("token", "", token(asking)), part.format("what", '; filename="a"', "hail"))
    body = "".join(f"--x\r\n{one}" for one in parts) + "--x--\r\n"
    headers = {"content-type": "multipart/form-data; boundary=x"}
    answer = asking.post("/field/north/tap", content=body.encode(), headers=headers)
    assert answer.status_code == 422
    assert "form = /field/north/tap: not understood; open the page again and send it again." in answer.text
    assert kept(untouched, "event") == []


def test_reading_an_address_enters_nothing(asking: Client, untouched: str) -> None:
    """A link cannot tap: only a form can."""
    for path in ("/field/north/tap?what=hail", "/undo", "/done"):
        assert asking.get(path).status_code in (404, 405)
    assert kept(untouched, "event") == []


def test_a_store_that_may_only_be_read_says_so(asking: Client, untouched: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """On a copy nobody may write to the answer is the store's own words, and the page still works."""
    form = token(asking)
    monkeypatch.setattr("springwalk.store.core.may_write", lambda path: False)
    answer = asking.post("/field/north/tap", {"token": form, "what": "hail"})
    assert answer.status_code == 409
    assert f"store = {untouched}: may only be read; check who may write to the file and its folder." in answer.text
    assert asking.get("/field/north").status_code == 200


@pytest.mark.parametrize(
    ("path", "back"),
    [
        ("/", "/"), ("/due", "/due"), ("/field/north", "/field/north"), ("/field/a%20b", "/field/a%20b"),
        ("//evil.example", "/due"), ("https://evil.example", "/due"), ("/field//evil", "/due"), ("/field/", "/due"),
        ("/\\evil.example", "/due"), ("", "/due"),
        ("/field/x\r\nset-cookie: a=b", "/field/x%0D%0Aset-cookie%3A%20a%3Db"),
    ],
)  # fmt: skip
def test_the_way_back_leads_to_our_pages_only(path: str, back: str) -> None:
    """A form cannot send the browser elsewhere."""
    assert _back(path, "/due") == back


def test_receipts_are_few_and_forgotten() -> None:
    """What was said is held in memory for a while; an unknown name says nothing."""
    held = Receipts()
    names = [held.keep(Told(f"line {k}", "")) for k in range(MOST_RECEIPTS + 1)]
    assert held.get(names[0]) is None
    assert held.get(names[-1]) == Told(f"line {MOST_RECEIPTS}", "")
    assert held.get("") is None


def test_who_entered_it_is_in_the_store(inside: Client, location: str) -> None:
    """Entry and record both carry the name that was typed."""
    inside.post("/field/north/tap", {"token": token(inside), "what": "crust", "person": "Ada"})
    with open_store(location) as store, store.reading() as read:
        (entry,) = given_by(read, "desk")
    assert (entry.person, getattr(entry.record, "person", "")) == ("Ada", "Ada")
