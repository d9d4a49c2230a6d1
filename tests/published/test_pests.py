"""Stand pests against published rules and rows (pest_rows.csv)."""

from __future__ import annotations

import pytest

from springwalk.engine.pests import Count, judge_all, peaks_passed, samples_needed
from springwalk.jobs.pest_tables import clock, rules
from tests.published.reading import cases, rows

UNITS = {"stink bug": ("plant", "North Carolina", 3.0), "wireworm": ("bait station", "Illinois", None)}


def of(*what: str) -> list[object]:
    """The rows of some kinds, as test parameters."""
    keep = {row["id"] for row in rows("pest_rows") if row["what"] in what}
    return [case for case in cases("pest_rows", "id") if case.id in keep]


@pytest.mark.parametrize("row", of("stink bug", "wireworm"))
def test_count_gets_its_printed_verdict(row: dict[str, str]) -> None:
    """A scout who counted by the state's page must hear what the page says."""
    unit, state, collars = UNITS[row["what"]]
    count = Count(int(row["looked"]), int(row["insects"]))
    made = judge_all(count, rules(row["what"]), state=state, unit=unit, collars=collars)
    assert made.verdict == row["expected"]
    assert made.rule is not None
    assert state in made.rule.states


@pytest.mark.parametrize("row", of("peaks passed"))
def test_sum_lies_between_its_peaks(row: dict[str, str]) -> None:
    """Base 39 °F sums of a state's list, placed between the peaks it prints."""
    peaks = [clock(f"maggot_peak_{n}") for n in (1, 2, 3)]
    assert peaks == [360.0, 1080.0, 1800.0]
    assert peaks_passed(float(row["value"]), peaks) == int(row["expected"])


@pytest.mark.parametrize("row", of("samples"))
def test_samples_for_a_precision(row: dict[str, str]) -> None:
    """All four printed rows follow from one spread: n = 0.22 over the precision squared."""
    low, high = (int(x) for x in row["expected"].split("–"))
    assert low <= samples_needed(float(row["value"]), cv2=clock("grub_cv2")) <= high
