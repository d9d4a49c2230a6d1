"""The shipped vectors: rebuilt byte for byte, met by the arithmetic they are for, and wide enough to tell."""

from __future__ import annotations

from typing import Any

import pytest

from builders import vectors
from springwalk.engine import sampling
from springwalk.engine.kit import advise_from_kit
from tests.vectors.reading import FILES, HERE, kit_of, rows, stops_of

KITS = [kit_of(form) for form in rows("kits.json")]
CASES, TABLES = rows("kit_cases.json"), rows("stop_tables.json")
CLOSE = 1e-7


@pytest.mark.slow
def test_the_builder_gives_the_shipped_bytes() -> None:
    """The vectors follow the engine: whoever moves a number rebuilds them, and sees what moved."""
    assert vectors.build() == {name: (HERE / name).read_bytes() for name in FILES}


@pytest.mark.parametrize("case", CASES, ids=range(len(CASES)))
def test_kit_gives_the_desk_s_numbers(case: dict[str, Any]) -> None:
    """From nothing but the JSON kit and the stops: money of each act, the best, and what is believed."""
    said = advise_from_kit(KITS[case["kit"]], stops_of(case), heights=tuple(case["heights"]))
    assert said.expected == pytest.approx(case["expected"], rel=CLOSE)
    assert (said.best, said.search_first) == (case["best"], case["search_first"])
    assert said.mean_load == pytest.approx(case["mean_load"], rel=CLOSE)
    assert said.any_larvae == pytest.approx(case["any_larvae"], rel=CLOSE)
    assert list(said.left_out) == case["left_out"]


def answers(table: dict[str, Any], cuts: list[int]) -> list[str | None]:
    """The table's answer after each stop, looked up as a page would."""
    states = {(k, x, j): table["answers"][a] for k, x, j, a in table["states"]}
    out: list[str | None] = []
    for k in range(1, len(cuts) + 1):
        x, j = min(sum(cuts[:k]), table["most_cut"]), sum(cut > 0 for cut in cuts[:k])
        out.append(states.get((k, x, j)) if k == 1 or out[-1] == "count on" else None)
    return out


def test_stop_tables_answer_as_told() -> None:
    """Walks through each table, one that finds nothing and one that passes the most followed among them."""
    for table in TABLES:
        for walk in table["walks"]:
            assert answers(table, walk["cut"]) == walk["answers"]
    assert any(sum(walk["cut"]) > table["most_cut"] for table in TABLES for walk in table["walks"])


def test_stop_tables_answer_along_the_cases() -> None:
    """The stops of a case lead through the table of its morning."""
    told = [case for case in CASES if case["along"] is not None]
    for case in told:
        table = TABLES[case["kit"]]
        seen = [s["cut_fresh"] + (0 if table["fresh_only"] else s["cut_old"]) for s in case["stops"]]
        assert answers(table, seen) == case["along"]
    assert len(told) >= 12


def test_a_count_that_goes_on_always_meets_a_state() -> None:
    """Wherever a table says to count on, every number of cut places at the next stop has an answer."""
    for table in TABLES:
        states = {(k, x, j): table["answers"][a] for k, x, j, a in table["states"]}
        for (k, x, j), answer in states.items():
            if answer == "count on":
                for cut in range(table["places_per_stop"] + 1):
                    assert (k + 1, min(x + cut, table["most_cut"]), j + (cut > 0)) in states


@pytest.mark.parametrize("way", ["wilson", "exact_interval", "jeffreys"])
def test_intervals_are_those_of_the_engine(way: str) -> None:
    """Shares seen with their ranges, at none, one and all of n too."""
    for row in rows("intervals.json"):
        got = getattr(sampling, way)(row["x"], row["n"], level=row["level"])
        assert list(got) == pytest.approx(row[way], rel=CLOSE, abs=1e-12)


def test_the_cases_are_wide_enough() -> None:
    """Thirty cases and more, in which each kind of act is best, leaves are looked at or not, and stops are left out."""
    kinds = {
        "come back" if case["best"] >= len(KITS[case["kit"]].acts) else KITS[case["kit"]].acts[case["best"]].kind
        for case in CASES
    }
    leaves = [stop["leaf_fed"] for case in CASES for stop in case["stops"]]
    assert len(CASES) >= 30
    assert kinds == {"leave", "spray", "come back"}
    assert None in leaves
    assert 0 in leaves
    assert max(leaf or 0 for leaf in leaves) > 1
    assert sum(bool(case["left_out"]) for case in CASES) >= 6
    assert len({stop["places"] for case in CASES for stop in case["stops"]}) >= 5
    assert any(kit.rows_seen for kit in KITS)
