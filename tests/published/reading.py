"""Read the tables of published checks that lie beside this module."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import pytest

HERE = Path(__file__).resolve().parent
CANNOT_MATCH = "cannot match"


def rows(name: str) -> list[dict[str, str]]:
    """Every row of a table beside this module."""
    with (HERE / f"{name}.csv").open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


def cases(name: str, *label: str) -> list[Any]:
    """Rows as test parameters; what cannot be matched must fail and says why."""
    return [pytest.param(row, id="-".join(row[key] for key in label), marks=_marks(row)) for row in rows(name)]


def _marks(row: dict[str, str]) -> list[pytest.MarkDecorator]:
    if row.get("status") != CANNOT_MATCH:
        return []
    return [pytest.mark.xfail(reason=row["note"], strict=True, raises=AssertionError)]
