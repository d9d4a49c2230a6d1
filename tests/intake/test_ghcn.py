"""GHCN-Daily in the forms it is published in. Element names, tenths and flags: NOAA NCEI, GHCN-Daily readme (memory)."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

import gzip
from datetime import date

import pytest

from springwalk.intake import read_weather

MISSING = "-9999   "


def month(element, values, year=2016, number=4, station="USMADEUP001"):
    """A .dly line: values by day of the month as ``value`` or ``(value, flags)``."""
    cells = []
    for day in range(1, 32):
        told = values.get(day)
        value, flags = told if isinstance(told, tuple) else (told, "  W")
        cells.append(MISSING if told is None else f"{value:>5}{flags}")
    return f"{station}{year}{number:02d}{element}{''.join(cells)}"


DLY = "\n".join([
    month("TMAX", {1: 211, 2: (999, " IW"), 3: 215}),
    month("TMIN", {1: 100, 2: 110, 3: 105}),
    month("PRCP", {1: 25, 2: (0, "T W")}),
    month("SNOW", {1: 0}),
]) + "\n"  # fmt: skip
LONG = (
    "USMADEUP001,20160401,TMAX,211,,,W,2400\nUSMADEUP001,20160401,TMIN,100,,,W,\nUSMADEUP001,20160401,PRCP,25,,,W,\n"
    "USMADEUP001,20160402,TMAX,999,,I,W,\nUSMADEUP001,20160402,TMIN,110,,,W,\nUSMADEUP001,20160402,PRCP,0,T,,W,\n"
    "USMADEUP001,20160403,TMAX,215,,,W,\nUSMADEUP001,20160403,TMIN,105,,,W,\n"
)
ACCESS = (
    '"STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","NAME","PRCP","PRCP_ATTRIBUTES","TMAX","TMAX_ATTRIBUTES","TMIN","TMIN_ATTRIBUTES"\n'
    '"USMADEUP001","2016-04-01","40.7","-96.8","350.0","MADE UP","   25",",,W","  211",",,W","  100",",,W"\n'
    '"USMADEUP001","2016-04-02","40.7","-96.8","350.0","MADE UP","    0","T,,W","  999",",I,W","  110",",,W"\n'
    '"USMADEUP001","2016-04-03","40.7","-96.8","350.0","MADE UP",,,"  215",",,W","  105",",,W"\n'
)


def made(tmp_path, text, name="x.csv", **options):
    """The file read alone."""
    path = tmp_path / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_weather(path, **options)


@pytest.mark.parametrize("packed", [False, True])
@pytest.mark.parametrize("text", [DLY, LONG, ACCESS], ids=["dly", "by station", "access"])
def test_the_published_forms_tell_the_same_days(tmp_path, text, packed):
    """The same station downloaded in any form must give the same degree-days; flagged values are left out and noted."""
    read = made(tmp_path, gzip.compress(text.encode()) if packed else text)
    assert [(day.date.day, day.max_c, day.min_c, day.rain_mm) for day in read.days] == [
        (1, 21.1, 10.0, 2.5),
        (2, None, 11.0, 0.0),
        (3, 21.5, 10.5, None),
    ]
    assert (read.format, read.temperature_unit, read.station) == ("ghcn-daily", "tenths C", "USMADEUP001")
    flagged = [fault for fault in read.faults if "quality flag 'I'" in fault.rule]
    assert [fault.severity for fault in flagged] == ["note"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (month("TMAX", {30: 211, 31: 200}), "refused x.csv, row 1, column TMAX of day 31 = 20160431: no such day in the calendar; correct the date."),
        (month("TMAX", {5: "2x1"}), "refused x.csv, row 1, column TMAX of day 5 = 2x1: not a number; write a plain number such as 12 or 4.5."),
        (month("TMAX", {5: 211})[:100], "refused x.csv, row 1, column TMAX = USMADEUP001201604TMAX: the line has 100 characters, not 269; "
                                        "its month is left out; download the station again."),
        (month("TMAX", {5: 211}) + "\n" + month("TMAX", {5: 212}),
         "refused x.csv, row 1, column TMAX of day 5 = 2016-04-05: told twice with different values (also in row 2); keep the right one, "
         "delete the other."),
        (month("TMAX", {5: 211}) + "\nfoot note", "refused x.csv, row 2, column line = foot note: not a line of station, year, month, element "
                                                   "and 31 days; download the station again."),
    ],
    ids=["no such day", "no number", "cut line", "twice", "foot note"],
)  # fmt: skip
def test_fault_texts_of_the_fixed_form(tmp_path, text, expected):
    """A month's line holds 31 values: a fault must name the day."""
    assert expected in [f"{fault.severity} {fault}" for fault in made(tmp_path, text).faults]


