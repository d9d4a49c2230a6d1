"""Looks: what makes a walk without any moth, each with its window."""

from __future__ import annotations

from datetime import date, datetime, time

import pytest

from springwalk.jobs.results import Look, Row
from springwalk.jobs.sheet import sheet_of
from springwalk.records import Done, Event, Gauge, Pass, Promise, Record, SeedLot, Station, Stop, Walk, Zone
from springwalk.units import MM_PER_IN
from tests.jobs.made import STATION, event, field, planting, snapshot

APRIL = [
    STATION, field("early"), field("late"), planting("early", date(2016, 4, 22)), planting("late", date(2016, 4, 27)),
    Gauge(date=date(2016, 4, 28), rain_mm=1.3 * MM_PER_IN),
]  # fmt: skip
"""Two plantings at Lincoln, no trap, and 1.3 in. of rain typed on 28 April."""


def row(records: list[Record], today: date, name: str, now: datetime | None = None) -> Row:
    """One field's row of the sheet."""
    found = sheet_of(snapshot(records, today), now=now)
    return next(r for r in (*found.rows, *found.rest) if r.field == name)


def on(day: int, hour: int, minute: int) -> datetime:
    """A local time in May 2016."""
    return datetime.combine(date(2016, 5, day), time(hour, minute))


def look(found: Row, code: str) -> Look:
    """The only look of a code."""
    (one,) = [each for each in found.looks if each.code == code]
    return one


def codes(found: Row) -> list[str]:
    """Codes of a row's looks."""
    return [each.code for each in found.looks]


def f(mean_c: float) -> float:
    """°C as °F."""
    return mean_c * 1.8 + 32


def test_cold_soaked_seed_is_dug_at_90_to_100_gdd() -> None:
    """1.3 in. the day after planting with means of 48.5 and 45.5 °F: dig on 8–9 May, and again on 11 May."""
    late = row(APRIL, date(2016, 4, 29), "late")
    dig, again = look(late, "dig_cold"), look(late, "dig_cold_again")
    assert (dig.opens, dig.closes) == (date(2016, 5, 8), date(2016, 5, 9))
    assert again.opens == date(2016, 5, 11)
    assert dig.why[0].facts["rained"] == date(2016, 4, 28)
    assert f(dig.why[0].facts["mean_c"]) == pytest.approx(48.5)
    assert "dig_cold" not in codes(row(APRIL, date(2016, 4, 29), "early"))


def test_both_days_are_cold_once_both_are_known() -> None:
    """On the morning of 30 April the mean of the 29th, 45.5 °F, is known too."""
    dig = look(row(APRIL, date(2016, 4, 30), "late"), "dig_cold")
    assert f(dig.why[0].facts["next_mean_c"]) == pytest.approx(45.5)


@pytest.mark.parametrize(("name", "spike"), [("early", date(2016, 5, 6)), ("late", date(2016, 5, 11))])
def test_the_spike(name: str, spike: date) -> None:
    """115 °F·day (Nielsen 2019) after 22 and 27 April are reached on 6 and 11 May."""
    emergence = row(APRIL, date(2016, 4, 29), name).parts[0].emergence
    assert emergence is not None
    assert emergence.mid == spike


def test_dig_is_due_on_its_day_and_puts_the_field_on_the_list() -> None:
    """On 8 May the dig is due; on 10 May, nobody having dug, it is overdue."""
    due = row(APRIL, date(2016, 5, 8), "late")
    assert due.walk_today
    assert look(due, "dig_cold").state == "due"
    assert look(row(APRIL, date(2016, 5, 9), "late"), "dig_cold").state == "last day"
    assert look(row(APRIL, date(2016, 5, 10), "late"), "dig_cold").state == "overdue"


def test_a_done_dig_is_over() -> None:
    """A look leaves the list when somebody says it was made, not before."""
    key = look(row(APRIL, date(2016, 5, 9), "late"), "dig_cold").key
    done = Done(look=key, field="late", on=date(2016, 5, 9))
    assert "dig_cold" not in codes(row([*APRIL, done], date(2016, 5, 10), "late"))


