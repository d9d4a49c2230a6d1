"""The question behind ``stop-lines``: what it answers, and what nobody would walk for."""

from __future__ import annotations

import re
from typing import Any

import pytest

from springwalk.errors import BadValue
from springwalk.jobs.stop_lines import stop_lines

TEST: dict[str, Any] = {"p0": 0.02, "p1": 0.05, "alpha": 0.1, "beta": 0.1}
STOPS: dict[str, Any] = {"plants_per_stop": 20, "rho": 0.05}


def test_stops_leave_the_plant_by_plant_answer_alone() -> None:
    """The lines mean the same with and without stops beside them; by stops is an answer of its own."""
    alone, beside = stop_lines(**TEST), stop_lines(**TEST, **STOPS)
    assert {key: beside[key] for key in alone} == alone
    assert set(beside) - set(alone) == {"increments", "by_stop"}
    assert len(beside["increments"]) == 21


def test_limits_in_plants_become_whole_stops() -> None:
    """A least of 90 plants is five stops of 20, a most of 250 is twelve."""
    by_stop = stop_lines(**TEST, **STOPS, n_min=90, n_max=250)["by_stop"]
    assert (by_stop["stops_min"], by_stop["stops_max"]) == (5, 12)
    assert 5 <= by_stop["asn_stops"]["p0"] <= 12


def test_first_stop_is_reached_by_its_increments() -> None:
    """So many empty stops together reach the lower bound, one fewer does not."""
    made = stop_lines(**TEST, **STOPS)
    first, bound = made["by_stop"]["first_stop"], made["by_stop"]["lower_bound"]
    assert first * made["increments"][0] <= bound < (first - 1) * made["increments"][0]


def test_near_shares_are_taken_with_an_end() -> None:
    """A fine difference can still be asked for by who says how far to count."""
    made = stop_lines(**TEST | {"p1": 0.021}, n_max=400)
    assert made["first_stop_n"] == 400
    assert max(made["asn"].values()) <= 400


BAD: list[tuple[dict[str, Any], str]] = [
    ({"n_max": 10**7}, "n_max = 10000000 plants: outside 1 … 10,000; give the plants one would look at in a field."),
    ({"n_min": 0}, "n_min = 0 plants: outside 1 … 2,000; give the plants one would look at in a field."),
    ({"n_min": 50, "n_max": 40}, "n_max = 40: below n_min = 50; allow at least as many as must be seen."),
    (
        {"rho": 0.05},
        "plants_per_stop = (not given): plants per stop and rho go together; give --plants-per-stop too.",
    ),
    ({"plants_per_stop": 20}, "rho = (not given): plants per stop and rho go together; give --rho too."),
    (
        {"plants_per_stop": 501, "rho": 0.1},
        "plants_per_stop = 501 plants: outside 1 … 500; give the plants looked at in one stop.",
    ),
    ({**STOPS, "n_max": 15}, "n_max = 15 plants: less than one stop of 20; allow at least one whole stop."),
    (
        {**STOPS, "n_min": 45, "n_max": 50},
        "n_max = 50 plants: holds 2 stops of 20, n_min = 45 needs 3; allow at least as many stops as must be seen.",
    ),
    (
        {"p1": 0.021},
        "p1 = 0.021: with p0 = 0.02 some 97,000 plants would be needed; "
        "set them further apart, allow more error, or set --n-max.",
    ),
]


@pytest.mark.parametrize(("changed", "told"), BAD)
def test_what_nobody_would_walk_is_refused(changed: dict[str, Any], told: str) -> None:
    """A slip must not send a scout for a million plants, nor keep the machine busy for it."""
    with pytest.raises(BadValue, match=f"^{re.escape(told)}$"):
        stop_lines(**TEST | changed)
