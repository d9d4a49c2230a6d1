"""Stages by heat: black cutworm (cutworm_stage.csv) and corn collars (corn_stage.csv)."""

from __future__ import annotations

import numpy as np
import pytest

from springwalk.engine.corn import CornParams, collars_at
from springwalk.engine.larvae import STAGES, matured, stage_shares
from springwalk.tables import number, rows as table_rows
from springwalk.units import DDF_PER_DDC
from tests.published.reading import cases, rows

ENTRIES = ("entry_hatch", "entry_instar_4", "entry_instar_5", "entry_instar_6", "entry_pupa")
NAMES = dict(zip(("egg", "instars 1-3", "instar 4", "instar 5", "instar 6", "pupa"), STAGES, strict=True))


def stage_by_table(heat_ddf: float) -> str:
    """The row of the published stage table that holds a heat sum."""
    return next(row["stage"] for row in table_rows("stages") if heat_ddf <= float(row["ends"]))


def commonest_stage(heat_ddf: float, cv: float) -> str:
    """The stage most larvae are in by the engine's clock at the printed entries (scale 1)."""
    past = [matured(np.array(heat_ddf / number("cutworm_clock", entry).value), cv) for entry in ENTRIES]
    return STAGES[int(np.argmax(stage_shares(np.array(past))))]


@pytest.mark.parametrize("row", cases("cutworm_stage", "heat_ddf", "stage"))
def test_stage_table_gives_the_printed_stage(row: dict[str, str]) -> None:
    """The table as shipped says the same at each printed bound, and at the heat sums of two states' reports."""
    assert stage_by_table(float(row["heat_ddf"])) == row["stage"]


@pytest.mark.parametrize("row", [r for r in rows("cutworm_stage") if "Minnesota network" in r["source"]], ids=str)
def test_engine_agrees_with_reported_leaf_feeding(row: dict[str, str]) -> None:
    """Minnesota's report of 12 May 2016 names the stage beside the heat; most of our larvae must be in it."""
    assert commonest_stage(float(row["heat_ddf"]), number("cutworm_clock", "stage_cv").value) == "instars_1_3"


@pytest.mark.parametrize("row", table_rows("stages"), ids=lambda row: row["stage"])
def test_engine_agrees_in_the_middle_of_each_row(row: dict[str, str]) -> None:
    """Halfway through a printed row most larvae must be in that stage."""
    middle = (float(row["enters"]) + float(row["ends"])) / 2.0
    assert commonest_stage(middle, number("cutworm_clock", "stage_cv").value) == NAMES[row["stage"]]


def test_clock_and_stage_table_agree() -> None:
    """Two tables hold the same entries: they may not drift apart."""
    enters = {row["stage"]: float(row["enters"]) for row in table_rows("stages")}
    clock = {name: number("cutworm_clock", name).value for name in ENTRIES}
    assert clock["entry_hatch"] == float(table_rows("stages")[0]["ends"])
    assert [enters[s] for s in ("instar 4", "instar 5", "instar 6", "pupa")] == [clock[e] for e in ENTRIES[1:]]


@pytest.mark.parametrize("row", cases("corn_stage", "source", "heat_ddf"))
def test_corn_collars_match_their_source(row: dict[str, str]) -> None:
    """Collars from heat since planting, by the rates two universities print; other lists must differ and say why."""
    heat, emergence, rate, late = (
        float(row[key]) / DDF_PER_DDC for key in ("heat_ddf", "emergence_ddf", "collar_ddf", "late_collar_ddf")
    )
    params = CornParams(emergence, 0.0, 0.0, rate, late, 0.0, 0.0)
    collars = float(collars_at(heat, emergence_ddc=emergence, params=params))
    assert collars == pytest.approx(float(row["collars"]), abs=float(row["tolerance"]))
