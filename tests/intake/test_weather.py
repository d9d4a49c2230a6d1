"""Weather files: forms, units, bounds, gaps."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

from datetime import date, timedelta

import pytest

from springwalk.errors import BadValue
from springwalk.intake import read_weather

ASK = "springwalk intake FOLDER --repair weather/yard.csv"


def test_plain_file_in_fahrenheit_becomes_celsius(folder):
    """None said means US customary: °F and inches."""
    rows = folder.days()
    rows = [[*rows[0], "rain"], *([*row, "0.5"] for row in rows[1:])]
    assert folder.weather(folder.csv(rows)) == []
    days = folder.read()["weather/yard.csv"].days
    assert len(days) == 60
    assert (days[0].max_c, days[0].min_c, days[0].rain_mm) == pytest.approx((21.1111, 10.0, 12.7), abs=1e-4)
    assert (days[0].station, days[0].source) == ("yard", "weather/yard.csv")


@pytest.mark.parametrize(
    ("told", "high", "low", "better", "unit_text"),
    [
        ("F", 22, 9, "C", "unit=C"),
        ("C", 72, 48, "F", "unit=F"),
        ("tenths C", 72, 48, "F", "unit=F"),
        ("C", 222, 90, "tenths C", "unit=tenths C"),
        ("F", 222, 90, "tenths C", "unit=tenths C"),
        ("tenths C", 22, 9, "C", "unit=C"),
    ],
)
def test_wrong_unit_is_suspected_and_every_day_held_back(folder, told, high, low, better, unit_text):
    """A season in the wrong unit moves every date by weeks: it is never used before a person has spoken."""
    text = folder.csv(folder.days(high=high, low=low))
    (fault,) = folder.weather(text, f'temperature_unit = "{told}"\n')
    ask = f"springwalk intake FOLDER --repair 'weather/yard.csv:{unit_text}'" if " " in better else f"{ASK}:{unit_text}"
    assert fault.startswith(
        f"suspected weather/yard.csv, median max = {high} {told}: the median of April to June would be "
    )
    assert f"read as {better} it is 22" in fault
    assert fault.endswith(f"all 60 days are held back; if the unit is {better}: {ask}; if it is right: {ASK}:as-is.")
    assert folder.read()["weather/yard.csv"].days == ()
    repaired = folder.read(repairs={"weather/yard.csv": {"unit": better}})["weather/yard.csv"]
    assert len(repaired.days) == 60
    assert repaired.days[0].max_c == pytest.approx(22, abs=0.3)
    assert [str(fault) for fault in repaired.faults] == [
        f"weather/yard.csv, unit = {better}: temperatures were read in this unit, as told; write it in season.toml too."
    ]


def test_whole_text_of_a_unit_suspicion(folder):
    """The text a person acts on, in full."""
    assert folder.weather(folder.csv(folder.days(high=22, low=9))) == [
        "suspected weather/yard.csv, median max = 22 F: the median of April to June would be -5.6 °C; read as C it is 22.0 °C; "
        f"all 60 days are held back; if the unit is C: {ASK}:unit=C; if it is right: {ASK}:as-is."
    ]


def test_as_is_confirms_a_cold_spring(folder):
    """A person may know better than a median."""
    text = folder.csv(folder.days(high=22, low=9))
    assert folder.weather(text, repairs={"weather/yard.csv": "as-is"}) == []
    assert len(folder.read(repairs={"weather/yard.csv": "as-is"})["weather/yard.csv"].days) == 60


def test_march_alone_shows_the_unit_too(folder):
    """The season begins in March: waiting for April would use wrong days for weeks."""
    (fault,) = folder.weather(folder.csv(folder.days(date(2016, 3, 1), 20, high=12, low=1)))
    assert "the median of March would be -11.1 °C; read as C it is 12.0 °C; all 20 days are held back" in fault


def test_plausible_springs_are_not_suspected(folder):
    """A cool and a hot spring, each in its own unit, pass."""
    for unit, high, low in (
        ("F", 55, 38),
        ("F", 92, 70),
        ("C", 13, 3),
        ("C", 33, 20),
        ("tenths C", 130, 30),
        ("tenths C", 330, 200),
    ):
        assert folder.weather(folder.csv(folder.days(high=high, low=low)), f'temperature_unit = "{unit}"\n') == []


def test_swapped_extremes_are_refused_suspected_and_repaired_when_told(folder):
    """Two columns typed the wrong way round on one day; the other days stay."""
    rows = folder.days(count=20)
    rows[3] = [rows[3][0], "48", "71"]
    assert folder.weather(folder.csv(rows)) == [
        "note weather/yard.csv, missing = 1 day: no maximum or no minimum: 2016-04-03; add them if they can be had; "
        "up to 3 days in a row are filled, longer gaps stop the heat count.",
        "suspected weather/yard.csv, row 4, column min = min 71 > max 48 F: the two look exchanged; the day is left out; "
        f"correct it, or if so: {ASK}:swap.",
    ]
    read = folder.read(repairs={"weather/yard.csv": "swap"})["weather/yard.csv"]
    assert [str(fault) for fault in read.faults] == [
        "weather/yard.csv, row 4, column min = min 71 > max 48 F: the two were exchanged, as told; mend the file too."
    ]
    assert read.days[2].max_c == pytest.approx(21.667, abs=1e-3)


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        (["2016-04-03", "150", "50", "0"], "column max = 150 F: outside ±60 °C (65.6 °C); correct or blank it."),
        (["2016-04-03", "70", "-90", "0"], "column min = -90 F: outside ±60 °C (-67.8 °C); correct or blank it."),
        (["2016-04-03", "70", "50", "-0.1"], "column rain = -0.1 in: rain can't be below zero; correct or blank it."),
        (["2016-04-03", "70", "50", "100"], "column rain = 100 in: above 2000 mm in one day; correct or blank it."),
        (["2016-04-03", "70", "warm", "0"], "column min = warm: not a number; write a plain number such as 12 or 4.5."),
        (["2016-04-03", "70", "1e999", "0"], "column min = 1e999: not a number; write a plain number such as 12 or 4.5."),
        (["2016-13-03", "70", "50", "0"], "column date = 2016-13-03: no such day in the calendar; correct the date."),
    ],
)  # fmt: skip
def test_fault_texts_of_days(folder, row, expected):
    """A day that can't be so is left out and counts as missing."""
    rows = folder.days(count=20)
    rows = [[*rows[0], "rain"], *([*each, "0"] for each in rows[1:])]
    rows[3] = row
    told = folder.weather(folder.csv(rows))
    assert told[1:] == ["refused weather/yard.csv, row 4, " + expected]
    assert told[0].startswith("note weather/yard.csv, missing = 1 day: no maximum or no minimum: 2016-04-03;")
    assert len(folder.read()["weather/yard.csv"].days) == 19


