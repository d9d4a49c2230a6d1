"""The questions behind the commands give the published values too: stop-lines, interval, injury-level, stand."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

import pytest

from springwalk.jobs.injury_level import injury_level
from springwalk.jobs.interval import interval
from springwalk.jobs.stand_count import stand_count
from springwalk.jobs.stop_lines import stop_lines
from springwalk.units import M_PER_IN
from tests.published.reading import CANNOT_MATCH, rows

Given = dict[str, str]


@cache
def _lines(p0: str, p1: str, alpha: str, beta: str) -> dict[str, Any]:
    return stop_lines(p0=float(p0), p1=float(p1), alpha=float(alpha), beta=float(beta))


def _test(given: Given) -> dict[str, Any]:
    return _lines(given["p0"], given["p1"], given["alpha"], given["beta"])


def _interval(given: Given) -> float:
    found = interval(x=int(given["x"]), n=int(given["n"]), level=float(given["level"]))
    return found[given["way"]][given["end"] == "high"]


def _sheet(given: Given) -> dict[str, Any]:
    return injury_level(**{name: float(value) for name, value in given.items()})


ANSWERS: dict[str, Callable[[Given], float]] = {
    "slope": lambda g: _test(g)["slope"],
    "lower": lambda g: _test(g)["lower_intercept"],
    "upper": lambda g: _test(g)["upper_intercept"],
    "first stop": lambda g: _test(g)["first_stop_n"],
    "mean plants": lambda g: _test(g)["asn"][g["at"]],
    "chance below": lambda g: _test(g)["oc"][g["at"]],
    "interval": _interval,
    "injury level": lambda g: _sheet(g)["per_plant"],
    "sheet level": lambda g: _sheet(g)["worksheet"],
    "sheet ratio": lambda g: _sheet(g)["steps"]["ratio"],
    "sheet gain_money": lambda g: _sheet(g)["steps"]["gain_money"],
}
"""The kinds of rows of sampling_rows.csv that a command can be asked for."""

ASKED = [row for row in rows("sampling_rows") if row["what"] in ANSWERS and not row["status"]]


@pytest.mark.parametrize("row", ASKED, ids=lambda row: row["id"])
def test_question_gives_the_published_value(row: Given) -> None:
    """Between the engine and the command a value could be swapped or rounded away."""
    given = dict(part.split("=") for part in row["given"].split())
    got = ANSWERS[row["what"]](given)
    assert got == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]) + 1e-9, rel=0), row["source"]


def test_stand_question_gives_the_printed_stand() -> None:
    """30 plants in 1/1000 acre are 30,000 an acre (Cornell IPM) and 74,132 a hectare; the width does not matter."""
    for width in (15, 20, 30, 36):
        said = stand_count(row_width_m=width * M_PER_IN, counts=[30])
        assert (said["plants_per_acre"], said["plants_per_ha"]) == pytest.approx((30_000, 74_132), abs=0.5)


def test_rows_that_cannot_match_are_not_asked() -> None:
    """The rows left out here are those that the engine itself is known to miss, and those without inputs."""
    left = {row["status"] for row in rows("sampling_rows") if row["what"] in ANSWERS and row not in ASKED}
    assert left == {CANNOT_MATCH, "inputs not printed"}