def ordered(high, low, rain, heads='"STATION","NAME","DATE","PRCP","TMAX","TMIN"'):
    """An ordered report of April and May, the same day over and over."""
    days = [date(2016, 4 + k // 30, 1 + k % 30) for k in range(60)]
    return heads + "\n" + "".join(f'"USMADEUP001","MADE UP","{day}","{rain}","{high}","{low}"\n' for day in days)


@pytest.mark.parametrize(
    ("high", "low", "rain", "unit", "max_c", "rain_mm"),
    [("72", "48", "0.12", "F", 22.2222, 3.048), ("22.2", "8.9", "3.0", "C", 22.2, 3.0)],
)
def test_an_ordered_report_is_held_back_until_its_unit_is_said(tmp_path, high, low, rain, unit, max_c, rain_mm):
    """Ordered in °F and inches or in °C and mm it has the headings of tenths: one suspicion, one repair, rain and all."""
    text = ordered(high, low, rain)
    read = made(tmp_path, text)
    assert read.days == ()
    (fault,) = read.faults
    assert fault.severity == "suspected"
    assert fault.todo.startswith(f"if the unit is {unit}: --unit {unit};")
    read = made(tmp_path, text, temperature_unit=unit)
    assert read.faults == ()
    assert (read.days[0].max_c, read.days[0].rain_mm) == pytest.approx((max_c, rain_mm), abs=1e-4)


def test_a_repair_in_a_folder_reads_the_rain_of_an_ordered_report_too(folder):
    """0.12 can't be tenths of mm: reading an inch of rain as nothing would hide a crust."""
    text = ordered("72", "48", "0.12").replace("USMADEUP001", "yard")
    folder.weather(text, 'format = "ghcn-daily"\n')
    read = folder.read(repairs={"weather/yard.csv": "unit=F"})["weather/yard.csv"]
    assert read.days[0].rain_mm == pytest.approx(3.048)


def test_rain_that_is_no_tenths_is_held_back_alone(folder):
    """Temperatures in tenths with rain in inches: the extremes are kept, the rain waits for a word."""
    text = ordered("222", "89", "0.12").replace("USMADEUP001", "yard")
    (fault,) = folder.weather(text, 'format = "ghcn-daily"\n')
    assert fault == (
        "suspected weather/yard.csv, PRCP = tenths mm: tenths of mm are whole numbers, and these are not; the rain of the file is held back; "
        'give rain_unit = "in" or "mm"; if it is right: springwalk intake FOLDER --repair weather/yard.csv:as-is.'
    )
    day = folder.read()["weather/yard.csv"].days[0]
    assert (day.max_c, day.rain_mm) == (22.2, None)


def test_a_station_of_rain_alone(tmp_path):
    """Volunteers' gauges report rain and no temperatures."""
    read = made(tmp_path, '"STATION","DATE","PRCP"\n"USMADEUP001","2016-04-01","25"\n')
    assert [(day.max_c, day.rain_mm) for day in read.days] == [(None, 2.5)]


def test_a_gzip_bomb_and_a_cut_gzip_are_refused(tmp_path):
    """A small download must not fill the memory."""
    read = made(tmp_path, gzip.compress(b"0" * 2_000_000), limit_bytes=1_000_000)
    assert str(read.faults[0]).endswith(
        "unpacks to more than the limit of 1000000 bytes; nothing was read; take out the years not needed."
    )
    read = made(tmp_path, gzip.compress(LONG.encode())[:40])
    assert "not a whole gzip file" in str(read.faults[0])
    assert str(read.faults[0]).endswith("download or pack it again.")
