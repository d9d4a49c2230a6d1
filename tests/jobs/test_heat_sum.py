"""Sums of heat from a weather file: missing days, gaps that are filled, and what cannot be summed."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from springwalk.errors import BadFile, BadValue
from springwalk.jobs.heat import heat_of_day, heat_sum

FIRST = date(2016, 5, 1)


def station(path: Path, rows: list[tuple[float, float] | None]) -> Path:
    """A plain file of (min, max) in °F from 1 May on; None = no row."""
    lines = ["date,max,min"]
    for k, row in enumerate(rows):
        if row is not None:
            lines.append(f"{FIRST + timedelta(days=k)},{row[1]:g},{row[0]:g}")
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def day(k: int) -> date:
    """The k-th day of May."""
    return date(2016, 5, k)


def test_both_ends_are_counted(tmp_path: Path) -> None:
    """A sum from one day to another must hold both, as extension tables do."""
    file = station(tmp_path / "w.csv", [(50, 70), (52, 72), (54, 74), (56, 76)])
    result = heat_sum(file, unit="F", start=day(2), end=day(3), method="86/50")
    assert result["degree_days"] == pytest.approx(12 + 14)
    assert (result["days"], result["missing"], result["filled"]) == (2, 0, 0)
    assert (result["unit"], result["method"]) == ("°F·day", "86/50, 50–86 °F")


def test_published_three_days(tmp_path: Path) -> None:
    """90/65, 72/46 and 63/42 give 43 °F·day by 86/50 (extension column, Waushara Argus, 25 April 2018)."""
    file = station(tmp_path / "w.csv", [(65, 90), (46, 72), (42, 63)])
    assert heat_sum(file, start=day(1), end=day(3), method="86/50")["degree_days"] == pytest.approx(43.0)


def test_missing_days_are_left_out_and_counted(tmp_path: Path) -> None:
    """A gap must be said, not guessed."""
    file = station(tmp_path / "w.csv", [(50, 70), None, None, (56, 76)])
    result = heat_sum(file, start=day(1), end=day(6), method="average")
    assert result["degree_days"] == pytest.approx(10 + 16)
    assert (result["days"], result["missing"], result["filled"]) == (2, 4, 0)


def test_fill_is_a_straight_line_between_neighbours(tmp_path: Path) -> None:
    """Short gaps are filled when asked, and counted as filled; the end of the file is no gap."""
    file = station(tmp_path / "w.csv", [(50, 70), None, None, (56, 76)])
    result = heat_sum(file, start=day(1), end=day(6), method="average", fill=True)
    assert result["degree_days"] == pytest.approx(10 + 12 + 14 + 16)
    assert (result["days"], result["missing"], result["filled"]) == (4, 2, 2)


def test_long_gaps_are_not_filled(tmp_path: Path) -> None:
    """A line over four days is a guess about weather."""
    file = station(tmp_path / "w.csv", [(50, 70), None, None, None, None, (60, 80)])
    result = heat_sum(file, start=day(1), end=day(6), method="average", fill=True)
    assert (result["days"], result["missing"], result["filled"]) == (2, 4, 0)


def test_double_takes_the_next_morning(tmp_path: Path) -> None:
    """The second half of a day ends at the next day's minimum, also on the last day summed."""
    file = station(tmp_path / "w.csv", [(44, 71), (50, 70)])
    result = heat_sum(file, start=day(1), end=day(1), double=True)
    one = heat_of_day(minimum=44, maximum=71, next_minimum=50, double=True)
    assert result["degree_days"] == pytest.approx(one["degree_days"])
    assert heat_sum(file, start=day(1), end=day(2), double=True)["missing"] == 1


def test_dates_in_the_wrong_order(tmp_path: Path) -> None:
    """Swapped dates must be told, not summed to nothing."""
    file = station(tmp_path / "w.csv", [(50, 70)])
    with pytest.raises(BadValue, match=r"^to = 2016-05-01: before from = 2016-05-02; swap the two dates\.$"):
        heat_sum(file, start=day(2), end=day(1))


def test_a_span_of_centuries(tmp_path: Path) -> None:
    """A slip in the year must be told at once."""
    file = station(tmp_path / "w.csv", [(50, 70)])
    with pytest.raises(BadValue, match=r"^to = 2916-05-01: more than 3700 days after from = 2016-05-01; check"):
        heat_sum(file, start=day(1), end=date(2916, 5, 1))


def test_no_day_at_all(tmp_path: Path) -> None:
    """A sum of no days is not 0."""
    file = station(tmp_path / "w.csv", [(50, 70)])
    with pytest.raises(BadValue, match=r"^from … to = 2015-05-01 … 2015-05-09: w\.csv holds no whole day of it; check"):
        heat_sum(file, start=date(2015, 5, 1), end=date(2015, 5, 9))


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    """A wrong path is a file error."""
    with pytest.raises(BadFile, match=r"no such file|there is no"):
        heat_sum(tmp_path / "gone.csv", start=day(1), end=day(2))
