"""Which stand is where after a replant of a field or of a part, and what of the first one still counts."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from springwalk.engine.assess import assess
from springwalk.jobs.sheet import row_of
from springwalk.jobs.snapshot import Snapshot
from springwalk.jobs.stands import Before, standing, stood_before
from springwalk.jobs.walks_seen import walks_seen
from springwalk.records import Planting, Record, Walk, Zone
from springwalk.records.walks import Stop
from tests.jobs.made import FOUR, event, planting, snapshot

MAY_20, MAY_24, JUNE_1 = date(2016, 5, 20), date(2016, 5, 24), date(2016, 6, 1)
LOW = Zone(id="at-planting/low", field="at-planting", name="Low corner", area_ha=4.5)
SECOND = Planting(id="at-planting/2", field="at-planting", planted=MAY_24, zone=LOW.id)
TORN = event("at-planting", 5, 24, "torn up", zone=LOW.id)
FIRST = planting("at-planting", date(2016, 5, 5))


def parts(snap: Snapshot, name: str = "at-planting") -> list[tuple[str | None, str | None, float]]:
    """Planting, zone and area of each unit of a field."""
    mine = [u for u in snap.units if u.field.id == name]
    return [(u.planting.id if u.planting else None, u.zone.id if u.zone else None, u.area_ha) for u in mine]


def test_replanted_zone_has_the_new_stand_and_the_rest_the_old() -> None:
    """The 11 acres of the low corner are the new corn's, all else is the old one's; nothing stands twice."""
    told = snapshot([*FOUR, LOW, TORN, SECOND], JUNE_1)
    assert parts(told) == [("at-planting/1", None, 25.5), ("at-planting/2", LOW.id, 4.5)]
    unit = told.units[[u.zone for u in told.units].index(LOW)]
    assert unit.before == Before(torn_up=MAY_24, planted=date(2016, 5, 5))


def test_torn_up_zone_is_bare_until_it_is_planted() -> None:
    """Collars seen on the stand that is gone say nothing of the ground that lies bare now."""
    seen = Walk(id="w", field="at-planting", walked=MAY_20, collars=2.0)
    told = snapshot([*FOUR, LOW, TORN, seen], date(2016, 5, 26))
    assert parts(told) == [(None, LOW.id, 4.5), ("at-planting/1", None, 25.5)]
    assert told.inputs is not None
    units = [told.units[k] for k in told.inputs.seen_unit.tolist()]
    assert [unit.zone for unit in units] == [None]


def test_planted_on_the_day_the_old_stand_went_is_the_new_stand() -> None:
    """One tears up in the morning and plants in the afternoon."""
    new = planting("at-planting", MAY_24, "2")
    whole = event("at-planting", 5, 24, "torn up")
    assert standing([FIRST, new], [whole]) == [new]
    assert stood_before(new, [FIRST, new], [whole]) == Before(MAY_24, date(2016, 5, 5))
    assert stood_before(FIRST, [FIRST, new], [whole]) is None


def test_planting_of_an_unknown_zone_stands_in_the_field() -> None:
    """A planting must not vanish with the name of its zone."""
    lost = SECOND.model_copy(update={"zone": "at-planting/gone"})
    told = snapshot([*FOUR, lost], JUNE_1)
    assert {one[0] for one in parts(told)} == {"at-planting/1", "at-planting/2"}


def stops_by_part(told: Snapshot) -> dict[str | None, list[int]]:
    """Places counted that stand for each planting of the field."""
    units = [k for k, u in enumerate(told.units) if u.field.id == "at-planting"]
    names = [told.units[k].planting for k in units]
    found: dict[str | None, list[int]] = {}
    for seen in walks_seen(told, units):
        one = names[seen.unit]
        found.setdefault(one.id if one else None, []).extend(stop.places for stop in seen.stops)
    return found


@pytest.mark.parametrize(
    ("day", "expected"),
    [
        (MAY_20, {"at-planting/1": [30]}),
        (JUNE_1, {"at-planting/1": [30], "at-planting/2": [20]}),
    ],
)
def test_stops_of_the_old_stand_are_not_the_new_ones(day: date, expected: dict[str, list[int]]) -> None:
    """20 places in the low corner count for what stood there that day; they never fall to the rest of the field."""
    walk = Walk(id="w", field="at-planting", walked=day, stops=(Stop(places=20, part=LOW.id), Stop(places=30)))
    assert stops_by_part(snapshot([*FOUR, LOW, TORN, SECOND, walk], JUNE_1)) == expected


def test_larvae_live_by_the_first_corn() -> None:
    """Cover killed on 22 April, corn planted on the 26th: replanted a month later the larvae fed meanwhile, and are not
    taken to have starved in a gap of five weeks."""
    field = "killed-early"
    others = [r for r in FOUR if not (isinstance(r, Planting) and r.field == field)]
    first, new = planting(field, date(2016, 4, 26)), planting(field, MAY_24, "2")
    told: list[Record] = [*others, first]
    before = snapshot(told, JUNE_1)
    after = snapshot([*told, event(field, 5, 24, "torn up"), new], JUNE_1)
    assert after.inputs is not None
    assert before.inputs is not None
    k = next(k for k, u in enumerate(after.units) if u.field.id == field)
    survival = [assess(snap.inputs, snap.settings.engine).survival[k] for snap in (before, after) if snap.inputs]
    assert survival[1] == pytest.approx(survival[0], abs=0.02)
    starved = assess(replace(after.inputs, first_planted=None), after.settings.engine).survival[k]
    assert starved < survival[1] - 0.3
    assert np.isnan(before.inputs.first_planted).all()  # type: ignore[arg-type]


def test_cuts_in_the_old_stand_do_not_send_anyone_to_the_new_one() -> None:
    """Eight of 20 cut on 20 May: torn up and planted again on the 24th there is no plant to look at."""
    walk = Walk(id="w", field="at-planting", walked=MAY_20, stops=(Stop(places=20, fresh_cut_at=8),))
    new = planting("at-planting", MAY_24, "2")
    torn = event("at-planting", 5, 24, "torn up")
    today = date(2016, 5, 25)
    old, new_corn = (row_of(snapshot(told, today), "at-planting") for told in ([*FOUR, walk], [*FOUR, walk, torn, new]))
    assert (old.seen_cutting, new_corn.seen_cutting) == (True, False)
    assert not new_corn.walk_today
