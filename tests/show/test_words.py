from __future__ import annotations

import json
from datetime import date

from springwalk.jobs.results import Reason
from springwalk.show import as_json, caution, field_words, rest_words, terminal, words
from tests.show import sample


def test_the_headline_is_the_answer() -> None:
    """One sentence says the day and how many fields to walk, also when there are none."""
    sheet = sample.sheet()
    assert words.headline(sheet) == "Tuesday 17 May: walk six fields"
    assert words.headline(sheet.model_copy(update={"rows": sheet.rows[:1]})) == "Tuesday 17 May: walk one field"
    assert words.headline(sheet.model_copy(update={"rows": ()})) == "Tuesday 17 May: no field needs a walk"
    assert words.headline(sample.empty_sheet()) == "Tuesday 17 May: no fields yet"


def test_the_lead_says_when_cutting_begins_and_where() -> None:
    """The lead sentence carries dates with ranges and the fields' names."""
    assert words.lead(sample.sheet()) == (
        "Cutting has likely begun in Elm Bottom and Long Eighty, and begins 19 May (17–22) in Schoolhouse and"
        " River Forty, then in two more."
    )


def test_empty_states_say_what_to_do() -> None:
    """A season without fields or walks tells the next step, not an empty page."""
    assert "take it in" in words.lead(sample.empty_sheet())
    assert words.lead(sample.sheet().model_copy(update={"rows": ()})) == words.NOTHING_TO_WALK


def test_long_lists_are_cut_short() -> None:
    """More than four names become three and a count."""
    assert words.names(["A"]) == "A"
    assert words.names(["A", "B", "C", "D"]) == "A, B, C and D"
    assert words.names(["A", "B", "C", "D", "E"]) == "A, B, C and two more"


def test_a_field_page_opens_with_five_dated_lines() -> None:
    """Last seen, corn, larvae, advice, next look, each with its date or saying why none."""
    lines = {line.label: line.words for line in field_words.five_lines(sample.field_page())}
    assert list(lines) == ["Last seen", "Corn", "Larvae", "Advice", "Next look"]
    assert lines["Last seen"].startswith("15 May by R. Alder: three fresh cuts")
    assert lines["Corn"].startswith("Planted 28 April; up 7 May (5–9); 2.9 (2.4–3.3) leaf collars on 17 May")
    assert "cutting begins 16 May (14–18)" in lines["Larvae"]
    assert lines["Next look"] == "Today; then come back Friday 20 May."


def test_no_advice_before_a_walk_is_said_plainly() -> None:
    """Nothing that looks like advice is shown for a field nobody has counted."""
    page = sample.field_page("long-eighty")
    lines = {line.label: line.words for line in field_words.five_lines(page)}
    assert lines["Advice"] == "Advice comes from a walk: none counted yet."
    assert lines["Last seen"] == "Nobody has walked it this season."


def test_a_next_look_is_said_once() -> None:
    """A reason that names the next look is not followed by the same date again."""
    by_field = {row.field: rest_words.rest_words(row, sample.TODAY) for row in sample.rest_rows()}
    assert by_field["south-draw"] == "Larvae are still too small to cut. First look 21 May."
    assert by_field["orchard"] == "Walked 15 May, two days ago. Next look Thursday 19 May."


def test_a_look_that_is_past_is_not_the_next_one() -> None:
    """A date behind today is never called the next one."""
    row = sample.rest_rows()[3]
    assert rest_words.rest_words(row, sample.TODAY).endswith("Next look Thursday 19 May.")
    assert "look" not in rest_words.rest_words(row, date(2016, 5, 25)).lower()
    assert rest_words.heading_of(row, date(2016, 5, 25)) == rest_words.NOTHING
    assert rest_words.next_look(row, date(2016, 5, 25)) == "Nothing more is due here."


def test_now_says_corn_larvae_and_the_span_over_methods() -> None:
    """Each walk of the sheet tells corn stage, larval shares, the span over methods and the first look."""
    row = sample.walk_rows()[0]
    by = {"86/50": date(2016, 5, 13), "sine": date(2016, 5, 18), "average": date(2016, 5, 22)}
    lead = row.parts[0].model_copy(update={"begins_by_method": by})
    said = words.now(row.model_copy(update={"first_look": date(2016, 5, 10), "parts": (lead,)}))
    assert said.startswith("Corn ")
    assert "56 % (40–72) of larvae can cut; most, 42 % (25–59), are in instars 1–3" in said
    assert said.endswith("By three ways of counting heat cutting begins 13–22 May; first look 10 May.")