def test_corn_that_is_up_needs_no_dig() -> None:
    """A spike told ends the dig for chilled seed and the look for the spike."""
    up = event("late", 5, 9, "emerged")
    assert not {"dig_cold", "dig_cold_again", "spike_check"} & set(codes(row([*APRIL, up], date(2016, 5, 10), "late")))


def test_leaf_frost_in_mid_may() -> None:
    """The low of 33 °F on 14 May: look on 17–19 May, no replant decision before."""
    frost = look(row(APRIL, date(2016, 5, 15), "early"), "frost")
    assert (frost.opens, frost.closes) == (date(2016, 5, 17), date(2016, 5, 19))
    assert f(frost.why[0].facts["low_c"]) == pytest.approx(33)
    assert frost.not_yet[0].facts["date"] == date(2016, 5, 17)
    assert not frost.why[0].facts["kill"]


def test_no_frost_look_before_the_corn_is_up() -> None:
    """A cold night over bare soil makes no look at leaves."""
    unsown = [STATION, field("later"), planting("later", date(2016, 5, 12))]
    assert "frost" not in codes(row(unsown, date(2016, 5, 15), "later"))


def test_hail_is_looked_at_a_week_on() -> None:
    """Hail tapped on 18 May: look on 25–28 May (common practice), the insurer before anything is torn up."""
    hail = look(row([*APRIL, event("early", 5, 18, "hail")], date(2016, 5, 18), "early"), "hail")
    assert (hail.opens, hail.closes) == (date(2016, 5, 25), date(2016, 5, 28))
    assert hail.can_do[0].code == "insurer_first"


@pytest.mark.parametrize("hours", [None, 36.0])
def test_standing_water_counts_from_the_day_it_left(hours: float | None) -> None:
    """Ponding is judged 3–5 days after the water left: told, or by the hours it stood."""
    pond = Event(field="early", date=date(2016, 5, 16), what="ponding", hours=hours)
    gone = [] if hours else [event("early", 5, 17, "water gone")]
    found = look(row([*APRIL, pond, *gone], date(2016, 5, 18), "early"), "ponding")
    assert (found.opens, found.closes) == (date(2016, 5, 20), date(2016, 5, 22))
    assert found.why[0].facts["up"]


def test_an_inch_before_the_spike_may_crust() -> None:
    """1.3 in. on 28 April is more than the inch that seals soil: ten seeds in a row, and hoe or water until 2 May."""
    crust = look(row(APRIL, date(2016, 4, 29), "early"), "crust")
    assert (crust.opens, crust.closes) == (date(2016, 4, 30), date(2016, 5, 2))
    assert crust.can_do[0].facts["until"] == date(2016, 5, 2)
    assert crust.why[0].facts["hard"] is None
    soft = [*APRIL[:-1], Gauge(date=date(2016, 4, 28), rain_mm=33.0, hard=False)]
    assert "crust" not in codes(row(soft, date(2016, 4, 29), "early"))


def test_stand_and_root_dig_follow_the_corn() -> None:
    """Count 5–7 days after a spike seen on 7 May; dig roots from V3 until V5."""
    early = row([*APRIL, event("early", 5, 7, "emerged")], date(2016, 5, 10), "early")
    stand, roots = look(early, "stand_count"), look(early, "root_dig")
    assert (stand.opens, stand.closes) == (date(2016, 5, 12), date(2016, 5, 14))
    assert stand.closes < roots.opens < roots.closes
    assert roots.lapses > roots.closes


def test_a_walk_ends_the_looks_it_saw_and_no_others() -> None:
    """A walk inside the window ends a stand count; a dig ends only when somebody says so."""
    walk = Walk(id="w", field="early", walked=date(2016, 5, 13), collars=1, stops=(Stop(places=50),))
    found = codes(row([*APRIL, event("early", 5, 7, "emerged"), walk], date(2016, 5, 14), "early"))
    assert "stand_count" not in found
    assert "root_dig" in found


def test_the_spike_is_asked_for_until_it_is_told() -> None:
    """A walk that saw nothing up puts the question again three days later."""
    none_up = Walk(id="w", field="early", walked=date(2016, 5, 7))
    again = look(row([*APRIL, none_up], date(2016, 5, 8), "early"), "spike_check")
    assert (again.opens, again.state) == (date(2016, 5, 10), "coming")


