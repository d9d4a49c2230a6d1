"""The page of the day: its form, its map and its paper; what is typed wrong is told."""

from __future__ import annotations

from pathlib import Path

import pytest

from springwalk.jobs.take_in import take_in
from springwalk.store import open_store
from tests.desk.client import Client, logged_in
from tests.seasons import TODAY, write_season


@pytest.fixture(scope="module")
def inside(tmp_path_factory: pytest.TempPathFactory) -> Client:
    """A client logged in at the small season."""
    folder: Path = tmp_path_factory.mktemp("day")
    made = str(folder / "season.db")
    with open_store(made, create=True) as store:
        take_in(store, write_season(folder / "farm"), today=TODAY)
    return logged_in(made, TODAY, forms=False)


@pytest.mark.slow
def test_the_day_is_planned_for_who_is_typed(inside: Client) -> None:
    """Names stand on the page and in the form again; the map and the paper are of the same team."""
    page = inside.get("/day?people=Ann,Ben&hours=5&leave=06:30&start=40.7,-96.86")
    assert page.status_code == 200
    assert 'value="Ann,Ben"' in page.text
    assert "leave 6:30" in page.text
    assert "/day.svg?people=Ann%2CBen&amp;hours=5&amp;leave=06%3A30" in page.text
    svg = inside.get("/day.svg?people=Ann,Ben&hours=5")
    assert (svg.status_code, svg.headers["content-type"].split(";")[0]) == (200, "image/svg+xml")
    paper = inside.get("/day.pdf?people=Ann,Ben&hours=5")
    assert paper.content.startswith(b"%PDF")


def test_without_a_word_it_is_the_usual_day(inside: Client) -> None:
    """Nobody told who walks: one person, seven hours, said as an assumption where money is."""
    page = inside.get("/day").text
    assert "7 hours from 7:00" in page
    assert "that is an assumption" in page


def test_what_can_not_be_is_told(inside: Client) -> None:
    """A slip in the form ends with one line that says what to do."""
    for query, text in (
        ("hours=25", "hours = 25: must be above 0 and at most 16; give the hours each person has."),
        ("people=none,none", "people = none,none: not a number, nor names that differ; write 2, or Ann,Ben."),
        ("start=north", "from = north: not a place; write latitude and longitude, like 40.8,-96.7."),
        ("leave=noon-ish", "leave = noon-ish: "),
    ):
        page = inside.get(f"/day?{query}")
        assert page.status_code == 422
        assert text in page.text