def test_the_part_that_leads_is_named() -> None:
    """A field with parts says which of them is worst, with its acres."""
    row = sample.walk_rows()[0].model_copy(update={"lead_part": "low corner"})
    assert "low corner" not in rest_words.why(sample.walk_rows()[0])
    assert rest_words.why(row).startswith("Worst part: low corner, ")


def test_terminal_sheet_is_answer_first_and_fits() -> None:
    """The first line is the answer, no line is wider than 100 columns, every field's id can be typed on."""
    text = terminal.sheet(sample.sheet())
    assert text.splitlines()[0] == "Tuesday 17 May: walk six fields"
    assert max(len(line) for line in text.splitlines()) <= terminal.WIDTH
    for row in (*sample.walk_rows(), *sample.rest_rows()):
        assert f"[{row.field}]" in text
    assert "live larvae first" in text


def test_terminal_field_is_answer_first_and_carries_the_cautions() -> None:
    """The field's text opens with the answer and never leaves the cautions out."""
    text = terminal.field(sample.field_page())
    assert text.splitlines()[0] == "Elm Bottom: walk it today"
    assert max(len(line) for line in text.splitlines()) <= terminal.WIDTH
    flat = " ".join(text.split())
    assert all(line in flat for line in caution.USUAL)


def test_json_says_units_and_words_and_repeats_to_the_byte() -> None:
    """Another program gets ISO dates, units in the names or beside, words beside data, always the same bytes."""
    text = as_json.dumps(as_json.sheet(sample.sheet()))
    assert text == as_json.dumps(as_json.sheet(sample.sheet()))
    data = json.loads(text)
    assert data["words"]["headline"] == "Tuesday 17 May: walk six fields"
    assert data["today"] == "2016-05-17"
    method = data["rows"][0]["captures"][0]["by_method"][0]
    assert (method["heat"], method["unit"]) == (266.04, "°F·day")
    assert "heat_ddc" not in text
    assert data["notes"][0]["words"].startswith("Larvae here come from moths")
    assert data["rows"][2]["why"][1] == {
        "code": "cutting_begins",
        "facts": {"date": {"early": "2016-05-17", "mid": "2016-05-19", "late": "2016-05-22"}},
        "words": "Cutting begins 19 May (17–22).",
    }


def test_json_heat_can_be_asked_in_celsius() -> None:
    """The unit key tells which of the two it is."""
    data = as_json.field(sample.field_page(), heat_unit="°C·day")
    method = data["row"]["captures"][0]["by_method"][0]
    assert (method["heat"], method["unit"]) == (147.8, "°C·day")
    assert data["words"]["lines"][0]["label"] == "Last seen"


def test_json_has_no_nan() -> None:
    """A missing number is null: NaN is not JSON."""
    page = sample.field_page()
    assert page.series is not None
    series = page.series.model_copy(update={"cut_mid": (float("nan"),) * len(page.series.days)})
    data = json.loads(as_json.dumps(as_json.field(page.model_copy(update={"series": series}))))
    assert set(data["series"]["cut_mid"]) == {None}


def test_fields_that_share_a_name_are_told_apart() -> None:
    """Two growers may both have a Home Quarter: the lead names the grower then."""
    sheet = sample.sheet()
    rest = sheet.rest[0].model_copy(update={"name": "Elm Bottom"})
    assert "begun in Elm Bottom (North Bend Farm) and Long Eighty, and" in words.lead(
        sheet.model_copy(update={"rest": (rest, *sheet.rest[1:])})
    )


def test_capture_rules_read_as_said() -> None:
    """A key of the table of rules is a sentence on a page; a rule of one's own stays as typed."""
    assert words.rule_words("wing-8-in-2") == "8 or more in 2 nights, wing trap"
    assert words.rule_words("cone-17-in-1") == "17 or more in one night, cone trap"
    assert words.rule_words("ours") == "ours"
    assert words.rule_words("") == "none for these traps"


