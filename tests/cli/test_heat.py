"""The heat commands: answers against published and re-worked rows, and what bad input is told."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from tests.cli.conftest import Tell

UC = "closed forms of Zalom et al. 1983, checked by quadrature"
ISU = "Iowa State University Agron 541, lesson 2b"
OSU = "Ohio State University Extension (Karhoff 2023)"
MRCC = "Midwestern Regional Climate Center"
NEB = "University of Nebraska CropWatch 2021"

# minimum, maximum, options, expected, tolerance, source
DAYS = [
    (40, 60, "--shape sine --cutoff horizontal", 3.183, 0.0005, UC),
    (60, 95, "--shape sine --cutoff none", 27.5, 1e-6, UC),
    (60, 95, "--shape sine --cutoff horizontal", 25.509, 0.0005, UC),
    (60, 95, "--shape sine --cutoff intermediate", 23.517, 0.0005, UC),
    (60, 95, "--shape sine --cutoff vertical", 13.320, 0.0005, UC),
    (60, 95, "--shape triangle --cutoff vertical", 17.086, 0.0005, UC),
    (44, 71, "--next-min 50 --double", 9.615, 0.0005, UC),
    (56, 88, "--next-min 47 --double --shape triangle", 19.749, 0.0005, UC),
    (50, 70, "--method 86/50", 10.0, 1e-6, ISU),
    (63, 87, "--method 86/50", 24.5, 1e-6, OSU),
    (68, 92, "--method 86/50", 27.0, 1e-6, MRCC),
    (55, 65, "--method clipped-mean --lower 38 --upper 75", 22.0, 1e-6, NEB),
    (40, 60, "--method average", 0.0, 1e-6, UC),
]


@pytest.mark.parametrize(("low", "high", "options", "expected", "tolerance", "source"), DAYS)
def test_heat_of_a_day(
    tell: Tell, low: float, high: float, options: str, expected: float, tolerance: float, source: str
) -> None:
    """The calculator must give what the named source prints."""
    said = tell("heat", "--min", low, "--max", high, "--unit", "F", *options.split(), "--json")
    assert (said.code, said.err) == (0, ""), source
    result = json.loads(said.out)
    assert result["degree_days"] == pytest.approx(expected, abs=tolerance), source
    assert result["unit"] == "°F·day"


def test_heat_in_celsius_is_the_same_heat(tell: Tell) -> None:
    """1 °C·day is 1.8 °F·day; a unit on the number goes before --unit."""
    fahrenheit = json.loads(tell("heat", "--min", "10C", "--max", "30C", "--json").out)
    celsius = json.loads(tell("heat", "--min", 10, "--max", 30, "--unit", "C", "--json").out)
    assert celsius["unit"] == "°C·day"
    assert fahrenheit["degree_days"] == pytest.approx(1.8 * celsius["degree_days"])
    assert celsius["degree_days"] == pytest.approx(10.0)


def test_heat_as_text_names_its_method(tell: Tell) -> None:
    """A total without its method can't be compared with anything."""
    said = tell("heat", "--min", 40, "--max", 60)
    assert said.out == "3.18 °F·day   (single sine, horizontal cutoff, 50–86 °F)\n"


def test_a_sum_as_text(tell: Tell, tmp_path: Path) -> None:
    """Numbers read the same here as on the sheet: commas in thousands, counts with their noun."""
    days = "".join(f"2016-06-{day:02d},95,85\n" for day in range(1, 31))
    (tmp_path / "hot.csv").write_text("date,max,min\n" + days, encoding="utf-8")
    words = ("heat-sum", "--weather", "hot.csv", "--method", "average", "--as-is", "--from")
    said = tell(*words, "2016-06-01", "--to", "2016-06-30")
    assert said.code == 0, said.err
    assert said.out == "1,200.0 °F·day   (average, above 50 °F)\n30 days counted, 0 missing, 0 filled\n"
    one = tell(*words, "2016-06-30", "--to", "2016-07-01")
    assert one.out.endswith("\n1 day counted, 1 missing, 0 filled\n")


def test_a_weather_file_that_may_not_be_read(tell: Tell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is a file we can't read (4), told in our words, not a fault of the command line."""
    (tmp_path / "a.csv").write_text("date,max,min\n", encoding="utf-8")

    def closed(*_: object, **__: object) -> bytes:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "access", lambda *_, **__: False)
    monkeypatch.setattr(Path, "read_bytes", closed)
    said = tell("heat-sum", "--weather", "a.csv", "--from", "2016-06-01", "--to", "2016-06-02")
    assert (said.code, said.out) == (4, "")
    assert "Permission denied" in said.err
    assert "Usage" not in said.err


