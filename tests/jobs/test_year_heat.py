"""Heat from 1 January: winter days counted, lent from past years, or not said at all."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from springwalk.engine.pests import peaks_passed
from springwalk.jobs.cells import Cells, build_cells
from springwalk.jobs.params import load
from springwalk.jobs.rules import rules
from springwalk.jobs.year_heat import YearHeat, build_year_heat, capped_max, heat_so_far_ddf, peak_days
from springwalk.records import Season
from springwalk.units import c_to_f
from tests.jobs import made

TODAY = date(2016, 5, 17)
NOW = (TODAY - date(2016, 3, 1)).days
PEAKS = (360.0, 1080.0, 1800.0)
"""Peaks of fly emergence in °F·day (SDSU Extension, seedcorn maggot degree day activity estimates, 2024)."""
WINTER = [r for r in made.lincoln_rows() if r[0] < "2016-03-01"]
SPRING = [r for r in made.lincoln_rows() if r[0] >= "2016-03-01"]


def build(rows: list, *, season: Season = made.SEASON, today: date = TODAY, places: list | None = None
          ) -> tuple[YearHeat, Cells]:  # fmt: skip
    """Cells and heat from 1 January of one place at one station."""
    stations, told = [made.STATION], {"L": sorted(rows)}
    cells, _ = build_cells(season, stations, told, places or [(40.7, -96.85, None)], today=today,
                           params=load().weather, rules=rules())  # fmt: skip
    assert cells is not None
    got = build_year_heat(season, stations, told, cells, today)
    assert got is not None
    return got, cells


def by_hand_ddf(upto: date) -> float:
    """The published formula day by day: (max, capped at 84, + min) / 2 − 39, negative days 0."""
    total = 0.0
    for day, low, high, _ in made.lincoln_rows():
        if day <= upto.isoformat():
            assert low is not None
            assert high is not None
            total += max(0.0, (min(c_to_f(high), 84.0) + c_to_f(low)) / 2.0 - 39.0)
    return total


def test_heat_counts_january_and_february() -> None:
    """The sum of the real days from 1 January by the formula of the University of Minnesota (seed corn maggot)."""
    got, _ = build([*WINTER, *SPRING])
    assert heat_so_far_ddf(got, NOW)[0] == pytest.approx(by_hand_ddf(date(2016, 5, 16)))
    assert heat_so_far_ddf(got, 0)[0] == pytest.approx(by_hand_ddf(date(2016, 2, 29)))
    assert by_hand_ddf(date(2016, 2, 29)) > 20.0
    assert got.notes == ()


def test_a_hot_day_is_capped_and_a_cold_one_is_nothing() -> None:
    """Only the maximum is capped (84 °F), and no day takes heat away."""
    from springwalk.engine.heat import degree_days
    from springwalk.units import f_to_c

    low, high = f_to_c(np.array([60.0, 10.0, 50.0])), f_to_c(np.array([94.0, 30.0, 70.0]))
    assert degree_days(low, high, capped_max(39, 84)) * 1.8 == pytest.approx([33.0, 0.0, 21.0])


def test_a_peak_falls_on_the_day_the_sum_reaches_it() -> None:
    """The first peak at Lincoln 2016, seen: one day, the one by hand; the third lies ahead with a range."""
    got, _ = build([*made.past_rows(), *WINTER, *SPRING])
    days = peak_days(got, PEAKS)
    assert days.shape == (1, 3, 3)
    first = made.SEASON.begins + timedelta(days=int(days[0, 0, 1]))
    assert days[0, 0].tolist() == [days[0, 0, 0]] * 3
    assert by_hand_ddf(first) >= 360.0 > by_hand_ddf(first - timedelta(days=1))
    assert days[0, 2, 0] < days[0, 2, 1] < days[0, 2, 2]
    assert days[0, 2, 0] >= NOW


def test_a_peak_before_the_season_has_a_negative_day() -> None:
    """A season that begins on 1 May: the first peak was in April, and is still told."""
    late, _ = build([*WINTER, *SPRING], season=made.SEASON.model_copy(update={"first_day": date(2016, 5, 1)}))
    early, _ = build([*WINTER, *SPRING])
    assert peak_days(late, PEAKS[:1])[0, 0, 1] == peak_days(early, PEAKS[:1])[0, 0, 1] - 61 < 0


def test_missing_winter_days_are_lent_by_past_years() -> None:
    """No day of this January and February, thirty past ones: their mean heat stands in, and that is said."""
    got, _ = build([*made.past_rows(), *SPRING])
    method = capped_max(39, 84)
    days = [(low, high, 2 if day.endswith("02-28") else 1) for day, low, high, _ in made.past_rows()
            if day[5:7] in ("01", "02")]  # fmt: skip
    expected = sum(n * max(0.0, (min(c_to_f(high), 84) + c_to_f(low)) / 2 - 39) for low, high, n in days) / 30
    before = got.running_ddc(method)[0, :, got.winter_days - 1] * 1.8
    assert np.ptp(before) == pytest.approx(0.0, abs=1e-9)
    assert before[0] == pytest.approx(expected)  # 29 February is no day of these past years: the 28th stands for it
    (note,) = got.notes
    assert (note.code, note.facts["fields"], note.facts["days"]) == ("winter_filled", 1, 60)


def test_without_winter_days_nothing_is_said() -> None:
    """No winter day of any year: no sum, no peak, and the reason; never a sum from 1 March instead."""
    got, _ = build(SPRING)
    assert np.isnan(peak_days(got, PEAKS)).all()
    assert np.isnan(heat_so_far_ddf(got, NOW)).all()
    (note,) = got.notes
    assert (note.code, note.facts["fields"], note.facts["days"]) == ("no_winter_days", 1, 60)


def test_two_missing_winter_days_are_filled_as_spring_days_are() -> None:
    """A short gap is filled straight across, said, and does not silence the year."""
    at = next(k for k, row in enumerate(WINTER) if row[0] == "2016-02-18")
    holed = [*WINTER[:at], *WINTER[at + 2 :]]
    (_, low_a, high_a, _), (_, low_b, high_b, _) = WINTER[at - 1], WINTER[at + 2]
    line = [(WINTER[at + k][0], low_a + (low_b - low_a) * (k + 1) / 3, high_a + (high_b - high_a) * (k + 1) / 3, None)
            for k in (0, 1)]  # fmt: skip
    got, told = build([*holed, *SPRING])[0], build([*holed, *line, *SPRING])[0]
    assert heat_so_far_ddf(got, NOW)[0] == pytest.approx(heat_so_far_ddf(told, NOW)[0])
    assert [(n.code, n.facts["days"]) for n in got.notes] == [("weather_filled", 2)]


def test_a_misprinted_winter_day_is_not_believed() -> None:
    """A January day 40 °C off would add a week of heat: it is masked as a spring day is, and said."""
    bad = [(d, lo, hi + 40 if d == "2016-01-20" else hi, r) for d, lo, hi, r in WINTER]
    got, plain = build([*bad, *SPRING])[0], build([*WINTER, *SPRING])[0]
    assert heat_so_far_ddf(got, NOW)[0] == pytest.approx(heat_so_far_ddf(plain, NOW)[0], abs=5)
    assert "weather_jumped" in [n.code for n in got.notes]


def test_a_season_from_1_january_needs_no_winter() -> None:
    """The season's own days are the whole year."""
    season = made.SEASON.model_copy(update={"first_day": date(2016, 1, 1)})
    got, _ = build([*WINTER, *SPRING], season=season)
    assert got.winter_days == 0
    assert heat_so_far_ddf(got, NOW + 60)[0] == pytest.approx(by_hand_ddf(date(2016, 5, 16)))
    assert heat_so_far_ddf(got, 0).tolist() == [0.0]