def test_doubled_dates(folder):
    """The same day with the same values is a copy; with others nobody knows which is right."""
    rows = folder.days(count=20)
    rows += [rows[5], [rows[9][0], "71", "50"]]
    assert folder.weather(folder.csv(rows))[1:] == [
        "refused weather/yard.csv, row 10, column date = 2016-04-09: told twice with different values (also in row 23); "
        "keep the right one, delete the other.",
        "note weather/yard.csv, row 22, column date = 2016-04-05: told twice, with the same values (also in row 6); "
        "delete one of the two.",
        "refused weather/yard.csv, row 23, column date = 2016-04-09: told twice with different values (also in row 10); "
        "keep the right one, delete the other.",
    ]
    assert len(folder.read()["weather/yard.csv"].days) == 19


def test_missing_days_are_counted_with_their_runs(folder):
    """Gaps stop the heat count, so they are named."""
    rows = folder.days(count=30)
    rows = [row for row in rows if row[0] not in ("2016-04-05", "2016-04-06", "2016-04-20")]
    rows[2] = [rows[2][0], "M", "50"]
    assert folder.weather(folder.csv(rows)) == [
        "note weather/yard.csv, missing = 4 days: no maximum or no minimum: 2016-04-02, 2016-04-05 to 2016-04-06, 2016-04-20; "
        "add them if they can be had; up to 3 days in a row are filled, longer gaps stop the heat count."
    ]
    assert folder.read()["weather/yard.csv"].days[1].max_c is None


def test_past_years_are_kept_and_days_to_come_refused(folder):
    """Past years stand in for the days not yet seen; days after today can't have been measured."""
    rows = folder.days(date(2014, 1, 1), 1000)
    assert folder.weather(folder.csv(rows), today=date(2016, 6, 30)) == [
        "refused weather/yard.csv, row 914, column date = 88 days: after today (2016-06-30): 2016-07-01 to 2016-09-26; "
        "these rows are left out; keep only days that were measured."
    ]
    days = folder.read()["weather/yard.csv"].days
    assert (days[0].date, days[-1].date) == (date(2014, 1, 1), date(2016, 6, 30))


