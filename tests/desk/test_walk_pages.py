"""The desk's forms for a walk: all that is typed comes back with a slip, and what is kept is what was typed."""

from __future__ import annotations

import html
import re
from pathlib import Path

import pytest

from springwalk.desk.walk_forms import MOST_STOPS
from springwalk.jobs.take_in import take_in
from springwalk.records import Walk
from springwalk.store import open_store
from springwalk.store.entries import given_by
from tests.desk.client import Client, logged_in
from tests.seasons import PLANTINGS, SEASON, TODAY, WALKS, write_season
from tests.stores import season_store

FORMS = ("walk", "recount", "search")
ZONES = "field,zone,name,area\nnorth,low,Low <corner>,10ac\n"
MARKED = (
    "walk,field,date,person,places,marked_row,part,fresh_cut_at,old_cut,empty_place\n"
    "W8,north,2016-05-14,Ann,20,A,low,2,0,1\nW8,north,2016-05-14,Ann,20,B,,0,0,0\n"
)


def made(folder: Path) -> str:
    """A store with the small season, a zone, and two rows that were marked three days ago."""
    return season_store(folder / "season.db", {"zones.csv": ZONES, "walks.csv": MARKED})


@pytest.fixture
def location(tmp_path: Path) -> str:
    """A store to write to."""
    return made(tmp_path)


