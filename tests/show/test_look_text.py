"""The jobs of a field in words, and the sheet of a spring without moths."""

from __future__ import annotations

import json
from datetime import date, datetime

from springwalk.jobs.results import KeepOut, Look, Row, Sheet
from springwalk.show import as_json, caution, field_words, look_text, look_titles, rest_words, terminal, words
from springwalk.show.once import guides, said_once
from springwalk.show.sheet_text import sheet_text, walk_text
from tests.show import looks_sample, sample
from tests.show.looks_sample import TODAY, look, why


def _row(ident: str) -> Row:
    return next(row for row in (*looks_sample.rows(), *looks_sample.rest()) if row.field == ident)


def _only(*rows: Row, rest: tuple[Row, ...] = ()) -> Sheet:
    return looks_sample.sheet().model_copy(update={"rows": rows, "rest": rest})


def test_the_sheet_is_answer_first_without_a_moth() -> None:
    """The headline counts fields; the lead says what is overdue, what is on its last day, and how many looks more."""
    sheet = looks_sample.sheet()
    assert words.headline(sheet) == "Sunday 8 May: walk five fields"
    assert words.lead(sheet) == (
        "Overdue: check the treatment in Elm Bottom; last day today: dig for cold-soaked seed in North Eighty."
        " Four more looks are due."
    )


def test_one_and_two_fields_are_named_more_are_counted() -> None:
    """A calm day's jobs are one sentence, and it reads right for one field and for many."""
    known = {row.field: row.name for row in looks_sample.rows()}
    one = _row("schoolhouse")
    assert look_text.jobs_lead(_only(one), known) == "Count the stand in Schoolhouse."
    two = look_text.jobs_lead(_only(one, _row("river-forty")), known)
    assert two == "Count stands in Schoolhouse and River Forty."
    codes = ("hail", "frost", "wind", "ponding")
    many = one.model_copy(update={"looks": tuple(look(code, "schoolhouse", 7, 9) for code in codes)})
    assert look_text.jobs_lead(_only(many), known).endswith("; two other jobs.")


def test_cutting_comes_after_what_presses() -> None:
    """A field whose look is on its last day goes before dates of cutting, plain jobs after."""
    cut = sample.walk_rows()[2].model_copy(update={"cutworm": True, "name": "School Lane", "field": "lane"})
    sheet = _only(cut, _row("north-eighty"), _row("schoolhouse"))
    assert words.lead(sheet).startswith("Last day today: dig for cold-soaked seed in North Eighty. ")
    assert words.lead(sheet).endswith("Cutting begins 19 May (17–22) in School Lane. One more look is due.")


def test_the_lead_of_a_busy_day_stays_short() -> None:
    """However much presses, three short sentences: several overdue jobs and fields are counted, not named."""
    cut = sample.walk_rows()[2].model_copy(update={"cutworm": True, "name": "School Lane", "field": "lane"})
    lead = words.lead(_only(cut, *looks_sample.rows()))
    assert lead.endswith("Cutting begins 19 May (17–22) in School Lane. Four more looks are due.")
    late = [_late(f"field-{k}", f"Field {k}") for k in "abcd"]
    found = cut.model_copy(update={"seen_cutting": True, "name": "Mill Race", "field": "race"})
    sheet = _only(found, *sample.walk_rows(), *late, _late("oak", "Oak").model_copy(update={"looks": (DUE,)}))
    assert words.lead(sheet.model_copy(update={"today": date(2016, 5, 17)})) == (
        "Overdue: twelve looks in four fields. Go first to Mill Race, where cutting was found; it has likely begun in"
        " Elm Bottom and Long Eighty, and begins 19 May (17–22) in Schoolhouse and River Forty, then in two more."
        " One more look is due."
    )


DUE = look("hail", "oak", 7, 9)


def _late(ident: str, name: str) -> Row:
    """A field with three looks overdue."""
    looks = tuple(_overdue(code, ident) for code in ("hail", "frost", "wind"))
    return _row("schoolhouse").model_copy(update={"field": ident, "name": name, "looks": looks})


def _overdue(code: str, ident: str) -> Look:
    return look(code, ident, 4, 6).model_copy(update={"state": "overdue"})


def test_a_lead_of_looks_alone_counts_what_does_not_press() -> None:
    """Nothing overdue: looks beside cutting are not called more of anything."""
    cut = sample.walk_rows()[2].model_copy(update={"cutworm": True, "name": "School Lane", "field": "lane"})
    assert words.lead(_only(cut, _row("schoolhouse"))).endswith("in School Lane. One look is due.")


