"""Looks and the due list on the desk's pages."""

from __future__ import annotations

import html
import re
from datetime import date

from springwalk.desk.entries import Entries
from springwalk.desk.questions import Questions
from springwalk.jobs.results import Sheet
from tests.desk.client import Client, asking_of
from tests.show import looks_sample, sample


def _never(*_: object) -> None:
    raise AssertionError("a page that is only read must enter nothing")


def _inside(sheet: Sheet | None = None, *, forms: bool = True) -> Client:
    shown = sheet or looks_sample.sheet()
    entries = Entries(enter=_never, end=_never, undo=_never, look=_never, today=lambda: date(2016, 5, 8))  # type: ignore[arg-type]
    asked = Questions(sheet=lambda: shown, field=looks_sample.field_page)
    return asking_of(asked, entries if forms else None)


def _plain(text: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())


def test_the_morning_names_each_job_with_its_days() -> None:
    """Answer first without a moth: jobs, why, what for; no yardstick, and kept-out fields before others that rest."""
    text = _inside().get("/").text
    said = _plain(text)
    assert "<h1>Sunday 8 May: walk five fields</h1>" in text
    assert "<h3>Overdue: After the treatment, was due 4–6 May</h3>" in text
    assert "<h3>Last day: Dig for cold-soaked seed, 6–8 May</h3>" in text
    assert "Can do Ask early whether seed of the right maturity is still to be had." in said
    assert "Not yet Don't decide on replanting before the spike has had its time, 12 May (10–14)." in said
    assert "Also Wireworm : look at 12 bait stations" in said
    assert "yardstick" not in said
    order = [said.index(mark) for mark in ("Keep out: one field", "Too wet today: one field", "Look on a later date")]
    assert order == sorted(order)
    assert said.count("Count plants in ten measured row lengths") == 1


def test_the_due_page_lists_every_look_with_its_two_endings() -> None:
    """Each look can be said to be done, or set aside with a reason, by a form that needs no script."""
    text = _inside().get("/due").text
    assert "<h1>Sunday 8 May: one look overdue, two on their last day, five due</h1>" in text
    assert 'href="/due" aria-current="page"' in text
    assert text.count('action="/done"') == 20
    assert text.count('name="outcome" value="done"') == text.count('name="outcome" value="set aside"') == 10
    assert len(re.findall(r'name="token" value="[0-9a-f]{64}"', text)) == 20
    assert '<input type="hidden" name="look" value="recheck:elm-bottom:1:2016-04-28">' in text
    assert text.count('name="note" required') == 10
    assert "Keep out until Monday 9 May, 06:30." in text
    assert not re.search(r"<script|<style|\sstyle=|\son\w+=", text)


def test_without_a_way_to_enter_there_are_no_forms() -> None:
    """A desk that only answers shows the list and no button that would fail."""
    client = _inside(forms=False)
    assert "<form" not in client.get("/due").text
    assert "<form" not in client.get("/field/north-eighty").text


def test_an_empty_due_list_says_so() -> None:
    """No look at all is said in words."""
    text = _plain(_inside(sample.sheet()).get("/due").text)
    assert "Tuesday 17 May: no look is due No look is due or coming in the next 14 days." in text


def test_a_field_page_has_its_looks_and_seedbed() -> None:
    """Five lines first, then the looks with what they rest on, then soil and what was told of passes and seed."""
    said = _plain(_inside().get("/field/north-eighty").text)
    marks = (
        "North Eighty: walk it today",
        "Next look",
        "Last day: Dig for cold-soaked seed",
        "Seedbed",
        "Told and seen",
    )
    order = [said.index(mark) for mark in marks]
    assert order == sorted(order)
    assert "Basis: trade, common practice." in said
    assert "Soil at 4 in. (10 cm): 51 (48–54) °F" in said
    assert "Herbicide on 20 April; entry interval typed: 12 hours, told by R. Alder." in said
    assert "Seed lot L7: H 108, cold test 71 %, warm test 96 %." in said


def test_a_locked_field_says_so_in_its_headline() -> None:
    """Nobody reads on to find out that a field is closed."""
    assert "<h1>Mill East: keep out until Monday 9 May, 06:30</h1>" in _inside().get("/field/mill-east").text