@pytest.fixture(scope="module")
def untouched(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A store that nothing is kept in, whatever is sent."""
    return made(tmp_path_factory.mktemp("walks"))


def kept(location: str) -> list[Walk]:
    """Walks that were entered at the desk and stand."""
    with open_store(location) as store, store.reading() as read:
        found = [entry.record for entry in given_by(read, "desk")]
    return [record for record in found if isinstance(record, Walk)]


def boxes(page: str) -> dict[str, str]:
    """Every box of a page's form as a browser would send it."""
    form = page.split('<form class="walk"')[1].split("</form>")[0]
    sent = {name: html.unescape(value) for name, value in
            re.findall(r'<input(?! type="checkbox")[^>]*? name="(\w+)"[^>]*? value="([^"]*)"', form)}  # fmt: skip
    for name, body in re.findall(r'<select[^>]* name="(\w+)"[^>]*>(.*?)</select>', form, re.DOTALL):
        chosen = re.search(r'value="([^"]*)" selected', body) or re.search(r'value="([^"]*)"', body)
        sent[name] = html.unescape(chosen[1]) if chosen else ""
    ticked = re.findall(r'<input type="checkbox" name="(\w+)" value="(\w+)" checked', form)
    notes = re.findall(r'<textarea[^>]* name="(\w+)"[^>]*>(.*?)</textarea>', form, re.DOTALL)
    return {**sent, **dict(ticked), **{name: html.unescape(text) for name, text in notes}}


def dated(form: str) -> dict[str, str]:
    """What is typed in a form that has a slip in one box and good values in all others."""
    return {
        "walk": {"s1_places": "20", "s1_part": "north/low", "s1_row": "C <b>", "s1_worst": "yes", "s1_leaf_fed": "2",
                 "s1_old_cut": "some", "sizes": "12 1/2in", "searched": "40", "hour": "20", "soil": "moist",
                 "collars": "V2", "staging": "leaves", "date": "2016-05-16", "person": "Ann & Ben",
                 "note": "two\nlines <i>"},
        "recount": {"r1_fresh_cut_at": "some", "r1_old_cut": "2", "r2_sound": "20", "collars": "2.5",
                    "date": "2016-05-16", "person": "Ann & Ben", "note": "wet"},
        "search": {"searched": "15", "sizes": "twelve", "hour": "21", "soil": "dry", "date": "2016-05-16",
                   "person": "Ann & Ben", "note": "with a lamp"},
    }[form]  # fmt: skip


@pytest.mark.parametrize("form", FORMS)
def test_each_box_has_its_label_and_no_script(asking: Client, form: str) -> None:
    """A screen reader and a browser without scripts can fill in every form; there is nothing inline."""
    page = asking.get(f"/field/north/{form}")
    assert page.status_code == 200
    assert not re.search(r"<script|<style|\sstyle=|\son\w+=", page.text)
    named = re.findall(r'<(?:input|select|textarea) (?!type="hidden"|type="checkbox")id="([\w-]+)"', page.text)
    assert len(named) > 6
    assert set(named) == set(re.findall(r'<label for="([\w-]+)"', page.text))
    assert page.text.count('type="checkbox"') == page.text.count('<label class="tick">')


@pytest.mark.parametrize("form", FORMS)
def test_a_slip_loses_nothing(asking: Client, untouched: str, form: str) -> None:
    """The page comes back with every box as it was typed, the slip beside its box and in the list on top."""
    typed = dated(form)
    sent = {**boxes(asking.get(f"/field/north/{form}").text), **typed}
    back = asking.post(f"/field/north/{form}", sent)
    assert back.status_code == 422
    assert boxes(back.text) == sent
    assert "Not kept yet. Nothing you typed is lost." in back.text
    (slip,) = re.findall(r'<p class="wrong" id="e-(\w+)">', back.text)
    assert typed[slip] in ("some", "twelve")
    assert f'<a href="#b-{slip}">' in back.text
    assert f'id="b-{slip}" name="{slip}"' in back.text
    assert re.search(rf'id="b-{slip}"[^>]* aria-invalid="true" aria-describedby="e-{slip}"', back.text)
    assert kept(untouched) == []


def test_a_walk_is_kept_as_it_was_typed(inside: Client, location: str) -> None:
    """Every box reaches the record, and the field's page says what was kept, with Undo."""
    typed = {**dated("walk"), "s1_old_cut": "1", "stops": "3", "s3_places": "25", "staging": "collars"}
    sent = {**boxes(inside.get("/field/north/walk").text), **typed, "s2_places": "", "do": "keep"}
    answer = inside.post("/field/north/walk", sent, follow_redirects=False)
    assert answer.status_code == 303
    assert answer.headers["location"].startswith("/field/north?told=")
    page = inside.get(answer.headers["location"]).text
    assert "Walk on 16 May: 45 places, two larvae noted at The north field." in page
    assert 'action="/undo"' in page
    (walk,) = kept(location)
    assert (walk.field, walk.walked.isoformat(), walk.person, walk.note) == (
        "north", "2016-05-16", "Ann & Ben", "two\nlines <i>",
    )  # fmt: skip
    assert (walk.plants_searched, walk.hour, walk.soil, walk.collars) == (40, 20, "moist", 2.0)
    assert [x.length_mm for x in walk.larvae] == [12.0, 12.7]
    first, second = walk.stops
    assert (first.places, first.part, first.marked_row, first.counted, first.leaf_fed, first.old_cut, first.sound) == (
        20, "north/low", "C <b>", False, 2, 1, None,
    )  # fmt: skip
    assert (second.places, second.part, second.counted, second.fresh_cut) == (25, "", True, 0)


def test_another_stop_keeps_what_was_typed(asking: Client, untouched: str) -> None:
    """The button posts back: one or five stops more, in the zone of the last, and nothing is kept yet."""
    sent = {**boxes(asking.get("/field/north/walk").text), **dated("walk")}
    one = asking.post("/field/north/walk", {**sent, "do": "more"})
    assert one.status_code == 200
    now = boxes(one.text)
    assert now.items() >= {k: v for k, v in sent.items() if k != "stops"}.items()
    assert (now["stops"], now["s2_part"], now["s2_places"]) == ("2", "north/low", "20")
    assert "Stop 2" in one.text
    assert 'formaction="/field/north/walk#stop-3"' in one.text
    many = boxes(asking.post("/field/north/walk", {**now, "do": "five"}).text)
    assert many["stops"] == "7"
    full = boxes(asking.post("/field/north/walk", {**now, "stops": "9999999", "do": "five"}).text)
    assert int(full["stops"]) <= MOST_STOPS
    assert kept(untouched) == []


def test_a_stop_nobody_touched_is_no_stop_and_a_clean_one_takes_one_tick(inside: Client, location: str) -> None:
    """The 20 places that stand there are not evidence of clean ground; the tick is, and a correction keeps it."""
    fresh = {**boxes(inside.get("/field/north/walk").text), "do": "keep"}
    assert fresh["s1_places"] == "20"
    inside.post("/field/north/walk", {**fresh, "collars": "V2"})
    assert [walk.stops for walk in kept(location)] == [()]
    five = boxes(inside.post("/field/north/walk", {**fresh, "do": "five"}).text)
    ticked = {f"s{k}_clean": "yes" for k in range(1, 7)}
    said = inside.post("/field/north/walk", {**five, **ticked, "note": "clean", "do": "keep"}).text
    assert "Walk on 17 May: 120 places noted at The north field." in said
    walk = next(one for one in kept(location) if one.note)
    assert [(stop.places, stop.fresh_cut, stop.counted) for stop in walk.stops] == [(20, 0, True)] * 6
    again = boxes(inside.get(f"/field/north/walk?correct={walk.id}").text)
    assert again.items() >= ticked.items()
    inside.post("/field/north/walk", {**again, "note": "all clean", "do": "keep"})
    assert [one.stops for one in kept(location) if one.note] == [walk.stops]


@pytest.mark.slow
def test_a_row_called_row_is_not_called_so_twice(inside: Client, tmp_path: Path) -> None:
    """A file may name its row "row 1"."""
    made = str(tmp_path / "rows.db")
    files = {"zones.csv": ZONES, "walks.csv": MARKED.replace(",A,", ",row 1,")}
    with open_store(made, create=True) as store:
        take_in(store, write_season(tmp_path / "rows", files), today=TODAY)
    client = logged_in(made)
    page = client.get("/field/north/recount").text
    assert "<legend>Row 1, Low &lt;corner&gt;</legend>" in page
    assert "<legend>Row B</legend>" in page


@pytest.mark.parametrize(
    ("form", "sent", "told"),
    [
        ("walk", {}, "Nothing was told: fill in a stop, or tick that nothing was found there, or a search"),
        ("walk", {"s1_fresh_cut_at": "2", "s1_places": ""},
         "Stop 1: Places looked at: Say how many places were looked at, at least 1."),
        ("walk", {"s1_fresh_cut_at": "2", "s1_clean": "yes"},
         "Stop 1: Places looked at: Ticked as nothing found, yet plants are told: take the tick away, or clear their"),
        ("walk", {"s1_worst": "yes"}, "Stop 1: Places looked at: Nothing is told of this stop: tick that nothing was"),
        ("walk", {"s1_clean": "yes", "stops": "2", "s2_places": "20"},
         "Stop 2: Places looked at: Nothing is told of this stop: tick that nothing was found, or clear the places if"),
        ("walk", {"s1_places": "0"}, "Stop 1: Places looked at: Say how many places were looked at, at least 1."),
        ("walk", {"s1_places": "-2"}, "Stop 1: Places looked at: Below zero; write a number from 0 to 2000."),
        ("walk", {"s1_clean": "yes", "s1_part": "east/low"}, "Not a zone of this field; choose another."),
        ("walk", {"s1_places": "20", "s1_row": "r" * 41}, "A name longer than 40 characters; call it by a letter."),
        ("walk", {"collars": "V2-V3"}, "Leaf collars: Two stages, not one; write the stage of a usual plant"),
        ("walk", {"note": "x", "date": "2016-05-18"}, "Day: After today (2016-05-17); give the day it was"),
        ("walk", {"note": "x", "date": "yesterday"}, "Day: Not a date; write it like 2016-05-17."),
        ("walk", {"note": "x", "person": "y" * 201}, "Who: Longer than 200 characters; write it shorter."),
        ("walk", {"note": "x", "planting": "north/9"}, "Planting = north/9: field 'north' has no such planting;"),
        ("walk", {"s1_clean": "yes", "correct": "typed-9"}, "Walk = typed-9: no walk with this id was typed;"),
        ("walk", {"searched": "20", "sizes": "90"}, "Larvae found, by size: Not a larva's length (above 0, at most 80"),
        ("recount", {}, "No row was counted: type at least one number, 0 where there is none."),
        ("recount", {"r1_old_cut": "x"}, "Row A, Low <corner>: Old cut: Not a number; write a plain number"),
        ("search", {"hour": "20"}, "Plants searched: Say how many plants were searched."),
        ("search", {"searched": "5", "hour": "31"}, "Hour: Above 23; write a number from 0 to 23."),
    ],
)  # fmt: skip
def test_each_slip_is_said(asking: Client, untouched: str, form: str, sent: dict[str, str], told: str) -> None:
    """What is wrong and what to do stands on the page that comes back, with what was typed, and nothing is kept."""
    whole = {**boxes(asking.get(f"/field/north/{form}").text), **sent, "do": "keep"}
    back = asking.post(f"/field/north/{form}", whole)
    assert back.status_code == 422
    assert told in html.unescape(back.text)
    found = boxes(back.text)
    assert {name: found.get(name) for name in sent if name not in ("hour", "planting", "s1_part")} == {
        name: text for name, text in sent.items() if name not in ("hour", "planting", "s1_part")
    }
    assert kept(untouched) == []


@pytest.mark.slow
def test_marked_rows_are_listed_with_their_last_count(inside: Client, location: str) -> None:
    """What was counted last stands beside each row; the new count goes in as a recount of the same plants."""
    page = inside.get("/field/north/recount").text
    assert "Row A, Low &lt;corner&gt;" in page
    assert "On 14 May: 2 fresh cut, 1 empty in 20 places." in page.replace("two", "2").replace("one empty", "1 empty")
    assert "On 14 May: nothing cut in 20 places." in page
    sent = {**boxes(page), "r1_fresh_cut_below": "1", "r1_old_cut": "2", "r1_empty_place": "1"}
    said = inside.post("/field/north/recount", sent)
    assert said.url.path == "/field/north"
    assert "Walk on 17 May: 20 places noted at The north field." in said.text
    assert "can't be right" not in said.text
    (walk,) = kept(location)
    (stop,) = walk.stops
    assert (stop.marked_row, stop.part, stop.places, stop.fresh_cut, stop.old_cut, stop.empty_place) == (
        "A", "north/low", 20, 1, 2, 1,
    )  # fmt: skip
    assert "On 17 May: one fresh cut, two old cut, one empty in 20 places." in inside.get("/field/north/recount").text


@pytest.mark.slow
def test_a_recount_with_fewer_is_kept_and_asked_about(inside: Client, location: str) -> None:
    """It is not lost, the field's page asks, and the walk can be corrected in the form it was typed in."""
    sent = {**boxes(inside.get("/field/north/recount").text), "r1_old_cut": "1"}
    said = html.unescape(inside.post("/field/north/recount", sent).text)
    assert "Kept, but one thing in it must be looked at again: see below." in said
    assert "marked row A had 3 plants cut or gone on 14 May and has 1 plant now." in said
    link = re.search(r'href="(/field/north/walk\?correct=[\w-]+)"', said)
    assert link is not None
    form = inside.get(link[1])
    assert "Correct a walk: The north field" in form.text
    right = {**boxes(form.text), "s1_old_cut": "2", "s1_empty_place": "1", "do": "keep"}
    assert (right["s1_row"], right["s1_part"], right["s1_places"]) == ("A", "north/low", "20")
    corrected = html.unescape(inside.post("/field/north/walk", right).text)
    assert "in place of walk on 17 May: 20 places." in corrected
    assert "had 3 plants cut or gone" not in corrected
    (walk,) = kept(location)
    assert walk.id in link[1]
    assert (walk.stops[0].old_cut, walk.stops[0].empty_place) == (2, 1)


def test_a_field_without_marked_rows_says_how_to_mark_one(asking: Client) -> None:
    """Nothing to count again is said, with the way to the form that marks a row."""
    page = asking.get("/field/south/recount").text
    assert "No row of this field is marked yet." in page
    assert 'href="/field/south/walk"' in page
    assert "<form" not in page


@pytest.mark.slow
def test_rows_of_two_plantings_are_two_walks(tmp_path: Path) -> None:
    """A row stands in one planting, and so does the walk that counts it again."""
    walks = MARKED.replace("walk,field", "walk,planting,field").replace("W8,north", "W8,1,north")
    walks += "W9,2,north,2016-05-14,Ann,20,A,,1,0,0\n"
    files = {"zones.csv": ZONES, "walks.csv": walks, "plantings.csv": PLANTINGS + "north,2,2016-05-07,Invented 2\n"}
    location = season_store(tmp_path / "split.db", files)
    client = logged_in(location)
    page = client.get("/field/north/recount").text
    assert "Row A, Low &lt;corner&gt;, planting 1" in page
    assert "Row A, planting 2" in page
    sent = {**boxes(page), "r1_old_cut": "3", "r3_old_cut": "1"}
    assert client.post("/field/north/recount", sent).text.count("noted at The north field.") == 2
    assert sorted((w.planting, w.stops[0].part, w.stops[0].old_cut) for w in kept(location)) == [
        ("north/1", "north/low", 3), ("north/2", "", 1),
    ]  # fmt: skip


@pytest.mark.slow
def test_the_search_page_says_how_and_how_long(inside: Client, location: str) -> None:
    """How and when to search, how long to go on in each part, then the form; what was found is kept as a walk."""
    page = inside.get("/field/north/search").text
    assert "Search at dusk round freshly cut plants" in page
    assert "None found after 5" in page
    assert "The product label is the law" in page
    assert [f'value="{5 * k}"' in page for k in range(1, 9)] == [True] * 8
    sent = {**boxes(page), "searched": "25", "hour": "21", "soil": "moist", "person": "Ann"}
    said = inside.post("/field/north/search", sent).text
    assert "Search on 17 May: 25 plants, no larvae noted at The north field." in said
    (walk,) = kept(location)
    assert (walk.stops, walk.plants_searched, walk.hour, walk.soil, walk.larvae) == ((), 25, 21, "moist", ())
    again = inside.post("/field/north/search", {**sent, "sizes": "14mm"}).text
    assert "25 plants, one larva noted" in again
    assert "live larva was found in the last days" in inside.get("/field/north/search").text


def test_without_weather_the_search_can_still_be_typed(tmp_path: Path) -> None:
    """How long to search can't be said there, and that is said; the form is there all the same."""
    client = logged_in(season_store(tmp_path / "dry.db", {"season.toml": SEASON.split("[[station]]")[0]}))
    page = html.unescape(client.get("/field/north/search").text)
    assert "How long to search can't be said: no weather reaches the field; take in days of a station near it." in page
    assert '<form class="walk"' in page


def test_the_same_walk_sent_twice_is_once(inside: Client, location: str) -> None:
    """A slow line sends twice: one walk, and the words say how to tell another."""
    sent = {**boxes(inside.get("/field/north/walk").text), "s1_places": "20", "s1_fresh_cut_at": "1", "do": "keep"}
    first, second = (inside.post("/field/north/walk", sent) for _ in range(2))
    assert "Walk on 17 May: 20 places noted at The north field." in first.text
    assert "The same walk is already kept; add its hour or a note if it is another." in second.text
    assert 'action="/undo"' not in second.text
    assert len(kept(location)) == 1


@pytest.mark.slow
def test_undo_takes_the_walk_back(inside: Client, location: str) -> None:
    """The receipt's button is that of every other entry."""
    sent = {**boxes(inside.get("/field/north/walk").text), "s1_clean": "yes", "do": "keep"}
    page = inside.post("/field/north/walk", sent).text
    form = page.split('action="/undo"')[1].split("</form>")[0]
    undone = inside.post("/undo", dict(re.findall(r'name="(\w+)" value="([^"]*)"', form)))
    assert "Taken back: walk on 17 May: 20 places at The north field." in undone.text
    assert kept(location) == []


def test_the_field_page_leads_to_the_forms(asking: Client) -> None:
    """Three links near the top, before the looks."""
    page = asking.get("/field/north").text
    places = [page.index(f'href="/field/north/{form}"') for form in FORMS]
    assert places == sorted(places)
    assert places[-1] < page.index('class="lines"')


def test_a_walk_from_a_file_is_corrected_in_its_file(tmp_path: Path) -> None:
    """What was not typed here has no form: the page names the walk and the file."""
    odd = WALKS + "W9,north,2016-05-16,A,2,collars,20,30,\n"
    client = logged_in(season_store(tmp_path / "odd.db", {"walks.csv": odd}))
    page = html.unescape(client.get("/field/north").text)
    assert "stop 1 tells 30 plants in 20 places" in page
    assert "To correct it change walk W9 in walks.csv and take the folder in again." in page
    assert "?correct=" not in page
    refused = client.get("/field/north/walk?correct=W9")
    assert refused.status_code == 404
    assert "walk = W9: no walk with this id was typed" in refused.text


@pytest.mark.parametrize("form", FORMS)
def test_a_form_without_its_token_is_refused(asking: Client, untouched: str, form: str) -> None:
    """The cookie alone is not enough, nor a page from elsewhere."""
    sent = {**boxes(asking.get(f"/field/north/{form}").text), "s1_places": "20", "r1_old_cut": "3", "searched": "20"}
    for change, headers in (({"token": "0" * 64}, {}), ({}, {"sec-fetch-site": "cross-site"})):
        assert asking.post(f"/field/north/{form}", {**sent, **change}, headers=headers).status_code == 403
    assert asking.post("/field/nort/walk", sent).status_code == 404
    assert kept(untouched) == []


def test_a_store_that_may_only_be_read_loses_nothing(
    asking: Client, untouched: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Even then what was typed comes back, with the store's own words."""
    sent = {**boxes(asking.get("/field/north/walk").text), "s1_clean": "yes", "note": "a long story", "do": "keep"}
    monkeypatch.setattr("springwalk.store.core.may_write", lambda path: False)
    back = asking.post("/field/north/walk", sent)
    assert back.status_code == 422
    assert f"Store = {untouched}: may only be read; check who may write to the file and its folder." in back.text
    assert boxes(back.text)["note"] == "a long story"


def test_a_correction_keeps_every_stop_and_digit(inside: Client, location: str) -> None:
    """A walk of more stops than a form offers of itself comes back whole, and 17/32 in. as the mm that were kept."""
    many = MOST_STOPS + 5
    sent = {**boxes(inside.get("/field/north/walk").text), "do": "keep", "stops": str(many), "searched": "40"}
    sent |= {f"s{k}_places": str(30 + k) for k in range(1, many + 1)} | {"sizes": "17/32in", "collars": "2.0625001"}
    inside.post("/field/north/walk", sent)
    (first,) = kept(location)
    assert [stop.places for stop in first.stops] == [30 + k for k in range(1, many + 1)]
    form = boxes(inside.get(f"/field/north/walk?correct={first.id}").text)
    assert (form["stops"], form["sizes"], form["collars"]) == (str(many), "13.49375", "2.0625001")
    more = boxes(inside.post("/field/north/walk", {**form, "do": "five"}).text)
    assert (more["stops"], more[f"s{many}_places"]) == (str(many), str(30 + many))
    inside.post("/field/north/walk", {**form, "note": "seen again", "do": "keep"})
    (now,) = kept(location)
    assert now == first.model_copy(update={"note": "seen again"})
