"""season.toml, repairs, and the start of a folder."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

import errno
import os
import re
from datetime import date, time
from pathlib import Path

import pytest

from springwalk.errors import BadFile, BadValue
from springwalk.intake import parse_repairs, read_folder, start_folder
from springwalk.intake.folder import SEASON_FILE


def test_missing_folder_and_missing_season(tmp_path):
    """Nothing to read is said in one line."""
    with pytest.raises(BadFile) as caught:
        read_folder(tmp_path / "none", today=date(2016, 5, 1))
    assert str(caught.value) == (
        f"folder = {tmp_path / 'none'}: there is no such folder; check its name, or make it with springwalk start FOLDER."
    )
    (read,) = read_folder(tmp_path, today=date(2016, 5, 1))
    assert str(read.faults[0]) == (
        "season.toml = season.toml: there is no such file in the folder; write one, or begin with springwalk start FOLDER."
    )


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("[season\n", "text = [season: not TOML: Expected ']' at the end of a table declaration (at line 1, column 8); mend that line."),
        ("x = 1\n", "[season] = (blank): is needed; write name and year under [season]."),
        ('[season]\nyear = 2016\n', "season.name = (blank): is needed; fill it in."),
        ('[season]\nname = "a"\nyear = "2016"\n', "season.year = 2016: not a number; write a number without quotes."),
        ('[season]\nname = "a"\nyear = 2016.5\n', "season.year = 2016.5: not a whole number; write year = 1950, say."),
        ('[season]\nname = "a"\nyear = 1816\n', "season.year = 1816: not from 1950 to 2100; correct it."),
        ('[season]\nname = 3\nyear = 2016\n', 'season.name = 3: not text; write it in quotes: name = "…".'),
        ('season = 3\n', "season = 3: not a section; write it as [season] with keys below it."),
        ('[season]\nname = "a"\nyear = 2016\ntimezone = "Middle/West"\n',
         "season.timezone = Middle/West: no such time zone; write a name such as America/Chicago."),
        ('[season]\nname = "a"\nyear = 2016\nheat_method = "sinus"\n',
         "season.heat_method = sinus: not on the list; write one of: sine, average, 86/50, triangle, clipped-mean."),
        ('[season]\nname = "a"\nyear = 2016\ndate_format = "%m/%d"\n',
         'season.date_format = %m/%d: not a form that holds year, month and day; write it like "%Y-%m-%d" or "%m/%d/%Y".'),
        ('[season]\nname = "a"\nyear = 2016\nlast_day = 2016-02-01\n',
         "season.last_day = 2016-02-01: not after first_day; correct one of the two."),
    ],
)  # fmt: skip
def test_fault_texts_of_the_season(folder, text, expected):
    """Without a sound season nothing else can be read: that is said and the reading ends."""
    assert f"refused season.toml, {expected}" in folder.told("season.toml", text)
    assert list(folder.read()) == [SEASON_FILE]


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ("stat = 1\n", "season.stat = 1: no such key; it is not read; did you mean 'state'? Correct it."),
        ("[file]\nx = 1\n", "file = {'x': 1}: no such key; it is not read; did you mean 'files'? Correct it."),
        ('[files]\ncatches = "../x.csv"\n', "files.catches = ../x.csv: not a path inside the folder; put the file in the folder "
         "and name it from there."),
        ("[files]\ncatches = 3\n", 'files.catches = 3: not a file name; write it in quotes, or as a list: ["a.csv", "b.csv"].'),
        ('[columns.catches]\nmoths = 3\n', 'columns.catches.moths = 3: not text; write it in quotes: moths = "…".'),
        ("station = 3\n", "station = 3: not a list of stations; write each station under its own [[station]]."),
        ('[[station]]\nid = "a"\nlatitude = 40.0\nlongitude = -96.0\nfile = "w.csv"\ntemprature_unit = "C"\n',
         "station 1.temprature_unit = C: no such key; it is not read; did you mean 'temperature_unit'? Correct it."),
        ('[[station]]\nid = "a"\nlatitude = 140.0\nlongitude = -96.0\nfile = "w.csv"\n',
         "station 1.latitude = 140.0: not from -90 to 90; correct it."),
        ('[[station]]\nid = "a"\nlatitude = 40.0\nlongitude = -96.0\nfile = "w.csv"\ntemperature_unit = "K"\n',
         "station 1.temperature_unit = K: not on the list; write one of: F, C, tenths C."),
        ('[[station]]\nid = "a"\nlatitude = 40.0\nlongitude = -96.0\nfile = "w.csv"\nelevation = "high"\n',
         "station 1.elevation = high: not a number with a unit of this kind; write it like 12ft (units: m, cm, mm, in, ft; "
         "none means ft)."),
    ],
)  # fmt: skip
def test_faults_beside_a_sound_season_leave_the_rest(folder, more, expected):
    """A misspelt key costs that key or station, not the season. A station with an unknown key is never half read."""
    text = more + folder.season if more.startswith("station =") else folder.season + more
    assert folder.told("season.toml", text) == [f"refused season.toml, {expected}"]
    records = folder.read()["season.toml"].records
    assert [record.kind for record in records] == ["season"]
    assert "fields.geojson" in folder.read()


def test_station_is_read_with_its_units(folder):
    """A bare elevation is feet."""
    folder.write("weather/yard.csv", folder.csv(folder.days()))
    for told, metres in (("1000", 304.8), ('"362m"', 362.0), ('"1000"', 304.8)):
        folder.write("season.toml", folder.season + folder.station + f"elevation = {told}\n")
        station = folder.read()["season.toml"].records[1]
        assert (station.id, station.elevation_m) == ("yard", pytest.approx(metres))


BLOCK = '[[station]]\nid = "yard"\nlatitude = 40.70\nlongitude = -96.85\nfile = "{file}"\n'


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        ('name = "Yard"\n', 'name = "Mill"\n', "has another name; give each its own id, or correct the name."),
        ('elevation = "362m"\n', "elevation = 362\n", "has another elevation; give each its own id, or correct the elevation."),
    ],
)  # fmt: skip
def test_blocks_of_one_station_must_agree(folder, first, second, expected):
    """Which of two elevations counts must not depend on the order of blocks."""
    text = folder.season + BLOCK.format(file="a.csv") + first + BLOCK.format(file="b.csv") + second
    assert folder.told("season.toml", text) == [
        f"refused season.toml, station 2.id = yard: a station of this id {expected}"
    ]


def test_a_block_may_leave_out_what_another_tells(folder):
    """Name and elevation once are enough, in whichever block."""
    more = 'name = "Yard"\nelevation = "362m"\n'
    for first, second in ((more, ""), ("", more)):
        folder.write(
            "season.toml", folder.season + BLOCK.format(file="a.csv") + first + BLOCK.format(file="b.csv") + second
        )
        read = folder.read()["season.toml"]
        assert read.faults == ()
        assert [(one.name, one.elevation_m) for one in read.records[1:]] == [("Yard", 362.0)]


def test_a_station_with_exchanged_latitude_and_longitude(folder):
    """It would anchor every outline at the wrong end of the earth."""
    text = folder.season + folder.station.replace("40.70", "-84.5").replace("-96.85", "40.7")
    assert folder.told("season.toml", text) == [
        "refused season.toml, station 1.latitude = -84.5: latitude and longitude are exchanged; exchange them."
    ]


def test_a_table_can_only_be_taken_as_it_is(folder):
    """swap and unit are for outlines and weather; asked of a table they would do nothing, unsaid."""
    folder.write("catches.csv", "trap,read,moths\n")
    assert folder.told("season.toml", repairs={"catches.csv": "as-is"}) == []
    assert folder.told("season.toml", repairs={"catches.csv": "swap"}) == [
        "refused season.toml, repair = catches.csv: only as-is can be asked of this file; correct the file itself."
    ]


def test_named_file_must_be_there(folder):
    """A default file may be missing; a file named in season.toml may not."""
    folder.write("season.toml", folder.season + '[files]\ncatches = "moths.csv"\n')
    assert folder.told("moths.csv") == [
        "refused moths.csv = moths.csv: there is no such file; check the name in season.toml."
    ]


def test_file_nobody_reads_is_noted(folder):
    """A misspelt file name would otherwise vanish in silence."""
    folder.write("catchs.csv", "x\n")
    assert folder.told("season.toml") == [
        "note season.toml, file = catchs.csv: nothing reads this file; did you mean 'catches.csv'? Correct it."
    ]


def test_repairs_are_parsed_and_wrong_ones_refused():
    """A mistyped repair must not be taken for no repair."""
    found = parse_repairs(["weather/x.csv:unit=C", "weather/x.csv:swap", "a.csv:as-is"])
    assert (found["weather/x.csv"].unit, found["weather/x.csv"].swap, found["a.csv"].as_is) == ("C", True, True)
    for option, expected in (
        (
            "x.csv",
            "repair = x.csv: names no file or no repair; write FILE:unit=C (or F, or 'tenths C'), FILE:swap or FILE:as-is.",
        ),
        (
            "x.csv:mend",
            "repair = mend: no such repair; write FILE:unit=C (or F, or 'tenths C'), FILE:swap or FILE:as-is.",
        ),
        (
            "x.csv:unit=K",
            "repair unit = K: not a temperature unit; write FILE:unit=C (or F, or 'tenths C'), FILE:swap or FILE:as-is.",
        ),
    ):
        with pytest.raises(BadValue) as caught:
            parse_repairs([option])
        assert str(caught.value) == expected


def test_repair_of_an_unknown_file_is_listed(folder):
    """The file name must match season.toml's."""
    told = folder.told("season.toml", repairs={"field.geojson": "swap"})
    assert told == [
        "refused season.toml, repair = field.geojson: no file of this name was read; did you mean 'fields.geojson'? Correct it."
    ]


