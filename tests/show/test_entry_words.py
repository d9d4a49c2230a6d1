from __future__ import annotations

from datetime import date, datetime, time
from typing import Any, get_args

import pytest

from springwalk.jobs.entered import Entered, Outcome
from springwalk.jobs.results import Look, Reason
from springwalk.records.places import EventKind
from springwalk.show.entry_words import EVENTS, receipt

DAY = date(2016, 5, 18)
HAIL = Reason(code="entered_event", facts={"what": "hail", "date": DAY, "zone": None, "hours": None})


def entered(said: Reason = HAIL, put: Outcome = "new", before: Reason | None = None, name: str = "North Eighty",
            ) -> Entered:  # fmt: skip
    """A receipt."""
    return Entered(key="k", entry="e", put=put, field="n" if name else "", name=name, said=said, before=before)


def facts(code: str, **more: Any) -> Reason:
    """A reason of an entry."""
    return Reason(code=f"entered_{code}", facts=more)


def look(opens: date, closes: date) -> Look:
    """A look after hail."""
    return Look(
        key="hail:n::2016-05-18", code="hail", planting=None, zone=None, opens=opens, closes=closes, lapses=closes,
        state="coming", why=(),
    )  # fmt: skip


def test_a_tap_says_what_was_noted_and_when_to_look() -> None:
    """One line is all a person reads in a truck: what, when, where, and what comes of it."""
    said = receipt(entered(), look(date(2016, 5, 25), date(2016, 5, 28)))
    assert said == "Hail on 18 May noted at North Eighty. Look 25–28 May."


@pytest.mark.parametrize(
    ("told", "words"),
    [
        (entered(put="same"), "Hail on 18 May was noted at North Eighty already. Nothing changed."),
        (entered(facts("walk", walked=DAY, stops=({"places": 20},), larvae=({}, {}), plants_searched=30)),
         "Walk on 18 May: 20 places, two larvae noted at North Eighty."),
        (entered(facts("walk", walked="2016-05-18", stops=(), larvae=(), plants_searched=30)),
         "Search on 18 May: 30 plants, no larvae noted at North Eighty."),
        (entered(facts("walk", walked=DAY, stops=(), larvae=({},), plants_searched=1), "same"),
         "Search on 18 May: 1 plant, one larva was noted at North Eighty already. Nothing changed. The same walk is"
         " already kept; add its hour or a note if it is another."),
        (entered(put="conflict"), "Hail on 18 May at North Eighty: two versions of it are held and this is neither."
                                  " Nothing was written."),
        (entered(put="taken back"), "Taken back: hail on 18 May at North Eighty."),
        (entered(Reason(code="entered_event", facts={**HAIL.facts, "zone": "n/low"})),
         "Hail on 18 May noted at North Eighty, low."),
        (entered(facts("event", what="frost", date=DAY, hours=1.0)), "Frost on 18 May (1 hour) noted at North Eighty."),
        (entered(facts("event", what="ponding", date=DAY, hours=20.0), "revised",
                 facts("event", what="ponding", date=DAY, hours=12.5)),
         "Standing water on 18 May (20 hours) noted at North Eighty, in place of standing water on 18 May"
         " (12.5 hours)."),
        (entered(facts("gauge", rain_mm=33.02, date=DAY, hard=True), name=""),
         "1.30 in. of rain on 18 May (fell hard) noted at every field."),
        (entered(facts("gauge", rain_mm=2.54, date=DAY, hard=False)),
         "0.10 in. of rain on 18 May (did not fall hard) noted at North Eighty."),
        (entered(facts("gauge", rain_mm=2.54, date=DAY, hard=None), "brought back",
                 facts("gauge", rain_mm=25.4, date=DAY, hard=None)),
         "Taken back: 0.10 in. of rain on 18 May at North Eighty. As before: 1.00 in. of rain on 18 May."),
        (entered(facts("pass", what="insecticide", product="Made-up 2", date=DAY, held_hours=None,
                       opens=datetime.combine(date(2016, 5, 19), time(14, 30)))),
         "Insecticide (Made-up 2) on 18 May noted at North Eighty. Nobody enters before Thursday 19 May, 14:30."),
        (entered(facts("pass", what="herbicide", product="", date=DAY, opens=None, held_hours=72.0)),
         "Herbicide on 18 May noted at North Eighty. No entry interval typed: held out for 72 hours, until it is typed"
         " from the label in hand."),
        (entered(facts("pass", what="other", product="", date=DAY, opens=None, held_hours=None)),
         "Pass on 18 May noted at North Eighty."),
        (entered(facts("done", look="stand_count:n::2016-04-28", outcome="done", on=DAY, note="")),
         "Look “Count the stand” done on 18 May noted at North Eighty."),
        (entered(facts("done", look="hail:n::2016-05-01", outcome="set aside", on=DAY, note="grower looked.")),
         "Look “After hail” set aside on 18 May noted at North Eighty. Why: grower looked."),
        (entered(facts("done", look="pest_more:n:1:2016-05-16:stink bug:low", outcome="done", on=DAY, note="")),
         "Look “Count more: stink bug” done on 18 May noted at North Eighty."),
        (entered(facts("done", look="pest_act:n", outcome="done", on=DAY, note="")),
         "Look “At its threshold: a pest” done on 18 May noted at North Eighty."),
        (entered(facts("done", look="new_thing:n::2016-05-01", outcome="done", on=DAY, note="")),
         "Look “New thing” done on 18 May noted at North Eighty."),
        (entered(facts("pest_count", pest="stink bug", date=DAY, looked=50, insects=3, units_with=None, unit="plants")),
         "Stink bug counted on 18 May (3 insects, of 50 plants) noted at North Eighty."),
        (entered(facts("pest_count", pest="slug", date=DAY, looked=10, insects=1, units_with=1, unit="")),
         "Slug counted on 18 May (1 insect, 1 with any, of 10 looked at) noted at North Eighty."),
    ],
)  # fmt: skip
def test_each_kind_of_entry_has_its_line(told: Entered, words: str) -> None:
    """Every entry is answered in words that name it, or nobody knows what was kept."""
    assert receipt(told) == words


def test_a_receipt_read_back_from_json_says_the_same() -> None:
    """A program may keep a receipt and show it later."""
    told = entered(facts("pass", what="manure", product="", date=DAY, opens=datetime.combine(DAY, time(9))))
    assert receipt(Entered.model_validate_json(told.model_dump_json())) == receipt(told)


def test_every_event_has_its_name() -> None:
    """A new kind of event needs its word before it can be tapped."""
    assert set(EVENTS) == set(get_args(EventKind))
