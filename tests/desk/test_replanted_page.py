"""What was replanted, told under the desk's answer: kept with one Undo, or given back with each slip by its box."""

from __future__ import annotations

import html
import re
from pathlib import Path
from urllib.parse import urlencode

import pytest

from springwalk.records import Event, Planting
from springwalk.store import open_store
from springwalk.store.entries import given_by
from tests.desk.client import Client
from tests.desk.replanting import EAST, LOW, REST, asked, boxes, made
from tests.seasons import TODAY


@pytest.fixture
def location(tmp_path: Path) -> str:
    """A store to write to."""
    return made(tmp_path)


@pytest.fixture(scope="module")
def untouched(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A store that nothing is kept in, whatever is sent."""
    return made(tmp_path_factory.mktemp("replanted"))


def kept(location: str) -> list[Planting | Event]:
    """Plantings and events that were entered at the desk and stand."""
    with open_store(location) as store, store.reading() as read:
        found = [entry.record for entry in given_by(read, "desk")]
    return [record for record in found if isinstance(record, Planting | Event)]


@pytest.mark.slow
def test_replant_is_kept_with_one_undo(inside: Client, location: str) -> None:
    """Day, part, rate and hybrid reach both records; the field's page has the receipt, and its Undo takes both back."""
    sent = {**boxes(inside.get("/field/east/replant").text, 2), "r_date": "2016-05-16", "r_zone": "east/low",
            "r_rate": "32000", "r_hybrid": "Invented <9>", "r_torn": "2016-05-15", "r_person": "Ann"}  # fmt: skip
    answer = inside.post("/field/east/replant", sent, follow_redirects=False)
    assert answer.status_code == 303
    assert answer.headers["location"].startswith("/field/east?told=")
    page = inside.get(answer.headers["location"]).text
    assert "Planting (Invented &lt;9&gt;) on 16 May noted at The east field, low." in page
    assert "The stand before it is told torn up on 15 May." in page
    planting, torn = sorted(kept(location), key=lambda one: one.kind, reverse=True)
    assert isinstance(planting, Planting)
    assert isinstance(torn, Event)
    assert (planting.zone, planting.hybrid, str(planting.planted)) == ("east/low", "Invented <9>", "2016-05-16")
    assert planting.seeds_per_ha == pytest.approx(32_000 * 2.47105, rel=1e-5)
    assert (torn.what, torn.zone, str(torn.date), torn.person) == ("torn up", "east/low", "2016-05-15", "Ann")
    _, after = asked(inside, {**EAST, LOW: "9000"})
    assert "planted 16 May" in after
    assert "Not judged, no stand given: Low <corner>, planting 2." in after
    form = page.split('action="/undo"')[1].split("</form>")[0]
    undone = inside.post("/undo", dict(re.findall(r'name="(\w+)" value="([^"]*)"', form)))
    assert "Taken back: planting" in undone.text
    assert kept(location) == []


@pytest.mark.slow
def test_old_plants_that_stay_are_not_told_torn_up(inside: Client, location: str) -> None:
    """One record then, and the day of a tear-up beside it is a contradiction."""
    sent = {**boxes(inside.get("/field/east/replant").text, 2), "r_stay": "yes"}
    odd = inside.post("/field/east/replant", {**sent, "r_torn": "2016-05-15"})
    assert odd.status_code == 422
    assert "The old plants stay, so nothing was taken out: leave one of the two out." in odd.text
    assert kept(location) == []
    inside.post("/field/east/replant", sent)
    (planting,) = kept(location)
    assert isinstance(planting, Planting)
    assert planting.planted == TODAY


REFUSED = [
    ({"r_date": "2016-05-18"}, "r_date", "After today (2016-05-17); give the day it was seen or done."),
    ({"r_date": "2016-04-20"}, "r_date", "Not after the stand there was planted (2016-04-25); correct the date"),
    ({"r_date": "today"}, "r_date", "write it like 2016-05-17."),
    ({"r_rate": "lots"}, "r_rate", "Not a number;"),
    ({"r_torn": "2016-05-18"}, "r_torn", "After the day it was replanted: correct one of the two."),
    ({"r_torn": "2016-04-20"}, "r_torn", "Not after the stand there was planted (2016-04-25); correct the date"),
    ({"r_hybrid": "x" * 201}, "r_hybrid", "Longer than 200 characters; write it shorter."),
    ({"r_person": "x" * 201}, "r_person", "Longer than 200 characters; write it shorter."),
    ({"r_zone": "east/high"}, "r_zone", "Field 'east' has no such zone;"),
]


@pytest.mark.parametrize(("change", "box", "told"), REFUSED)
def test_slip_in_what_was_replanted_loses_nothing(
    asking: Client, untouched: str, change: dict[str, str], box: str, told: str
) -> None:  # fmt: skip
    """Both forms come back as they were typed, the slip beside its box, and nothing is kept."""
    query = urlencode({REST: "1800x", "cost": "60"})
    page = asking.get(f"/field/east/replant?{query}").text
    target = html.unescape(re.findall(r'method="post" action="([^"]*)"', page)[-1])
    assert target == f"/field/east/replant?{query}"
    sent = {**boxes(page, 2), "r_hybrid": "Invented 9", "r_rate": "32000", **change}
    back = asking.post(target, sent)
    assert back.status_code == 422
    assert "Not kept yet. Nothing you typed is lost." in back.text
    beside = re.search(rf'<p class="wrong" id="e-{box}">(.*?)</p>', html.unescape(back.text))
    assert beside is not None
    assert told in beside[1]
    now = boxes(back.text, 2)
    assert {k: v for k, v in now.items() if k != "r_zone"} == {k: v for k, v in sent.items() if k != "r_zone"}
    first = boxes(back.text, 1)
    assert (first[REST], first["cost"]) == ("1800x", "60")
    assert kept(untouched) == []


def test_form_without_its_token_is_refused(asking: Client, untouched: str) -> None:
    """The cookie alone is not enough, nor a page from elsewhere."""
    sent = boxes(asking.get("/field/east/replant").text, 2)
    for change, headers in (({"token": "0" * 64}, {}), ({}, {"sec-fetch-site": "cross-site"})):
        assert asking.post("/field/east/replant", {**sent, **change}, headers=headers).status_code == 403
    assert kept(untouched) == []


def test_store_that_may_only_be_read_loses_nothing(
    asking: Client, untouched: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Even then what was typed comes back, with the store's own words."""
    sent = {**boxes(asking.get("/field/east/replant").text, 2), "r_hybrid": "Invented 9"}
    monkeypatch.setattr("springwalk.store.core.may_write", lambda path: False)
    back = asking.post("/field/east/replant", sent)
    assert back.status_code == 422
    assert f"Store = {untouched}: may only be read;" in back.text
    assert boxes(back.text, 2)["r_hybrid"] == "Invented 9"