def test_cover_killed_late() -> None:
    """Cover killed three days before planting: look at the new corn for armyworm and at its roots."""
    killed = event("early", 4, 19, "cover killed")
    found = look(row([*APRIL, killed], date(2016, 5, 7), "early"), "green_bridge")
    assert found.why[0].facts["days"] == 3
    long_dead = event("early", 4, 5, "cover killed")
    assert "green_bridge" not in codes(row([*APRIL, long_dead], date(2016, 5, 7), "early"))


def test_planting_waits_for_dead_cover() -> None:
    """Cover killed on 25 April and nothing planted: corn waits until 5 May."""
    told = [STATION, field("waiting"), event("waiting", 4, 25, "cover killed")]
    found = {r.code: r.facts for r in row(told, date(2016, 4, 29), "waiting").why}
    assert found["plant_after"]["date"] == date(2016, 5, 5)


def sprayed(**other: object) -> Pass:
    """An insecticide pass on the early field on 18 May."""
    return Pass(field="early", date=date(2016, 5, 18), what="insecticide", product="as typed", **other)  # type: ignore[arg-type]


def test_a_treated_field_is_locked_until_its_hour() -> None:
    """24 h typed at 14:30 on 18 May: out of the list on the 18th and the 19th until 14:30, shown with that hour."""
    records = [*APRIL, event("early", 5, 7, "emerged"), sprayed(at=time(14, 30), entry_hours=24)]
    for now in (on(18, 15, 0), on(19, 0, 0), on(19, 14, 29)):
        found = row(records, now.date(), "early", now)
        assert not found.walk_today
        assert found.keep_out is not None
        assert found.keep_out.opens == on(19, 14, 30)
    after = row(records, date(2016, 5, 19), "early", on(19, 14, 30))
    assert after.keep_out is None
    assert after.walk_today


def test_an_untold_hour_counts_from_the_end_of_the_day() -> None:
    """Without the hour of the pass the interval runs from the end of its day: the safe side."""
    found = row([*APRIL, sprayed(entry_hours=24)], date(2016, 5, 19), "early")
    assert found.keep_out is not None
    assert found.keep_out.opens == on(19, 23, 59)
    assert not found.keep_out.told_time


def test_an_untyped_interval_holds_the_field_for_a_week_and_is_asked_for_a_month() -> None:
    """Nobody typed the interval: the field is held out, without an hour; after that the sheet goes on asking."""
    records = [*APRIL, sprayed()]
    held = row(records, date(2016, 5, 25), "early")
    assert held.keep_out is not None
    assert held.keep_out.opens is None
    later = row(records, date(2016, 5, 27), "early")
    assert later.keep_out is None
    assert "interval_untold" in {r.code for r in later.why}
    assert look(later, "recheck").opens >= date(2016, 5, 26)
    typed = row([*APRIL, sprayed(entry_hours=24)], date(2016, 5, 27), "early")
    assert "interval_untold" not in {r.code for r in typed.why}


def test_a_treatment_is_checked_and_never_inside_its_interval() -> None:
    """The same flags 2–4 days on; a 96 h interval moves the check behind its end."""
    soon = look(row([*APRIL, sprayed(at=time(8), entry_hours=24)], date(2016, 5, 19), "early"), "recheck")
    assert (soon.opens, soon.closes) == (date(2016, 5, 20), date(2016, 5, 22))
    late = look(row([*APRIL, sprayed(at=time(8), entry_hours=96)], date(2016, 5, 19), "early"), "recheck")
    assert late.opens == date(2016, 5, 22)


def test_promised_visits() -> None:
    """Every 7 days for a grower: due that long after it began or after the last walk, overdue the day after."""
    mine = [r.model_copy(update={"grower": "Ash"}) if r.kind == "field" else r for r in APRIL]
    promise = Promise(grower="Ash", every_days=7, since=date(2016, 5, 1))
    walked = Walk(id="w", field="early", walked=date(2016, 5, 3), collars=0)
    records = [*mine, promise, walked]
    assert look(row(records, date(2016, 5, 9), "early"), "promise").state == "coming"
    assert look(row(records, date(2016, 5, 10), "early"), "promise").state == "due"
    overdue = row(records, date(2016, 6, 20), "early")
    assert look(overdue, "promise").state == "overdue"
    assert overdue.walk_today


