"""What is said of treated fields, of searches alone, and of walks that are too old or were made today."""

from __future__ import annotations

from datetime import date, time, timedelta

import pytest

from springwalk.errors import NotFound
from springwalk.jobs.advise import advise_of, after_treatments, morning_advice
from springwalk.jobs.day import Team, day_of
from springwalk.jobs.sheet import sheet_of
from springwalk.jobs.terms import terms_of
from springwalk.records import Larva, Pass, Stop, Walk
from springwalk.show.advice_words import after_words, morning_lines
from tests.jobs.made import FOUR, SEASON, snapshot
from tests.jobs.test_changed import MAY_24, walk

TERMS = terms_of(SEASON)
SPRAYED = Pass(field="at-planting", date=MAY_24 - timedelta(days=4), what="insecticide", entry_hours=24)


def test_larvae_alive_after_a_treatment_are_said_first() -> None:
    """A treatment that did not hold is the most urgent thing a consultant can miss."""
    snap = snapshot([*FOUR, SPRAYED, walk("at-planting", 1, larvae=2)], MAY_24)
    morning = morning_advice(snap, TERMS)
    assert [(one.field, one.larvae, one.fresh_cut, one.places) for one in morning.after] == [("at-planting", 2, 5, 100)]
    assert morning_lines(morning)[0].startswith(
        "at-planting [at-planting]: Treated 20 May, yet two live larvae and five"
    )
    assert "the label" in after_words(morning.after[0])
    row = next(row for row in sheet_of(snap).rows if row.field == "at-planting")
    assert row.seen_cutting


def test_a_treated_field_that_is_clean_since_does_not_lead_the_list() -> None:
    """What was cut before the treatment is no reason to walk after it."""
    before = walk("at-planting", 2, larvae=3, number=19)
    snap = snapshot([*FOUR, SPRAYED, before], MAY_24)
    assert after_treatments(snap) == ()
    sheet = sheet_of(snap)
    row = next(row for row in (*sheet.rows, *sheet.rest) if row.field == "at-planting")
    assert not row.seen_cutting
    assert not row.cutworm
    assert any(reason.code == "treated" for reason in row.why)


def test_what_went_in_with_the_seed_is_no_treatment() -> None:
    """An insecticide on planting day must not silence the field for the season."""
    with_seed = Pass(field="at-planting", date=date(2016, 5, 5), what="insecticide")
    said = advise_of(snapshot([*FOUR, with_seed, walk("at-planting", 2, larvae=4)], MAY_24), TERMS)
    assert [one.field for one in said] == ["at-planting"]


def test_a_search_alone_is_advised_on() -> None:
    """Larvae found where nobody counted plants still ask for an answer, and none is counted as cut."""
    search = Walk(
        id="s", field="at-planting", walked=MAY_24, plants_searched=40, hour=20, soil="moist",
        larvae=tuple(Larva(length_mm=15.0) for _ in range(4)),
    )  # fmt: skip
    part = advise_of(snapshot([*FOUR, search], MAY_24), TERMS)[0].parts[0]
    assert (part.places, part.percent_cut, part.larvae_found) == (0, 0.0, 4)
    assert "no live larvae" not in part.reasons


def test_larvae_of_last_week_are_named_as_too_old() -> None:
    """'None was found' would be untrue of a field where some were."""
    found = walk("at-planting", 3, larvae=2, number=18)
    part = advise_of(snapshot([*FOUR, found], MAY_24), TERMS)[0].parts[0]
    assert part.larvae_before == date(2016, 5, 18)


def test_a_field_walked_today_is_not_walked_again_for_cutworm() -> None:
    """Its count is made; and a search that is advised for dusk is not put into the day."""
    team = Team(("Ann",), 9.0, time(7), (40.70, -96.86))
    clean = walk("killed-early", 0, number=24)
    asked = Walk(
        id="q", field="at-planting", walked=MAY_24 - timedelta(days=1), soil="crusted", hour=12, plants_searched=10,
        stops=tuple(Stop(places=20, fresh_cut_at=2) for _ in range(5)),
    )  # fmt: skip
    day = day_of(snapshot([*FOUR, clean, asked], MAY_24), team, TERMS)
    codes = {(v.field, p.code) for person in day.people for v in person.visits for p in v.purposes}
    assert ("killed-early", "cutworm") not in codes
    assert day.at_dusk == ("at-planting",)
    assert ("at-planting", "cutworm") not in codes


def test_no_weather_says_so() -> None:
    """'No field was walked' would be untrue; without weather there are no odds, and the state's rule stands alone."""
    bare = [one for one in FOUR if one.kind != "station"]
    snap = snapshot([*bare, walk("at-planting", 2, larvae=2)], MAY_24, rows=[])
    with pytest.raises(NotFound, match="no weather reaches the season, so no odds can be given; take in days"):
        morning_advice(snap, TERMS)
