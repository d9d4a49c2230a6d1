"""Weather headings, units in them, and a station whose files are unlike."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

from datetime import date

import pytest

SHORT = "note weather/yard.csv, unit = F: too few days to check the unit (F taken); give temperature_unit in season.toml if it is another."
ASK = "springwalk intake FOLDER --repair weather/yard.csv"
FILES = 'file = ["weather/yard.csv", "weather/past.csv", "weather/rain.csv"]'


@pytest.mark.parametrize(
    "heads",
    [
        "DATE,HIGH,LOW,RAIN",
        "day,hi,lo,precip",
        "Date Time,Hi F,Lo F,Precip in",
        "Date,Max Temp (°F),Min Temp (°F),Precipitation (inches)",
        "Obs Date,High °F,Low °F,Rainfall in",
        "datetime,maximum,minimum,prcp",
        "date,TMAX,TMIN,PRCP",
        "date,tmax_f,tmin_f,rain_in",
        "Date,MaxTempF,MinTempF,TotalPrecip",
        "date,Daily High Temperature,Daily Low Temperature,Total Rain",
        "Date,Max. Air Temp. (deg F),Min. Air Temp. (deg F),Rain [in]",
    ],
)
def test_obvious_headings_need_no_line(folder, heads):
    """What any reader would understand must not stop a newcomer."""
    told = folder.weather(heads + "\n2016-04-01,70,50,0.5\n")
    assert [line for line in told if line != SHORT] == []
    (day,) = folder.read()["weather/yard.csv"].days
    assert (day.max_c, day.min_c, day.rain_mm) == pytest.approx((21.1111, 10.0, 12.7), abs=1e-4)


def test_a_time_after_the_date_is_passed_over(folder):
    """Loggers write the midnight of the day beside it."""
    assert folder.weather("Date Time,High,Low\n2016-04-01 00:00,70,50\n2016-04-02T23:59:00,71,51\n") == [SHORT]
    assert [day.date for day in folder.read()["weather/yard.csv"].days] == [date(2016, 4, 1), date(2016, 4, 2)]
    folder.weather("Date Time,High,Low\n4/5/2016 0:00,70,50\n4/6/2016 12:00 AM,71,51\n", 'date_format = "%m/%d/%Y"\n')
    assert [day.date for day in folder.read()["weather/yard.csv"].days] == [date(2016, 4, 5), date(2016, 4, 6)]


def test_unknown_extremes_beside_rain_are_not_lost_in_silence(folder):
    """A file read for its rain alone would leave the heat out and nobody would know."""
    assert folder.weather("date,warmest,coldest,rain\n2016-04-01,70,50,0.5\n2016-04-02,71,50,0\n") == [
        "refused weather/yard.csv, row 1, column headings = max, min: needed and not there (found: date, warmest, coldest, rain); "
        "name your headings under [station.columns] in season.toml; if rain alone is meant, name only date and rain there."
    ]
    read = folder.read()["weather/yard.csv"]
    assert (read.days, read.rows, read.left_out) == ((), 2, 2)


def test_rain_alone_where_it_is_meant(folder):
    """Only date and rain named, or only date and rain there: then nothing else is looked for."""
    toml = '[station.columns]\ndate = "date"\nrain = "rain"\n'
    assert "refused" not in str(folder.weather("date,warmest,coldest,rain\n2016-04-01,70,50,0.5\n", toml))
    assert [day.rain_mm for day in folder.read()["weather/yard.csv"].days] == [pytest.approx(12.7)]
    assert "refused" not in str(folder.weather("date,rain\n2016-04-01,0.5\n"))
    assert len(folder.read()["weather/yard.csv"].days) == 1


def test_heading_and_season_differ_in_the_unit_of_rain(folder):
    """25 times too much rain: it is held back, the temperatures are not."""
    text = "date,max,min,rain (mm)\n2016-04-01,70,50,5\n"
    assert folder.weather(text, 'rain_unit = "in"\n') == [
        "suspected weather/yard.csv, rain (mm) = mm: the heading says mm, but rain is to be read in in; the rain of the file is "
        f'held back; give rain_unit = "mm", or none where files differ; if in is right: {ASK}:as-is.',
        SHORT,
    ]
    (day,) = folder.read()["weather/yard.csv"].days
    assert (day.max_c is not None, day.rain_mm) == (True, None)
    (day,) = folder.read(repairs={"weather/yard.csv": "as-is"})["weather/yard.csv"].days
    assert day.rain_mm == pytest.approx(127.0)


def test_heading_and_season_differ_in_the_unit_of_temperature(folder):
    """Either may be wrong: both repairs are named and both work."""
    folder.weather("date,High (C),Low (C)\n2016-04-01,20,10\n", 'temperature_unit = "F"\n')
    (fault,) = folder.read()["weather/yard.csv"].faults
    assert str(fault).startswith(
        "weather/yard.csv, High (C) = C: the heading says C, but the file is to be read in F; "
    )
    (day,) = folder.read(repairs={"weather/yard.csv": "unit=C"})["weather/yard.csv"].days
    assert day.max_c == 20.0
    (day,) = folder.read(repairs={"weather/yard.csv": "as-is"})["weather/yard.csv"].days
    assert day.max_c == pytest.approx(-6.667, abs=1e-3)


def test_one_station_with_three_unlike_files(folder):
    """This year, past years and a rain gauge: one block, headings and units of each file its own, no false alarm."""
    toml = '[station.columns]\nmax = "Warmest"\nmin = "Coldest"\nrain = "gauge"\n'
    folder.write("season.toml", folder.season + folder.station.replace('file = "weather/yard.csv"', FILES) + toml)
    folder.write("weather/yard.csv", "Day,Warmest,Coldest\n2016-04-01,70,50\n2016-04-02,70,50\n")
    folder.write("weather/past.csv", "date,Max Temp (°C),Min Temp (°C)\n2015-04-01,21,9\n2015-04-02,21,9\n")
    folder.write("weather/rain.csv", "date,gauge\n2016-04-01,0.5\n2016-04-05,0.1\n")
    reads = folder.read()
    assert [str(fault) for name in ("weather/past.csv", "weather/rain.csv") for fault in reads[name].faults] == []
    assert [str(fault) for fault in reads["weather/yard.csv"].faults] == [
        "weather/yard.csv, missing = 3 days: no maximum or no minimum: 2016-04-03 to 2016-04-05; add them if they can be had; "
        "up to 3 days in a row are filled, longer gaps stop the heat count."
    ]
    assert [len(reads[name].days) for name in ("weather/yard.csv", "weather/past.csv", "weather/rain.csv")] == [2, 2, 2]
    assert reads["weather/past.csv"].days[0].max_c == 21.0


def test_missing_days_are_told_under_the_file_that_lacks_them(folder):
    """The person must open the right file."""
    two = 'file = ["weather/yard.csv", "weather/june.csv"]'
    folder.write("season.toml", folder.season + folder.station.replace('file = "weather/yard.csv"', two))
    folder.write("weather/june.csv", folder.csv(folder.days(date(2016, 6, 1), 5)))
    rows = [row for row in folder.days(date(2016, 5, 1), 31) if row[0] != "2016-05-20"]
    (fault,) = folder.told("weather/yard.csv", folder.csv(rows))
    assert "missing = 1 day: no maximum or no minimum: 2016-05-20;" in fault
    assert folder.told("weather/june.csv") == []


def test_no_file_of_the_station_has_this_year(folder):
    """Then it is true, and said of each."""
    assert folder.weather("date,max,min\n2015-04-01,70,50\n") == [
        SHORT,
        "note weather/yard.csv, date = 1 day: none of the season's year 2016; they are kept as the station's past; "
        "name a file with this year's days too.",
    ]


def test_a_heading_named_in_vain_is_noted(folder):
    """A misspelt heading in season.toml must not fall back unheard."""
    told = folder.weather("date,High,Low\n2016-04-01,70,50\n", '[station.columns]\nmax = "Hihg"\n')
    assert [line for line in told if line != SHORT] == [
        "note weather/yard.csv, station.columns.max = Hihg: no file of this station has this heading; an obvious one is read as "
        "max where there is one; correct it in season.toml, or take it out."
    ]


def test_forms_are_told_apart_file_by_file_when_asked(folder):
    """One block may hold a GHCN-Daily export and a table of one's own."""
    two = 'file = ["weather/yard.csv", "weather/own.csv"]\nformat = "auto"'
    folder.write("season.toml", folder.season + folder.station.replace('file = "weather/yard.csv"', two))
    folder.write("weather/yard.csv", "STATION,DATE,TMAX,TMIN\nyard,2016-04-01,211,100\n")
    folder.write("weather/own.csv", "date,high,low\n2016-04-02,70,50\n")
    reads = folder.read()
    assert [reads[name].days[0].max_c for name in ("weather/yard.csv", "weather/own.csv")] == pytest.approx(
        [21.1, 21.111], abs=1e-3
    )
