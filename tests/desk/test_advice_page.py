"""Advice on the pages: on the field's page, on the morning page where something is to be done, and riding along."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from springwalk.jobs.take_in import take_in
from springwalk.store import open_store
from tests.desk.client import Client, logged_in
from tests.seasons import write_season

MAY_24 = date(2016, 5, 24)
WALK = (
    "walk,field,date,person,places,fresh_cut_at,old_cut,collars,searched,larvae_mm\n"
    "w9,north,2016-05-23,Ann,100,5,0,2,40,13 14 15\n"
)


@pytest.fixture(scope="module")
def inside(tmp_path_factory: pytest.TempPathFactory) -> Client:
    """A client logged in at the small season, in which one field was walked and larvae were found."""
    folder: Path = tmp_path_factory.mktemp("advised")
    made = str(folder / "season.db")
    with open_store(made, create=True) as store:
        take_in(store, write_season(folder / "farm", {"walks.csv": WALK}), today=MAY_24)
    return logged_in(made, MAY_24, forms=False)


def test_the_field_says_what_to_do_and_what_it_rests_on(inside: Client) -> None:
    """The answer is in the title and in the advice; losses, odds, ranges, terms and cautions are on the page."""
    page = inside.get("/field/north").text
    assert "<h1>The north field: spray on" in page
    assert "Odds it is best" in page
    assert "larvae per 100 plants that cut" in page
    assert "nobody typed" in page.casefold()
    assert "The product label is the law" in page
    assert "What the walk of 23 May changed" in page


def test_the_morning_names_it_and_leads_there(inside: Client) -> None:
    """Whoever opens the morning sees first what was found to do."""
    page = inside.get("/").text
    assert page.index("Advice on what was walked") < page.index("Walk today")
    assert 'href="/field/north"' in page


def test_a_pass_that_goes_anyway_changes_the_advice(inside: Client) -> None:
    """The product alone is cheaper than a pass of its own, so it rides along; a slip is told."""
    page = inside.get("/field/north?pass_in=1").text
    assert "ride along with the pass on 25 May" in page
    assert 'name="pass_in" inputmode="numeric" maxlength="3" value="1"' in page
    wrong = inside.get("/field/north?pass_in=soon")
    assert wrong.status_code == 422
    assert "days to the pass = soon: not a whole number of days from 0 to 30; write it like 3." in wrong.text


def test_a_field_nobody_walked_says_why_there_is_no_advice(inside: Client) -> None:
    """An empty line would read as 'nothing to do'."""
    assert "Advice comes from a walk: none counted yet." in inside.get("/field/south").text


def test_the_stop_table_is_a_page_and_a_card(inside: Client) -> None:
    """It is read in the row: the answer first, the cautions with it."""
    page = inside.get("/field/south/stop-table").text
    assert "When to stop counting in The south field" in page
    assert "Before anyone sprays" in page
    assert inside.get("/field/south/stop-table.pdf").content.startswith(b"%PDF")
    assert inside.get("/field/nowhere/stop-table").status_code == 404
