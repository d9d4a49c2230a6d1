"""The morning sheet from records: order, dates, reasons, and nothing made up."""

from __future__ import annotations

from datetime import date

import pytest

from springwalk.jobs.field import field_of
from springwalk.jobs.results import DateRange, Part, Range, Sheet, StageShares
from springwalk.jobs.row import summary
from springwalk.jobs.rules import rules
from springwalk.jobs.sheet import sheet_of
from springwalk.jobs.triage import Morning, Verdict, judge
from springwalk.records import Catch, Larva, Stop, Walk, Zone
from tests.jobs import made


def sheet(today: date, records: list | None = None, **other: object) -> Sheet:
    """The sheet of the four fields, or of other records."""
    return sheet_of(made.snapshot(made.FOUR if records is None else records, today, **other))  # type: ignore[arg-type]


def codes(row: object) -> list[str]:
    """Codes of the reasons of a row."""
    return [reason.code for reason in row.why]  # type: ignore[attr-defined]


@pytest.mark.parametrize("today", [date(2016, 5, 24), date(2016, 5, 29)])
def test_the_two_green_at_planting_lead(today: date) -> None:
    """Four fields as the sheet orders them, with weather not yet seen taken from past years."""
    got = sheet(today)
    ranked = sorted((*got.rows, *got.rest), key=lambda r: -(r.cut_next_7_per_100.mid if r.cut_next_7_per_100 else 0))
    assert {row.field for row in ranked[:2]} == {"at-planting", "late"}
    assert {row.field for row in got.rows[:2]} == {"at-planting", "late"}
    assert "black" not in [row.field for row in got.rows if row.cutworm]


def test_dates_of_the_two_that_lead() -> None:
    """Cutting begins about 22–25 May (instar 4) in one and at its spike about 28 May (instar 5) in the other."""
    rows = {row.field: row for row in (*sheet(date(2016, 5, 24)).rows, *sheet(date(2016, 5, 24)).rest)}
    early, late = rows["at-planting"].parts[0], rows["late"].parts[0]
    assert date(2016, 5, 22) <= early.cutting_begins.mid <= date(2016, 5, 25)
    assert early.begin_instar == "instar_4"
    assert abs((late.cutting_begins.mid - date(2016, 5, 28)).days) <= 1
    assert late.begin_instar == "instar_5"
    assert late.cutting_begins.early <= late.cutting_begins.mid <= late.cutting_begins.late


def test_300_from_the_capture_by_three_methods() -> None:
    """Capture 10 April: 300 °F·day on 11 / 15 / 20 May by 86/50, sine, average (± 1 day), all printed."""
    catch = Catch(trap="wing-1", since=date(2016, 4, 10), read=date(2016, 4, 11), moths=12)
    records = [r for r in made.FOUR if r is not made.FLIGHT] + [catch]
    capture = sheet(date(2016, 5, 24), records).rows[0].captures[0]
    assert capture.night == date(2016, 4, 10)
    got = {h.method: h.reaches_rule.mid for h in capture.by_method}
    for method, day in (("86/50", 11), ("sine", 15), ("average", 20)):
        assert abs((got[method] - date(2016, 5, day)).days) <= 1


def test_the_first_look_is_a_week_before_the_earliest_method() -> None:
    """Dated from the earliest method, a week before its 300, and not more than five days before corn is likely up."""
    row = next(r for r in sheet(date(2016, 5, 24)).rows if r.field == "at-planting")
    earliest = min(h.reaches_rule.mid for h in row.captures[0].by_method)
    part = row.parts[0]
    assert row.first_look == max(
        date.fromordinal(earliest.toordinal() - 7), date.fromordinal(part.emergence.mid.toordinal() - 5)
    )


