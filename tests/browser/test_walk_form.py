"""Typing a walk in a real browser of a phone's width, with scripts off: nothing is lost, nothing runs off the side."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from springwalk.desk.access import Access
from springwalk.desk.from_store import store_entries, store_questions
from springwalk.jobs.take_in import take_in
from springwalk.store import open_store
from tests.browser.running import PHONE, serving
from tests.seasons import TODAY, write_season

pytestmark = pytest.mark.browser
ZONES = "field,zone,name,area\nnorth,low,The low corner by the old pump house,10ac\n"
MARKED = "walk,field,date,person,places,marked_row,part,fresh_cut_at\nW8,north,2016-05-14,Ann,20,A,low,2\n"
FORMS = ("walk", "recount", "search")


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[tuple[str, Access]]:
    """A store with the small season, a zone and a marked row in it, served on a free port."""
    location = str(tmp_path / "season.db")
    with open_store(location, create=True) as store:
        take_in(store, write_season(tmp_path / "farm", {"zones.csv": ZONES, "walks.csv": MARKED}), today=TODAY)
    with serving(store_questions(location, TODAY), store_entries(location, TODAY)) as running:
        yield running


def test_a_walk_is_typed_mended_and_kept(page: Any, desk: tuple[str, Access]) -> None:
    """Two stops, a slip, its link leads to its box, and after mending it the field's page says what was kept."""
    page.goto(f"{desk[0]}/field/north")
    page.get_by_role("link", name="Type a walk").click()
    first = page.locator("#stop-1")
    assert first.get_by_label("Places looked at").input_value() == "20"
    first.get_by_label("Zone").select_option("The low corner by the old pump house")
    first.get_by_label("Fresh cut, at the soil").fill("1")
    page.get_by_role("button", name="Another stop").click()
    assert page.url.endswith("/field/north/walk#stop-2")
    assert first.get_by_label("Fresh cut, at the soil").input_value() == "1"
    second = page.locator("#stop-2")
    assert second.get_by_label("Zone").input_value() == "north/low"
    second.get_by_label("Places looked at").fill("2o")
    second.get_by_label("I went where it looked worst").check()
    page.get_by_label("Plants searched").fill("40")
    page.get_by_label("Larvae found, by size").fill("12 1/2in")
    page.get_by_label("Hour").select_option("8 pm")
    page.get_by_label("Who").fill("Ann")
    page.get_by_role("button", name="Keep the walk").click()
    page.get_by_role("link", name="Stop 2: Places looked at").click()
    assert page.url.endswith("#b-s2_places")
    assert second.get_by_label("I went where it looked worst").is_checked()
    assert page.get_by_label("Hour").input_value() == "20"
    second.get_by_label("Places looked at").fill("20")
    second.get_by_label("Nothing found at this stop").check()
    page.get_by_role("button", name="Keep the walk").click()
    assert (
        page.get_by_role("status")
        .inner_text()
        .startswith("Walk on 17 May: 40 places, two larvae noted at The north field.")
    )
    page.get_by_role("button", name="Undo").click()
    assert page.get_by_role("status").inner_text().startswith("Taken back: walk on 17 May: 40 places")


@pytest.mark.parametrize("form", FORMS)
def test_forms_fit_a_thumb_and_a_narrow_page(page: Any, desk: tuple[str, Access], form: str) -> None:
    """Fresh and after a slip: each thing to press is 48 px high or stands in a row of that height, inside the page."""
    page.goto(f"{desk[0]}/field/north/{form}")
    button = page.locator("button.keep")
    for sent in (False, True):
        if sent:
            button.click()
            assert page.get_by_role("alert").count() == 1
        things = page.locator("main button, main input:not([type=hidden]):not([type=checkbox]), main select,"
                              " main textarea, main a, main label.tick").all()  # fmt: skip
        assert len(things) > 6
        for one in things:
            box = one.bounding_box()
            assert box["height"] >= 48, one.get_attribute("name") or one.inner_text()
            assert box["x"] >= 0
            assert box["x"] + box["width"] <= PHONE["width"]


@pytest.mark.parametrize("form", ["", *(f"/{form}" for form in FORMS)])
def test_nothing_scrolls_sideways_and_text_is_large(
    chrome: Any, page: Any, desk: tuple[str, Access], form: str
) -> None:
    """Measured with scripts on, which the pages do not use: as wide as the phone, and no form text below 18 px."""
    context = chrome.new_context(viewport=PHONE, storage_state=page.context.storage_state())
    measured = context.new_page()
    measured.goto(f"{desk[0]}/field/north{form}")
    assert measured.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    sizes = measured.evaluate(
        "[...document.querySelectorAll('form.walk *:not([type=checkbox])')].filter(e => e.offsetParent)"
        ".map(e => parseFloat(getComputedStyle(e).fontSize))"
    )
    assert min(sizes, default=18) >= 18
    assert bool(sizes) == bool(form)
    context.close()


def test_replant_is_asked_with_a_thumb(chrome: Any, page: Any, desk: tuple[str, Access]) -> None:
    """Scripts off: two stands and a cost give an answer over the form, all in the address, which fits a phone."""
    page.goto(f"{desk[0]}/field/north/replant")
    page.get_by_label("The low corner by the old pump house: plants left an acre").fill("9000")
    page.get_by_label("Rest: plants left an acre").fill("29000")
    page.get_by_role("button", name="Keep or replant?").click()
    page.get_by_role("link", name="Cost of replanting, US$ an acre").click()
    page.get_by_label("Cost of replanting, US$ an acre").fill("60")
    page.get_by_text("Insurance terms, from the policy in hand").click()
    page.get_by_role("button", name="Keep or replant?").click()
    answer = page.get_by_role("heading", name="Replant the 10.0 acres of The low corner by the old pump house")
    assert answer.bounding_box()["y"] < page.get_by_label("Rest: plants left an acre").bounding_box()["y"]
    assert page.get_by_label("Rest: plants left an acre").input_value() == "29000"
    things = page.locator("main button, main input:not([type=hidden]):not([type=checkbox]), main select, main a,"
                          " main summary, main label.tick").all()  # fmt: skip
    seen = [box for one in things if (box := one.bounding_box()) is not None]
    assert len(seen) > 20
    assert min(box["height"] for box in seen) >= 48
    assert max(box["x"] + box["width"] for box in seen) <= PHONE["width"]
    context = chrome.new_context(viewport=PHONE, storage_state=page.context.storage_state())
    measured = context.new_page()
    measured.goto(page.url)
    measured.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
    assert measured.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    sizes = measured.evaluate(
        "[...document.querySelectorAll('.answer *, form.walk *:not([type=checkbox])')].filter(e => e.offsetParent)"
        ".map(e => parseFloat(getComputedStyle(e).fontSize))"
    )
    assert min(sizes) >= 18
    context.close()