def test_two_files_of_a_station_are_one_record(folder):
    """A day both files tell counts once, or not at all where they differ."""
    folder.write("weather/late.csv", folder.csv(folder.days(date(2016, 4, 15), 20)))
    text = folder.days(count=20)
    text[20] = [text[20][0], "60", "50"]
    folder.write(
        "season.toml",
        folder.season + folder.station.replace('"weather/yard.csv"', '["weather/yard.csv", "weather/late.csv"]'),
    )
    assert folder.told("weather/yard.csv", folder.csv(text)) == [
        "note weather/yard.csv, missing = 1 day: no maximum or no minimum: 2016-04-20; add them if they can be had; "
        "up to 3 days in a row are filled, longer gaps stop the heat count.",
        "refused weather/yard.csv, row 21, column date = 2016-04-20: told with different values in weather/late.csv; "
        "keep the right one, delete the other.",
    ]
    told = folder.told("weather/late.csv")
    assert told[0].startswith(
        "note weather/late.csv, date = 5 days: also in another file of the station, with the same values: 2016-04-15 to 2016-04-19;"
    )
    assert told[1].startswith(
        "refused weather/late.csv, row 7, column date = 2016-04-20: told with different values in weather/yard.csv;"
    )


WIDE = (
    '"STATION","NAME","DATE","TMAX","TMAX_ATTRIBUTES","TMIN","TMIN_ATTRIBUTES","PRCP","PRCP_ATTRIBUTES"\n'
    '"US1","MADE UP","2016-04-01","  211",",,W,2400","  100",",,W","   25",",,W"\n'
    '"US1","MADE UP","2016-04-02","  999",",I,W,2400","  110",",,W","    0","T,,W"\n'
    '"US1","MADE UP","2016-04-03","  215",",,W,2400","  105",",,W","",""\n'
)
LONG = (
    "US1MADEUP01,20160401,TMAX,211,,,W,2400\nUS1MADEUP01,20160401,TMIN,100,,,W,\nUS1MADEUP01,20160401,PRCP,25,,,W,\n"
    "US1MADEUP01,20160402,TMAX,999,,I,W,\nUS1MADEUP01,20160402,TMIN,110,,,W,\nUS1MADEUP01,20160402,PRCP,0,T,,W,\n"
    "US1MADEUP01,20160402,SNOW,0,,,W,\n"
    "US1MADEUP01,20160403,TMAX,215,,,W,\nUS1MADEUP01,20160403,TMIN,105,,,W,\n"
)


@pytest.mark.parametrize(("text", "row"), [(WIDE, 3), (LONG, 4)], ids=["wide", "long"])
def test_ghcn_daily_in_tenths_with_flagged_values_left_out(tmp_path, text, row):
    """NOAA NCEI, GHCN-Daily readme: TMAX and TMIN in tenths °C, PRCP in tenths mm, a quality flag marks a failed check."""
    path = tmp_path / "x.csv"
    path.write_text(text, encoding="utf-8")
    read = read_weather(path)
    assert (read.format, read.temperature_unit, len(read.days)) == ("ghcn-daily", "tenths C", 3)
    assert [(day.max_c, day.min_c, day.rain_mm) for day in read.days] == [
        (21.1, 10.0, 2.5),
        (None, 11.0, 0.0),
        (21.5, 10.5, None),
    ]
    assert read.missing == (date(2016, 4, 2),)
    assert [fault.severity for fault in read.faults] == ["note", "note", "note"]
    assert str(read.faults[0]) == (
        "x.csv, unit = tenths C: too few days to check the unit (tenths C taken); give --unit if it is another."
    )
    assert str(read.faults[2]) == (
        f"x.csv, row {row}, column TMAX = {'  999' if row == 3 else '999'}: the source's quality flag 'I' is set; "
        "the value is left out; nothing; the day counts as missing."
    )