def test_weather_of_today_and_later_is_not_looked_at() -> None:
    """The sheet of a morning can't know its own afternoon: changing later days changes nothing."""
    today = date(2016, 5, 10)
    rows = sorted([*made.past_rows(), *made.lincoln_rows()])
    later = [(d, lo + 20, hi + 20, r) if d >= today.isoformat() else (d, lo, hi, r) for d, lo, hi, r in rows]
    assert sheet(today, rows=rows) == sheet(today, rows=later)
    known = [(d, lo + 5, hi + 5, r) if d == "2016-05-09" else (d, lo, hi, r) for d, lo, hi, r in rows]
    assert sheet(today, rows=rows) != sheet(today, rows=known)


def test_catches_not_yet_read_are_not_looked_at() -> None:
    """Before the trap was read there is no flight, and the sheet says what is missing."""
    before = sheet(date(2016, 4, 15))
    assert not before.rows
    assert [n.code for n in before.notes][-1] == "no_traps"
    assert sheet(date(2016, 4, 16)).rest[0].captures


def test_a_black_field_is_told_why_it_needs_no_walk_for_cutworm() -> None:
    """Tilled before the flight: the reason is the soil, with its date."""
    found = sheet(date(2016, 5, 24))
    row = next(r for r in (*found.rows, *found.rest) if r.field == "black")
    assert not row.cutworm
    reason = next(r for r in row.why if r.code == "black_before_flight")
    assert reason.facts["date"] == date(2016, 4, 1)


def walked(day: int, **other: object) -> Walk:
    """A walk of the field that was green at planting."""
    return Walk(id="w", field="at-planting", walked=date(2016, 5, day), person="ann", collars=1, **other)  # type: ignore[arg-type]


NOTHING = {"stops": (Stop(places=20), Stop(places=20))}
CUTS = {
    "stops": (Stop(places=20, fresh_cut_at=1), Stop(places=20), Stop(places=20, counted=False, old_cut=5)),
    "larvae": (Larva(length_mm=14),),
}


def test_a_walk_that_found_nothing_waits_three_days() -> None:
    """Looked at within three days: not again today, and the date of the next look is given."""
    row = next(
        r for r in sheet(date(2016, 5, 24), [*made.FOUR, walked(23, **NOTHING)]).rest if r.field == "at-planting"
    )
    assert "walked_recently" in codes(row)
    assert row.come_back == date(2016, 5, 26)
    later = sheet(date(2016, 5, 26), [*made.FOUR, walked(23, **NOTHING)])
    assert "at-planting" in [r.field for r in later.rows]


def test_where_cuts_were_counted_comes_first_the_next_day() -> None:
    """Fresh cuts and a larva of cutting size yesterday: that field leads, whatever was computed for others."""
    on_black = walked(28, **CUTS).model_copy(update={"field": "black"})
    got = sheet(date(2016, 5, 29), [*made.FOUR, on_black])
    row = got.rows[0]
    assert (row.field, row.seen_cutting) == ("black", True)
    assert (row.last_walk.places, row.last_walk.fresh_cut, row.last_walk.old_cut) == (40, 1, 0)
    assert codes(row)[:3] == ["seen_cut", "larvae_seen", "no_larvae_expected"]
    assert row.look_for[0].code == "same_flags"
    assert row.come_back == date(2016, 5, 30)
    same_day = sheet(date(2016, 5, 28), [*made.FOUR, on_black]).rest
    assert next(r for r in same_day if r.field == "black").come_back == date(2016, 5, 29)


def test_cuts_before_this_flight_can_cut_are_said() -> None:
    """Cutting seen a week before the computed date is not explained by this flight, and the sheet says so."""
    early = sheet(date(2016, 5, 17), [*made.FOUR, walked(16, **CUTS)]).rows[0]
    assert "ahead_of_flight" in codes(early)
    in_time = sheet(date(2016, 5, 26), [*made.FOUR, walked(25, **CUTS)]).rows[0]
    assert "seen_cut" in codes(in_time)
    assert "ahead_of_flight" not in codes(in_time)


def test_corn_that_contradicts_its_planting_date_is_asked_about() -> None:
    """Four collars ten days after the date told: the date is wrong, and the page asks."""
    walk = walked(16, **NOTHING).model_copy(update={"collars": 4.0})
    row = next(r for r in sheet(date(2016, 5, 20), [*made.FOUR, walk]).rows if r.field == "at-planting")
    assert row.parts[0].corn_disagrees
    assert "corn_disagrees" in codes(row)


