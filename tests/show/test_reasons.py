from __future__ import annotations

from datetime import date

import pytest

from springwalk.jobs.results import DateRange, Range, Reason
from springwalk.show.facts import COVER, instar_words
from springwalk.show.reasons import CODES, LOOKS, say, sentence

DAY = date(2016, 4, 20)
SPAN = DateRange(early=date(2016, 5, 19), mid=date(2016, 5, 22), late=date(2016, 5, 26))
TWO = Range(low=1.6, mid=2.1, high=3.0)

ROWS: list[tuple[str, dict[str, object], str]] = [
    ("green_at_planting", {"cover": "dense", "until": DAY}, "Dense green cover at planting; green until 20 April."),
    ("green_at_planting", {"cover": "few weeds", "until": None}, "A few green weeds at planting; nobody has told"),
    ("green_until", {"cover": "many weeds", "until": DAY}, "Many green weeds until 20 April."),
    ("green_not_told", {}, "an assumption stands in"),
    ("black_before_flight", {"date": DAY}, "Black soil since 20 April, when the moths came."),
    ("black_before_flight", {"date": None, "cover": "black"}, "Black soil, when the moths came."),
    ("bare_before_flight", {"date": DAY, "cover": "clean"}, "Clean ground since 20 April, when the moths came."),
    ("still_green", {"cover": "some weeds"}, "Some green weeds, still green as last told."),
    ("killed_early", {"date": DAY, "days_before_emergence": 31}, "killed 20 April, 31 days before the corn is up"),
    ("late_planted_feeding_over", {"odds": 0.93}, "before the corn is up (93 chances in 100)"),
    ("late_planted_feeding_over", {"odds": 0.01}, "before the corn is up (1 chance in 100)"),
    ("cutting_now", {"instar": "instar 4"}, "Larvae can cut now; most that can are in instar 4."),
    ("cutting_begins", {"date": SPAN}, "Cutting begins 22 May (19–26)."),
    ("not_yet", {"first_look": date(2016, 5, 21)}, "still too small to cut. First look 21 May."),
    ("walked_recently", {"date": DAY, "days": 2}, "Walked 20 April, two days ago."),
    ("past_v6", {"collars": TWO}, "The corn has 2.1 (1.6–3.0) leaf collars, past the six"),
    ("no_flight", {}, "No significant moth capture"),
    ("no_planting_date", {}, "Planted: add the date, or note whether it is up."),
    ("no_weather", {}, "Add a station"),
    ("no_corn_yet", {"date": SPAN}, "No corn up yet; expected 22 May (19–26)."),
    ("nearly_through", {"share": Range(low=0.7, mid=0.81, high=0.9)}, "81 % (70–90) of the brood is through feeding."),
    ("low_risk", {"cut": TWO}, "2.1 (1.6–3.0) per 100 plants expected cut."),
    ("seen_cut", {"fresh": 3, "places": 100}, "three fresh-cut plants in 100 plant places."),
    (
        "seen_cut",
        {"fresh": 3, "old": 1, "places": 80, "date": "2016-05-16", "person": "Wren"},
        "Counted 16 May by Wren: three fresh-cut plants and one old cut in 80 plant places.",
    ),
    ("larvae_seen", {"n": 3, "mm": (11.0, 14.0, 17.0)}, "Found: three larvae, 11, 14 and 17 mm long."),
    ("ahead_of_flight", {}, "Measure larvae and look at their skin and tubercles."),
    ("corn_disagrees", {"planted": date(2016, 5, 8)}, "does not fit the planting date told (8 May)"),
    ("same_flags", {}, "The same places again"),
    ("larvae_seen", {"n": 1}, "Found: one larva."),
    ("leaf_feeding", {}, "Pinholes"),
    ("cut_plants", {}, "Cut plants"),
    ("dig_larvae", {}, "Dig at fresh cuts"),
    ("weeds_vanishing", {}, "Weeds eaten down"),
    ("spike", {}, "Corn at the spike"),
    ("tunnelling", {}, "a hole at the base"),
    ("drowned_low", {}, "tell drowned plants from cut ones"),
    ("caught_so_far", {"date": DAY}, "moths caught up to 20 April; a later flight would add to them."),
    ("order_assumption", {}, "a yardstick for the order (an assumption), not a count."),
    (
        "weather_gap",
        {"fields": 3, "from": DAY, "to": DAY, "days": 1},
        "No temperatures for three fields 20 April (one day)",
    ),
    ("weather_filled", {"station": "Mill", "days": 2}, "At Mill two missing days filled"),
    ("station_far", {"fields": 2, "km": 80.4672}, "The nearest weather station is up to 50 miles from two fields"),
    ("trap_far", {"fields": 1, "km": 160.9344}, "The nearest moth trap is up to 100 miles from one field"),
    ("moths_before_season", {"moths": 12, "date": DAY}, "12 moths caught before 20 April"),
    ("planted_before_season", {"date": DAY}, "Corn planted before 20 April"),
    ("forecast_unused", {"station": "Mill", "date": DAY}, "The newest forecast for Mill, of 20 April, is too old"),
    ("reports_only", {}, "rests on reported flights alone, without counts."),
    (
        "report_unused",
        {"source": "Flats Service", "date": DAY, "why": "too far off"},
        "is not used: it is too far off.",
    ),
    (
        "winter_filled",
        {"fields": 2, "days": 12},
        "twelve days before the season without readings, in two fields; the mean",
    ),
    ("no_winter_days", {"fields": 1, "days": 60}, "are missing (one field). Take in its days from 1 January on."),
    ("two_versions", {"n": 1, "kinds": ("planting",)}, "one thing (planting) in two versions; the newest is used"),
    ("not_understood", {"n": 2, "kinds": ("walk",)}, "two things (walk) that this version does not understand"),
    ("few_larvae", {"larvae": 0.04}, "Few larvae expected here from moths caught so far: 0.04 per 100 plants."),
    ("beyond_season", {}, "not expected before this season's last day"),
    ("lone_cut", {}, "does not come first"),
    ("walk_asked", {"date": DAY}, "The walk of 20 April can't be right as told"),
    ("looked_cut", {"fresh": 3, "places": 20}, "Where it looked worst: three fresh-cut plants in 20 plant places"),
    ("no_larvae_expected", {}, "ground greener than told"),
    ("dig_weeds", {}, "Dig beside eaten weeds"),
    ("weather_old", {"date": DAY, "days": 4}, "newest weather is of 20 April, four days ago: take in the days since."),
    ("weather_repeated", {"station": "Mill", "from": DAY, "to": DAY, "days": 1}, "one day left out, the same reading"),
    ("weather_jumped", {"station": "Mill", "from": DAY, "to": DAY, "days": 1}, "one day left out, a jump too large"),
    (
        "event",
        {"date": DAY, "what": "tilled", "cover": "black", "zone": "low", "person": "A"},
        "On 20 April, tilled in low",
    ),
    ("event", {"date": DAY, "what": "emerged", "cover": None, "zone": None, "person": ""}, "On 20 April, emerged."),
    ("low_risk", {"cut": 0.0}, "under 0.01 per 100 plants expected cut."),
    ("no_past_years", {}, "Take in past years."),
    ("few_past_years", {"n": 4}, "Only four past years of weather"),
    ("no_traps", {}, "add traps.csv and catches.csv."),
    ("catch_not_readable", {"trap": "Ford", "since": DAY, "read": DAY, "nights": 6}, "held six nights of catch"),
    ("trap_rule_unpublished", {"trap": "Ford", "kind": "bucket"}, "published, so none of its nights is called one."),
    ("method_span", {"early": DAY, "late": DAY}, "move these dates, from 20 April to 20 April;"),
]


