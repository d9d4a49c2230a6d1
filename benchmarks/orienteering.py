"""``python benchmarks/orienteering.py FILE --budget 40``: the best score of a plain orienteering problem, as JSON.

FILE has lines of ``x y score``; the first is the start, the second the end. A distance of 1 costs 1 of the budget.
It goes through the day's plan itself, with no wage, no time in the field and 1 km driven in a minute.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from springwalk.plan.day import Candidate, DayPlan, Person, Roads
from springwalk.plan.solve import plan_day

KM = 1000.0
ROADS = Roads(speed_km_h=60.0, factor=1.0, turn_in_min=0.0, basis="distance is time")


PROVE_UP_TO = 100
"""Places up to which the proof is tried; a morning would not wait so long (one of 64 places takes over 100 s)."""


def best_day(lines: list[str], budget: float, *, prove_up_to: int = PROVE_UP_TO) -> DayPlan:
    """The plan of an instance given as lines of text."""
    (sx, sy, _), (ex, ey, _), *rows = [tuple(map(float, line.split())) for line in lines if line.strip()]
    points = [Candidate(f"{i:04d}", (x * KM, y * KM), score, 0.0) for i, (x, y, score) in enumerate(rows)]
    walker = Person("walker", (sx * KM, sy * KM), (ex * KM, ey * KM), 0.0, budget)
    return plan_day(points, [walker], ROADS, wage_per_h=0.0, prove_up_to=prove_up_to)


def main() -> None:
    """Read a file and a budget, print score, proof and bound."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("file", type=Path)
    parser.add_argument("--budget", type=float, required=True)
    asked = parser.parse_args()
    day = best_day(asked.file.read_text(encoding="utf-8").splitlines(), asked.budget)
    print(json.dumps({"score": round(day.value, 4), "proved": day.proved, "bound": round(day.bound, 4)}))


if __name__ == "__main__":
    main()