def test_ground_nobody_spoke_of_is_an_assumption_that_is_said() -> None:
    """No word of green cover: the middle value is used and the sheet says so."""
    records = [made.field("a"), made.planting("a", date(2016, 5, 2)), made.TRAP, made.FLIGHT, made.STATION]
    row = sheet(date(2016, 5, 24), records).rows[0]
    assert codes(row)[0] == "green_not_told"
    assert not row.parts[0].green_told
    assert row.parts[0].egg_load == pytest.approx(0.4, abs=0.05)


def test_a_field_without_planting_date_or_collars_says_so() -> None:
    """Nothing is invented where nothing is known of the corn."""
    records = [made.field("a"), made.planting("a", None), made.TRAP, made.FLIGHT, made.STATION]
    got = sheet(date(2016, 5, 24), records)
    assert codes(got.rest[0])[-1] == "no_planting_date"
    assert got.rest[0].cannot_say
    assert got.rest[0].parts[0].collars is None
    assert got.rest[0].parts[0].cut_next_7_per_100 is None


def test_the_weedy_corner_leads_its_field() -> None:
    """A zone with weeds has larvae, the rest of the field was tilled: the corner leads and is named."""
    corner = Zone(id="a/low", field="a", name="low corner", area_ha=5)
    records = [
        made.field("a"), corner, made.planting("a", date(2016, 5, 2)), made.event("a", 4, 1, "tilled"),
        made.event("a", 4, 2, "weeds seen", "dense", zone="a/low"), made.TRAP, made.FLIGHT, made.STATION,
    ]  # fmt: skip
    row = sheet(date(2016, 5, 24), records).rows[0]
    assert row.lead_part == "low corner"
    assert row.parts[0].area_ha == 5
    assert row.parts[1].area_ha == 25
    whole = (5 * row.parts[0].cut_next_7_per_100.mid + 25 * row.parts[1].cut_next_7_per_100.mid) / 30
    assert row.cut_next_7_whole_field_per_100.mid == pytest.approx(whole)


def test_no_weather_is_said_and_nothing_is_guessed() -> None:
    """Without a station day there is no heat, no date and no order."""
    got = sheet(date(2016, 5, 24), rows=[])
    assert not got.rows
    assert {"no_weather"} <= {n.code for n in got.notes}
    assert all(codes(row)[0] == "no_weather" and row.cannot_say for row in got.rest)


def test_old_weather_and_gaps_are_said() -> None:
    """Weather that ends days ago, or a gap of more than three days, is on the sheet."""
    rows = [r for r in sorted([*made.past_rows(), *made.lincoln_rows()]) if not "2016-05-01" <= r[0] <= "2016-05-06"]
    notes = {n.code: n.facts for n in sheet(date(2016, 5, 24), rows=rows).notes}
    assert notes["weather_gap"]["days"] == 6
    ended = [r for r in rows if not r[0].startswith("2016") or r[0] < "2016-05-12"]
    notes = {n.code: n.facts for n in sheet(date(2016, 5, 24), rows=ended).notes}
    assert notes["weather_old"]["days"] == 13


def test_without_past_years_the_sheet_still_comes_and_says_so() -> None:
    """A first season has no past years: dates still come, marked as without an honest range."""
    got = sheet(date(2016, 5, 17), rows=made.lincoln_rows())
    assert "no_past_years" in [n.code for n in got.notes]
    assert got.weather.members_from == "this spring's own last weeks"
    rows = {row.field: row for row in (*got.rows, *got.rest)}
    begins = rows["at-planting"].parts[0].cutting_begins.mid
    assert abs((begins - date(2016, 5, 22)).days) <= 5


def test_the_same_records_give_the_same_sheet() -> None:
    """Same inputs, same sheet, to the byte."""
    first, second = (sheet(date(2016, 5, 24)).model_dump_json() for _ in range(2))
    assert first == second