def test_started_folder_reads_without_a_refusal(tmp_path):
    """What start writes must be what intake reads."""
    paths = start_folder(tmp_path / "new", year=2016, name='The "old" mill')
    assert sorted(path.name for path in paths) == [
        "FILES.md", "catches.csv", "done.csv", "events.csv", "fields.geojson", "flight_reports.csv", "passes.csv",
        "pest_counts.csv", "plantings.csv", "progress.csv", "promises.csv", "rain.csv",
            "recommendation_steps.csv", "recommendations.csv", "season.toml", "seed_lots.csv", "traps.csv", "walks.csv", "zones.csv",
    ]  # fmt: skip
    reads = list(read_folder(tmp_path / "new", today=date(2016, 5, 1)))
    assert len(reads) == 18
    assert [str(fault) for read in reads for fault in read.faults] == []
    assert reads[0].records[0].name == 'The "old" mill'


def test_every_commented_key_of_the_started_season_is_a_key(tmp_path):
    """The comments are the manual most people read: none may name a key that is not read."""
    folder = tmp_path / "new"
    start_folder(folder, year=2016)
    lines = (folder / "season.toml").read_text(encoding="utf-8").splitlines()
    bare = [line[2:] if re.match(r"# (\w+ = |\[)", line) else line for line in lines]
    (folder / "season.toml").write_text("\n".join(bare) + "\n", encoding="utf-8")
    first = next(iter(read_folder(folder, today=date(2016, 5, 1))))
    assert [str(fault) for fault in first.faults] == []
    assert [record.kind for record in first.records] == ["season", "station"]