def test_yardstick_and_order_are_for_cutworm_only() -> None:
    """Where no field is walked for cutworm nothing is said of how such fields are ordered."""
    said = sheet_text(looks_sample.sheet())
    assert said["yardstick"] == ""
    assert not [note for note in said["notes"] if "yardstick" in note]
    both = looks_sample.sheet().model_copy(update={"rows": (*looks_sample.rows(), sample.walk_rows()[0])})
    assert sheet_text(both)["yardstick"] == words.YARDSTICK
    assert [note for note in sheet_text(both)["notes"] if "yardstick" in note]


def test_a_look_says_its_name_its_days_and_what_presses() -> None:
    """Overdue and last day go first in words; a look that is over says that it was due."""
    overdue = look_text.row_looks(_row("elm-bottom"))[0]
    assert (overdue["front"], overdue["title"]) == ("Overdue", "After the treatment, was due 4–6 May")
    last = look_text.row_looks(_row("north-eighty"))[0]
    assert (last["front"], last["title"]) == ("Last day", "Dig for cold-soaked seed, 6–8 May")
    assert look_text.row_looks(_row("long-eighty"))[0]["title"] == "Will it break the crust? 7–9 May"
    gone = look("hail", "x", 1, 2).model_copy(update={"state": "missed"})
    assert look_text.window(gone) == "was due 1–2 May, and is past telling"


def test_an_estimated_date_behind_a_look_is_said_once() -> None:
    """Each estimated date is shown with its range, and not twice."""
    known = _row("north-eighty").looks[0]
    assert "The date behind it" not in look_text.look_why(known)
    bare = known.model_copy(update={"why": known.why[:1]})
    assert look_text.look_why(bare).endswith("The date behind it is 8 May (6–9).")


def test_a_look_of_one_part_names_it() -> None:
    """With two plantings or a zone a look says which ground it is of."""
    row = _row("schoolhouse")
    other = row.parts[0].model_copy(update={"planting": "schoolhouse/2"})
    two = row.model_copy(update={"parts": (*row.parts, other)})
    assert look_text.heading(two.looks[0], two) == "Count the stand (planting 1), 7–9 May"
    zone = row.looks[0].model_copy(update={"zone": "schoolhouse/creek bottom"})
    assert look_titles.where(zone, row) == "creek bottom"


def test_a_pest_is_named_in_its_look() -> None:
    """A count that asks for more, or for action, says of which pest."""
    counted = why("pest_counted", name="wireworm", looked=12, unit="bait stations", date=TODAY)
    more, act = (look(code, "x", 8, 9, why=(counted,)) for code in ("pest_more", "pest_act"))
    assert (look_titles.title(more), look_titles.do(act)) == (
        "Count more: wireworm",
        "see to wireworm at its threshold",
    )
    assert look_titles.title(look("new_thing", "x", 8, 9)) == "New thing"


def test_what_to_look_for_is_said_once_for_many_fields() -> None:
    """The same lines under every stand count would hide what differs."""
    sheet = looks_sample.sheet()
    assert [guide["title"] for guide in guides(sheet, said_once(sheet))] == ["Count the stand:"]
    printed = " ".join(terminal.sheet(sheet).split())
    assert printed.count("Count plants in ten measured row lengths") == 1
    assert printed.count("how many of the ten will still come?") == 1
    two = _only(*looks_sample.rows()[2:4])
    assert said_once(two) == {}
    assert " ".join(terminal.sheet(two).split()).count("Count plants in ten measured row lengths") == 2


def test_a_field_for_cutworm_and_more_has_both_jobs() -> None:
    """What presses comes before the walk for cutworm, the rest after; each has its name."""
    cut = sample.walk_rows()[1]
    both = cut.model_copy(update={"cutworm": True, "looks": (look("stand_count", cut.field, 8, 9),)})
    jobs = walk_text(both, "", {})["jobs"]
    assert [job["title"] for job in jobs] == ["Walk for cutworm", "Count the stand, 8–9 May"]
    pressing = both.model_copy(update={"looks": (look("stand_count", cut.field, 6, 8),)})
    assert [job["front"] for job in walk_text(pressing, "", {})["jobs"]] == ["Last day", ""]
    assert look_text.today_words(pressing) == "count the stand (last day); walk for cutworm"
    assert walk_text(cut, "", {})["jobs"][0]["title"] == ""


def test_a_field_not_walked_for_cutworm_says_nothing_of_moths() -> None:
    """No stake and no line on captures where the walk is for something else; what else is true stays."""
    row = _row("schoolhouse")
    said = walk_text(row, "", {})
    assert (said["stake"], said["other"]) == ("", "")
    odd = row.model_copy(update={"why": (why("no_flight"), why("corn_disagrees", planted=date(2016, 4, 28)))})
    assert walk_text(odd, "", {})["other"].startswith("The corn seen does not fit the planting date")


def test_pests_to_watch_for_stand_with_the_field() -> None:
    """While there: which pest, where, how many, and the count that means act."""
    assert walk_text(_row("elm-bottom"), "", {})["also"] == [
        "Wireworm: look at 12 bait stations, where grass was; act at one wireworm a station."
        " There is no rescue treatment."
    ]