def test_a_field_page_agrees_with_the_sheet() -> None:
    """The page of a field is the row of the sheet with its season; shares never exceed the brood."""
    snap = made.snapshot(made.FOUR, date(2016, 5, 24))
    page = field_of(snap, "at-planting")
    row = next(r for r in sheet_of(snap).rows if r.field == "at-planting")
    assert page.row == row
    series = page.series
    today = series.days.index(date(2016, 5, 24))
    # Two ways to the same number: the sheet's shares this morning are the figure's of last evening.
    assert series.shares["instar 4"][today - 1] == pytest.approx(row.parts[0].shares.instar_4.mid, abs=1e-9)
    for day in range(len(series.days)):
        assert sum(s[day] for s in series.shares.values()) <= 1 + 1e-9
    assert list(series.cut_mid) == sorted(series.cut_mid)


def test_the_date_cutting_begins_is_given_by_every_method() -> None:
    """Beside its 10–90 % range the date has its span over the ways of counting heat."""
    part = next(r for r in sheet(date(2016, 5, 17)).rows if r.field == "at-planting").parts[0]
    by = part.begins_by_method
    assert set(by) == {"86/50", "sine", "average"}
    assert by["86/50"] < by["sine"] < by["average"]
    assert abs((by["sine"] - part.cutting_begins.mid).days) <= 1


# --- one row a rule of the list: today, what is changed, whether it is walked, the reason that decides
def part(**changes: object) -> Part:
    """A part in which larvae are growing and nothing stops a walk."""
    begins = DateRange(early=date(2016, 5, 19), mid=date(2016, 5, 22), late=date(2016, 5, 25))
    up = DateRange(early=date(2016, 5, 12), mid=date(2016, 5, 14), late=date(2016, 5, 17))
    through = DateRange(early=date(2016, 6, 10), mid=date(2016, 6, 13), late=date(2016, 6, 16))
    some = Range(low=0.1, mid=0.4, high=0.9)
    shares = StageShares(egg=some, instars_1_3=some, instar_4=some, instar_5=some, instar_6=some, pupa=some, able=some)
    base = Part(
        planting="a/1", zone=None, area_ha=30.0, planted=date(2016, 5, 2), green=(), green_told=True, egg_load=1.0,
        survival=1.0, larvae_per_100=1.0, shares=shares, can_cut_10=begins, can_cut_half=begins, through_90=through,
        cutting_begins=begins, begin_instar="instar_4", able_instar="instar_4", emergence=up,
        collars=Range(low=0.5, mid=1.0, high=1.5), collars_basis="planting date", cut_next_7_per_100=some,
        feeding_over_odds=0.0, first_look=date(2016, 5, 12),
    )  # fmt: skip
    return base.model_copy(update=changes)


def verdict(today: date, last: Walk | None = None, **changes: object) -> Verdict:
    """The verdict on one part."""
    at = Morning(today, weather=True, flight=True, rules=rules(), background=0.003)
    return judge(part(**changes), summary(last) if last else None, at)


MID_JUNE = DateRange(early=date(2016, 6, 10), mid=date(2016, 6, 13), late=date(2016, 6, 16))


