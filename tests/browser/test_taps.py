"""Entering in a real browser: the browser's own headers and cookies must pass the checks, and no script is needed."""

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


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[tuple[str, Access]]:
    """A store with the small season in it, served on a free port."""
    location = str(tmp_path / "season.db")
    with open_store(location, create=True) as store:
        take_in(store, write_season(tmp_path / "farm"), today=TODAY)
    with serving(store_questions(location, TODAY), store_entries(location, TODAY)) as running:
        yield running


def test_hail_is_tapped_seen_and_undone(page: Any, desk: tuple[str, Access]) -> None:
    """One press keeps it, the page says so and shows it among what was told; Undo takes it away again."""
    page.goto(f"{desk[0]}/field/north")
    assert "hail" not in page.locator("main").inner_text().replace("Hail", "", 1)
    page.get_by_label("Day").first.fill("2016-05-14")
    page.get_by_role("button", name="Hail", exact=True).click()
    said = page.get_by_role("status")
    assert said.inner_text().startswith("Hail on 14 May noted at The north field. Look ")
    assert "On 14 May, hail" in page.locator("main").inner_text()
    page.get_by_role("button", name="Undo").click()
    assert said.inner_text() == "Taken back: hail on 14 May at The north field."
    page.goto(f"{desk[0]}/field/north")
    assert said.count() == 0
    assert "On 14 May, hail" not in page.locator("main").inner_text()


@pytest.mark.parametrize(
    ("elsewhere", "told"),
    [
        ("http://elsewhere.test/", "login = none"),  # SameSite=Strict: not even the cookie is sent
        ("http://127.0.0.1:9/", "this form was not sent by a page of this desk"),  # cookies know no ports
    ],
)
def test_a_page_from_elsewhere_cannot_tap(page: Any, desk: tuple[str, Access], elsewhere: str, told: str) -> None:
    """A form of another site, or of another program on this machine, is refused though the same browser sends it."""
    address = f"{desk[0]}/field/north"
    page.goto(address)
    form = page.locator("input[name=token]").first.get_attribute("value")
    page.route(
        elsewhere,
        lambda route: route.fulfill(
            content_type="text/html",
            body=f'<form method="post" action="{address}/tap"><input name="token" value="{form}">'
            '<button name="what" value="hail">Win</button></form>',
        ),
    )
    page.goto(elsewhere)
    with page.expect_navigation():
        page.get_by_role("button", name="Win").click()
    assert told in page.locator("main").inner_text()
    page.goto(address)
    assert "hail on" not in page.locator("main").inner_text().lower()


def test_buttons_and_boxes_are_big_enough_for_a_thumb(page: Any, desk: tuple[str, Access]) -> None:
    """Every button, box and list of a form is at least 48 px high, and nothing runs off the side."""
    page.goto(f"{desk[0]}/field/north")
    page.locator("summary", has_text="A pass over this field").click()
    for one in page.locator("button:visible, input:visible, select:visible, summary:visible").all():
        box = one.bounding_box()
        assert box["height"] >= 48, one.inner_text()
        assert box["width"] >= 48
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= PHONE["width"]