def test_start_takes_away_what_it_made_where_it_cannot_make_all(tmp_path, monkeypatch):
    """A full disk must not leave half a season that start then refuses to complete."""
    real = Path.open

    def full(self, mode="r", **named):
        if self.name == "traps.csv" and mode == "x":
            raise OSError(errno.ENOSPC, "No space left on device")
        return real(self, mode, **named)

    monkeypatch.setattr(Path, "open", full)
    (tmp_path / "there").mkdir()
    for folder in (tmp_path / "new" / "deeper", tmp_path / "there"):
        with pytest.raises(BadFile) as caught:
            start_folder(folder, year=2016)
        assert str(caught.value) == (
            f"folder = {folder}: can't be written (No space left on device); choose a folder you may write in."
        )
    assert [path.name for path in tmp_path.iterdir()] == ["there"]
    assert list((tmp_path / "there").iterdir()) == []


def test_start_refuses_a_name_of_two_lines(tmp_path):
    """It was cut to one line in silence before."""
    with pytest.raises(BadValue) as caught:
        start_folder(tmp_path / "new", year=2016, name="a\nb")
    assert str(caught.value) == r"name = a\nb: holds a line break; write it on one line."
    assert not (tmp_path / "new").exists()


def test_a_folder_that_cannot_be_listed(tmp_path, monkeypatch):
    """One line for a folder that others closed."""

    def closed(_):
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(os, "scandir", closed)
    with pytest.raises(BadFile) as caught:
        read_folder(tmp_path, today=date(2016, 5, 1))
    assert str(caught.value) == (
        f"folder = {tmp_path}: can't be read (Permission denied); check the path, and who may read there."
    )