@pytest.mark.parametrize(("code", "facts", "part"), ROWS)
def test_each_code_has_a_sentence(code: str, facts: dict[str, object], part: str) -> None:
    """Every reason the engine gives is a full sentence with its facts."""
    text = sentence(Reason(code=code, facts=facts))
    assert part in text
    assert text.endswith(".")
    assert not text[0].islower()


def test_no_code_is_without_a_row_above() -> None:
    """A new code must come with a tested sentence; those of looks stand in test_look_reasons.py."""
    assert {code for code, _, _ in ROWS} == set(CODES) - set(LOOKS)


def test_an_unknown_code_is_found_by_tests_and_shown_in_plain_words() -> None:
    """A test stops at an unknown code; a page still says what it can."""
    odd = Reason(code="outside_region", facts={"north_of": 45.5, "on": DAY})
    with pytest.raises(KeyError):
        sentence(odd)
    assert say(odd) == "Outside region (north of 46; on 20 April)."
    assert say(Reason(code="new_thing")) == "New thing."


def test_facts_from_kept_json_read_the_same() -> None:
    """A kept result comes back as text and plain numbers and must read as before."""
    for code, facts in (
        ("cutting_begins", {"date": SPAN}),
        ("low_risk", {"cut": TWO}),
        ("green_until", {"until": DAY}),
    ):
        fresh = Reason(code=code, facts=facts)
        kept = Reason.model_validate_json(fresh.model_dump_json())
        assert sentence(kept) == sentence(fresh)


def test_every_cover_word_of_the_records_has_words() -> None:
    """A cover that can be typed can be said."""
    from typing import get_args

    from springwalk.records.places import Cover

    assert set(COVER) == set(get_args(Cover))


def test_instars_read_as_said() -> None:
    """Whatever way the engine spells an instar, a person reads one way."""
    said = [instar_words(k) for k in ("4", 4, "instar_4", "instar 4", "instars_1_3")]
    assert said == ["instar 4"] * 4 + ["instars 1–3"]
