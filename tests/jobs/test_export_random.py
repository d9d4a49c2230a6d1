"""Random records of every kind, written out and taken in again."""

from __future__ import annotations

import json
from datetime import date, time
from typing import Any, get_args

import pytest
from hypothesis import HealthCheck, Phase, given, settings, strategies as st

from springwalk.jobs.export import export
from springwalk.records import (
    PLANT_STATES,
    Done,
    Event,
    FlightReport,
    Gauge,
    Larva,
    Pass,
    PestCount,
    Planting,
    Progress,
    Recommendation,
    Record,
    SeedLot,
    Step,
    Stop,
    Walk,
    Zone,
)
from springwalk.records.advice import How
from springwalk.records.walks import Soil, Staging
from tests.jobs.exported import EVERY_KIND, PLANTED, again, held, lines_of, new_store

# Random records of every kind, over the fields, planting and zone above.
WORDS = st.text(st.characters(codec="utf-8", categories=["L", "N", "P", "S"], include_characters=" "), max_size=12).map(
    str.strip
)
NAMES = st.from_regex(r"[A-Za-z][A-Za-z0-9 .=-]{0,10}[A-Za-z0-9]", fullmatch=True)
DAYS = st.dates(date(2016, 3, 1), date(2016, 7, 1))
PLACES: dict[str, Any] = {
    "field": st.just("north"),
    "zone": st.sampled_from([None, "north/low"]),
    "planting": st.sampled_from([None, "north/1"]),
}


def some(low: float, high: float) -> st.SearchStrategy[float]:
    """Numbers as people type them, and any other."""
    typed = st.integers(round(low * 100), round(high * 100)).map(lambda hundredths: hundredths / 100)
    return st.one_of(typed, st.floats(low, high, allow_subnormal=False)).filter(lambda x: x == 0 or x > 1e-6)


