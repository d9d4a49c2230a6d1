"""Published figures that no part of Springwalk works out (unanswered.csv): kept, counted, and claimed by no test."""

from __future__ import annotations

from tests.published.reading import rows


def test_what_is_not_worked_out_is_counted_and_says_why() -> None:
    """What is left out in silence looks like agreement; a row leaves this list when a function answers it."""
    found = rows("unanswered")
    assert (len(found), sum(int(row["items"]) for row in found)) == (26, 143)
    assert all(row["source"] and row["printed"] and row["why"] for row in found)
    listed = [row for row in found if ";" in row["printed"] and " and " not in row["printed"]]
    assert all(len(row["printed"].split(";")) == int(row["items"]) for row in listed)
