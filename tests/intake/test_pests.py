"""pest_counts.csv: pests other than cutworm."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

from datetime import date

import pytest

from springwalk.intake.words import PESTS
from springwalk.records import PestCount
from springwalk.tables import rows

HEADS = "field,date,pest,unit,looked,insects,with,size,zone,planting,person,note\n"
LIST = ", ".join(PESTS)


def test_a_count_with_all_its_parts(folder):
    """A verdict needs units, insects, units with any, and their size."""
    folder.write("zones.csv", "field,zone,acres\nnorth,low,10\n")
    assert (
        folder.told(
            "pest_counts.csv", HEADS + "north,2016-05-18,True armyworm,plant,100,12,9,0.5in,low,,Wren,by the rye\n"
        )
        == []
    )
    assert folder.read()["pest_counts.csv"].records == (
        PestCount(
            field="north", date=date(2016, 5, 18), pest="true armyworm", unit="plant", looked=100, insects=12, units_with=9,
            length_mm=12.7, zone="north/low", person="Wren", note="by the rye",
        ),
    )  # fmt: skip


@pytest.mark.parametrize("pest", rows("pests"), ids=PESTS)
def test_every_name_of_a_pest_is_read_without_a_word(folder, pest):
    """Other common names are the same thing: the table names them, so nothing is guessed."""
    names = [pest["key"], pest["key"].upper(), pest["key"] + "s", *[word for word in pest["also"].split(";") if word]]
    text = HEADS + "".join(f"north,2016-05-{day + 1:02d},{name},,10,0,,,,,,\n" for day, name in enumerate(names))
    assert folder.told("pest_counts.csv", text) == []
    assert [one.pest for one in folder.read()["pest_counts.csv"].records] == [pest["key"]] * len(names)


def test_own_words_for_a_pest(folder):
    """A local name is mapped once in season.toml."""
    folder.write("season.toml", folder.season + '[values.pests]\n"drill worm" = "wireworm"\n')
    assert folder.told("pest_counts.csv", HEADS + "north,2016-05-18,Drill worm,,10,2,,,,,,\n") == []
    assert folder.read()["pest_counts.csv"].records[0].pest == "wireworm"


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("north,2016-05-18,wireworn,,10,1", f"column pest = wireworn: not on the list; did you mean 'wireworm'? (One of: {LIST}); "
         "or say what your word means under [values.pests] in season.toml."),
        ("north,2016-05-18,slug,,,1", "column looked = (blank): is needed; fill it in."),
        ("north,2016-05-18,slug,,0,1", "column looked = 0: below 1; write a number from 1 to 100000."),
        ("north,2016-05-18,slug,,10,", "column insects = (blank): nothing counted; write insects (0 for none), or with: how many units had any."),
        ("north,2016-05-18,slug,,10,,11", "column with = 11: more than the 10 looked at; correct one of the two."),
        ("north,2016-05-18,slug,,10,IIII", "column insects = IIII: tally marks, not a number; count them and write the number."),
        ("north,2016-05-18,slug,,10,1,1,90", "column size = 90: not above 0 and at most 80 mm; write the length in mm, such as 12."),
        ("north,2016-07-18,slug,,10,1", "column date = 2016-07-18: after today (2016-06-30); write the day it was seen."),
        ("nort,2016-05-18,slug,,10,1", "column field = nort: no field has this id or name; did you mean 'north'? Correct it, or add its outline to fields.geojson."),
    ],
)  # fmt: skip
def test_fault_texts(folder, row, told):
    """Each refusal says what is wrong and what to do."""
    assert folder.told("pest_counts.csv", HEADS + row + "\n") == [f"refused pest_counts.csv, row 2, {told}"]
