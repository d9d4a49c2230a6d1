"""Names are one line of printable characters; only notes may run over several."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

import pytest

ODD = [("\u202e", r"\u202e"), ("\u200b", r"\u200b"), ("\u2066", r"\u2066"), ("\xa0", r"\xa0"), ("\x1b", r"\x1b")]


@pytest.mark.parametrize(("odd", "escaped"), ODD)
def test_what_cannot_be_seen_is_refused_and_shown_escaped(folder, odd, escaped):
    """A mark that turns or hides letters makes one name look like another, on the sheet and in a terminal."""
    assert folder.told("plantings.csv", f"field,hybrid\nnorth,A{odd}B\n") == [
        f"refused plantings.csv, row 2, column hybrid = A{escaped}B: holds a character that can't be printed ({escaped}); type the text again."
    ]
    text = folder.outlines(folder.feature(f"nor{odd}th"))
    assert folder.told("fields.geojson", text) == [
        f"refused fields.geojson, feature 1: id = nor{escaped}th: holds a character that can't be printed ({escaped}); type the text again."
    ]


@pytest.mark.parametrize("column", ["person", "lot", "name"])
def test_a_name_is_one_line(folder, column):
    """A second line in a name breaks every list it stands in."""
    table = {"person": "events.csv", "lot": "plantings.csv", "name": "zones.csv"}[column]
    heads = {"person": "field,date,event", "lot": "field,planted", "name": "field,zone,acres"}[column]
    row = {"person": "north,2016-04-02,tilled", "lot": "north,2016-05-02", "name": "north,low,5"}[column]
    told = folder.told(table, f'{heads},{column}\n{row},"two\nlines"\n')
    assert told == [f"refused {table}, row 2, column {column} = two\\nlines: holds a line break; write it on one line."]


def test_names_of_outlines_and_of_the_season(folder):
    """The grower's name stands on a letter, the season's on every sheet."""
    text = folder.outlines(folder.feature("north", grower="A\nB"))
    assert folder.told("fields.geojson", text) == [
        "refused fields.geojson, feature 1 (north): grower = A\\nB: holds a line break; write it on one line."
    ]
    assert folder.told("season.toml", '[season]\nname = "A\\u202EB"\nyear = 2016\n') == [
        r"refused season.toml, season.name = A\u202eB: holds a character that can't be printed (\u202e); type the text again."
    ]


def test_a_note_may_run_over_lines_but_not_backwards(folder):
    """Notes are kept as they were written."""
    heads = "field,date,event,note\n"
    assert folder.told("events.csv", heads + 'north,2016-04-02,tilled,"two\nlines"\n') == []
    assert folder.read()["events.csv"].records[0].note == "two\nlines"
    assert folder.told("events.csv", heads + 'north,2016-04-02,tilled,"two\n\u202elines"\n') == [
        r"refused events.csv, row 2, column note = two\n\u202elines: holds a character that can't be printed (\u202e); type the text again."
    ]


def test_letters_of_any_language_are_names(folder):
    """Printable is not ASCII."""
    assert folder.told("plantings.csv", "field,hybrid\nnorth,Größe Ñandú 玉米\n") == []
