"""Stores made once for each worker and then copied: what a test writes stays in a file of its own."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from datetime import date
from functools import cache
from pathlib import Path

from springwalk.jobs.take_in import take_in
from springwalk.store import open_store
from tests.seasons import TODAY, write_season


def empty_store(path: Path) -> str:
    """Where a new empty store now is: at ``path``."""
    path.write_bytes(_empty())
    return str(path)


def season_store(path: Path, files: Mapping[str, str] | None = None, *, today: date = TODAY) -> str:
    """Where a new store of the small season now is: at ``path``; ``files`` replace the season's by name."""
    path.write_bytes(_season(tuple((files or {}).items()), today))
    return str(path)


@cache
def _empty() -> bytes:
    with tempfile.TemporaryDirectory() as place:
        open_store(f"{place}/season.db", create=True).close()
        return Path(place, "season.db").read_bytes()


@cache
def _season(files: tuple[tuple[str, str], ...], today: date) -> bytes:
    with tempfile.TemporaryDirectory() as place:
        folder = write_season(Path(place, "farm"), dict(files))
        with open_store(f"{place}/season.db", create=True) as store:
            take_in(store, folder, today=today)
        return Path(place, "season.db").read_bytes()