# options, text on stderr, exit code
BAD = [
    ("--min 60 --max 40", "min = 60 °F: above max = 40; swap or correct the two.", 3),
    ("--min nan --max 40", "min = nan °F: outside −76 … 140 °F; check the number and --unit.", 3),
    ("--min 20 --max 4000", "max = 4000 °F: outside −76 … 140 °F; check the number and --unit.", 3),
    ("--min 20 --max 65 --unit C", "max = 65 °C: outside −60 … 60 °C; check the number and --unit.", 3),
    ("--min 20 --max 40 --unit K", "unit = K: not a unit of temperature; use F or C.", 3),
    ("--min warm --max 40", "min = warm: not a number with a unit; write it like 28F", 3),
    ("--min 2in --max 40", "min = 2in: unit 'in' does not fit; use one of: C, F.", 3),
    ("--min 20 --max 40 --lower 86 --upper 50", "upper = 50 °F: must be above lower = 86; correct one", 3),
    ("--min 20 --max 40 --method huber", "method = huber: no such way of counting heat; use one of sine,", 3),
    ("--min 20 --max 40 --shape average", "shape = average: not a course of the day; use sine or triangle", 3),
    ("--min 20 --max 40 --cutoff round", "cutoff = round: no such cutoff; use one of none,", 3),
    ("--min 20 --max 40 --method 86/50 --cutoff none", "method 86/50 has no cutoff to choose; leave --cutoff out.", 3),
    ("--min 20 --max 40 --method 86/50 --shape sine", "method = 86/50: cannot go with --shape sine; give one", 3),
    ("--min 20 --max 40 --double", "next_min = (not given): a double method needs the next morning's minimum", 3),
    ("--min 20 --max 40 --double --next-min 41", "next_min = 41 °F: above max = 40; correct one of the two.", 3),
    ("--min 20 --max 40 --double --next-min 30 --method average", "only sine and triangle split the day", 3),
    ("--max 40", "Missing option '--min'", 2),
    ("--min 20 --max 40 --colour red", "No such option: --colour", 2),
]


@pytest.mark.parametrize(("options", "told", "code"), BAD)
def test_heat_refuses(tell: Tell, options: str, told: str, code: int) -> None:
    """Bad input gets one line that says what is wrong and what to do, and its own exit code."""
    said = tell("heat", *options.split())
    assert told in said.err
    assert "Traceback" not in said.err
    assert (said.code, said.out) == (code, "")


# sum of means in °F, class by the breaks 90/95/100, source
WINTERS = [
    (88.4, "negligible", "Ohio State 2008, Wooster winter 2007-08; class derived"),
    (91.6, "low-moderate", "Ohio State, March 2013, Hoytville"),
    (94.4, "low-moderate", "Ohio State, March 2013, Wooster: sits below the break though the text says over 95"),
    (103.7, "severe", "Ohio State, March 2013, Piketon"),
    (106.0, "severe", "University of Delaware, March 2013, winter 2012-13; class derived"),
    (90.0, "low-moderate", "break itself"),
    (95.0, "moderate-severe", "break itself"),
    (100.0, "moderate-severe", "severe is over 100"),
    (100.1, "severe", "severe is over 100"),
]


@pytest.mark.parametrize(("sum_f", "told", "source"), WINTERS)
def test_wilt_index_classes(tell: Tell, sum_f: float, told: str, source: str) -> None:
    """The class must be the one the published breaks give, at the breaks too."""
    means = f"--mean-dec 30F --mean-jan 28F --mean-feb {sum_f - 58:.1f}F"
    result = json.loads(tell("wilt-index", *means.split(), "--json").out)
    assert result["sum_f"] == pytest.approx(sum_f), source
    assert result["class"] == told, source
    assert "Ohio State" in result["source"]


def test_wilt_index_takes_celsius(tell: Tell) -> None:
    """Each mean may come in its own unit."""
    said = tell("wilt-index", "--mean-dec", "0C", "--mean-jan", "32", "--mean-feb", "32F")
    assert said.out.startswith("96.0 °F   moderate-severe   (Ohio State")


def test_wilt_index_refuses_what_no_winter_is(tell: Tell) -> None:
    """A slip in the unit must not become a class."""
    said = tell("wilt-index", "--mean-dec", "280F", "--mean-jan", "30F", "--mean-feb", "33F")
    assert said.code == 3
    assert said.err.startswith("mean_dec = 280 °F: outside −76 … 140 °F")
