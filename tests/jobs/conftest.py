"""What tests of jobs start from: a store of their own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from springwalk.store import Store, open_store


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """An empty store."""
    with open_store(str(tmp_path / "season.db"), create=True) as opened:
        yield opened
