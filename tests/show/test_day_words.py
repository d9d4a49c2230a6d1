"""The day in words: the answer first, clock times, what is left out; the map in words and as a picture."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from datetime import date, time
from itertools import combinations
from math import hypot

import pytest

from springwalk.jobs.day_said import Day, LeftOut, Outline, PersonDay, Purpose, Visit
from springwalk.jobs.terms import TermsSaid
from springwalk.show.day_map import Size, day_map, map_words
from springwalk.show.day_words import clock, day_text, purposes_words
from springwalk.show.money_words import dollars, terms_words
from springwalk.show.terminal import day_lines

TERMS = TermsSaid(
    crop_bu_ac=180, price_usd_bu=4.5, pass_usd_ac=16, product_usd_ac=7, wage_usd_h=25, days_to_sprayer=2,
    assumed=("price", "wage"),
)  # fmt: skip
COUNT = Purpose(code="cutworm", minutes=20, worth_usd=260, stops=4.6, searches=0.3)


def visit(name: str, at: int, purposes: tuple[Purpose, ...] = (COUNT,), forced: str = "") -> Visit:
    """A field in the row of an hour."""
    return Visit(
        field=name.lower(), name=name, grower="Invented", latitude=40.7 + at / 100, longitude=-96.8,
        arrive=time(at, 5), leave=time(at, 25, 40), prize_usd=sum(p.worth_usd for p in purposes), forced=forced,
        purposes=purposes,
    )  # fmt: skip


def planned(**more: object) -> Day:
    """Two people, three fields, one left out for want of hours and one that does not pay."""
    ring = ((-96.81, 40.76), (-96.79, 40.76), (-96.79, 40.78), (-96.81, 40.76))
    told = {
        "season": "Invented", "today": date(2016, 5, 17), "people": (
            PersonDay(person="Ann", go=time(7), home=time(9, 30), visits=(visit("North", 7), visit("South", 8)),
                      drive_min=73, field_min=41),
            PersonDay(person="Ben", go=None, home=None, visits=(), drive_min=0, field_min=0),
        ),
        "left_out": (
            LeftOut(field="e", name="East", costs_usd=118.0, why="hours", forced="", purposes=(COUNT,)),
            LeftOut(field="w", name="West", costs_usd=0.0, why="small", forced="", purposes=(COUNT,)),
        ),
        "kept_out": (), "at_dusk": (), "worth_usd": 480.0, "left_usd": 118.0, "bound_usd": 520.0, "proved": False,
        "stopped_by_clock": False, "hour_usd": 40.0, "hours": 7.0, "leave": time(7), "start": (40.75, -96.82),
        "start_told": False, "terms": TERMS, "roads": "usual",
        "outlines": (Outline(field="north", name="North", rings=(ring,)),),
        **more,
    }  # fmt: skip
    return Day.model_validate(told)


def test_the_answer_comes_first_with_what_is_left_out() -> None:
    """How many fields, by how many, what it is worth, what leaving out costs, how far from the best."""
    lines = day_lines(planned()).splitlines()
    assert lines[0] == "Two fields for one person today; one field left out."
    text = " ".join(" ".join(lines).split())
    assert "Worth about $480 over wages. What is left out would be worth about $120." in text
    assert "The best field left out pays about $40 an hour over the wage. No day can be worth more than $520." in text
    assert "A, Ann: leave 7:00, home 9:30; 2 fields, 1 h 13 min on the road, 41 min in the rows." in text
    assert "B, Ben: nothing that pays for the way." in text
    assert (
        "East: Cutworm: count about 5 stops, be ready to search for larvae. Not enough hours; costs about $120." in text
    )
    assert "Could be visited, but would not pay their own minutes today: West." in text


def test_a_proved_day_and_an_empty_one_say_so() -> None:
    """Certainty is said only where it is there."""
    assert "No better day exists for these numbers." in day_text(planned(proved=True))["lead"]
    assert "could be worth 1 % more" in day_text(planned(bound_usd=481.0))["lead"]
    nobody = tuple(p.model_copy(update={"visits": (), "go": None, "home": None}) for p in planned().people)
    assert day_text(planned(people=nobody))["headline"] == "No field pays for a visit today."


def test_what_to_do_is_told_by_what_is_expected() -> None:
    """A walk that begins with the search is told so; looks by their own words; a promise in front."""
    search = Purpose(code="cutworm", minutes=24, worth_usd=80, stops=1.0, searches=1.0)
    stand = Purpose(code="stand_count", minutes=20, worth_usd=30)
    assert purposes_words((search, stand)) == "Cutworm: look round one stop, then search for larvae; count the stand"
    text = day_lines(planned(people=(
        PersonDay(person="You", go=time(7), home=time(8), visits=(visit("North", 7, (stand,), "promised"),),
                  drive_min=10, field_min=20),
    )))  # fmt: skip
    assert "PROMISED: Count the stand" in text


def test_money_is_rounded_as_an_expectation_and_says_what_nobody_typed() -> None:
    """$1,176.3 expected is about $1,200; prices nobody typed are named."""
    assert [str(dollars(x)) for x in (1176.3, 480.4, 47.6, 0.2, -120.0)] == ["$1,200", "$480", "$48", "$0", "−$120"]
    assert dollars(5.0).basis == "assumption"
    assert terms_words(TERMS).endswith(
        "Nobody typed price and wage: that is an assumption; put yours under [money] in season.toml."
    )
    assert "Nobody typed" not in terms_words(TERMS.model_copy(update={"assumed": ()}))


def test_times_are_to_the_minute() -> None:
    """7:25:40 reads 7:26; the day's last minute stays in the day."""
    assert [str(clock(t)) for t in (time(7, 25, 40), time(7, 25, 20), time(23, 59, 59))] == ["7:26", "7:25", "23:59"]


