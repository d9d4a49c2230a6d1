"""seed_lots.csv, and the lots that plantings name."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

import pytest

from springwalk.intake import Known
from springwalk.records import SeedLot

HEADS = "lot,hybrid,trait,treatment,warm,cold,note\n"


def test_a_lot_with_its_tests(folder):
    """A weak cold test is why a field is dug first after cold rain."""
    assert folder.told("seed_lots.csv", HEADS + "L1,Made-up 5,one,treated,95%,82.5,old seed\nL2/a,,,,,,\n") == []
    first, second = folder.read()["seed_lots.csv"].records
    assert first == SeedLot(
        id="L1", hybrid="Made-up 5", trait="one", treatment="treated", warm_pct=95, cold_pct=82.5, note="old seed"
    )
    assert (second.id, second.warm_pct, second.cold_pct) == ("L2/a", None, None)


def test_a_planting_names_a_lot_in_any_case_and_an_unknown_one_is_noted(folder):
    """The planting is right whether or not the tag was typed in."""
    folder.write("seed_lots.csv", HEADS + "Lot-7,,,,,,\n")
    assert folder.told("plantings.csv", "field,lot\nnorth,lot-7\nsouth,Lot-8\n") == [
        "note plantings.csv, row 3, column lot = Lot-8: no seed lot has this id; it is kept as written; did you mean 'Lot-7'? Correct it."
    ]
    assert [one.lot for one in folder.read()["plantings.csv"].records] == ["Lot-7", "Lot-8"]


def test_without_any_lot_nothing_is_said(folder):
    """Who keeps no seed tags is not to be told of each planting."""
    assert folder.told("plantings.csv", "field,lot\nnorth,Lot-7\n") == []


def test_lots_held_in_the_store_count(folder):
    """A folder with new plantings alone still speaks of known lots; an outline's planting does too."""
    folder.write(
        "fields.geojson",
        folder.outlines(folder.feature("north", plantings=[{"lot": "L9"}, {"planting": "2", "lot": "X"}])),
    )
    told = folder.told("fields.geojson", None, known=Known(lots=frozenset({"L9"})))
    assert told == [
        "note fields.geojson, feature 1 (north): plantings 2 lot = X: no seed lot has this id; it is kept as written; add it to seed_lots.csv."
    ]


@pytest.mark.parametrize(
    ("row", "told"),
    [
        (",a,,,,,", "column lot = (blank): is needed; fill it in."),
        ("L1,,,,101,,", "column warm = 101: above 100; write a number from 0 to 100."),
        ("L1,,,,,good,", "column cold = good: not a number; write a plain number such as 12 or 4.5."),
    ],
)
def test_fault_texts(folder, row, told):
    """Each refusal says what is wrong and what to do."""
    assert folder.told("seed_lots.csv", HEADS + row + "\n") == [f"refused seed_lots.csv, row 2, {told}"]
