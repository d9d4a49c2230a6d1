"""The Chromium that all browser tests look with."""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import Any

import pytest

from springwalk.desk.access import Access
from tests.browser.running import CHROMIUM_ARGS, PHONE, chromium


@pytest.fixture(scope="module")
def chrome() -> Iterator[Any]:
    """A real Chromium; skips aloud without one, fails where SPRINGWALK_REQUIRE_BROWSER=1."""
    found = chromium()
    if found is None:
        words = "chromium = none: not found; install it or set SPRINGWALK_CHROMIUM."
        if os.environ.get("SPRINGWALK_REQUIRE_BROWSER") == "1":
            pytest.fail(words)
        pytest.skip(words)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        started = driver.chromium.launch(executable_path=found, args=list(CHROMIUM_ARGS))
        yield started
        started.close()


@pytest.fixture
def page(chrome: Any, desk: tuple[str, Access]) -> Iterator[Any]:
    """A page of a phone's width that is logged in at the test file's ``desk``, with scripts off."""
    context = chrome.new_context(viewport=PHONE, java_script_enabled=False)
    made = context.new_page()
    made.goto(desk[1].link())
    yield made
    context.close()
