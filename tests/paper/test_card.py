"""The stop-table card: one pocket page, its cautions with it, the same bytes each time."""

from __future__ import annotations

import io
from datetime import date

from pypdf import PdfReader

from springwalk.jobs.stop_told import FieldStops, PartStops, StopSaid
from springwalk.paper.card import card
from springwalk.show.stop_words import stop_lines, stop_text

TODAY = date(2016, 5, 24)


def part(**more: object) -> PartStops:
    """A part with a table of two stops."""
    rows = (
        StopSaid(stops=1, cut=0, stops_with=0, chance=0.8, answer="count on", on=None),
        StopSaid(stops=1, cut=1, stops_with=1, chance=0.2, answer="search and treat", on=None),
        StopSaid(stops=2, cut=0, stops_with=0, chance=0.7, answer="come back", on=date(2016, 5, 27)),
    )
    told = {
        "planting": "1", "zone": None, "area_ha": 30.0, "fresh_only": False, "places_per_stop": 20, "most_cut": 40,
        "stop_cost": 2.0, "larvae_found": False, "worth": 81.3, "stops_expected": 1.6, "search_odds": 0.3,
        "without": "leave", "without_on": None, "lost_without": 300.0, "table": rows, **more,
    }  # fmt: skip
    return PartStops.model_validate(told)


def field(*parts: PartStops) -> FieldStops:
    """A field of parts."""
    return FieldStops(field="n", name="North", today=TODAY, parts=parts)


def test_the_card_is_one_page_and_always_the_same() -> None:
    """It is folded into a pocket; a second page would be lost with the cautions on it."""
    made = card(field(part()))
    assert made == card(field(part()))
    pages = PdfReader(io.BytesIO(made)).pages
    assert len(pages) == 1
    text = " ".join(pages[0].extract_text().split())
    for said in ("When to stop counting", "about $81", "come back on 27 May", "label"):
        assert said in text


def test_a_table_that_begins_with_the_search_says_so() -> None:
    """No stop would change it, but a visit is worth it: not the same as nothing to do."""
    said = stop_lines(field(part(table=(), search_odds=1.0, worth=267.0)))[0]
    assert said.startswith("North: begin with the search for larvae; it is worth about $270,")
    said = stop_lines(field(part(table=(), search_odds=0.0, worth=0.0)))[0]
    assert said == "North: no count today would change what is best: leave it."


def test_a_treated_field_has_no_table() -> None:
    """Its flagged plants are looked at again instead."""
    assert stop_text(field())["treated"].startswith("treated, so no count decides here")
