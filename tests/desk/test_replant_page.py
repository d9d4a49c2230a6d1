"""The desk's replant page: it answers as the command line does, says what is wrong beside its box, losing nothing."""

from __future__ import annotations

import html
import re
from datetime import date, timedelta
from pathlib import Path
from urllib.parse import urlencode

import pytest

from springwalk.desk.replant_pages import LAST_COLLARS, replant_link
from springwalk.jobs.replant_field import Asked, replant_field
from springwalk.jobs.results import DateRange, LastWalk, Range
from springwalk.show.replant_words import CALL_INSURER, CAUTIONS, INSURER_FIRST, headline, money_lines
from springwalk.store import open_store
from tests.desk.client import Client, logged_in
from tests.desk.replanting import EAST, LOW, POLICY, REST, asked, boxes, made
from tests.seasons import TODAY, weather
from tests.show import sample


@pytest.fixture(scope="module")
def untouched(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A store that nothing is written to."""
    return made(tmp_path_factory.mktemp("replant"))


def test_each_box_has_its_label_and_no_script(asking: Client) -> None:
    """A screen reader and a browser without scripts can fill in both forms; there is nothing inline."""
    page = asking.get("/field/east/replant")
    assert page.status_code == 200
    assert not re.search(r"<script|<style|\sstyle=|\son\w+=", page.text)
    named = re.findall(r'<(?:input|select) (?!type="hidden"|type="checkbox")id="([^"]+)"', page.text)
    assert len(named) > 30
    assert len(named) == len(set(named))
    assert set(named) == set(re.findall(r'<label for="([^"]+)"', page.text))
    assert page.text.count('type="checkbox"') == page.text.count('<label class="tick">') == 3
    assert 'id="answer-head"' not in page.text
    assert "Insurance terms, from the policy in hand" in page.text
    assert "Call the insurer before the stand is destroyed" in page.text


def test_page_answers_as_the_command_line_does(asking: Client, untouched: str) -> None:
    """The same question through the job: its headline stands first, its money and both its tables are on the page, the
    form comes after, and every box is as it was typed."""
    typed = {**EAST, REST: "29000", LOW: "12000", "trip": "150"}
    code, page = asked(asking, typed)
    with open_store(untouched) as store:
        said = replant_field(
            store, "east",
            Asked({"rest": 29_000, "low": 12_000}, cost_usd_ac=60, trip_usd=150, replant_on=TODAY.replace(day=20),
                  replant_stand=30_000, also={}), today=TODAY,
        )  # fmt: skip
    assert code == 200
    told = re.search(r'id="answer-head">(.*?)</h2>', page)
    assert told is not None
    assert told[1] == headline(said).replace("replant", "Replant", 1)
    assert told[1].startswith("Replant the 12.0 acres of Low <corner> on 20 May")
    (money,) = money_lines(said)
    places = [page.index(text) for text in
              (told[0], CALL_INSURER, money, ">Counted<", ">Earliest day by what is known: ", ">The tables used<",
               ">Not counted<", CAUTIONS[0], '<form class="walk" id="question"')]  # fmt: skip
    assert places == sorted(places)
    rows = [(row["name"], f"{row['gain_usd_ac']:,.0f} US$".replace("-", "−"))
            for part in said.parts for row in part.found["tables"]]  # fmt: skip
    assert re.findall(r'scope="row">(.*?)</th>.*?(−?[\d,]+ US\$)</td>', page) == rows
    assert {name: text for name, text in boxes(asking.get(f"/field/east/replant?{urlencode(typed)}").text, 1).items()
            if text} == typed  # fmt: skip


def test_thick_stand_is_kept(asking: Client) -> None:
    """24 000 to 25 000 left of 25 April: all tables lose by a replant of 20 May."""
    for stand in ("24000", "25000"):
        _, page = asked(asking, {**EAST, REST: stand, LOW: stand})
        assert 'id="answer-head">Keep it.</h2>' in page


def test_fourteen_thousand_left_are_not_paid_for(asking: Client) -> None:
    """79 % of 180 bu is 142, above 0.9 of the guarantee of 144 (terms of an old text, Iowa 1998); the insurer is named
    before the answer all the same. 10 000 are 122 bu: 8 bu at 4.66 are paid."""
    _, page = asked(asking, {**EAST, **POLICY, REST: "14000", LOW: "14000"})
    assert page.index(INSURER_FIRST) < page.index('id="answer-head"')
    assert CALL_INSURER not in page
    assert "Insurance: no payment, appraised at 142.2 bu, paid below 129.6 bu." in page
    _, page = asked(asking, {**EAST, **POLICY, REST: "10000", LOW: "10000"})
    assert "Insurance: 37.28 US$ per acre, appraised at 122.4 bu, paid below 129.6 bu." in page
    assert "once the insurer agrees" in page


def test_policy_of_its_own_terms_and_area(asking: Client) -> None:
    """Every term can be typed: 10 bu at most (with 0.05 of 144 the less, 7.2 bu) are 33.55 US$; and 12 acres are fewer
    than a rule asks for, so nothing is paid."""
    terms = {**EAST, **POLICY, REST: "29000", LOW: "10000", "paid_below": "100 %", "most_bu": "10", "most_of": "5"}
    _, page = asked(asking, terms)
    assert "Insurance: 33.55 US$ per acre, appraised at 122.4 bu, paid below 144.0 bu." in page
    _, page = asked(asking, {**terms, "acres": "20"})
    assert "By the rule typed a replant is paid for from 20.0 acres on." in page
    assert "33.55 US$ per acre" not in page
    _, page = asked(asking, {**EAST, LOW: "10000", "guarantee": "144", "appraised": "120", "projected": "4.66",
                             "history": "180", "share": "50"})  # fmt: skip
    assert "Insurance: 18.64 US$ per acre, appraised at 120.0 bu, paid below 129.6 bu." in page


@pytest.mark.parametrize("share", ["80", "80%", "80 %", "0.8"])
def test_share_may_be_written_as_people_do(asking: Client, share: str) -> None:
    """A coverage of 80 is never taken for 80 times the history, nor 0.8 for less than one percent."""
    _, page = asked(asking, {**EAST, **POLICY, "coverage": share})
    assert "paid below 129.6 bu." in page


def test_what_is_counted_and_what_is_not_is_said(asking: Client) -> None:
    """Larvae always; drying, frost, terms and each wait only as typed, and named where they were not."""
    _, page = asked(asking, EAST)
    assert "Larvae still there, expected to cut 0 % of the new plants" in page
    for line in (
        "Frost risk is not counted: the hybrid's need is not typed.",
        "Drying of the later grain: its price is not typed.",
        "What an insurer would pay: no terms are typed.",
        "Not typed, so no days counted to kill the old stand or by the label before planting or until the planter",
    ):
        assert line in page
    more = {
        "kill": "1",
        "label": "6",
        "queue": "2.5",
        "drying": "0.04",
        "seed": "40",
        "seed_paid": "50",
        "yield": "200",
    }
    _, page = asked(asking, {**EAST, **POLICY, **more})
    for line in (
        "Earliest real day: ", "1 day to kill the old stand", "6 days by the label before planting",
        "2.5 days until the planter comes", "Drying: 0.040 US$ a bushel and point of water", "Seed free: ",
        "Worked with 200 bushels an acre", "Asked for 20 May: not possible by these days",
    ):  # fmt: skip
        assert line in page
    assert "What an insurer would pay" not in page
    assert "Not typed, so no days" not in page


def test_frost_is_counted_with_a_past_fall_and_a_need(tmp_path: Path) -> None:
    """A station with one fall behind it: a hybrid that needs little ripens in it, one that needs too much does not."""
    past = weather(date(2015, 3, 1), date(2015, 11, 30)) + weather().partition("\n")[2]
    client = logged_in(made(tmp_path, **{"weather/station.csv": past}))
    for need, share in (("900", "100"), ("5000", "0")):
        _, page = asked(client, {**EAST, "need": need})
        assert f"Rest: ripe before a killing frost in {share} % of past years." in page
        assert "Past years at Test station: " in page
        assert "Frost risk is not counted" not in page


SLIPS = [
    ({}, REST, "Say how many plants an acre are left, for at least one part."),
    ({REST: "18000"}, "cost", "Say what replanting costs an acre, with the seed at its full price."),
    ({REST: "18,000", "cost": "60"}, REST, "A number can't hold a thousands comma; write 18000."),
    ({LOW: "many", "cost": "60"}, LOW, "Not a number; write a plain number such as 12 or 4.5."),
    ({**EAST, "cost": "nan"}, "cost", "Not a number;"),
    ({**EAST, "cost": "-1"}, "cost", "Below zero; write a number from 0 to 5000."),
    ({**EAST, "on": "2017-05-20"}, "on", "Not a day of 2016; correct the year."),
    ({**EAST, "on": "20 May"}, "on", "write it like 2016-05-17."),
    ({**EAST, "on": "2016-08-20"}, "on", "No table holds these dates; check the two dates."),
    ({**EAST, "planted": "2016-06-20"}, "on", "Not after planted = 06-20; check the two dates."),
    ({**EAST, "need": "108"}, "need", "Below 500; write a number from 500 to 5000."),
    ({**EAST, "kill": "-1"}, "kill", "Below zero; write a number from 0 to 120."),
    ({**EAST, "seed": "80"}, "seed", "Outside 0 … 60; check the number and its unit."),
    ({**EAST, "seed_paid": "150"}, "seed_paid", "Above 100; write a number from 0 to 100, in percent."),
    ({**EAST, "gaps": "wide"}, "gaps", "Not one of the words known here;"),
    ({**EAST, "coverage": "80", "projected": "4.66"}, "history", "A policy's payment is worked from it; type it from"),
    ({**EAST, "history": "180", "projected": "4.66"}, "coverage", "A policy's payment is worked from it;"),
    ({**EAST, "history": "180", "coverage": "80"}, "projected", "A policy's payment is worked from it;"),
    ({**EAST, **POLICY, "guarantee": "190"}, "guarantee", "Above the history of 180; check the two."),
    ({**EAST, **POLICY, "acres_share": "20"}, "unit", "A share of the unit was typed: give the unit's acres too."),
]


@pytest.mark.parametrize(("typed", "box", "told"), SLIPS)
def test_slip_stands_beside_its_box(asking: Client, typed: dict[str, str], box: str, told: str) -> None:
    """What is wrong and what to do, on top and beside the box, and all that was typed still there; no answer."""
    query = urlencode(typed or {REST: ""})
    back = asking.get(f"/field/east/replant?{query}")
    page = html.unescape(back.text)
    assert back.status_code == 422
    assert "No answer yet. Nothing you typed is lost." in page
    beside = re.search(rf'<p class="wrong" id="e-{box}">(.*?)</p>', page)
    assert beside is not None
    assert told in beside[1]
    assert f'<a href="#b-{box}">' in page
    assert re.search(rf'id="b-{box}"[^>]* aria-invalid="true" aria-describedby="e-{box}"', page)
    now = boxes(back.text, 1)
    assert {name: now[name] for name in typed if name != "gaps"} == {k: v for k, v in typed.items() if k != "gaps"}
    assert 'id="answer-head"' not in page


def test_fold_out_with_something_in_it_stands_open(asking: Client) -> None:
    """What was typed, or is wrong, is never hidden."""
    fresh = asking.get("/field/east/replant").text
    assert '<details class="fold" open>' not in fresh
    _, page = asked(asking, {**EAST, "coverage": "80"})
    assert re.search(r'<details class="fold" open>\s*<summary>Insurance terms', page)
    _, page = asked(asking, {**EAST, "drying": "x"})
    assert re.search(r'<details class="fold" open>\s*<summary>Yield, price', page)


def test_planting_day_is_asked_for_where_nobody_told_it(asking: Client) -> None:
    """Without it no table can be read; typed, it goes before the store's."""
    assert "nobody told when it was planted" in asking.get("/field/south/replant").text
    code, page = asked(asking, {"stand": "12000", "cost": "60"}, "south")
    assert code == 422
    assert "Nobody told when this field was planted: give the day." in page
    code, page = asked(asking, {"stand": "12000", "cost": "60", "planted": "2016-04-25"}, "south")
    assert code == 200
    assert "planted 25 April, 12,000 plants per acre left" in page


def test_part_without_a_stand_is_not_judged(asking: Client) -> None:
    """Nothing is said of what nobody counted, nor that it may be left."""
    _, page = asked(asking, {**EAST, REST: "", LOW: "10000"})
    assert "Not judged, no stand given: rest." in page
    assert re.search(r'id="answer-head">Replant the 12\.0 acres of Low <corner> on 20 May or later\.</h2>', page)


def test_same_address_gives_the_same_answer(asking: Client) -> None:
    """It can be reloaded and sent to oneself."""
    first, second = (asked(asking, EAST) for _ in range(2))
    assert first == second


def test_unknown_field_is_told(asking: Client) -> None:
    """As on every page of a field."""
    answer = asking.get("/field/nort/replant?s1=9000&cost=60")
    assert answer.status_code == 404
    assert "no such field in this store; did you mean north" in answer.text


def test_without_entries_the_question_stands_alone(untouched: str) -> None:
    """A desk that may not write answers, and offers no form to tell."""
    page = logged_in(untouched, forms=False).get(f"/field/east/replant?{urlencode(EAST)}").text
    assert 'id="answer-head"' in page
    assert 'method="post"' not in page


def test_field_page_leads_here_while_one_would_ask(asking: Client) -> None:
    """East is up and small: a button near the top. North is not up: in a fold-out of the right column."""
    link = '<a class="button" href="/field/{0}/replant">Keep or replant?</a>'
    east, north = (asking.get(f"/field/{name}").text for name in ("east", "north"))
    assert east.count(link.format("east")) == north.count(link.format("north")) == 1
    assert east.index(link.format("east")) < east.index('class="lines"')
    assert north.index("<summary>Replanting</summary>") < north.index(link.format("north"))
    assert north.index("<aside>") < north.index(link.format("north"))


def test_link_follows_the_corn() -> None:
    """From the first plants on to about V6; where the stage is not known, a walk that counted plants tells."""
    page = sample.field_page("elm-bottom")
    (part, *_) = page.row.parts
    day = page.sheet_today

    def near(early: date | None, low: float | None, walks: tuple[LastWalk, ...] = ()) -> bool:
        up = None if early is None else DateRange(early=early, mid=early, late=early)
        collars = None if low is None else Range(low=low, mid=low + 0.3, high=low + 0.6)
        row = page.row.model_copy(
            update={"parts": (part.model_copy(update={"emergence": up, "collars": collars}),)}
        )  # fmt: skip
        found = replant_link(page.model_copy(update={"row": row, "walks": walks}))
        assert found["replant"] == "/field/elm-bottom/replant"
        return bool(found["replant_now"])

    walk = LastWalk(walked=day, person="", places=20, fresh_cut=0, old_cut=0, leaf_fed=0, larvae=0, collars=None)
    assert near(day, 0.0)
    assert not near(day + timedelta(days=1), 0.0)
    assert near(day, LAST_COLLARS)
    assert not near(day, LAST_COLLARS + 0.1, (walk,))
    assert near(None, None, (walk,))
    assert not near(None, None)
