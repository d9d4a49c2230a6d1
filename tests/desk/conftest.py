"""Clients at a store: a test module says what store by its fixtures ``location`` and ``untouched``."""

from __future__ import annotations

from datetime import date

import pytest

from tests.desk.client import Client, logged_in
from tests.seasons import TODAY


@pytest.fixture(scope="module")
def today() -> date:
    """The day the desk believes it is."""
    return TODAY


@pytest.fixture
def inside(location: str, today: date) -> Client:
    """A client at the store to write to."""
    return logged_in(location, today)


@pytest.fixture(scope="module")
def asking(untouched: str, today: date) -> Client:
    """A client at the store that nothing is kept in."""
    return logged_in(untouched, today)
