"""The Chromium that all browser tests look with."""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import Any

import pytest

from tests.browser.running import CHROMIUM_ARGS, chromium


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