def test_fields_without_facts_still_read() -> None:
    """No parts, no planting date, no capture, no grower: words, not a crash."""
    page = sample.field_page("hilltop")
    bare = page.row.model_copy(update={"parts": (), "captures": (), "grower": ""})
    text = terminal.field(page.model_copy(update={"row": bare, "walks": (), "events": (), "sources": ()}))
    assert "No planting told." in text
    part = sample.part(None, None, None, None)
    assert field_words.corn_words(part, date(2016, 5, 17)) == "No planting date told; the stage is not known."
    seen = part.model_copy(update={"collars": sample.spread(3.0), "collars_basis": "collars seen; no planting date"})
    assert field_words.corn_words(seen, date(2016, 5, 17)) == (
        "No planting date told; 3.0 (1.8–4.2) leaf collars on 17 May, from the collars last seen and heat since."
    )
    assert field_words.larvae_words(part) == "None expected: no significant capture counts here."


def test_what_cannot_be_said_is_not_called_no_walk() -> None:
    """Missing temperatures must never read as "no field needs a walk"."""
    sheet = sample.sheet()
    silent = tuple(
        row.model_copy(update={"walk_today": False, "cannot_say": True, "why": (Reason(code="no_weather"),)})
        for row in sheet.rows
    )
    empty = sheet.model_copy(update={"rows": (), "rest": silent})
    assert words.headline(empty) == "Tuesday 17 May: can't say which fields to walk"
    assert words.lead(empty) == words.NO_TEMPERATURES
    assert rest_words.rest_groups(empty) == [("Can't say yet: six fields", list(silent))]


def test_where_cutting_was_found_goes_before_where_it_is_expected() -> None:
    """What a scout found goes before what was computed."""
    sheet = sample.sheet()
    seen = sheet.rows[0].model_copy(update={"seen_cutting": True})
    lead = words.lead(sheet.model_copy(update={"rows": (seen, *sheet.rows[1:])}))
    assert lead.startswith(f"Go first to {seen.name}, where cutting was found; it has likely begun in Long Eighty, and")
    assert f"likely begun in {seen.name}" not in lead


def test_a_walk_without_counted_stops_never_reads_as_no_cuts() -> None:
    """Stops where the scout went looking stand apart, and nothing is said "in 0 plant places"."""
    walk = sample.walk_rows()[0].last_walk
    assert walk is not None
    looked = walk.model_copy(
        update={"places": 0, "fresh_cut": 0, "looked_places": 20, "looked_fresh_cut": 9, "staged": "5 by leaves"}
    )
    said = field_words.walk_words(looked)
    assert "no plants counted; where it looked worst nine fresh cuts in 20 plant places" in said
    assert "stage typed as 5 by leaves, not used" in said
    assert " 0 plant" not in said


def test_where_cutting_was_found_the_count_stands_in_place_of_the_expectation() -> None:
    """An expected 0.25 per 100 beside two cut plants of 80 could be read two ways."""
    row = sample.walk_rows()[0].model_copy(update={"seen_cutting": True})
    assert row.last_walk is not None
    assert words.stake(row) == f"{row.last_walk.fresh_cut} of {row.last_walk.places} plants freshly cut"
    assert words.stake_label(row).startswith("found ")
    assert words.stake(sample.walk_rows()[0]).endswith("per 100 plants")
    assert words.expected(row).endswith("per 100 plants")


def test_what_to_look_for_is_said_once() -> None:
    """The same lines under every field hide the ones that differ."""
    sheet = sample.sheet()
    common = words.common_look(sheet)
    assert common == words.look_for(sheet.rows[0])
    odd = next(k for k, row in enumerate(sheet.rows) if words.look_for(row) != common)
    other = sheet.rows[odd].model_copy(update={"look_for": (Reason(code="same_flags"),)})
    mixed = sheet.model_copy(update={"rows": (*sheet.rows[:odd], other, *sheet.rows[odd + 1 :])})
    assert words.own_look(mixed.rows[0], common) == ""
    assert words.own_look(other, common) == words.look_for(other)
    own = [row for row in mixed.rows if words.own_look(row, common)]
    printed = terminal.sheet(mixed)
    assert printed.count("    Look for") == len(own) < len(mixed.rows)
    assert printed.count(words.LOOK_ELSEWHERE) == 1
    assert words.common_look(sheet.model_copy(update={"rows": sheet.rows[:2]})) == ""
