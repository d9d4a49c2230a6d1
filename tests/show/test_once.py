"""What is the same in many fields is said once."""

from __future__ import annotations

from datetime import date

from springwalk.jobs.results import Row, Sheet
from springwalk.show.once import also_lines, guides, said_once
from tests.show import looks_sample
from tests.show.looks_sample import look, why

COLD = why("frost_low", date=date(2016, 5, 6), low_c=1.0, told=False, hours=None, low_ground=None)


def _fields(most: int) -> Sheet:
    """Fields with the same frost look, no walk of its own, and the same pest to watch for, told risks apart."""
    rows: list[Row] = []
    for k, row in enumerate(looks_sample.rows()[:most]):
        frost = look("frost", row.field, 7, 9, alone=False, why=(COLD,), look_for=(why("new_growth"),))
        slug = why(
            "watch_pest", pest="slug", name="slug", where="low spots", unit="plants", looks=50, act="", rescue="yes",
            because=("rye cover",) if k else (),
        )  # fmt: skip
        rows.append(row.model_copy(update={"looks": (*row.looks, frost), "also": (slug,)}))
    return looks_sample.sheet().model_copy(update={"rows": tuple(rows)})


def test_small_looks_and_pests_of_three_fields_are_said_once() -> None:
    """Each field then names them, with what was told of that field."""
    sheet = _fields(3)
    once = said_once(sheet)
    assert guides(sheet, once) == [
        {
            "title": "After frost:",
            "words": (
                "Down to 34 °F by the station on 6 May; low ground is colder on a still, clear night."
                " A new leaf pushing from the whorl: count plants with one and without."
            ),
        },
        {"title": "Slug:", "words": "Look at 50 plants, low spots first; no published count says when to act."},
    ]
    assert also_lines(sheet.rows[0], once) == ["After frost, 7–9 May.", "Slug."]
    assert also_lines(sheet.rows[1], once) == ["After frost, 7–9 May.", "Slug (rye cover)."]


def test_in_two_fields_each_says_its_own() -> None:
    """A guide for two fields would send the reader back and forth."""
    sheet = _fields(2)
    assert said_once(sheet) == {}
    lines = also_lines(sheet.rows[1], {})
    assert lines[0].startswith("After frost, 7–9 May. Down to 34 °F by the station")
    assert lines[1].startswith("Slug (rye cover): look at 50 plants, low spots first;")


def test_a_field_that_differs_keeps_its_own_words() -> None:
    """What is said once must be true of every field that leaves it out."""
    sheet = _fields(4)
    other = COLD.model_copy(update={"facts": {**COLD.facts, "low_c": -1.0}})
    odd = sheet.rows[3]
    looks = tuple(x.model_copy(update={"why": (other,)}) if x.code == "frost" else x for x in odd.looks)
    odd = odd.model_copy(update={"looks": looks})
    once = said_once(sheet.model_copy(update={"rows": (*sheet.rows[:3], odd)}))
    assert also_lines(odd, once)[0].startswith("After frost, 7–9 May. Down to 30 °F")
