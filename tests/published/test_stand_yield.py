"""Stand by date tables: every cell, the printed examples beside them (stand_yield.csv), and slips of the pen."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from springwalk.engine.stand import CountRule, counts_needed
from springwalk.engine.stand_yield import Form, filled, percent_at
from springwalk.jobs.stand_tables import Named, count_rule, day_number, grid, loss_params, named_tables
from springwalk.units import ACRES_PER_HA
from tests.published.reading import cases

PRINTED: list[tuple[str, Form]] = [
    ("illinois_1994", "additive"), ("iowa_pm1885", "multiplicative"), ("iowa_2010", "multiplicative"),
    ("wisconsin_full", "multiplicative"), ("wisconsin_short", "multiplicative"),
]  # fmt: skip


def _table(key: str) -> Named:
    return next(one for one in named_tables() if one.key == key)


@pytest.mark.parametrize("row", cases("stand_yield", "id"))
def test_stand_and_date_match_their_source(row: dict[str, str]) -> None:
    """The percent an agronomist reads in print is the one we work with; what disagrees stays in and must differ."""
    month, day = (int(part) for part in row["date"].split("-"))
    when, stand = day_number(date(2015, month, day)), float(row["stand"]) * ACRES_PER_HA
    table = _table(row["table"]).replant
    got = float(percent_at(table, stand, when))
    if row["what"] == "lost percent":
        got = 100.0 - 100.0 * got / float(percent_at(table, 30_000 * ACRES_PER_HA, when))
    elif row["what"] == "percent of 26000":
        got *= 100.0 / float(percent_at(table, 26_000 * ACRES_PER_HA, when))
    assert got == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]), rel=0)


@pytest.mark.parametrize(("name", "form"), PRINTED)
def test_every_printed_cell_is_given_back(name: str, form: Form) -> None:
    """Each cell of each table, at its stand and its date (the middle of a window)."""
    printed = grid(name, form)
    got = percent_at(filled(printed), printed.stands_per_ha[None, :], printed.days[:, None])
    known = np.isfinite(printed.percent)
    np.testing.assert_allclose(got[known], printed.percent[known], atol=1e-9)
    assert known.sum() == {
        "illinois_1994": 182, "iowa_pm1885": 30, "iowa_2010": 14, "wisconsin_full": 43, "wisconsin_short": 40,
    }[name]  # fmt: skip


def test_1994_table_follows_its_closed_form() -> None:
    """A least-squares surface worked beforehand fits 180 of 182 cells after rounding: no cell was mistyped."""
    table = grid("illinois_1994", "additive")
    p, d = table.stands_per_ha[None, :] / ACRES_PER_HA / 1000.0, table.days[:, None]
    fit = 28.758 + 4.69327 * p - 0.0773721 * p**2 - 0.0628158 * d - 0.0185115 * d**2
    assert (np.round(fit) == table.percent).sum() == 180
    assert np.abs(fit - table.percent).max() < 0.54


def _one_top(line: np.ndarray) -> bool:
    """Whether numbers rise to one top and then fall."""
    top = int(line.argmax())
    return bool((np.diff(line[: top + 1]) >= 0).all() and (np.diff(line[top:]) <= 0).all())


@pytest.mark.parametrize(("name", "form"), PRINTED)
def test_tables_hold_no_slip_of_the_pen(name: str, form: Form) -> None:
    """Along stands and along dates yield rises to one top and falls."""
    percent = filled(grid(name, form)).percent
    assert all(_one_top(line) for line in (*percent, *percent.T))


def test_a_slip_of_the_pen_is_found() -> None:
    """The two broken cells of the 2006 print (7 and 8 where 76 and 85 belong) must not pass the check above."""
    percent = grid("illinois_1994", "additive").percent.copy()
    assert (percent[1, 2], percent[1, 4]) == (76.0, 85.0)
    for column, broken in ((2, 7.0), (4, 8.0)):
        slipped = percent.copy()
        slipped[1, column] = broken
        assert not _one_top(slipped[1])
        assert not _one_top(slipped[:, column])


@pytest.mark.parametrize(("name", "form"), [pair for pair in PRINTED if pair[0] in ("illinois_1994", "iowa_pm1885")])
def test_form_of_a_table_is_its_own(name: str, form: Form) -> None:
    """Worked beforehand: Illinois adds points and Iowa PM-1885 multiplies, each to about one point, not the other."""
    percent = grid(name, form).percent
    row, column = percent[0], percent[:, -3]
    added = row[None, :] + column[:, None] - row[-3]
    times = row[None, :] * column[:, None] / row[-3]
    off = {"additive": np.abs(added - percent).max(), "multiplicative": np.abs(times - percent).max()}
    assert off.pop(form) < 2.0
    assert min(off.values()) > 4.0


def test_tables_disagree_as_their_sources_do() -> None:
    """20 000 plants, early: 92, 89 and 81 % in three printed tables; why a span is shown."""
    stand, when = 20_000 * ACRES_PER_HA, day_number(date(2015, 4, 25))
    told = [float(percent_at(_table(key).now, stand, when)) for key in ("illinois_1994", "iowa_2010", "iowa_pm1885")]
    assert [round(x) for x in told] == [92, 89, 81]


# coefficient of variation, margin, counts; arithmetic worked beforehand
COUNTS = [
    (0.10, 0.05, 16), (0.10, 0.10, 4), (0.15, 0.05, 35), (0.15, 0.10, 9), (0.20, 0.05, 62), (0.20, 0.10, 16),
    (0.30, 0.05, 139), (0.30, 0.10, 35),
]  # fmt: skip


@pytest.mark.parametrize(("cv", "margin", "counts"), COUNTS)
def test_counts_needed(cv: float, margin: float, counts: int) -> None:
    """(1.96 CV / E)², rounded up."""
    assert counts_needed(cv, CountRule(margin, count_rule().normal, 0.92)) == counts


def test_single_missing_plant_by_stand() -> None:
    """Nafziger 1996: neighbours make up 47 % of a missing plant at 18 000 and 19 % at 30 000 (shares lost derived)."""
    params = loss_params()
    assert params.single_shares == (pytest.approx(1 - 0.47), pytest.approx(1 - 0.19))
    assert params.single_stands_per_ha == tuple(pytest.approx(x * ACRES_PER_HA) for x in (18_000, 30_000))