def test_a_weak_lot_is_named_where_its_seed_was_chilled() -> None:
    """A lot with a cold test of 70 % stands beside the cold rain as a reason."""
    sown = planting("late", date(2016, 4, 27)).model_copy(update={"lot": "L7"})
    records = [*[r for r in APRIL if r.natural_key() != sown.natural_key()], sown, SeedLot(id="L7", cold_pct=70)]
    dig = look(row(records, date(2016, 4, 29), "late"), "dig_cold")
    assert [r.code for r in dig.why] == ["cold_rain", "seed_heat", "lot_weak"]


def test_bait_stations_are_read_before_planting() -> None:
    """Set on 10 April: read after two weeks, on the 24th; once the field is planted on the 27th no reading serves."""
    records = [*APRIL, event("late", 4, 10, "baits set")]
    baits = look(row(records, date(2016, 4, 24), "late"), "baits")
    assert (baits.opens, baits.closes, baits.state) == (date(2016, 4, 24), date(2016, 5, 1), "due")
    assert {r.code for r in baits.can_do} == {"protect_at_planting", "none_rescue"}
    assert look(row(records, date(2016, 4, 28), "late"), "baits").state == "missed"


def test_a_field_without_a_date_is_asked_for_it() -> None:
    """No planting date and no flight: the line says what to add."""
    found = row([STATION, field("blank")], date(2016, 5, 1), "blank")
    assert "no_planting_date" in {r.code for r in found.why}


def test_told_looks_need_no_weather() -> None:
    """Hail and promises stand without a station; nothing is invented about heat."""
    bare: list[Record] = [field("f"), planting("f", date(2016, 4, 22)), event("f", 5, 10, "emerged"),
                          event("f", 5, 18, "hail"), Station(id="far", latitude=40.7, longitude=-96.8)]  # fmt: skip
    found = sheet_of(snapshot(bare, date(2016, 5, 26), rows=[]))
    assert "hail" in codes(found.rows[0])


def test_a_new_frost_after_a_look_done_is_a_new_look() -> None:
    """A frost looked at and done on 17 May does not swallow the frost told that morning."""
    first = look(row(APRIL, date(2016, 5, 16), "early"), "frost")
    done = Done(look=first.key, field="early", on=date(2016, 5, 17))
    again = look(row([*APRIL, done, event("early", 5, 17, "frost")], date(2016, 5, 18), "early"), "frost")
    assert again.opens == date(2016, 5, 20)
    assert again.key != first.key


def test_a_promise_done_by_word_comes_again() -> None:
    """A visit made but not entered as a walk counts from the word; the promise goes on."""
    promise = Promise(field="early", every_days=7, since=date(2016, 5, 1))
    first = look(row([*APRIL, promise], date(2016, 5, 1), "early"), "promise")
    assert first.opens == date(2016, 5, 8)
    done = Done(look=first.key, field="early", on=date(2016, 5, 8))
    assert look(row([*APRIL, promise, done], date(2016, 5, 9), "early"), "promise").opens == date(2016, 5, 15)


def test_a_stand_counted_by_word_ends_the_look_for_the_spike() -> None:
    """Whoever counted the stand saw that it is up: the older look does not come back."""
    key = look(row(APRIL, date(2016, 5, 13), "early"), "stand_count").key
    found = row([*APRIL, Done(look=key, field="early", on=date(2016, 5, 13))], date(2016, 5, 14), "early")
    assert not {"stand_count", "spike_check"} & set(codes(found))


def test_only_counted_places_end_a_stand_count() -> None:
    """A visit that told a stage and counted nothing leaves the count on the list."""
    glance = Walk(id="w", field="early", walked=date(2016, 5, 13), collars=1)
    assert "stand_count" in codes(row([*APRIL, event("early", 5, 7, "emerged"), glance], date(2016, 5, 14), "early"))


def test_two_sprayings_on_one_day_are_two_locks() -> None:
    """48 h at 06:00 and 4 h at 09:00: the longer one holds the field."""
    longer = sprayed(at=time(6), entry_hours=48).model_copy(update={"product": "first"})
    shorter = sprayed(at=time(9), entry_hours=4).model_copy(update={"product": "second"})
    assert longer.natural_key() != shorter.natural_key()
    held = row([*APRIL, longer, shorter], date(2016, 5, 19), "early", on(19, 12, 0))
    assert held.keep_out is not None
    assert held.keep_out.opens == on(20, 6, 0)


