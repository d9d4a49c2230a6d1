"""CSV files as a whole: bytes, headings, separators, quotes."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

import pytest

PLAIN = "field,planted\nnorth,2016-04-28\n"


def test_good_file_gives_its_record_and_no_fault(folder):
    """The plain case: nothing is listed where nothing is wrong."""
    assert folder.told("plantings.csv", PLAIN) == []
    (planting,) = folder.read()["plantings.csv"].records
    assert (planting.id, str(planting.planted)) == ("north/1", "2016-04-28")


@pytest.mark.parametrize(
    "text",
    [
        b"\xef\xbb\xbf" + PLAIN.encode(),
        PLAIN.replace("\n", "\r\n").encode(),
        PLAIN.replace("\n", "\r").encode(),
        b"\n\n" + PLAIN.replace("\n", "\n\n").encode(),
        b"Field , PLANTED,,\nnorth, 2016-04-28 ,,\n",
    ],
    ids=["byte order mark", "CRLF", "CR", "blank lines", "case and blanks"],
)
def test_harmless_ways_of_writing_are_read(folder, text):
    """What spreadsheets do to a file without changing its meaning must not cost a row."""
    assert folder.told("plantings.csv", text) == []
    assert len(folder.read()["plantings.csv"].records) == 1


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (b"", "refused plantings.csv, size = 0 bytes: the file is empty; save it again, or take it out."),
        (b"\n \n", "refused plantings.csv, size = 3 bytes: the file is empty; save it again, or take it out."),
        (
            b"field,hybrid\nnorth,caf\xe9\n",
            "refused plantings.csv, line 2, byte 23 = 0xe9: not UTF-8; save it again as UTF-8 (in a spreadsheet: 'CSV UTF-8').",
        ),
        (
            "field\nnorth\n".encode("utf-16"),
            r"refused plantings.csv, byte 1 = b'\xff\xfe': UTF-16, not UTF-8; save it again as UTF-8 (in a spreadsheet: 'CSV UTF-8').",
        ),
        (
            b"field\nno\0rth\n",
            "refused plantings.csv, character 9 = NUL: not text; save it again as UTF-8 (in a spreadsheet: 'CSV UTF-8').",
        ),
        (
            b"field;planted\nnorth;2016-04-28\n",
            "refused plantings.csv, row 1, column headings = field;planted: columns are separated by semicolons, "
            "not commas; save it again with commas between the columns.",
        ),
        (
            b"fields,planted\nnorth,2016-04-28\n",
            "refused plantings.csv, row 1, column headings = field: needed and not there (found: fields, planted); "
            "field: did you mean 'fields'? add it, or name your own heading under [columns] in season.toml.",
        ),
        (
            b"field,field\nnorth,north\n",
            "refused plantings.csv, row 1, column field = field: this heading is there twice; delete or rename one.",
        ),
        (
            b"field,colour,hybird\nnorth,red,A1\n",
            "note plantings.csv, row 1, column headings = colour, hybird: columns not known here; they are not read; "
            "rename or delete them if they were meant to be read (hybird: did you mean 'hybrid'?).",
        ),
        (
            b'field,lot\nnorth,"open\nsouth,x\n',
            "refused plantings.csv, row 2 = (unreadable): a quote opens here and is never closed; the rest was not read; "
            "close or delete the quote.",
        ),
        (
            b"field,acres\nnorth,1,234\n",
            "refused plantings.csv, row 2, column after the last heading = 234: the row has 3 cells, the headings 2; "
            "quote a cell that holds a comma.",
        ),
        (
            b'field,acres\nnorth,"1,234"\n',
            "refused plantings.csv, row 2, column acres = 1,234: a number can't hold a thousands comma; write 1234.",
        ),
        (
            b"field,acres\nnorth,80in\n",
            "refused plantings.csv, row 2, column acres = 80in: not a number with a unit of this kind; "
            "write it like 12ac (units: ha, ac; none means ac).",
        ),
        (
            b'field,seeds_per_acre\nnorth,"34,000"\n',
            "refused plantings.csv, row 2, column seeds_per_acre = 34,000: a number can't hold a thousands comma; write 34000.",
        ),
        (
            b"field,planted\nnorth,4/30/2016\n",
            "refused plantings.csv, row 2, column planted = 4/30/2016: day and month can't be told apart in this form; "
            'write it like 2016-04-30, or give date_format = "%m/%d/%Y" in season.toml if month comes first.',
        ),
        (
            b"field,planted\nnorth,2016-02-30\n",
            "refused plantings.csv, row 2, column planted = 2016-02-30: no such day in the calendar; correct the date.",
        ),
        (
            b"field,note\n,\nnorth\x07,x\n",
            r"refused plantings.csv, row 3, column field = north\x07: holds a character that can't be printed (\x07); type the text again.",
        ),
        (
            b"field,planting\nnorth,a/b\n",
            "refused plantings.csv, row 2, column planting = a/b: an id can't hold '/'; use '-' instead.",
        ),
    ],
)  # fmt: skip
def test_fault_texts_of_tables(folder, text, expected):
    """Each fault says where, what, which rule and what to do."""
    assert expected in folder.told("plantings.csv", text)


def test_row_after_a_quoted_newline_keeps_its_own_line_number(folder):
    """The row said must be the line a person finds in the file."""
    text = 'field,date,event,note\nnorth,2016-04-02,tilled,"two\nlines"\n\nnroth,2016-04-02,tilled,x\n'
    (fault,) = folder.told("events.csv", text)
    assert fault.startswith(
        "refused events.csv, row 5, column field = nroth: no field has this id or name; did you mean 'north'?"
    )
    assert folder.read()["events.csv"].records[0].note == "two\nlines"


@pytest.mark.parametrize("first", ["sep=,\n", "SEP=,\r\n", '"sep=,"\n'])
def test_a_first_line_that_names_the_separator_is_passed_over(folder, first):
    """Spreadsheets write it; the rows after it keep their line numbers."""
    told = folder.told("plantings.csv", first + "field,planted\nnorth,2016-05-01\nsouth,soon\n")
    assert told == ["refused plantings.csv, row 4, column planted = soon: not a date; write it like 2016-04-30."]
    assert [record.id for record in folder.read()["plantings.csv"].records] == ["north/1"]


def test_a_separator_line_before_weather(folder):
    """Also where the form of the file is told by its first line."""
    folder.write("season.toml", folder.season + folder.station + 'format = "auto"\ntemperature_unit = "tenths C"\n')
    folder.write("weather/yard.csv", "sep=,\nSTATION,DATE,TMAX,TMIN\nyard,2016-04-01,211,100\n")
    assert [day.max_c for day in folder.read()["weather/yard.csv"].days] == [21.1]


def test_another_separator_is_still_refused(folder):
    """Only commas are read, whatever the first line says."""
    (told,) = folder.told("plantings.csv", "sep=;\nfield;planted\nnorth;2016-05-01\n")
    assert told.startswith(
        "refused plantings.csv, row 2, column headings = field;planted: columns are separated by semi"
    )


def test_good_rows_beside_bad_ones_are_kept(folder):
    """One bad row must not cost the others."""
    folder.write("plantings.csv", "field,planting,planted\nnorth,1,2016-04-28\nnorth,2,soon\nsouth,1,2016-05-02\n")
    read = folder.read()["plantings.csv"]
    assert [record.id for record in read.records] == ["north/1", "south/1"]
    assert [(fault.row, fault.column, fault.value, fault.severity) for fault in read.faults] == [
        (3, "planted", "soon", "refused")
    ]


def test_size_is_checked_before_reading(folder):
    """A huge file must be refused without being read: its hash stays empty."""
    folder.write("plantings.csv", PLAIN)
    (read,) = [read for name, read in folder.read(limit_bytes=200).items() if name == "fields.geojson"]
    assert read.sha256 == ""
    size = (folder.path / "fields.geojson").stat().st_size
    assert str(read.faults[0]) == (
        f"fields.geojson, size = {size} bytes: over the limit of 200 bytes; nothing was read; "
        "split it, or take out the years not needed."
    )


def test_own_headings_are_read_and_shown(folder):
    """A fault must name the heading the user sees."""
    folder.write("season.toml", folder.season + '[columns.plantings]\nplanted = "seeded on"\n')
    (fault,) = folder.told("plantings.csv", "field,Seeded On\nnorth,2016-04-28\nsouth,x\n")
    assert fault == "refused plantings.csv, row 3, column Seeded On = x: not a date; write it like 2016-04-30."


def test_us_dates_are_read_only_where_the_season_says_so(folder):
    """4/5 may be April or May: only season.toml can tell."""
    folder.write("season.toml", folder.season + 'date_format = "%m/%d/%Y"\n')
    assert folder.told("plantings.csv", "field,planted\nnorth,4/5/2016\nsouth,2016-04-06\n") == []
    assert [str(one.planted) for one in folder.read()["plantings.csv"].records] == ["2016-04-05", "2016-04-06"]


def test_list_of_faults_ends_at_its_limit(folder):
    """A file of junk must not fill the memory with faults; the rest is counted."""
    told = folder.told("plantings.csv", "field\n" + "x\n" * 10_003)
    assert len(told) == 10_001
    assert told[-1] == "refused plantings.csv, more faults = 3: only the first 10000 are listed; mend those first."


def test_a_heading_that_fits_another_column_is_not_suggested() -> None:
    """ "Trap type" is the kind of trap, not a misspelt "trap"; a wrong hint costs more than none."""
    from springwalk.intake.faults import CLOSE_HEADING, did_you_mean

    assert not did_you_mean("trap", ["Location", "Trap type"], closeness=CLOSE_HEADING).startswith("did")
    assert did_you_mean("field", ["fields"], closeness=CLOSE_HEADING) == "did you mean 'fields'"
