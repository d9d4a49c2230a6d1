"""Best scores of two orienteering sets: tsiligirides_1.txt (orienteering.csv), chao_64.txt (orienteering_64.csv).

T. Tsiligirides 1984, Heuristic methods applied to orienteering, Journal of the Operational Research Society
35:797–809: 32 places, x y score, start first, end second, typed in from two copies that agree (a third has two
misprinted places). Chao, Golden & Wasil 1996, European Journal of Operational Research 88:475–489: 64 places of a
regular diamond, from a public copy. The best scores are recalled from the literature and, as each row says, proved
here; tolerance 0, since scores are whole.
"""

from __future__ import annotations

import json
import subprocess
import sys
from functools import cache

import pytest

from benchmarks.orienteering import best_day
from springwalk.plan.day import DayPlan
from tests.published.reading import HERE, cases, rows

INSTANCE = HERE / "tsiligirides_1.txt"
DIAMOND = HERE / "chao_64.txt"
TOO_LONG = 30.0
"""The one budget whose proof takes more than 100 s; it is searched, as a morning with so many fields is."""


@pytest.mark.parametrize(
    "row",
    [
        pytest.param(row, id=row["budget"], marks=[pytest.mark.slow] if place % 4 else [])
        for place, row in enumerate(rows("orienteering"))
    ],
)
def test_best_score_is_found_and_proved(row: dict[str, str]) -> None:
    """The same solver plans the day, so its proof is tried where the answer is known from elsewhere."""
    day = best_day(INSTANCE.read_text(encoding="utf-8").splitlines(), float(row["budget"]))
    assert day.proved
    assert day.value == pytest.approx(float(row["score"]), abs=1e-9)
    assert day.routes[0].home_min <= float(row["budget"]) + 1e-9


@cache
def diamond(budget: float) -> DayPlan:
    """The day of the larger set, solved once for both of its tests; one budget takes too long to prove here."""
    lines = DIAMOND.read_text(encoding="utf-8").splitlines()
    return best_day(lines, budget, prove_up_to=40 if budget == TOO_LONG else 100)


@pytest.mark.slow
@pytest.mark.parametrize("row", cases("orienteering_64", "budget"))
def test_score_beyond_what_is_proved(row: dict[str, str]) -> None:
    """62 places, proved but for one budget that is searched: the best score is known from elsewhere."""
    assert diamond(float(row["budget"])).value == pytest.approx(float(row["score"]), abs=1e-9)


@pytest.mark.slow
@pytest.mark.parametrize("row", rows("orienteering_64"), ids=lambda row: row["budget"])
def test_bound_holds_beyond_what_is_proved(row: dict[str, str]) -> None:
    """A bound below the best score would be a lie, and proved may only be said where it is reached."""
    day = diamond(float(row["budget"]))
    assert day.bound >= float(row["score"]) - 1e-9
    assert day.proved == (row["proved"] == "yes")
    assert day.routes[0].home_min <= float(row["budget"]) + 1e-9


@pytest.mark.slow
def test_the_command_says_score_proof_and_bound() -> None:
    """The benchmark is run by hand as a script, so the script must run."""
    command = [sys.executable, str(HERE.parents[1] / "benchmarks" / "orienteering.py"), str(INSTANCE), "--budget", "15"]
    said = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    assert json.loads(said) == {"score": 45.0, "proved": True, "bound": 45.0}
