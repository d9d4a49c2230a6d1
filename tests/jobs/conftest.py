"""What tests of jobs start from: a store of their own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from springwalk.store import Store, open_store
from tests.stores import empty_store


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """An empty store."""
    with open_store(empty_store(tmp_path / "season.db")) as opened:
        yield opened