@pytest.mark.parametrize(
    ("today", "changes", "walk", "code"),
    [
        (date(2016, 5, 11), {}, False, "not_yet"),  # the day before its first look
        (date(2016, 5, 12), {}, True, "cutting_begins"),  # a first look that is due is a walk, a week ahead of cutting
        (date(2016, 5, 23), {}, True, "cutting_now"),
        (date(2016, 5, 23), {"larvae_per_100": 0.14}, False, "few_larvae"),
        (date(2016, 5, 23), {"collars": Range(low=5.8, mid=6.1, high=6.4)}, False, "past_v6"),
        (date(2016, 5, 23), {"collars": Range(low=5.6, mid=5.9, high=6.2)}, True, "cutting_now"),
        (date(2016, 6, 12), {}, True, "cutting_now"),
        (date(2016, 6, 13), {}, False, "nearly_through"),
        (date(2016, 5, 23), {"feeding_over_odds": 0.6}, False, "late_planted_feeding_over"),
        (date(2016, 5, 23), {"feeding_over_odds": 0.4}, True, "cutting_now"),
        (date(2016, 5, 23), {"cutting_begins": None}, True, "beyond_season"),
        (date(2016, 5, 23), {"cut_next_7_per_100": Range(low=0, mid=0.04, high=0.1)}, False, "low_risk"),
        (date(2016, 5, 13), {"cut_next_7_per_100": Range(low=0, mid=0.04, high=0.1)}, True, "cutting_begins"),
        (date(2016, 5, 23), {"emergence": None, "collars": None}, False, "no_planting_date"),
    ],
)  # fmt: skip
def test_each_rule_of_the_list(today: date, changes: dict[str, object], walk: bool, code: str) -> None:
    """Every rule decides at its edge, and gives its reason."""
    got = verdict(today, **changes)
    assert got.walk is walk
    assert code in [reason.code for reason in got.why]


def test_looks_follow_each_other() -> None:
    """Before cutting weekly but never past its early date; while larvae can cut every three days."""
    seen = walked(12, **NOTHING)
    assert verdict(date(2016, 5, 14), seen).come_back == date(2016, 5, 19)
    assert verdict(date(2016, 5, 18), seen).walk is False
    assert verdict(date(2016, 5, 19), seen).walk is True
    assert verdict(date(2016, 5, 19), seen).come_back == date(2016, 5, 22)
    assert verdict(date(2016, 5, 12)).come_back == date(2016, 5, 19)


@pytest.mark.parametrize(
    ("stops", "larvae", "found"),
    [
        ((Stop(places=400, fresh_cut_at=1),), (), False),  # miscounts give that in seven fields of ten
        ((Stop(places=100, fresh_cut_at=1),), (), False),
        ((Stop(places=80, fresh_cut_at=2),), (), True),
        ((Stop(places=80, fresh_cut_at=1),), (Larva(length_mm=9),), True),  # a cut and a live larva
        ((Stop(places=400, fresh_cut_at=1),), (Larva(length_mm=13),), True),
        ((Stop(places=400),), (Larva(length_mm=9),), False),
        ((Stop(places=400),), (Larva(instar=5),), True),
        ((Stop(places=20, counted=False, fresh_cut_at=3),), (), True),  # found where it looked worst
    ],
)
def test_what_counts_as_cutting_found(stops: tuple[Stop, ...], larvae: tuple[Larva, ...], found: bool) -> None:
    """More cuts than mistakes explain (0.3 %, binomial), a larva of cutting size, or cuts where it looked worst."""
    got = verdict(date(2016, 5, 24), walked(23, stops=stops, larvae=larvae))
    assert got.seen_cutting is found


def test_stops_where_the_scout_went_looking_are_kept_apart() -> None:
    """They are told, and never make a count of no places."""
    walk = walked(23, stops=(Stop(places=20, counted=False, fresh_cut_at=3),), larvae=())
    last = summary(walk)
    assert (last.places, last.looked_places, last.looked_fresh_cut) == (0, 20, 3)
    assert "looked_cut" in [r.code for r in verdict(date(2016, 5, 24), walk).why]


def test_any_part_that_needs_a_walk_makes_the_field_a_walk() -> None:
    """Two plantings: the one with corn at risk decides, not the one that has most at stake later."""
    records = [
        made.field("a"), made.planting("a", date(2016, 4, 25)), made.planting("a", date(2016, 5, 26), part="2"),
        made.event("a", 4, 1, "weeds seen", "dense"), made.event("a", 4, 25, "cover killed", planting="a/1"),
        made.TRAP, made.FLIGHT, made.STATION,
    ]  # fmt: skip
    row = sheet(date(2016, 5, 27), records).rows[0]
    assert row.parts[0].planting == "a/1"
    walk = Walk(id="w", field="a", planting="a/2", walked=date(2016, 5, 26), person="ann")
    assert sheet(date(2016, 5, 27), [*records, walk]).rows[0].parts[0].planting == "a/1"


