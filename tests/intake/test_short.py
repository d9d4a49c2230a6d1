"""Weather files of a few days: their unit shows only beside other days. And what a repair of the unit leaves alone."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

from datetime import date, timedelta

import pytest

from springwalk.intake import Known

ASK = "springwalk intake FOLDER --repair weather/yard.csv"
SHORT = (
    "note weather/yard.csv, unit = F: too few days to check the unit (F taken); "
    "give temperature_unit in season.toml if it is another."
)


def known(high_c: float, first: date, count: int = 20) -> Known:
    """A store that holds some days of the station."""
    days = [(first + timedelta(days=k), high_c) for k in range(count)]
    return Known(highs=lambda station: days if station == "yard" else ())


def test_a_short_file_alone_is_kept_and_said(folder):
    """Ten days are needed to tell a unit: until then nobody knows, and that must be said."""
    assert folder.weather(folder.csv(folder.days(count=9))) == [SHORT]
    assert len(folder.read()["weather/yard.csv"].days) == 9
    assert folder.weather(folder.csv(folder.days(count=10))) == []


def test_a_unit_in_the_heading_is_told_by_the_file_itself(folder):
    """Then there is nothing to ask; nor where a person has answered."""
    rows = folder.days(count=3)
    assert folder.weather(folder.csv([["date", "High (°F)", "Low (°F)"], *rows[1:]])) == []
    assert folder.weather(folder.csv(rows), repairs={"weather/yard.csv": "as-is"}) == []


def test_a_short_file_far_from_the_days_held_is_suspected(folder):
    """Five days in °C after weeks in °F would pass every other check."""
    rows = folder.days(date(2016, 5, 1), 5, high=22, low=9)
    told = folder.weather(folder.csv(rows), known=known(21.0, date(2016, 4, 10)))
    assert told == [
        "suspected weather/yard.csv, median max = 22 F: the median would be -5.6 °C; the station's other days at this time of "
        "year have 21.0 °C; read as C it is 22.0 °C; all 5 days held back; "
        f"if the unit is C: {ASK}:unit=C; if it is right: {ASK}:as-is."
    ]
    held = known(21.0, date(2016, 4, 10))
    assert folder.read(known=held)["weather/yard.csv"].days == ()
    days = folder.read(known=held, repairs={"weather/yard.csv": "unit=C"})["weather/yard.csv"].days
    assert (len(days), days[0].max_c) == (5, 22.0)
    assert len(folder.read(known=held, repairs={"weather/yard.csv": "as-is"})["weather/yard.csv"].days) == 5


def test_a_short_file_like_the_days_held_is_checked(folder):
    """Past years at the same time of year count; the same dates and another season do not."""
    rows = folder.csv(folder.days(date(2016, 5, 1), 5, high=70, low=50))
    assert folder.weather(rows, known=known(15.0, date(2012, 4, 25))) == []
    assert folder.weather(rows, known=known(-5.0, date(2012, 1, 1))) == [SHORT]
    assert folder.weather(rows, known=known(-5.0, date(2016, 5, 1), 5)) == [SHORT]


def test_files_of_one_station_are_held_against_each_other(folder):
    """The store may be empty while the folder knows."""
    two = 'file = ["weather/yard.csv", "weather/week.csv"]'
    folder.write("season.toml", folder.season + folder.station.replace('file = "weather/yard.csv"', two))
    folder.write("weather/yard.csv", folder.csv(folder.days(count=30)))
    (fault,) = folder.told("weather/week.csv", folder.csv(folder.days(date(2016, 5, 1), 4, high=20, low=10)))
    assert "the station's other days at this time of year have 21.1 °C; read as C it is 20.0 °C" in fault


def test_a_repair_of_temperatures_leaves_the_rain_in_its_unit(folder):
    """One repair for one slip: 0.5 in of rain must not become 0.5 mm unsaid."""
    rows = folder.days(high=22, low=9)
    text = folder.csv([[*rows[0], "rain"], *([*row, "0.5"] for row in rows[1:])])
    assert folder.weather(text, repairs={"weather/yard.csv": "unit=C"}) == [
        "note weather/yard.csv, unit = C: temperatures were read in this unit, as told; the rain is still read in inches; "
        'write temperature_unit = "C" and rain_unit = "in", or its right unit, in season.toml.'
    ]
    days = folder.read(repairs={"weather/yard.csv": "unit=C"})["weather/yard.csv"].days
    assert (days[0].max_c, days[0].rain_mm) == (22.0, pytest.approx(12.7))
    (told,) = folder.weather(text, 'rain_unit = "mm"\n', repairs={"weather/yard.csv": "unit=C"})
    assert told.endswith("temperatures were read in this unit, as told; write it in season.toml too.")
    assert folder.read(repairs={"weather/yard.csv": "unit=C"})["weather/yard.csv"].days[0].rain_mm == 0.5
