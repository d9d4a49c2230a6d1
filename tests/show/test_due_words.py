"""The due list in words."""

from __future__ import annotations

import json

from springwalk.jobs.due import due_of
from springwalk.jobs.results import Row
from springwalk.show import due_words
from tests.show import looks_sample, sample


def test_the_due_list_is_answer_first() -> None:
    """One sentence says how many looks press, in the singular and the plural."""
    due = due_of(looks_sample.sheet())
    assert due_words.headline(due) == "Sunday 8 May: one look overdue, two on their last day, five due"
    calm = due.model_copy(update={"overdue": (), "last_day": due.last_day[:1]})
    assert due_words.headline(calm) == "Sunday 8 May: one look on its last day, five due"
    assert due_words.headline(calm.model_copy(update={"last_day": ()})) == "Sunday 8 May: five looks due"
    one = calm.model_copy(update={"last_day": (), "due": due.due[:1]})
    assert due_words.headline(one) == "Sunday 8 May: one look due"


def test_headings_press_in_order_and_empty_ones_are_left_out() -> None:
    """Overdue stands first; what does not exist has no heading."""
    assert [title for title, _ in due_words.groups(due_of(looks_sample.sheet()))] == [
        "Overdue: one look", "Last day today: two looks", "Due today: five looks", "In the next 14 days: two looks",
    ]  # fmt: skip


def test_each_line_says_why_and_how_it_ends() -> None:
    """A closed or wet field says so, and every look has the command that ends it."""
    due = due_of(looks_sample.sheet())
    text = due_words.text(due)
    assert max(len(line) for line in text.splitlines()) <= due_words.WIDTH
    lines = [*due.overdue, *due.last_day, *due.due, *due.coming]
    assert len(lines) == 10
    for line in lines:
        assert f"springwalk done {line.look.key}\n" in text
    flat = " ".join(text.split())
    assert "Mill East: Count the stand, 7–9 May Keep out until Monday 9 May, 06:30." in flat
    assert "Pond Quarter: Count the stand, 6–8 May Too wet today." in flat
    ends = {due_words.line_text(line, due_words.known_in(due))["ends"] for line in lines}
    assert ends == {"A walk ends it.", "Ends when somebody says it was done."}


def test_a_key_with_blanks_can_be_pasted() -> None:
    """Ids may hold blanks and quotes; the command must still name one look."""
    due = due_of(looks_sample.sheet())
    odd = due.overdue[0].model_copy(update={"look": due.overdue[0].look.model_copy(update={"key": "hail:Bob's 40::x"})})
    assert due_words.done_command(odd) == """springwalk done 'hail:Bob'"'"'s 40::x'"""


def test_an_empty_list_says_so() -> None:
    """No look anywhere is said in words, with where to read on."""
    text = " ".join(due_words.text(due_of(sample.sheet())).split())
    assert text == f"Tuesday 17 May: no look is due {due_words.NONE}"


def test_json_has_every_state_and_the_words() -> None:
    """A program gets each look once, with what ends it."""
    data = json.loads(due_words.as_json(due_of(looks_sample.sheet())))
    assert data["words"]["headline"].startswith("Sunday 8 May: one look overdue")
    counts = {name: len(data[name]) for name in ("overdue", "last_day", "due", "coming", "missed")}
    assert counts == {"overdue": 1, "last_day": 2, "due": 5, "coming": 2, "missed": 0}
    assert data["overdue"][0]["done"] == "springwalk done recheck:elm-bottom:1:2016-04-28"
    assert data["overdue"][0]["words"]["front"] == "Overdue"


def test_fields_of_one_name_are_told_apart() -> None:
    """Two farms may both have a Home quarter: terminal and paper say whose, or the id where the grower doesn't tell."""
    sheet = looks_sample.sheet()
    first, second, third = [row for row in (*sheet.rows, *sheet.rest) if row.looks][:3]

    def called(*growers: str) -> set[str]:
        as_now = dict(zip((first.field, second.field, third.field), growers, strict=True))

        def renamed(row: Row) -> Row:
            told = {"name": "Home quarter", "grower": as_now[row.field]} if row.field in as_now else {}
            return row.model_copy(update=told)

        made = sheet.model_copy(
            update={"rows": tuple(map(renamed, sheet.rows)), "rest": tuple(map(renamed, sheet.rest))}
        )
        due = due_of(made)
        on_paper = {row["name"] for group in due_words.paper_groups(made) for row in group["rows"]}
        found = {name for name in on_paper if name.startswith("Home quarter")}
        assert all(f"{name}: " in due_words.text(due) for name in found)
        return found

    ids = [f"Home quarter ({row.field})" for row in (first, second, third)]
    assert called("Elm", "Oak", "Ash") == {f"Home quarter ({grower})" for grower in ("Elm", "Oak", "Ash")}
    assert called("Elm", "Elm", "Oak") == {ids[0], ids[1], "Home quarter (Oak)"}
    assert called("", "Elm", "Oak") == {ids[0], "Home quarter (Elm)", "Home quarter (Oak)"}
