"""From records to advice: which walks speak of which part, who gets advice, and that it rests on what was found."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

import numpy as np
import pytest

from springwalk.engine.assess import assess
from springwalk.errors import BadValue
from springwalk.jobs.advise import advise_of
from springwalk.jobs.advised import FieldAdvice
from springwalk.jobs.believed import expected_load
from springwalk.jobs.snapshot import Snapshot
from springwalk.jobs.terms import Terms
from springwalk.jobs.walks_seen import walks_seen
from springwalk.records import Pass, Record, Season, Walk, Zone
from springwalk.records.walks import Larva, Stop
from tests.jobs.made import FOUR, planting, snapshot

MONEY: dict[str, Any] = {"bushels": 200, "price": 4.5, "own_pass": 16, "product": 7, "visit": 25}
TERMS = Terms.per_acre(**MONEY)
MAY_24 = date(2016, 5, 24)
KENTUCKY = Season(name="Lincoln 2016", year=2016, state="Kentucky")
LOW = Zone(id="at-planting/low", field="at-planting", name="Low corner", area_ha=4.5)
SMALL = tuple(Larva(length_mm=16.0) for _ in range(4))


def walk(name: str, stops: tuple[Stop, ...], *, day: date = MAY_24, **more: Any) -> Walk:
    """A walk at dusk in moist soil with 40 plants searched."""
    told: dict[str, Any] = {"collars": 2.0, "plants_searched": 40, "hour": 20, "soil": "moist", **more}
    return Walk(id=f"{name} {day}", field=name, walked=day, stops=stops, **told)


def stops(*fresh: int, part: str = "") -> tuple[Stop, ...]:
    """Stops of 20 plants with so many cut at the surface."""
    return tuple(Stop(places=20, part=part, fresh_cut_at=n, sound=20 - n) for n in fresh)


def morning(*more: Record, today: date = MAY_24) -> Snapshot:
    """The four Lincoln fields with more records, in a season of Kentucky's rule."""
    return snapshot([*FOUR, *more], today, season=KENTUCKY)


def advice(*more: Record, today: date = MAY_24) -> tuple[FieldAdvice, ...]:
    """Advice on a morning at the usual terms."""
    return advise_of(morning(*more, today=today), TERMS)


def test_fresh_cuts_with_small_larvae_are_sprayed_and_only_walked_fields_speak() -> None:
    """4 of 100 fresh and larvae of 5/8 in.: spray tomorrow; fields nobody walked get no advice from here."""
    (said,) = advice(walk("at-planting", stops(1, 0, 2, 0, 1), larvae=SMALL))
    (part,) = said.parts
    assert (said.field, said.what) == ("at-planting", "whole")
    assert (part.verdict, part.on) == ("spray", date(2016, 5, 25))
    assert (part.places, part.percent_cut, part.larvae_found) == (100, 4.0, 4)
    assert part.rule is not None
    assert (part.rule.state, part.rule.says, part.rule.agrees) == ("Kentucky", "treat", True)


def test_same_cuts_without_larvae_are_looked_at_again() -> None:
    """No live larvae, no spray: fresh cuts and a search at noon under a crust ask for dusk."""
    poor = {"plants_searched": 10, "hour": 12, "soil": "crusted"}
    (said,) = advice(walk("at-planting", stops(1, 0, 2, 0, 1, 2), **poor))
    assert said.what == "none"
    assert said.parts[0].verdict == "look again"
    assert "no live larvae" in said.parts[0].reasons


def test_search_of_last_week_no_longer_counts() -> None:
    """Larvae found five days ago may be through or gone: they are not today's live larvae."""
    seen = walk("at-planting", stops(1, 0, 2, 0, 1), day=date(2016, 5, 19), larvae=SMALL)
    (said,) = advice(seen)
    assert said.parts[0].larvae_found is None
    assert said.parts[0].verdict != "spray"


def test_wet_corner_is_told_apart() -> None:
    """17 of 160 in the corner and 1 of 160 elsewhere: each part has its own advice, the field is area-weighted."""
    seen = walk(
        "at-planting",
        (*stops(4, 0, 3, 2, 0, 5, 1, 2, part=LOW.id), *stops(0, 0, 1, 0, 0, 0, 0, 0)),
        larvae=SMALL,
    )
    (said,) = advice(LOW, seen)
    assert (said.what, said.treat) == ("part", ("Low corner",))
    assert said.percent_cut == pytest.approx((4.5 * 10.625 + 25.5 * 0.625) / 30.0)