def test_all_capital_export_in_fahrenheit(tmp_path):
    """The common whole-°F export has the same headings: only its values tell, and the unit must be said."""
    rows = ['"STATION","NAME","DATE","TMAX","TMIN"']
    rows += [f'"US1","MADE UP","{date(2016, 4, 1) + timedelta(days=k)}","{70 + k % 5}","48"' for k in range(61)]
    path = tmp_path / "export.csv"
    path.write_text("\n".join(rows), encoding="utf-8")
    read = read_weather(path)
    assert read.days == ()
    assert [str(fault) for fault in read.faults] == [
        "export.csv, median TMAX = 72 tenths C: the median of April to June would be 7.2 °C; read as F it is 22.2 °C; "
        "all 61 days are held back; if the unit is F: --unit F; if it is right: --as-is."
    ]
    read = read_weather(path, temperature_unit="F")
    assert (len(read.days), read.faults, read.station) == (61, (), "US1")
    assert read.days[0].max_c == pytest.approx(21.1111, abs=1e-4)


@pytest.mark.parametrize(
    ("text", "toml", "expected"),
    [
        (WIDE, 'format = "ghcn-daily"\n', "refused weather/yard.csv, STATION = US1: the file holds no row of station yard; "
         "write the file's station as id of the [[station]], or name the right file."),
        ("date,max,min\n2016-04-01,70,50\n", 'format = "ghcn-daily"\n', "refused weather/yard.csv, row 1, column headings = STATION, DATE, "
         'TMAX, TMIN: needed and not there (found: date, max, min); export the station again, or give format = "plain" in season.toml.'),
        ("date,hgih,low\n", "", "refused weather/yard.csv, row 1, column headings = max: needed and not there (found: date, hgih, low); "
         "name your headings under [station.columns] in season.toml."),
        ("date;max;min\n", "", "refused weather/yard.csv, row 1, column headings = date;max;min: columns are separated by semicolons, "
         "not commas; save it again with commas between the columns."),
        ("date,high,max temp,low\n", "", "refused weather/yard.csv, row 1, column headings = high, max temp: more than one column could "
         "be max; name the right one under [station.columns] in season.toml: max = …."),
        ("date,max (C),min (F)\n", "", "refused weather/yard.csv, row 1, column headings = max (C), min (F): the two headings name "
         "different units; correct the headings."),
        ("date,max_c,min_c\n2016-04-01,20,10\n", 'temperature_unit = "F"\n', "suspected weather/yard.csv, max_c = C: the heading says C, but "
         f"the file is to be read in F; 1 day held back; if C is right: {ASK}:unit=C; if F is right: {ASK}:as-is."),
        ("date,max,min\n", "", "note weather/yard.csv, rows = 0: no day in the file; add days when there are some."),
        ("\n", "", "refused weather/yard.csv, size = 1 byte: the file is empty; save it again, or take it out."),
        (b"date,max,min\n\xff", "", "refused weather/yard.csv, line 2, byte 14 = 0xff: not UTF-8; save it again as UTF-8 "
         "(in a spreadsheet: 'CSV UTF-8')."),
    ],
)  # fmt: skip
def test_fault_texts_of_weather_files(folder, text, toml, expected):
    """A file that can't be read as weather says what it holds."""
    assert folder.weather(text, toml) == [expected]


def test_own_headings_and_heading_units(folder):
    """season.toml may name the columns; a unit in a heading counts where none is told."""
    toml = '[station.columns]\ndate = "when"\nmax = "warmest"\nmin = "coldest"\n'
    (short,) = folder.weather("when,warmest,coldest\n2016-04-01,70,50\n", toml)
    assert "too few days to check the unit (F taken)" in short
    assert folder.weather("Date,Max Temp (°C),Min Temp (°C),Rain (mm)\n2016-04-01,20,10,5\n") == []
    (day,) = folder.read()["weather/yard.csv"].days
    assert (day.max_c, day.min_c, day.rain_mm) == (20.0, 10.0, 5.0)


def test_several_stations_in_one_file(tmp_path):
    """Mixing stations would make a weather that never was."""
    path = tmp_path / "x.csv"
    path.write_text(WIDE + WIDE.split("\n", 1)[1].replace("US1", "US2"), encoding="utf-8")
    assert (
        str(read_weather(path).faults[0])
        == "x.csv, STATION = US1, US2: the file holds several stations; say which one, or export one."
    )
    read = read_weather(path, station="US2")
    assert (len(read.days), read.days[0].station) == (3, "US2")


def test_options_off_their_list_are_refused(tmp_path):
    """A wrong option is the caller's, not the file's."""
    with pytest.raises(BadValue) as caught:
        read_weather(tmp_path / "x.csv", temperature_unit="K")
    assert str(caught.value) == "temperature unit = K: not on the list; use one of: F, C, tenths C."
