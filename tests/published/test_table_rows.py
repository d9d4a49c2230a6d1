"""Printed figures that are only shown, read off their sources a second time (table_rows.csv)."""

from __future__ import annotations

import pytest

from springwalk.tables import rows as shipped
from tests.published.reading import cases, rows

WITHOUT_FIGURES = {
    "iowa-money",
    "iowa-holes",
    "illinois",
    "ontario-2009",
    "nebraska",
    "begin",
    "search",
    "ongoing",
    "patchy",
}
"""Principles, search methods and intervals: words without a number to check."""


@pytest.mark.parametrize("row", cases("table_rows", "table", "key"))
def test_shown_figure_is_the_printed_one(row: dict[str, str]) -> None:
    """A threshold or a sampling design is quoted with its source, so a slip would put words in a state's mouth."""
    ours = next(one for one in shipped(row["table"]) if one["key"] == row["key"])
    printed = dict(part.split("=") for part in row["cells"].split("; "))
    assert {name: ours[name] for name in printed} == printed


@pytest.mark.parametrize("table", ["thresholds", "sampling"])
def test_no_shown_figure_goes_unread(table: str) -> None:
    """A row added to the table needs a second reading too."""
    read = {row["key"] for row in rows("table_rows") if row["table"] == table}
    assert {row["key"] for row in shipped(table)} - WITHOUT_FIGURES == read
