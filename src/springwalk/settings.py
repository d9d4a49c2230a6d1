"""Where the store is: ``--store``, then the environment, then ./season.db."""

from __future__ import annotations

import os

STORE_VARIABLE = "SPRINGWALK_STORE"
DEFAULT_STORE = "season.db"


def store_location(option: str | None = None) -> str:
    """The store to use: the option if given, else SPRINGWALK_STORE, else ./season.db."""
    return option or os.environ.get(STORE_VARIABLE) or DEFAULT_STORE
