"""Ensemble forecasts: long and wide tables, NetCDF, units, days of issue, holes."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

import importlib
import sys
from datetime import date, timedelta

import numpy as np
import pytest

from springwalk.intake import read_folder

TODAY = date(2016, 4, 30)
LONG = (
    "issued,date,member,min,max,rain\n"
    "2016-04-29,2016-04-30,1,50,70,0\n2016-04-29,2016-05-01,1,51,71,0.1\n"
    "2016-04-29,2016-04-30,2,50,72,0\n2016-04-29,2016-05-01,2,,73,\n"
)
WIDE = "date,min_01,max_01,rain_01,min_02,max_02,rain_02\n2016-04-30,50,70,0,50,72,0\n2016-05-01,51,71,0.1,,73,\n"


def read(folder, data, name="fc.csv", more="", **options):
    """The FileRead of one forecast of a station with a measured April in °F."""
    folder.write("season.toml", folder.season + folder.station + f'forecast = "{name}"\n{more}')
    folder.write("weather/yard.csv", folder.csv(folder.days(count=29)))
    folder.write(name, data)
    return {each.name: each for each in read_folder(folder.path, today=TODAY, **options)}[name]


def told(folder, *args, **options):
    """Its faults as text."""
    made = read(folder, *args, **options)
    return [f"{fault.severity} {fault}".replace(str(folder.path), "FOLDER") for fault in made.faults]


@pytest.mark.parametrize(
    ("text", "name"),
    [(LONG, "fc.csv"), ("# issued: 2016-04-29\n" + WIDE, "fc.csv"), (WIDE, "fc-20160429.csv")],
    ids=["long", "wide, first line", "wide, file name"],
)
def test_the_table_forms_give_one_record(folder, text, name):
    """Members are rows, days columns, holes None, °F and inches become °C and mm, however the table is laid out."""
    made = read(folder, text, name)
    (record,) = made.records
    assert (record.station, record.issued, record.first) == ("yard", date(2016, 4, 29), date(2016, 4, 30))
    assert record.max_c == (pytest.approx((21.111, 21.667), abs=1e-3), pytest.approx((22.222, 22.778), abs=1e-3))
    assert record.min_c[0] == pytest.approx((10.0, 10.556), abs=1e-3)
    assert record.min_c[1] == (10.0, None)
    assert record.rain_mm == ((0.0, pytest.approx(2.54)), (0.0, None))
    assert (made.rows, made.left_out, made.complete) == (4, 0, False)


def test_where_the_day_of_issue_was_taken_from_is_said(folder):
    """A wrong day of issue would make an old forecast look new."""
    assert told(folder, WIDE, "fc-20160429.csv") == [
        "note fc-20160429.csv, issued = 2016-04-29: taken from the file's name; name it in a column issued, or in a first line: # issued: 2016-04-29."
    ]
    assert told(folder, WIDE) == [
        "note fc.csv, issued = 2016-04-30: taken from the first day in the file; name it in a column issued, or in a first line: # issued: 2016-04-29."
    ]
    assert told(folder, "# issued: 2016-04-29\n" + WIDE) == []


def test_two_issues_in_one_file_are_two_records(folder):
    """A file that grows by a forecast a day keeps each apart."""
    made = read(folder, LONG + "2016-04-30,2016-05-01,1,51,71,0\n")
    assert [(record.issued, record.first) for record in made.records] == [
        (date(2016, 4, 29), date(2016, 4, 30)),
        (date(2016, 4, 30), date(2016, 5, 1)),
    ]


ROW = "2016-04-29,2016-05-02,1,"
ASK = "springwalk intake FOLDER --repair fc.csv"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (LONG + ROW + "71,51,0\n", f"suspected fc.csv, row 6, column min = min 71 > max 51 F: the two look exchanged; the day is left out; correct it, or if so: {ASK}:swap."),
        (LONG + ROW + "x,51,0\n", "refused fc.csv, row 6, column min = x: not a number; write a plain number such as 12 or 4.5."),
        (LONG + ROW + "50,171,0\n", "refused fc.csv, row 6, column max = 171 F: outside ±60 °C (77.2 °C); correct or blank it."),
        (LONG + "2016-04-29,2016-05-02,,50,70,0\n", "refused fc.csv, row 6, column member = (blank): no member is named; fill it in."),
        (LONG + "soon,2016-05-02,1,50,70,0\n", "refused fc.csv, row 6, column issued = soon: not a date; write it like 2016-04-30."),
        (LONG + ROW + "50,70,0,9\n", "refused fc.csv, row 6, column after the last heading = 9: the row has 7 cells, the headings 6; quote a cell that holds a comma."),
        (LONG + "2016-04-29,2016-04-01,1,50,70,0\n", "refused fc.csv, row 6, column date = 1 row: before the forecast was issued (2016-04-29); left out; correct the dates or the day of issue."),
        (LONG + "2016-05-04,2016-05-05,1,50,70,0\n", "refused fc.csv, issued = 2016-05-04: issued after today (2016-04-30); it is left out; correct the day of issue."),
        (LONG + "2016-04-29,2017-04-29,1,50,70,0\n", "refused fc.csv, date = 2016-04-30 to 2017-04-29: reaches over 365 days, more than 100; it is left out; correct the dates."),
        ("hello\n", "refused fc.csv, row 1, column headings = date, max, min: needed and not there (found: hello); name your headings under [station.columns] in season.toml."),
        (WIDE.replace("min_02", "low"), "refused fc.csv, row 1, column headings = date, min_01, max_01, rain_01, low, max_02, rain_02: members without both extremes: 2; "
                                        "name the columns date, min_01, max_01, rain_01, min_02 and so on."),
        (LONG.splitlines()[0] + "\n", "note fc.csv, rows = 0: no day in the file; add days when there are some."),
    ],
)  # fmt: skip
def test_fault_texts_of_forecasts(folder, text, expected):
    """What can't be so is left out, and every other member's day is kept."""
    assert told(folder, text) == [expected]


def test_a_forecast_in_the_wrong_unit_is_held_back(folder):
    """A forecast of 20 °C read as 20 °F would put off every date: it waits for a word, and the word works."""
    celsius = "issued,date,member,min,max\n2016-04-29,2016-04-30,1,10,20\n2016-04-29,2016-05-01,1,10,21\n"
    (fault,) = told(folder, celsius)
    assert fault == (
        "suspected fc.csv, median max = 20.5 F: the median would be -6.4 °C; the station's other days at this time of year have 21.1 °C; "
        f"read as C it is 20.5 °C; all 2 days held back; if the unit is C: {ASK}:unit=C; if it is right: {ASK}:as-is."
    )
    assert read(folder, celsius).records == ()
    (record,) = read(folder, celsius, repairs={"fc.csv": "unit=C"}).records
    assert record.max_c == ((20.0, 21.0),)
    assert read(folder, celsius, more='forecast_unit = "C"\n').faults == ()
    assert read(folder, celsius.replace("min,max", "min_c,max_c")).faults == ()


def test_two_files_of_the_same_issue(folder):
    """Nobody knows which of two forecasts of one day is right; the first is kept."""
    folder.write("season.toml", folder.season + folder.station + 'forecast = ["a.csv", "b.csv"]\n')
    folder.write("weather/yard.csv", folder.csv(folder.days(count=29)))
    folder.write("a.csv", LONG)
    folder.write("b.csv", LONG)
    reads = {each.name: each for each in read_folder(folder.path, today=TODAY)}
    assert (len(reads["a.csv"].records), reads["b.csv"].records) == (1, ())
    assert [str(fault) for fault in reads["b.csv"].faults] == [
        "b.csv, issued = 2016-04-29: a.csv tells a forecast of this station and day of issue too; keep one of the two."
    ]


def netcdf(*, hourly=False, unit="K", lat=40.5, rain="kg m-2 s-1", pr=1 / 86400, reference=True):
    """A made-up ensemble of two members on a grid of four points."""
    library = importlib.import_module("netCDF4")
    count = 72 if hourly else 4
    held = library.Dataset("made-up", mode="w", memory=1000)
    for name, size in (("time", count), ("number", 2), ("latitude", 2), ("longitude", 2)):
        held.createDimension(name, size)
    times = held.createVariable("time", "f8", ("time",))
    times.units = "hours since 2016-04-30 00:00:00"
    times[:] = np.arange(count) * (1 if hourly else 24)
    held.createVariable("latitude", "f4", ("latitude",))[:] = [lat, lat + 0.5]
    held.createVariable("longitude", "f4", ("longitude",))[:] = [263.0, 263.25]
    if reference:
        made = held.createVariable("made", "f8", ())
        made.standard_name, made.units = "forecast_reference_time", "hours since 2016-04-29 12:00:00"
        made[...] = 0
    dims = ("time", "number", "latitude", "longitude")
    if hourly:
        told = held.createVariable("air", "f8", dims)
        told.units, told.standard_name = unit, "air_temperature"
        # the value is the hour of the local day in Chicago (UTC − 5): each whole local day runs from 0 to 23
        told[:] = (273.15 + (np.arange(count) - 5 - 1) % 24)[:, None, None, None]
    else:
        for name, value, method in (("low", 283.15, "minimum"), ("high", 293.15, "maximum")):
            told = held.createVariable(name, "f8", dims)
            told.units, told.standard_name, told.cell_methods = unit, "air_temperature", f"time: {method}"
            told[:] = value + np.arange(2)[None, :, None, None]
        told = held.createVariable("pr", "f8", dims)
        told.units = rain
        told[:] = pr
    return bytes(held.close())


def test_netcdf_by_standard_names_at_the_nearest_point(folder):
    """Kelvin and a flux become °C and mm of a day; a longitude of 263° is −97°; members come in order."""
    pytest.importorskip("netCDF4")
    made = read(folder, netcdf(), "fc.nc")
    (record,) = made.records
    assert (made.faults, record.issued, record.first) == ((), date(2016, 4, 29), TODAY)
    assert record.max_c == (pytest.approx((20.0,) * 4), pytest.approx((21.0,) * 4))
    assert record.min_c == (pytest.approx((10.0,) * 4), pytest.approx((11.0,) * 4))
    assert record.rain_mm[0] == pytest.approx((1.0,) * 4)


def test_hourly_netcdf_becomes_local_days(folder):
    """Extremes are of the field's own day: a day the file only begins or ends in is left out."""
    pytest.importorskip("netCDF4")
    made = read(folder, netcdf(hourly=True), "fc.nc", repairs={"fc.nc": "as-is"})
    (record,) = made.records
    assert record.first == TODAY
    assert record.min_c == (pytest.approx((0.0, 0.0), abs=1e-6),) * 2
    assert record.max_c == (pytest.approx((23.0, 23.0)),) * 2