def test_many_traps_side_by_side_still_count() -> None:
    """Eight traps at one spot: each has a small say, and their captures count all the same."""
    traps = [made.TRAP.model_copy(update={"id": f"t{k}"}) for k in range(8)]
    catches = [made.FLIGHT.model_copy(update={"trap": f"t{k}"}) for k in range(8)]
    others = [r for r in made.FOUR if r is not made.TRAP and r is not made.FLIGHT]
    assert len(sheet(date(2016, 5, 24), [*others, *traps, *catches]).rows[0].captures) == 8


def test_a_trap_too_far_off_says_nothing() -> None:
    """A trap 60 km off is used and said; one in another state is not used at all."""
    for latitude, load in ((41.5, True), (49.0, False)):
        records = [r for r in made.FOUR if r is not made.TRAP]
        got = sheet(date(2016, 5, 24), [*records, made.TRAP.model_copy(update={"latitude": latitude})])
        assert "trap_far" in [n.code for n in got.notes]
        assert any(r.captures for r in (*got.rows, *got.rest)) is load


def test_leaves_counted_are_shown_as_leaves_and_not_used() -> None:
    """Each way of staging is its own: five leaves are not five collars."""
    walk = walked(23, **NOTHING).model_copy(update={"collars": 5.0, "staging": "leaves"})
    row = next(r for r in sheet(date(2016, 5, 26), [*made.FOUR, walk]).rows if r.field == "at-planting")
    assert row.last_walk.collars is None
    assert row.last_walk.staged == "5 by leaves"
    assert row.parts[0].collars.mid < 2.5


def test_the_flight_that_laid_here_is_the_one_spoken_of() -> None:
    """Black at the first flight, weedy at the second: the reason speaks of the weeds."""
    second = Catch(trap="wing-1", since=date(2016, 4, 29), read=date(2016, 5, 1), moths=20)
    records = [
        made.field("a"), made.planting("a", date(2016, 5, 20)), made.event("a", 4, 1, "tilled"),
        made.event("a", 4, 25, "weeds seen", "dense"), made.TRAP, made.FLIGHT, second, made.STATION,
    ]  # fmt: skip
    row = next(iter(sheet(date(2016, 5, 27), records).rows))
    assert codes(row)[0] == "green_at_planting"


def test_a_near_trap_says_more_than_a_far_one() -> None:
    """Two traps with flights a month apart: a field beside one of them follows that one."""
    far = made.TRAP.model_copy(update={"id": "wing-2", "name": "Wing 2", "latitude": 41.6})
    late = Catch(trap="wing-2", since=date(2016, 5, 9), read=date(2016, 5, 11), moths=12)
    green = [made.event(n, 4, 1, "weeds seen", "dense") for n in ("south", "north")]
    records = [
        made.field("south"), made.field("north", latitude=41.6), *green, made.planting("south", date(2016, 5, 12)),
        made.planting("north", date(2016, 5, 12)), made.TRAP, made.FLIGHT, far, late, made.STATION,
    ]  # fmt: skip
    got = sheet(date(2016, 5, 26), records)
    able = {r.field: r.parts[0].can_cut_half.mid for r in (*got.rows, *got.rest)}
    assert (able["north"] - able["south"]).days > 7


def test_a_lone_cut_is_looked_at_the_next_day_and_said() -> None:
    """One cut in 100 may be a bird: not first on the sheet, but not left for days, and told as early if it is."""
    lone = walked(20, stops=(Stop(places=100, fresh_cut_at=1),))
    assert verdict(date(2016, 5, 20), lone).come_back == date(2016, 5, 21)
    got = verdict(date(2016, 5, 21), lone)
    assert (got.walk, got.seen_cutting) == (True, False)
    assert "lone_cut" in [r.code for r in got.why]
    early = verdict(date(2016, 5, 18), walked(17, stops=(Stop(places=100, fresh_cut_at=1),)))
    assert "ahead_of_flight" in [r.code for r in early.why]