def maybe(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """None, or a value."""
    return st.none() | strategy


LINES = st.lists(WORDS.filter(bool), max_size=3).map("\n".join)
OF_ONE: dict[str, Any] = {
    "recommendation": st.just("by hand"), "field": st.just("east"), "person": WORDS, "note": NAMES,
    "date": st.dates(date(2016, 5, 15), date(2016, 8, 1)),
    "at": maybe(st.times().map(lambda t: time(t.hour, t.minute))),
}  # fmt: skip
"""What every step tells, of the recommendation that is typed by hand above."""
STOPS = st.builds(
    Stop, places=st.integers(1, 2000), part=st.sampled_from(["", "north/low"]), counted=st.booleans(),
    marked_row=st.just("") | NAMES, sound=maybe(st.integers(0, 30)),
    **{state: st.integers(0, 9) for state in PLANT_STATES if state != "sound"},
)  # fmt: skip
LARVAE = st.builds(Larva, length_mm=some(0.01, 80)) | st.builds(Larva, instar=st.integers(1, 9))
"""All that a typed walk tells of a larva: its length, or its instar."""

TOLD: dict[type[Record], st.SearchStrategy[Any]] = {
    Planting: st.builds(
        Planting, id=st.sampled_from(["east/a", "east/b"]), field=st.just("east"), planted=maybe(DAYS), hybrid=WORDS,
        trait=WORDS, planter=WORDS, seeds_per_ha=maybe(some(1000, 200_000)), row_width_m=maybe(some(0.2, 2)),
        area_ha=maybe(some(0.5, 90)),
    ),
    Zone: st.builds(Zone, id=st.sampled_from(["east/x", "east/y"]), field=st.just("east"), name=NAMES,
                    area_ha=some(0.5, 90)),
    SeedLot: st.builds(SeedLot, id=NAMES, hybrid=WORDS, trait=WORDS, treatment=WORDS, warm_pct=maybe(some(0, 100)),
                       cold_pct=maybe(some(0, 100)), note=WORDS),
    Event: st.one_of(
        st.builds(Event, date=DAYS, what=st.sampled_from(["ponding", "water gone", "frost"]), person=WORDS,
                  hours=maybe(some(0, 2000)), note=WORDS, **PLACES),
        st.builds(Event, date=DAYS, what=st.sampled_from(["weeds seen", "emerged"]), note=WORDS,
                  cover=st.sampled_from([None, "black", "dense", "few weeds"]), person=WORDS, **PLACES),
    ),
    FlightReport: st.builds(FlightReport, source=NAMES, near=WORDS, latitude=some(38, 43), night=DAYS, note=WORDS,
                            longitude=some(94, 99).map(lambda x: -x), nights_either_way=st.integers(0, 14)),
    Pass: st.builds(
        Pass, date=DAYS, what=st.sampled_from(["manure", "other", "rotary hoe"]), at=maybe(st.times().map(
            lambda t: time(t.hour, t.minute))), product=WORDS, entry_hours=maybe(some(0, 2000)),
        direction_deg=maybe(some(0, 359.9)), untreated=WORDS, person=WORDS, note=WORDS, **PLACES,
    ),
    Gauge: st.builds(Gauge, field=st.sampled_from(["", "north"]), date=DAYS, rain_mm=some(0, 150), person=WORDS,
                     hard=st.sampled_from([None, True, False])),
    Progress: st.builds(Progress, planting=st.just("north/1"), field=st.just("north"), date=DAYS, person=WORDS,
                        area_ha=some(0.5, 15)),
    PestCount: st.builds(PestCount, date=DAYS, pest=st.sampled_from(["slug", "wireworm"]), unit=WORDS,
                         looked=st.just(100), insects=st.integers(0, 99), units_with=maybe(st.integers(0, 100)),
                         length_mm=maybe(some(1, 80)), person=WORDS, note=WORDS, **PLACES),
    Done: st.builds(Done, look=NAMES, field=st.just("east"), on=DAYS, person=WORDS, note=NAMES,
                    outcome=st.sampled_from(["done", "set aside"])),
    Recommendation: st.builds(
        Recommendation, id=NAMES, field=st.sampled_from(["north", "east"]), date=DAYS, said=LINES.filter(bool),
        parts=st.lists(WORDS.filter(bool), max_size=3).map(tuple), text=LINES, treats=st.booleans(),
        act_on=maybe(DAYS), crop_bu_ac=maybe(some(1, 500)), price_usd_bu=maybe(some(0.01, 100)),
        pass_usd_ac=maybe(some(0.01, 500)), product_usd_ac=maybe(some(0, 500)), wage_usd_h=maybe(some(0, 1000)),
        days_to_sprayer=maybe(st.integers(0, 14)), visit_usd=maybe(some(0, 9999)),
        pass_in_days=maybe(st.integers(0, 365)), assumed=st.lists(st.sampled_from(["crop", "own_pass"])).map(tuple),
        engine_version=WORDS, settings_hash=WORDS, shown=st.dictionaries(WORDS, WORDS).map(json.dumps), person=WORDS,
        note=LINES,
    ),
    Step: st.one_of(
        st.builds(Step, what=st.just("told"), who=NAMES, how=st.sampled_from([None, *get_args(How)]), **OF_ONE),
        st.builds(Step, what=st.sampled_from(["taken", "refused", "worth it"]), who=WORDS, **OF_ONE),
        st.builds(Step, what=st.just("ordered"), who=WORDS, wanted_on=maybe(DAYS), **OF_ONE),
        st.builds(Step, what=st.just("done"), who=WORDS, where=WORDS, pass_key=WORDS, **OF_ONE),
        st.builds(Step, what=st.sampled_from(["checked", "untreated strip"]), where=NAMES,
                  cut_again_pct=maybe(some(0, 100)), places=maybe(st.integers(1, 999)),
                  larvae=maybe(st.integers(0, 99)), **OF_ONE),
    ),
    Walk: st.builds(
        Walk, id=NAMES, field=st.just("north"), planting=PLACES["planting"], walked=DAYS, person=NAMES, note=NAMES,
        collars=maybe(some(0, 20)), staging=st.sampled_from(get_args(Staging)),
        stops=st.lists(STOPS, max_size=3).map(tuple),
        larvae=st.lists(LARVAE, max_size=5).map(tuple), plants_searched=maybe(st.integers(0, 100_000)),
        hour=maybe(st.integers(0, 23)), soil=maybe(st.sampled_from(get_args(Soil))),
    ),
}  # fmt: skip


@pytest.mark.parametrize("kind", list(TOLD), ids=lambda kind: kind.kind)
@settings(
    max_examples=8,
    phases=(Phase.explicit, Phase.generate),
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@pytest.mark.slow
@given(data=st.data())
def test_random_records_come_back_as_they_were(kind: type[Record], data: st.DataObject, tmp_path_factory: Any) -> None:
    """Any sound record of a kind comes back to the last digit, whatever its texts begin with."""
    drawn: list[Record] = data.draw(st.lists(TOLD[kind], min_size=1, max_size=12, unique_by=lambda r: r.natural_key()))
    tmp_path = tmp_path_factory.mktemp("export")
    base = [PLANTED, *(record for record in EVERY_KIND if isinstance(record, Zone | SeedLot))]
    base += [record for record in EVERY_KIND if isinstance(record, Recommendation) and kind is Step]
    with new_store(tmp_path, [*base, *drawn]) as store:
        done = export(store, tmp_path / "out")
        assert done.raw == {}, lines_of(tmp_path / "out")
        with again(tmp_path / "out", tmp_path, done.as_is) as other:
            assert held(other) == held(store)