def test_the_field_page_says_locks_looks_and_seedbed() -> None:
    """The headline is the answer also for a locked or wet field; looks have their basis, soil its range."""
    page = looks_sample.field_page()
    assert rest_words.next_look(page.row, TODAY) == (
        "Today: dig for cold-soaked seed (last day); then come back Thursday 12 May."
    )
    assert field_words.page_looks(page)[0]["basis"] == "Basis: trade, common practice."
    assert field_words.seedbed_lines(page) == [
        "Soil at 4 in. (10 cm): 51 (48–54) °F, yesterday's mean, worked from air.",
        "Dried out of the top of the soil: 0.16 (0.08–0.24) in. of the 0.87 in. it can lose; none would be wet"
        " through.",
    ]
    headlines = {
        ident: field_words.field_headline(looks_sample.field_page(ident)) for ident in ("mill-east", "pond-quarter")
    }
    assert headlines == {
        "mill-east": "Mill East: keep out until Monday 9 May, 06:30",
        "pond-quarter": "Pond Quarter: too wet to walk today",
    }  # fmt: skip


def test_a_seedbed_without_rain_says_what_to_add() -> None:
    """Wetness is not guessed where no rain is known."""
    page = looks_sample.field_page()
    bed = looks_sample.BED.model_copy(update={"rain_known": False, "drained_mm": None, "soil_c": None})
    part = page.row.parts[0].model_copy(update={"seedbed": bed})
    bare = page.model_copy(update={"row": page.row.model_copy(update={"parts": (part,)})})
    assert field_words.seedbed_lines(bare) == [
        "How wet the surface is can't be said: too little rain is known. Note a gauge reading."
    ]
    wet = looks_sample.BED.model_copy(update={"fit_on": date(2016, 5, 10)})
    part = page.row.parts[0].model_copy(update={"seedbed": wet})
    soon = page.model_copy(update={"row": page.row.model_copy(update={"parts": (part,)})})
    assert field_words.seedbed_lines(soon)[-1] == "Likely fit to walk Tuesday 10 May if no more rain falls."


def test_terminal_says_it_all_inside_its_width() -> None:
    """Every field, every look, the caution; no line wider than 100 columns or with blanks at its end."""
    text = terminal.sheet(looks_sample.sheet())
    lines = text.splitlines()
    assert lines[0] == "Sunday 8 May: walk five fields"
    assert max(len(line) for line in lines) <= terminal.WIDTH
    assert [line for line in lines if line != line.rstrip()] == []
    assert "  * OVERDUE: After the treatment, was due 4–6 May" in lines
    for row in (*looks_sample.rows(), *looks_sample.rest()):
        assert f"[{row.field}]" in text
    field = " ".join(terminal.field(looks_sample.field_page()).split())
    assert "Last day: Dig for cold-soaked seed, 6–8 May." in field
    assert all(line in field for line in caution.USUAL)


def test_json_carries_looks_with_their_words() -> None:
    """A program reads the dates and the same sentences a person does."""
    text = as_json.dumps(as_json.sheet(looks_sample.sheet()))
    assert text == as_json.dumps(as_json.sheet(looks_sample.sheet()))
    data = json.loads(text)
    first = data["rows"][0]
    assert first["looks"][0]["words"]["title"] == "After the treatment, was due 4–6 May"
    assert first["looks"][0]["opens"] == "2016-05-04"
    assert first["looks"][1]["why"][0]["words"].startswith("Expected up 2 May (1–4)")
    assert first["also"][0]["words"].startswith("Wireworm: look at 12 bait stations")
    assert first["words"]["today"] == "check the treatment (overdue); count the stand"
    wet = next(row for row in data["rest"] if row["field"] == "pond-quarter")
    assert wet["too_wet"]["words"].startswith("Too wet after 1.1 in.")
    assert data["rest"][0]["keep_out"]["opens"] == "2016-05-09T06:30:00"


def test_kept_results_say_the_same() -> None:
    """A sheet kept as JSON and read back gives the same text: dates come back as text there."""
    sheet = looks_sample.sheet()
    kept = Sheet.model_validate_json(sheet.model_dump_json())
    assert terminal.sheet(kept) == terminal.sheet(sheet)


def test_a_lock_on_part_of_a_field_stands_at_its_top() -> None:
    """A field that is walked while one zone is closed says so before anything else."""
    lock = KeepOut(
        what="insecticide",
        product="",
        on=TODAY,
        opens=datetime.fromisoformat("2016-05-09T06:00"),
        told_time=True,
        zone="creek bottom",
    )
    said = walk_text(_row("schoolhouse").model_copy(update={"keep_out": lock}), "", {})
    assert said["keep_out"] == "Insecticide went on 8 May in creek bottom: keep out until Monday 9 May, 06:00."
