"""Fields that are not walked today: each under its heading, with a reason and what comes next."""

from __future__ import annotations

from datetime import date

from springwalk.jobs.results import KeepOut, Row, Sheet
from springwalk.show import look_text, rest_words, words
from springwalk.show.sheet_text import walk_text
from tests.show import looks_sample
from tests.show.looks_sample import TODAY, look, why


def _row(ident: str) -> Row:
    return next(row for row in (*looks_sample.rows(), *looks_sample.rest()) if row.field == ident)


def _only(*rows: Row, rest: tuple[Row, ...] = ()) -> Sheet:
    return looks_sample.sheet().model_copy(update={"rows": rows, "rest": rest})


def test_every_field_that_rests_has_a_reason_and_what_comes_next() -> None:
    """Five headings, kept out first; no line without why and when or what to do."""
    groups = rest_words.rest_groups(looks_sample.sheet())
    assert [title for title, _ in groups] == [
        "Keep out: one field", "Too wet today: one field", "Can't say yet: one field",
        "Look on a later date: two fields", "Nothing more to look for: one field",
    ]  # fmt: skip
    said = {row.field: rest_words.rest_words(row, TODAY) for row in looks_sample.rest()}
    assert said == {
        "mill-east": (
            "Insecticide (Sample 1 EC) went on 7 May: keep out until Monday 9 May, 06:30. Then: count the stand,"
            " 7–9 May: Expected up 2 May (1–4) by heat since planting; add the day it came up."
        ),
        "pond-quarter": (
            "Too wet after 1.1 in. of rain in the last two days, up to 7 May; likely fit to walk Tuesday 10 May"
            " if no more falls."
            " Then: count the stand, 6–8 May, still worth doing then: Expected up 1 May (30 April–3 May) by heat since"
            " planting; add the day it came up."
        ),
        "hilltop": (
            "No planting date told. Planted: add the date, or note whether it is up. Not planted: nothing to do here"
            " yet."
        ),
        "south-draw": (
            "No significant moth capture counts for this field. Next: count the stand, 12–14 May;"
            " emergence 7 May (6–9)."
        ),
        "lane-side": "No significant moth capture counts for this field. Next: count the stand, 10–12 May.",
        "gravel": (
            "No significant moth capture counts for this field. Nothing more to look for before six collars."
            " Note hail, frost, wind or standing water here if it comes."
        ),
    }


def test_a_walk_for_cutworm_before_the_next_look_is_not_lost() -> None:
    """The reason names the stand count of 12 May; the cutworm walk of 10 May comes first and is said."""
    row = _row("south-draw").model_copy(update={"come_back": date(2016, 5, 10)})
    assert rest_words.rest_words(row, TODAY).endswith("Before that, walk for cutworm Tuesday 10 May.")
    assert rest_words.next_look(row, TODAY) == "Tuesday 10 May."
    assert rest_words.next_look(_row("south-draw"), TODAY) == "Thursday 12 May: count the stand."


def test_a_field_held_out_with_nothing_due_still_says_what_comes() -> None:
    """A lock alone is no answer to when the field is looked at."""
    held = _row("mill-east")
    later = held.model_copy(update={"looks": _row("lane-side").looks})
    assert rest_words.rest_words(later, TODAY).endswith("Next: count the stand, 10–12 May.")
    nothing = held.model_copy(update={"looks": (), "why": ()})
    assert rest_words.rest_words(nothing, TODAY).endswith("Nothing is due there now.")
    assert held.keep_out is not None
    untold = KeepOut.model_validate({**held.keep_out.model_dump(), "opens": None})
    assert "type it from the label in hand" in rest_words.rest_words(
        held.model_copy(update={"keep_out": untold}), TODAY
    )
    assert rest_words.keep_out_short(untold) == "Keep out: no entry interval typed."


def test_a_look_that_is_no_drive_of_its_own_makes_no_walk() -> None:
    """It has a heading of its own, is not in the lead, and does not make a wet field one that is waited for."""
    blew = why("wind_told", date=date(2016, 5, 5))
    small = look("wind", "gravel", 6, 9, alone=False, why=(blew,))
    said = why("when_passing", code="wind", date=small.opens, closes=small.closes)
    row = _row("gravel").model_copy(update={"looks": (small,), "why": (said,)})
    sheet = _only(rest=(row,))
    assert [title for title, _ in rest_words.rest_groups(sheet)] == ["Only if you pass by: one field"]
    assert rest_words.rest_words(row, TODAY) == (
        "If you pass by: look again after wind, 6–9 May. It is not worth a drive of its own."
    )
    assert words.headline(sheet) == "Sunday 8 May: no field needs a walk"
    there = _row("schoolhouse").model_copy(update={"looks": (*_row("schoolhouse").looks, small)})
    assert look_text.jobs_lead(_only(there), {"schoolhouse": "Schoolhouse"}) == "Count the stand in Schoolhouse."
    said = walk_text(there, "", {})
    assert [job["title"] for job in said["jobs"]] == ["Count the stand, 7–9 May"]
    assert said["also"] == ["After wind, 6–9 May. Strong wind on 5 May."]


def test_nothing_that_is_due_reads_as_no_walk_needed() -> None:
    """All fields wet or closed: the headline says that nobody can go in, not that nothing is needed."""
    sheet = _only(rest=looks_sample.rest()[:2])
    assert words.headline(sheet) == "Sunday 8 May: no field can be walked yet"
    assert words.lead(sheet).startswith("Something is due in Mill East and Pond Quarter, but nobody can go in yet.")
