"""A recommendation told in a real browser: two taps on a phone's width, with scripts off."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from springwalk.desk.from_store import store_entries, store_questions
from tests.browser.running import PHONE, serving
from tests.jobs.chained import MAY_24, walked

pytestmark = pytest.mark.browser


def test_two_taps_on_a_phone(chrome: Any, tmp_path: Path) -> None:
    """Kept, told by phone, taken: no typing, each button big enough and on the first screen, nothing runs off."""
    with walked(tmp_path) as store:
        location = store.location
    with serving(store_questions(location, MAY_24), store_entries(location, MAY_24)) as (base, access):
        context = chrome.new_context(viewport=PHONE, java_script_enabled=False)
        page = context.new_page()
        page.goto(access.link())
        page.goto(f"{base}/field/north")
        page.get_by_role("button", name="Keep today's advice as our recommendation").click()
        for button, state in (("Told by phone", "told, no answer yet"), ("Invented Farms takes it", "taken, not")):
            fits(page)
            page.reload()
            one = page.get_by_role("button", name=button)
            box = one.bounding_box()
            assert box["y"] + box["height"] <= PHONE["height"], "it is seen without scrolling"
            one.click()
            assert page.locator("h1").inner_text().startswith(f"The north field: {state}")
        for path in ("/recommendations", "/field/north"):
            page.goto(base + path)
            fits(page)
        text = page.locator(".said textarea").first.input_value()
        assert len(text.splitlines()) == 3
        context.close()


@pytest.mark.parametrize("width", [390, 1280])
def test_the_pages_links_stand_in_one_line(chrome: Any, tmp_path: Path, width: int) -> None:
    """One word for one page at every width, and six links that do not break into two lines on a phone."""
    with walked(tmp_path) as store:
        location = store.location
    with serving(store_questions(location, MAY_24), store_entries(location, MAY_24)) as (base, access):
        context = chrome.new_context(viewport={**PHONE, "width": width})
        page = context.new_page()
        page.goto(access.link())
        page.goto(base)
        links = page.locator("nav a")
        assert [one.inner_text() for one in links.all()] == ["Morning", "Day", "Due", "Advice", "Pests", "Sources"]
        assert len({round(one.bounding_box()["y"]) for one in links.all()}) == 1
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        context.close()


def fits(page: Any) -> None:
    """Everything opened: each target is at least 48 px, inside the width, and every box has its label."""
    for one in page.locator("summary").all():
        one.click()
    main = page.locator("main")
    assert main.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    for one in main.locator("button:visible, input:visible, select:visible, summary:visible, textarea:visible").all():
        box = one.bounding_box()
        assert min(box["height"], box["width"]) >= 48, one.evaluate("e => e.outerHTML")
        assert box["x"] + box["width"] <= PHONE["width"]
    boxes = "input:visible, select:visible, textarea:visible"
    assert all(main.locator(boxes).evaluate_all("all => all.map(e => e.labels.length === 1)"))
