"""Reported flights: an arrival with a date error where no trap found it, never the same moths twice."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date

import numpy as np
import pytest

from springwalk.jobs.field import field_of
from springwalk.jobs.flights import Flights, read_flights
from springwalk.jobs.params import load
from springwalk.jobs.results import Capture
from springwalk.jobs.sheet import row_of
from springwalk.records import Catch, Field, FlightReport, Trap
from springwalk.show.alt import season_words
from springwalk.show.field_words import capture_words
from springwalk.show.figures import season_figure
from springwalk.show.words import heat_words
from tests.jobs import made

TODAY = date(2016, 5, 17)
FIELD = made.field("here")


def night(month: int, day: int) -> int:
    """Index of a night."""
    return (date(2016, month, day) - date(2016, 3, 1)).days


def report(on: date = date(2016, 4, 14), *, source: str = "Flats Moth Service", near: str = "Sandy Fork",
           either_way: int = 2, latitude: float = 40.75) -> FlightReport:  # fmt: skip
    """A made-up service's word of a flight some kilometres off."""
    return FlightReport(source=source, near=near, latitude=latitude, longitude=-96.85, night=on,
                        nights_either_way=either_way)  # fmt: skip


def flights(reports: Sequence[FlightReport], catches: Sequence[Catch] = (), traps: Sequence[Trap] = (made.TRAP,),
            fields: Sequence[Field] = (FIELD,), today: date = TODAY) -> Flights:  # fmt: skip
    """Flights as known on 17 May."""
    return read_flights(made.SEASON, traps, catches, fields, today=today, settings=load(), reports=reports)


def quiet(first: int = 1, last: int = 29) -> list[Catch]:
    """A trap read every other April morning, never a moth in it."""
    return [Catch(trap="wing-1", since=date(2016, 4, d), read=date(2016, 4, d + 2), moths=0)
            for d in range(first, last, 2)]  # fmt: skip


def test_a_report_is_one_flight_spread_over_the_nights_it_may_have_been() -> None:
    """Weight 1, likeliest on the night said, nothing beyond what was said."""
    arrived = flights([report()]).arrived[0]
    assert arrived.sum() == pytest.approx(1.0)
    assert np.flatnonzero(arrived).tolist() == list(range(night(4, 12), night(4, 17)))
    assert int(arrived.argmax()) == night(4, 14)
    exact = flights([report(either_way=0)]).arrived[0]
    assert exact[night(4, 14)] == 1.0


def test_a_report_adds_nothing_to_a_trap_that_found_the_flight() -> None:
    """The service speaks of the moths that our trap counted: one flight, not two, and the trap is named."""
    trap_only, both = flights([], [made.FLIGHT]), flights([report()], [made.FLIGHT])
    np.testing.assert_array_equal(both.arrived, trap_only.arrived)
    assert [heard.key for heard, _ in both.captures(0)] == ["trap:wing-1"]


@pytest.mark.parametrize(("day", "counts"), [(18, False), (19, False), (20, True), (25, True)])
def test_another_flight_is_another_flight(day: int, counts: bool) -> None:
    """Within its error (2 nights) and two more of the trap's last night (15 April) it is the same; later it is new."""
    got = flights([report(date(2016, 4, day))], [made.FLIGHT])
    assert (got.arrived[0].sum() > 1.2) == counts
    assert len(got.captures(0)) == 1 + counts


def test_a_trap_too_far_off_hides_no_report() -> None:
    """The trap's flight reaches the field beside it only; the report counts where the trap does not."""
    far = made.field("far", 43.5)
    got = flights([report(latitude=43.5)], [made.FLIGHT], fields=[FIELD, far])
    assert got.arrived.sum(axis=1) == pytest.approx([1.0, 1.0])
    assert [[heard.key[:4] for heard, _ in got.captures(k)] for k in (0, 1)] == [["trap"], ["flig"]]


def test_a_trap_that_was_read_and_found_nothing_has_its_say() -> None:
    """A nearer trap that was read those nights and held no moth takes most of the report's weight, not all of it."""
    unread, read = flights([report()]).arrived[0].sum(), flights([report()], quiet()).arrived[0].sum()
    assert unread == pytest.approx(1.0)
    assert 0.3 < read < 0.5
    assert flights([report()], quiet(18)).arrived[0].sum() == pytest.approx(1.0)


def test_two_services_on_one_flight_are_one_flight() -> None:
    """Two reports a night apart share one flight; two weeks apart they are two."""
    near = [report(), report(date(2016, 4, 15), source="County Letter", near="Elm Mill")]
    assert flights(near).arrived[0].sum() == pytest.approx(1.0)
    later = [report(), report(date(2016, 4, 28), source="County Letter")]
    assert flights(later).arrived[0].sum() == pytest.approx(2.0)


def test_reports_of_nights_to_come_too_early_and_too_far_are_not_used() -> None:
    """A report is known the morning after its night at the earliest; what is left out is said."""
    assert not flights([report(TODAY)]).arrived.any()
    assert not flights([report()], today=date(2016, 4, 14)).arrived.any()
    assert flights([report()], today=date(2016, 4, 15)).arrived.any()
    got = flights([report(date(2016, 2, 20)), report(latitude=44.0)])
    assert not got.arrived.any()
    assert [n.facts["why"] for n in got.notes if n.code == "report_unused"] == ["before the season", "too far off"]
    assert "no_traps" in {n.code for n in got.notes}


def test_without_traps_reports_are_what_is_known() -> None:
    """The sheet says that only reports stand behind it, and does not say that nothing can be said."""
    codes = {n.code for n in flights([report()], traps=()).notes}
    assert "reports_only" in codes
    assert "no_traps" not in codes


def test_without_reports_nothing_changes() -> None:
    """The traps' own arrivals, byte for byte."""
    got = flights([], [made.FLIGHT])
    assert got.arrived.sum() == pytest.approx(1.0)
    assert got.report_say.shape == (1, 0)


def test_a_reported_flight_is_a_capture_without_moths_in_plain_words() -> None:
    """The field's page says who reported it, near where, about when, and that there are no counts."""
    records = [r for r in made.FOUR if not isinstance(r, Catch)]
    snap = made.snapshot([*records, report()], TODAY)
    (capture,) = row_of(snap, "at-planting").captures
    assert isinstance(capture, Capture)
    assert (capture.moths, capture.rule, capture.source, capture.night) == (
        None, "reported", "Flats Moth Service", date(2016, 4, 14),
    )  # fmt: skip
    assert str(capture_words(capture)) == (
        "Reported by Flats Moth Service near Sandy Fork: a significant flight about 14 April (± 2 nights), no counts."
    )
    assert "°F·day since the flight reported about 14 April; 300 °F·day" in heat_words(capture, "sine")
    assert Capture.model_validate_json(capture.model_dump_json()) == capture


def test_the_figure_tells_of_a_report_in_its_picture_and_its_words() -> None:
    """A field known by a report alone has no bar of moths, but the figure does not say that there was no flight."""
    records = [r for r in made.FOUR if not isinstance(r, Catch)]
    page = field_of(made.snapshot([*records, report()], TODAY), "at-planting")
    assert page.series is not None
    assert "Flights reported about 14 April." in season_words(page.series, TODAY, page.row)
    assert "significant by report: 14 April" in re.sub(r"\s+", " ", season_figure(page.series, TODAY, page.row))
