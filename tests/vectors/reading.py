"""Reads the vectors, and a kit from its JSON form."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from springwalk.engine.belief import StopSeen
from springwalk.engine.kit import Act, Kit, Later

HERE = Path(__file__).resolve().parent
FILES = {"kits.json": "kits", "kit_cases.json": "cases", "stop_tables.json": "tables", "intervals.json": "intervals"}


def rows(name: str) -> list[dict[str, Any]]:
    """The rows of a file."""
    told = json.loads((HERE / name).read_text("utf-8"))
    assert told["version"] == 1
    found: list[dict[str, Any]] = told[FILES[name]]
    return found


def kit_of(form: Mapping[str, Any]) -> Kit:
    """A kit from its JSON form; what stands beside it (field, day) is left aside."""
    plain = (
        "background", "cut_spread", "patch_shape", "age_misread", "false_fresh", "look_plants", "look_stops",
    )  # fmt: skip
    return Kit(
        **{name: form[name] for name in plain},
        **{name: np.array(form[name]) for name in ("lam", "cut", "cut_old", "leaf", "before")},
        **{name: tuple(form[name]) for name in ("leaf_levels", "worth", "heights", "rows_seen")},
        acts=_acts(form["acts"]),
        later=tuple(Later(on["days"], on["cost"], np.array(on["cut"]), _acts(on["acts"])) for on in form["later"]),
    )


def _acts(forms: list[dict[str, Any]]) -> tuple[Act, ...]:
    return tuple(Act(form["kind"], form["days"], form["cost"], np.array(form["cut"])) for form in forms)


def stops_of(case: Mapping[str, Any]) -> tuple[StopSeen, ...]:
    """The stops of a case."""
    return tuple(StopSeen(**stop) for stop in case["stops"])
