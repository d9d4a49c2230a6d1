"""Every code of a look has its sentence."""

from __future__ import annotations

import re
from datetime import date, datetime
from pathlib import Path

import pytest

import springwalk.jobs
from springwalk.jobs.results import DateRange, Range, Reason
from springwalk.show.look_titles import TITLES, do_code
from springwalk.show.reasons import CODES, LOOKS, sentence

DAY = date(2016, 4, 20)
SPAN = DateRange(early=date(2016, 5, 6), mid=date(2016, 5, 8), late=date(2016, 5, 11))
COLD = {"rain_mm": 25.4, "rained": date(2016, 4, 29), "planted": date(2016, 4, 28), "mean_c": 7.0}
POND = {"date": date(2016, 5, 8), "hours": None, "gone": None, "high_c": None, "up": True}
FROST = {"date": date(2016, 5, 12), "low_c": 1.0, "told": False, "hours": None, "low_ground": None}
WORM = {"name": "wireworm", "looked": 12, "unit": "bait stations", "date": DAY, "person": "", "rule": "", "source": ""}
OPENS = datetime.fromisoformat("2016-04-21T06:00")
HELD = {"what": "insecticide", "product": "", "told_time": True}

ROWS: list[tuple[str, dict[str, object], str]] = [
    (
        "cold_rain",
        {**COLD, "next_mean_c": 5.0, "soil_c": Range(low=6.0, mid=8.0, high=10.0)},
        "1.0 in. of rain on 29 April, one day after planting, with the air at 45 °F, 41 °F the next day and the soil"
        " at 46 (43–50) °F: the seed may be chilled.",
    ),
    ("cold_rain", {**COLD, "rained": COLD["planted"]}, "on the day of planting, with the air at 45 °F: the seed"),
    ("cold_rain", {**COLD, "mean_c": None, "soil_c": 8.0}, "one day after planting, with the soil at 46 °F:"),
    ("seed_heat", {"date": SPAN, "low_f": 90, "high_f": 100}, "Heat since planting reaches 90–100 GDD 8 May (6–11)."),
    ("hard_rain", {"rain_mm": 30.0, "date": DAY, "hard": True}, "1.2 in. of hard rain on 20 April can seal the soil."),
    ("hard_rain", {"rain_mm": 30.0, "date": DAY, "hard": None}, "if it fell hard; nobody has told whether it did."),
    ("hard_rain", {"rain_mm": 30.0, "date": DAY, "hard": False}, "fell gently, so it should not seal the soil."),
    ("crust_seen", {"date": DAY, "person": "Wren"}, "A crust was seen on 20 April, told by Wren."),
    ("drying", {"since": DAY, "drained_mm": Range(low=3.0, mid=5.0, high=7.0)}, "0.20 (0.12–0.28) in. of water has"),
    ("drying", {"since": DAY, "drained_mm": None}, "The soil has been drying since 20 April."),
    ("spike_expected", {"date": SPAN, "planted": DAY}, "Planted 20 April; the spike is expected 8 May (6–11)."),
    ("no_spike_told", {"date": SPAN}, "120 GDD, is reached 8 May (6–11); nobody has told that the corn is up."),
    ("emerged", {"date": DAY, "seen": True}, "Seen up 20 April."),
    ("emerged", {"date": SPAN, "seen": False}, "Expected up 8 May (6–11) by heat since planting; add the day"),
    ("ponding_told", POND, "Water stood on 8 May; add the day it left."),
    (
        "ponding_told",
        {**POND, "hours": 24.0, "gone": date(2016, 5, 9), "high_c": 27.0, "hot": True, "person": "Wren"},
        "Water stood on 8 May, about 24 hours, told by Wren; it left 9 May. It was up to 81 °F meanwhile: above 77 °F"
        " plants under six collars may not last a day under water.",
    ),
    ("ponding_told", {**POND, "hours": 1.0, "high_c": 25.0}, "about one hour; add the day it left. It was up"),
    ("ponding_told", {**POND, "high_c": 20.0}, "at 77 °F or below plants under six collars last two to four days."),
    ("ponding_told", {**POND, "high_c": 20.0, "up": False}, "seed drowns sooner in warm water than in cool."),
    ("frost_low", FROST, "Down to 34 °F by the station on 12 May; low ground is colder on a still, clear night."),
    ("frost_low", {**FROST, "told": True, "hours": 3.0}, "12 May, for about three hours; 34 °F by the station."),
    ("frost_low", {**FROST, "low_c": None, "told": True, "low_ground": "creek bottom"}, "ground here: creek bottom."),
    ("frost_low", {**FROST, "low_c": -3.0, "kill": True}, "28 °F or less for some hours can reach the growing point."),
    ("hail_told", {"date": DAY, "person": "Wren"}, "Hail on 20 April, told by Wren."),
    ("wind_told", {"date": DAY, "person": ""}, "Strong wind on 20 April."),
    ("collars_window", {"first": SPAN, "last": DAY}, "V3 is reached 8 May (6–11) and V5 20 April."),
    ("kill_gap", {"killed": DAY, "planted": date(2016, 4, 25), "days": 5}, "killed 20 April, five days before"),
    ("kill_gap", {"killed": DAY, "planted": DAY, "days": 0}, "on the day of planting: more root rot"),
    ("kill_gap", {"killed": DAY, "planted": date(2016, 4, 19), "days": -1}, "one day after planting: more root rot"),
    (
        "treated",
        {"date": DAY, "what": "insecticide", "product": "Sample", "opens": datetime.fromisoformat("2016-04-21T14:30")},
        "Insecticide (Sample) went on 20 April; open to people from Thursday 21 April, 14:30.",
    ),
    ("treated", {"date": DAY, "what": "insecticide", "product": "", "opens": None}, "no entry interval was typed"),
    (
        "promised",
        {"grower": "Harrow Hill", "field": "", "every_days": 7, "last": None, "due": DAY},
        "A walk every seven days was promised to Harrow Hill; not walked yet, due 20 April.",
    ),
    ("promised", {"every_days": 1, "last": DAY, "due": DAY}, "every day was promised for this field; last"),
    ("baits_told", {"date": DAY}, "Bait stations were set on 20 April."),
    (
        "fly_peak",
        {"n": 1, "peak": SPAN, "planted": DAY, "risk": "manure"},
        "at their first peak 8 May (6–11), near planting on 20 April; drawn here by manure.",
    ),
    ("lot_weak", {"lot": "L7", "cold_pct": 71.0, "warm_pct": 93.0}, "is weak: cold test 71 % and warm test 93 %."),
    ("lot_weak", {"lot": "L7", "cold_pct": None, "warm_pct": None}, "Seed lot L7 is weak."),
    (
        "pest_counted",
        {**WORM, "insects": 1, "units_with": None, "verdict": "act", "rule": "one a station (Ohio)"},
        "Wireworm counted 20 April in 12 bait stations: one insect. That is at the count that means act. Rule: one a"
        " station (Ohio).",
    ),
    ("pest_counted", {**WORM, "insects": 5, "units_with": 4, "verdict": "more"}, "five insects and four of them with"),
    (
        "watch_pest",
        {"name": "wireworm", "where": "low spots", "unit": "bait stations", "looks": 12, "act": "one a station",
         "rescue": "no", "because": ("sod before", "grassy weeds")},
        "Wireworm (sod before, grassy weeds): look at 12 bait stations, low spots first; act at one a station."
        " There is no rescue treatment.",
    ),
    ("watch_pest", {"name": "slug", "where": "", "unit": "boards", "looks": 5, "act": ""}, "no published"),
    ("plant_after", {"date": date(2016, 4, 30), "killed": DAY},
     "Hold planting until 30 April if you can: cover was"),
    ("next_look", {"code": "stand_count", "date": DAY, "closes": date(2016, 4, 22)}, ": count the stand, 20–22 April."),
    ("next_look", {"code": "hail", "date": SPAN, "closes": None}, "Next: look again after hail, 8 May (6–11)."),
    (
        "next_look",
        {"code": "root_dig", "date": SPAN.mid, "closes": date(2016, 5, 16), "estimate": SPAN},
        "Next: dig roots, 8–16 May (may start 6–11 May).",
    ),
    (
        "next_look",
        {"code": "stand_count", "date": date(2016, 5, 13), "closes": date(2016, 5, 15), "estimate": SPAN},
        "Next: count the stand, 13–15 May; emergence 8 May (6–11).",
    ),
    ("when_passing", {"code": "hail", "date": DAY, "closes": date(2016, 4, 22)}, "If you pass by: look again after"),
    ("nothing_left", {}, "Nothing more to look for before six collars."),
    ("too_wet", {"rain_mm": 30.0, "date": DAY, "until": date(2016, 4, 22)}, "likely fit to walk Friday 22 April if"),
    ("too_wet", {"rain_mm": 30.0, "date": DAY, "until": None}, "look at the ground before you go."),
    ("keep_out", {**HELD, "opens": OPENS}, "was put on: keep out until Thursday 21 April, 06:00."),
    ("keep_out", {**HELD, "on": DAY, "opens": None}, "no entry interval was typed: keep out, and type it"),
    ("keep_out", {**HELD, "told_time": False, "opens": OPENS}, "so the day's end is taken"),
    ("planted_part", {"done_ha": 10.0, "area_ha": 20.0, "date": DAY}, "24.7 acres of 49.4 acres, by 20 April."),
    (
        "rain_told",
        {"date": DAY, "rain_mm": 33.02, "hard": True, "person": "Wren"},
        "Own gauge: 1.3 in. on 20 April, fell hard, told by Wren.",
    ),
    ("insurer_now", {"date": DAY}, "Hail on 20 April: call the insurer before anything is torn up"),
    ("dry_bed", {"since": DAY}, "No rain to speak of since planting on 20 April and the top layer is dry"),
    ("cut_or_holed", {}, "dig beside them for a larva."),
    (
        "nothing_left",
        {"since": DAY, "missed": ["root_dig", "hail"]},
        "Past six collars since about 20 April: nothing more to do here. Nobody told of these: dig roots,",
    ),
    (
        "interval_untold",
        {"date": DAY, "what": "insecticide", "product": ""},
        "nobody typed the entry interval. Read the label before anyone goes in, and type the interval.",
    ),
    ("rain_unknown", {}, "note your gauge with springwalk rain"),
    ("pass_told", {"what": "manure", "date": DAY, "entry_hours": None}, "Manure on 20 April."),
    ("pass_told", {"what": "herbicide", "date": DAY, "entry_hours": 12.0, "zone": "low"}, "in low; entry interval"),
    ("lot_told", {"lot": "L7", "hybrid": "H 108", "warm_pct": 96.0}, "Seed lot L7: H 108, warm test 96 %."),
    ("lot_told", {"lot": "L7"}, "of which nothing more was told."),
    ("pest_need", {"need": "count_stand"}, "Count the stand that is left"),
    ("bait_only", {"name": "slug"}, "No insecticide works on slugs."),
    ("treat_by_label", {"name": "armyworm"}, "only with live armyworm there, by a label that names it."),
    ("ten_seeds", {}, "Dig ten seeds in a row"),
    ("corkscrew", {}, "leafed out under the soil"),
    ("ten_in_row", {}, "how many of the ten will still come?"),
    ("leafed_under", {}, "while still under the soil"),
    ("spike_rows", {}, "where they are missing"),
    ("dig_if_none", {}, "Where none stand, dig"),
    ("count_stand", {}, "measured row lengths"),
    ("late_plants", {}, "count them apart"),
    ("new_growth", {}, "pushing from the whorl"),
    ("growing_point", {}, "firm and white, or soft and brown?"),
    ("low_first", {"zone": "creek bottom"}, "Begin in low ground, creek bottom."),
    ("low_first", {"zone": None}, "Begin in low ground."),
    ("stand_left", {}, "still standing"),
    ("leaf_left", {}, "green still counts"),
    ("sand_cut", {}, "blowing sand"),
    ("leaning", {}, "snapped"),
    ("crown_roots", {}, "mesocotyl or not"),
    ("count_again", {}, "the same row lengths"),
    ("armyworm_new", {}, "armyworm on the new corn"),
    ("seedling_roots", {}, "brown and rotting?"),
    ("same_flags_again", {}, "The same flags again"),
    ("untreated_strip", {"where": "north end"}, "The untreated strip (north end), to compare."),
    ("untreated_strip", {"where": None}, "if one was left"),
    ("walk_promised", {}, "tell the grower"),
    ("read_baits", {}, "count the wireworms"),
    ("skips_dig", {}, "small white maggots"),
    ("leaf_holes_1_2", {}, "first two leaves"),
    ("hoe_or_water", {"until": DAY}, "on a strip first: a rotary hoe or water can soften the crust, until 20 April."),
    ("ask_seed", {}, "right maturity"),
    ("let_water_off", {}, "Let the water off"),
    ("insurer_first", {}, "Call the insurer first"),
    ("protect_at_planting", {"until": DAY}, "only go in at planting on 20 April"),
    ("protect_at_planting", {"until": None}, "only go in at planting: read"),
    ("none_rescue", {"name": "wireworm"}, "There is no rescue treatment for wireworm."),
    ("retreat_by_label", {}, "the label says whether and when"),
    ("nothing_mends", {}, "Nothing mends this now"),
    ("no_replant_before", {"date": DAY}, "Don't decide on replanting before 20 April."),
    ("no_replant_until_spike", {"date": SPAN}, "8 May (6–11)."),
    ("no_replant_on_one_count", {}, "from one count"),
    ("not_one_cause", {}, "several at once is the rule"),
    ("no_spray_for_cold", {}, "no spray mends"),
]  # fmt: skip