def test_start_never_overwrites(tmp_path):
    """One file in the way stops it before anything is written."""
    (tmp_path / "walks.csv").write_text("mine", encoding="utf-8")
    with pytest.raises(BadFile) as caught:
        start_folder(tmp_path, year=2016)
    assert str(caught.value) == (
        f"file = {tmp_path / 'walks.csv'}: is there already and is never overwritten; choose another folder, or move it away."
    )
    assert [path.name for path in tmp_path.iterdir()] == ["walks.csv"]


def test_what_start_made_is_silent_until_it_is_filled_in(folder):
    """A file left as it was made is no news; one filled in and not named is."""
    start_folder(folder.path / "new", year=2016)
    for name in ("catches.csv", "fields.geojson"):
        (folder.path / name).write_bytes((folder.path / "new" / name).read_bytes())
    files = '[files]\nfields = ["map.geojson"]\ncatches = "moths.csv"\n'
    folder.write("map.geojson", folder.outlines(folder.feature("north")))
    folder.write("moths.csv", "trap,read,moths\n")
    assert folder.told("season.toml", folder.season + files) == []
    folder.write("catches.csv", "trap,read,moths\nmill,2016-04-08,set\n")
    assert folder.told("season.toml") == [
        "note season.toml, file = catches.csv: nothing reads this file; did you mean 'moths.csv'? Correct it."
    ]


def test_headings_alone_are_silent(folder):
    """A table may wait for its first row all spring."""
    assert folder.told("plantings.csv", "field,planted\n") == []


def test_repairs_said_carry_the_options_of_the_intake(folder):
    """A repair that runs into another store, or for another day, repairs nothing."""
    folder.write("season.toml", folder.season + folder.station)
    folder.write("weather/yard.csv", folder.csv(folder.days(high=22, low=9)))
    (told,) = folder.told("weather/yard.csv", options="--store 'my farms.db' --today 2016-06-30")
    ask = "springwalk intake FOLDER --store 'my farms.db' --today 2016-06-30 --repair weather/yard.csv:"
    assert f"if the unit is C: {ask}unit=C; if it is right: {ask}as-is." in told


def test_money_and_team_are_read_and_a_wrong_number_is_listed(tmp_path):
    """Prices and people are typed once a season; a wrong one is a fault and stays not told."""
    text = '[season]\nname = "a"\nyear = 2016\n[money]\nyield = 190\nprice = -1\n'
    text += '[team]\npeople = 2\nleave = "6:30"\nlatitude = 40.8\n'
    (tmp_path / SEASON_FILE).write_text(text, "utf-8")
    read = next(iter(read_folder(tmp_path, today=date(2016, 5, 1))))
    season = read.records[0]
    assert (season.money.crop_bu_ac, season.money.price_usd_bu, season.money.pass_usd_ac) == (190, None, None)
    assert (season.team.people, season.team.leave, season.team.latitude) == (2, time(6, 30), None)
    told = [str(fault) for fault in read.faults]
    assert told[:2] == [
        "season.toml, money.price = -1: not from 0.01 to 100; correct it.",
        "season.toml, team.longitude = (blank): a place needs both; give the other one too.",
    ]
