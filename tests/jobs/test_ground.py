"""Dated events to the state of the ground."""

from __future__ import annotations

from datetime import date

from springwalk.jobs.ground import ground_of
from tests.jobs.made import event


def ground(*events: object, planting: str | None = None, zone: str | None = None):  # type: ignore[no-untyped-def]
    """The ground of one part."""
    return ground_of(events, planting=planting, zone=zone)  # type: ignore[arg-type]


def test_weeds_seen_were_there_before() -> None:
    """Winter annuals seen on 5 April were green in March."""
    got = ground(event("a", 4, 5, "weeds seen", "dense"), event("a", 4, 22, "cover killed"))
    assert got.before == "dense"
    assert got.changes == ((date(2016, 4, 5), "dense"), (date(2016, 4, 22), "residue"))
    assert got.green_end == date(2016, 4, 22)
    assert got.told


def test_what_was_killed_was_green() -> None:
    """A kill alone tells that cover stood until then."""
    got = ground(event("a", 5, 5, "cover killed"))
    assert got.before == "dense"
    assert got.state_on(date(2016, 5, 4)) == "dense"
    assert got.state_on(date(2016, 5, 5)) == "residue"


def test_tillage_alone_says_nothing_of_before() -> None:
    """Tilled black on 20 April: before that nobody spoke."""
    got = ground(event("a", 4, 20, "tilled"))
    assert not got.told
    assert got.state_on(date(2016, 4, 19)) == "not told"
    assert got.state_on(date(2016, 4, 20)) == "black"
    assert got.green_end == date(2016, 4, 20)


def test_green_that_comes_back_has_not_ended() -> None:
    """Weeds seen after a kill: the green bridge is whole again."""
    got = ground(event("a", 4, 10, "cover killed"), event("a", 5, 1, "weeds seen", "many weeds"))
    assert got.green_end is None


def test_an_event_of_another_part_is_not_mine() -> None:
    """What is said of a zone or planting touches only that part; what is said of the field touches all."""
    whole, low = event("a", 4, 1, "tilled"), event("a", 4, 2, "weeds seen", "dense", zone="a/low")
    assert ground(whole, low, zone="a/low").state_on(date(2016, 4, 3)) == "dense"
    assert ground(whole, low).state_on(date(2016, 4, 3)) == "black"


def test_bare_ground_seen_says_nothing_of_before() -> None:
    """Clean ground seen in late May was not necessarily clean when the moths came."""
    got = ground(event("a", 5, 23, "weeds seen", "clean"))
    assert got.state_on(date(2016, 4, 14)) == "not told"


def test_weeds_that_came_with_the_corn_say_nothing_of_before() -> None:
    """Green seen after planting may have grown since."""
    after = ground_of([event("a", 5, 23, "weeds seen", "dense")], planting=None, zone=None, planted=date(2016, 5, 5))
    assert after.state_on(date(2016, 4, 14)) == "not told"


def test_tillage_of_the_same_day_comes_last() -> None:
    """Sprayed and tilled on one day, in either order of rows: black."""
    events = [event("a", 4, 20, "tilled"), event("a", 4, 20, "cover killed")]
    for order in (events, events[::-1]):
        assert ground(*order).state_on(date(2016, 4, 20)) == "black"


def test_green_killed_after_planting_stood_there_before() -> None:
    """Planted green and sprayed two days later: what was killed was green when the moths came."""
    events = [event("a", 5, 7, "weeds seen", "many weeds"), event("a", 5, 7, "cover killed")]
    got = ground_of(events, planting=None, zone=None, planted=date(2016, 5, 5))
    assert got.state_on(date(2016, 4, 14)) == "many weeds"