def test_what_was_told_before_the_season_breaks_nothing() -> None:
    """Frost, water and a planting of February: days outside the season are no sign of anything in it."""
    february = [STATION, field("f"), planting("f", date(2016, 2, 20)), planting("f", None, "2"),
                event("f", 2, 20, "frost"), event("f", 2, 22, "ponding"),
                Gauge(date=date(2016, 3, 5), rain_mm=40, hard=True)]  # fmt: skip
    crust = look(row(february, date(2016, 3, 6), "f"), "crust")
    assert crust.why[0].facts["rain_mm"] == pytest.approx(40)


def test_a_stand_nobody_saw_up_is_asked_for_again() -> None:
    """Both digs done and a walk that saw no plant: the field is not forgotten, spike and stand stay on the list."""
    keys = [each.key for each in row(APRIL, date(2016, 5, 12), "late").looks if each.code.startswith("dig_cold")]
    done = [Done(look=key, field="late", on=date(2016, 5, 12)) for key in keys]
    bare = Walk(id="w", field="late", walked=date(2016, 5, 17))
    found = row([*APRIL, *done, bare], date(2016, 5, 21), "late")
    assert "stand_count" in [each.code for each in found.looks if each.state != "coming"]


def test_the_second_dig_done_ends_the_first() -> None:
    """Dug at 120 GDD: the dig at 90–100 does not come back."""
    again = look(row(APRIL, date(2016, 5, 11), "late"), "dig_cold_again")
    found = row([*APRIL, Done(look=again.key, field="late", on=date(2016, 5, 12))], date(2016, 5, 13), "late")
    assert not {"dig_cold", "dig_cold_again"} & set(codes(found))


def test_a_wet_gauge_alone_holds_the_field_out() -> None:
    """1.3 in. typed and nothing else known of the rain: unknown days can only add, so nobody is sent in."""
    found = row(APRIL, date(2016, 4, 29), "late")
    assert found.too_wet is not None
    assert found.too_wet.facts["until"] is None
    assert row(APRIL, date(2016, 5, 1), "late").too_wet is None


def test_a_stand_torn_up_has_no_looks() -> None:
    """Replanted on 20 May: the first stand is counted no more and the new planting has the whole field."""
    records = [*APRIL, event("early", 5, 20, "torn up", planting="early/1"),
               planting("early", date(2016, 5, 20), "2")]  # fmt: skip
    found = row(records, date(2016, 5, 22), "early")
    assert {each.planting for each in found.looks} == {"early/2"}
    assert [part.area_ha for part in found.parts] == [30.0]


def test_told_hail_never_vanishes() -> None:
    """Hail told before the median spike, or on a planting without a date, is still looked at."""
    assert "hail" in codes(row([*APRIL, event("late", 5, 10, "hail")], date(2016, 5, 11), "late"))
    undated = [STATION, field("u"), planting("u", None), event("u", 5, 10, "hail")]
    assert "hail" in codes(row(undated, date(2016, 5, 11), "u"))


def test_rain_that_goes_on_puts_the_crust_off() -> None:
    """Half an inch a day after the inch keeps the soil wet: no crust to judge until two days after the last of it."""
    more = [Gauge(date=date(2016, 4, d), rain_mm=13) for d in (29, 30)]
    found = look(row([*APRIL, *more], date(2016, 5, 1), "early"), "crust")
    assert (found.opens, found.closes) == (date(2016, 5, 2), date(2016, 5, 4))


def test_low_ground_told_makes_frost_a_walk() -> None:
    """33 °F at the station: a field with a low corner is walked for it, others only in passing."""
    low = Zone(id="early/low", field="early", name="Low corner", area_ha=4)
    assert look(row([*APRIL, low], date(2016, 5, 17), "early"), "frost").alone
    assert not look(row(APRIL, date(2016, 5, 17), "early"), "frost").alone
    willow = Zone(id="early/w", field="early", name="Willow end", area_ha=4)
    assert not look(row([*APRIL, willow], date(2016, 5, 17), "early"), "frost").alone