def test_the_map_is_a_picture_with_words_and_stays_the_same() -> None:
    """Well-formed, described, numbered with a letter a person; the same day the same bytes."""
    svg = day_map(planned(), embed=False)
    root = ET.fromstring(svg)
    space = "{http://www.w3.org/2000/svg}"
    assert (
        root.find(f"{space}desc").text
        == map_words(planned())
        == (  # type: ignore[union-attr]
            "Ann: North, South; left out: East, West. North is up."
        )
    )
    texts = [t.text for t in root.iter(f"{space}text")]
    assert texts[:2] == ["A1", "A2"]
    assert "start" in texts
    assert len(list(root.iter(f"{space}polygon"))) == 1
    assert day_map(planned(), embed=False) == svg
    assert 'viewBox="0 0 360' in day_map(planned(), size="narrow", embed=False)


SPACE = "{http://www.w3.org/2000/svg}"


def crowded(size: Size) -> ET.Element:
    """Thirteen fields of two people: four round the start, two in one place, one far off; as a map."""
    near = [(40.75, -96.82), (40.7505, -96.8195), (40.7502, -96.80), (40.7502, -96.80), (40.7495, -96.812)]
    row = [(40.76 + k / 2000, -96.81 + k / 1000) for k in range(7)]

    def at(k: int, place: tuple[float, float]) -> Visit:
        return visit(f"F{k}", 7).model_copy(update={"latitude": place[0], "longitude": place[1]})

    visits = tuple(at(k, place) for k, place in enumerate([*near, *row, (40.9, -96.6)]))
    people = [
        PersonDay(person=who, go=time(7), home=time(9), visits=some, drive_min=9, field_min=9)
        for who, some in (("Ann", visits[:7]), ("Ben", visits[7:]))
    ]
    return ET.fromstring(day_map(planned(people=tuple(people), outlines=()), size=size, embed=False))


@pytest.mark.parametrize("size", ["wide", "narrow"])
def test_no_circle_lies_on_another_or_on_the_start(size: Size) -> None:
    """Fields a few hundred yards apart can be told apart on a phone, and a moved circle points to its place."""
    root = crowded(size)
    circles = [tuple(float(c.get(key, "")) for key in ("cx", "cy", "r")) for c in root.iter(f"{SPACE}circle")]
    assert len(circles) == 13
    assert {r for _, _, r in circles} == {13.0 if size == "wide" else 9.0}
    for (x, y, r), (u, v, s) in combinations(circles, 2):
        assert hypot(x - u, y - v) >= r + s
    word = next(t for t in root.iter(f"{SPACE}text") if t.text == "start")
    left, middle = float(word.get("x", "")), float(word.get("y", "")) - 5
    for x, y, r in circles:
        off = hypot(max(left - 22 - x, 0, x - left - 32), max(abs(y - middle) - 7, 0))
        assert off >= r
    true = {(line.get("x2"), line.get("y2")) for line in root.iter(f"{SPACE}line")}
    assert len(true) >= 4
    moved = [hypot(*(float(line.get(f"{a}1", "")) - float(line.get(f"{a}2", "")) for a in "xy"))
             for line in root.iter(f"{SPACE}line")]  # fmt: skip
    assert max(moved) < 6 * circles[0][2]


def test_circles_with_room_stay_where_the_fields_are() -> None:
    """Nothing is moved that need not be."""
    assert not list(ET.fromstring(day_map(planned(), embed=False)).iter(f"{SPACE}line"))


def test_the_word_start_stays_in_the_picture() -> None:
    """A start at the right edge has its word at the left."""
    root = ET.fromstring(day_map(planned(start=(40.75, -96.5)), size="narrow", embed=False))
    word = next(t for t in root.iter(f"{SPACE}text") if t.text == "start")
    assert (word.get("text-anchor"), float(word.get("x", "")) < 360 - 34) == ("end", True)
