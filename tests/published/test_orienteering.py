"""Best scores of the first orienteering set (tsiligirides_1.txt, orienteering.csv).

T. Tsiligirides 1984, Heuristic methods applied to orienteering, Journal of the Operational Research Society
35:797–809: 32 places, x y score, start first, end second, typed in from two copies that agree (a third has two
misprinted places). The best scores are recalled from the literature and proved here; tolerance 0, since scores are
whole.
"""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

from benchmarks.orienteering import best_day
from tests.published.reading import HERE, rows

INSTANCE = HERE / "tsiligirides_1.txt"


@pytest.mark.parametrize("row", rows("orienteering"), ids=lambda row: row["budget"])
def test_best_score_is_found_and_proved(row: dict[str, str]) -> None:
    """The same solver plans the day, so its proof is tried where the answer is known from elsewhere."""
    day = best_day(INSTANCE.read_text(encoding="utf-8").splitlines(), float(row["budget"]))
    assert day.proved
    assert day.value == pytest.approx(float(row["score"]), abs=1e-9)
    assert day.routes[0].home_min <= float(row["budget"]) + 1e-9


def test_the_command_says_score_proof_and_bound() -> None:
    """The benchmark is run by hand as a script, so the script must run."""
    command = [sys.executable, str(HERE.parents[1] / "benchmarks" / "orienteering.py"), str(INSTANCE), "--budget", "15"]
    said = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    assert json.loads(said) == {"score": 45.0, "proved": True, "bound": 45.0}