@pytest.mark.parametrize(("code", "facts", "part"), ROWS)
def test_each_code_has_a_sentence(code: str, facts: dict[str, object], part: str) -> None:
    """Every reason of a look is a full sentence with its facts, in the units of the trade."""
    text = sentence(Reason(code=code, facts=facts))
    assert part in text
    assert text[-1] in ".?"
    assert not text[0].islower()
    assert "None" not in text
    assert ".." not in text


@pytest.mark.parametrize(("code", "facts", "part"), ROWS)
def test_facts_from_kept_json_read_the_same(code: str, facts: dict[str, object], part: str) -> None:
    """A kept result comes back as text and plain numbers and must read as before."""
    fresh = Reason(code=code, facts=facts)
    assert sentence(Reason.model_validate_json(fresh.model_dump_json())) == sentence(fresh), part


def test_no_code_is_without_a_row_above() -> None:
    """A new code must come with a tested sentence."""
    assert {code for code, _, _ in ROWS} == set(LOOKS)


def test_every_code_a_job_gives_can_be_said() -> None:
    """A reason or a look without words would reach a person as a bare code."""
    folder = Path(springwalk.jobs.__file__).parent
    text = "\n".join(path.read_text(encoding="utf-8") for path in sorted(folder.rglob("*.py")))
    reasons = set(re.findall(r"""(?:Reason\(code=|\breason\(\s*)["'](\w+)["']""", text))
    titled = set(re.findall(r"""make_look\(\s*facts,\s*["'](\w+)["']""", text))
    assert {"cold_rain", "emerged", "no_flight"} <= reasons
    assert {"dig_cold", "stand_count"} <= titled
    assert {code for code in reasons if not code.startswith("entered_")} - set(CODES) == set()
    assert titled - set(TITLES) == set()


def test_an_unknown_look_is_said_in_plain_words() -> None:
    """A look newer than its words is still a thing to do."""
    assert do_code("new_thing") == "look: new thing"