@pytest.mark.parametrize(
    ("made", "expected"),
    [
        ({"unit": "X"}, "refused fc.nc, high.units = X: not a unit of temperature known here; export it in K, degC or degF."),
        ({"lat": 10}, "refused fc.nc, place = yard: the nearest point of the file is 3346 km off; cut out the part with the station."),
        ({"rain": "buckets"}, "suspected fc.nc, pr = buckets: not a unit of rain known here; the rain is left out; export the rain of each step in mm; temperatures are kept."),
        ({"rain": "mm", "pr": [[[[1.0]]], [[[2.0]]], [[[3.0]]], [[[3.0]]]]},
         "suspected fc.nc, pr = mm: the rain never falls back: a total since the start, not of each step; the rain is left out; "
         "export the rain of each step in mm; temperatures are kept."),
        ({"reference": False}, "note fc.nc, issued = 2016-04-30: taken from the first day in the file; name it in a column issued, or in a first line: # issued: 2016-04-29."),
    ],
)  # fmt: skip
def test_fault_texts_of_netcdf(folder, made, expected):
    """What the file does not tell plainly is not guessed."""
    pytest.importorskip("netCDF4")
    assert told(folder, netcdf(**made), "fc.nc") == [expected]


@pytest.mark.parametrize("data", [b"\x89HDF\r\n\x1a\nxxxx", b"CDF\x01junk", b"date,min,max\n"])
def test_what_is_no_netcdf_is_one_fault(folder, data):
    """A cut download is told, not a traceback."""
    pytest.importorskip("netCDF4")
    (fault,) = told(folder, data, "fc.nc")
    assert "not a NetCDF file that can be read" in fault
    assert fault.endswith("export daily minimum, maximum and rain as CSV.")


def test_without_the_extra_one_fault_says_what_to_install(folder, monkeypatch):
    """The extra is large; those without it must be told its name."""
    monkeypatch.setitem(sys.modules, "netCDF4", None)
    assert told(folder, b"CDF", "fc.nc") == [
        "refused fc.nc = fc.nc: NetCDF can't be read here: the extra forecast is not installed; pip install 'springwalk[forecast]'."
    ]


def test_a_long_forecast_is_checked_by_its_own_months(folder):
    """From ten days on the season itself tells the unit, as for measured days."""
    rows = "".join(f"2016-04-29,{TODAY + timedelta(days=k)},1,9,22\n" for k in range(14))
    (fault,) = told(folder, "issued,date,member,min,max\n" + rows)
    assert "the median of April to June would be -5.6 °C; read as C it is 22.0 °C; all 14 days are held back" in fault