def test_two_plantings_are_told_apart() -> None:
    """A walk that names no planting speaks of both; each has its own advice under its own name."""
    second = planting("at-planting", date(2016, 5, 7), "2")
    (said,) = advice(second, walk("at-planting", stops(1, 0, 2, 0, 1), larvae=SMALL))
    assert [part.name for part in said.parts] == ["planting at-planting/1", "planting at-planting/2"]
    assert {part.percent_cut for part in said.parts} == {4.0}
    named = walk("at-planting", stops(1, 0, 2, 0, 1), larvae=SMALL, planting="at-planting/2")
    (only,) = advice(second, named)
    assert [part.planting for part in only.parts] == ["at-planting/2"]


def test_treated_parts_are_left_to_the_look_after_treatment() -> None:
    """After an insecticide the larvae are others' business: the recheck of the same flags decides."""
    seen = walk("at-planting", stops(1, 0, 2, 0, 1), larvae=SMALL)
    done = Pass(field="at-planting", date=date(2016, 5, 20), what="insecticide")
    assert advice(seen, done) == ()
    elsewhere = Pass(field="late", date=date(2016, 5, 20), what="insecticide")
    assert len(advice(seen, elsewhere)) == 1


def test_old_walks_give_no_advice() -> None:
    """What was seen a fortnight ago says nothing of what to do today."""
    assert advice(walk("at-planting", stops(1, 0, 2, 0, 1), day=date(2016, 5, 10), larvae=SMALL)) == ()


def test_no_weather_no_advice() -> None:
    """Without weather nothing is known of what is still to come."""
    told = [*FOUR, walk("at-planting", stops(4), larvae=SMALL)]
    assert advise_of(snapshot(told, MAY_24, rows=[]), TERMS) == ()


def test_same_morning_gives_the_same_advice() -> None:
    """The question is pure."""
    snap = morning(walk("at-planting", stops(1, 0, 2), larvae=SMALL))
    assert advise_of(snap, TERMS) == advise_of(snap, TERMS)


def test_expected_load_is_that_of_the_sheet() -> None:
    """Advice and sheet start from the same expectation of a field."""
    inputs, params = morning().inputs, morning().settings.engine
    assert inputs is not None
    mine = expected_load(inputs, params, np.arange(4))
    assert mine == pytest.approx(assess(inputs, params).larvae_per_100, rel=0.05, abs=1e-6)


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"bushels": 0}, "yield = 0: must be above 0; check the number."),
        ({"price": -4.5}, "price = -4.5: must be above 0; check the number."),
        ({"own_pass": 0}, "cost of a pass = 0: must be above 0; check the number."),
        ({"product": -1}, "cost of the product = -1: must be 0 or above; check the number."),
        ({"visit": -1}, "cost of a visit = -1: must be 0 or above; check the number."),
        ({"spray_in_days": ()}, "days to the sprayer = none: must be 0 or more; give the days until a pass could go."),
        ({"spray_in_days": (-1,)}, "days to the sprayer = -1: must be 0 or more; give the days until a pass could go."),
    ],
)
def test_slips_in_the_terms_are_refused(changed: dict[str, Any], told: str) -> None:
    """Money that can't be would turn every answer round."""
    with pytest.raises(BadValue, match=f"^{re.escape(told)}$"):
        Terms.per_acre(**(MONEY | changed))


def test_stops_stand_for_their_part_and_larvae_for_the_worst() -> None:
    """A part by id or by name, all else for the rest; larvae lie where most was cut, other species are not counted."""
    others = (Larva(length_mm=30.0, species="dingy cutworm"), Larva(instar=5))
    seen = walk(
        "at-planting", (*stops(3, part=LOW.id), *stops(2, part="Low corner"), *stops(1)), larvae=(*SMALL, *others)
    )
    snap = morning(LOW, seen)
    units = [k for k, unit in enumerate(snap.units) if unit.field.id == "at-planting"]
    zones = [snap.units[k].zone for k in units]
    got = {zones[w.unit].name if zones[w.unit] else "": w for w in walks_seen(snap, units)}  # type: ignore[union-attr]
    assert [s.cut_fresh for s in got["Low corner"].stops] == [3, 2]
    assert [s.cut_fresh for s in got[""].stops] == [1]
    low = got["Low corner"]
    assert (low.larvae_found, low.lengths_mm, low.instars) == (5, (16.0,) * 4, (5,))
    assert (got[""].larvae_found, got[""].plants_searched) == (0, None)


def test_plants_cut_before_are_old_whatever_became_of_them() -> None:
    """Old stubs, regrown and tunnelled plants were cut before; leaves count only where every plant was looked at."""
    stop = Stop(places=20, fresh_cut_below=1, old_cut=2, regrown=1, tunnelled=1, marked_row="a")
    snap = morning(walk("black", (stop, *stops(0))))
    (seen,) = walks_seen(snap, range(len(snap.units)))
    first, second = seen.stops
    assert (first.cut_fresh, first.cut_old, first.leaf_fed, first.marked_row) == (1, 4, None, "a")
    assert (second.cut_fresh, second.leaf_fed) == (0, 0)