def test_a_higher_cell_is_cooler_in_winter_too() -> None:
    """100 m up is 0.65 °C cooler from 1 January on, so its peak is later."""
    station = made.STATION.model_copy(update={"elevation_m": 350.0})
    told = {"L": sorted([*WINTER, *SPRING])}
    cells, _ = build_cells(made.SEASON, [station], told, [(40.7, -96.85, 350.0), (40.7, -96.85, 450.0)], today=TODAY,
                           params=load().weather, rules=rules())  # fmt: skip
    assert cells is not None
    got = build_year_heat(made.SEASON, [station], told, cells, TODAY)
    assert got is not None
    assert got.winter[1][0] - got.winter[1][1] == pytest.approx(0.65)
    day = peak_days(got, PEAKS)[:, 0, 1]
    assert day[1] > day[0]


@pytest.mark.parametrize(
    ("place", "heat_ddf", "passed"), [("Brookings", 1045, 1), ("Aberdeen", 1260, 2), ("Vermillion", 1428, 2)]
)
def test_published_sums_fall_between_published_peaks(place: str, heat_ddf: float, passed: int) -> None:
    """SDSU Extension, 3 June 2021: sums from 1 January; its list says "second generation" of all three.

    Read by its own peaks, Brookings is just short of the second one, the others are between second and third (our
    reading of the two lists).
    """
    assert peaks_passed(heat_ddf, PEAKS) == passed
