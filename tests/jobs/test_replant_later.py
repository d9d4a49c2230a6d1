"""The replant question asked of a store: heat to the killing frost, and larvae that still cut."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest

from springwalk.engine.hazard import hazards
from springwalk.jobs.believed import believed
from springwalk.jobs.replant import Case, replant
from springwalk.jobs.replant_field import Asked, replant_of
from springwalk.jobs.replant_larvae import _replanted, larvae_of
from springwalk.jobs.replant_policy import Policy
from springwalk.jobs.replant_ready import frost_years
from springwalk.jobs.snapshot import Snapshot
from springwalk.records import Pass, Planting, Record, Walk, Zone
from springwalk.records.walks import Stop
from tests.jobs.made import FOUR, SEASON, STATION, field, planting, snapshot as made_of

TODAY, MAY_20 = date(2016, 5, 14), date(2016, 5, 20)
PLANTED = date(2016, 4, 25)
ASKED = Asked({"": 18_000.0}, cost_usd_ac=60, replant_on=MAY_20, replant_stand=30_000)


# Frost

FALL = {2013: date(2013, 10, 1), 2014: date(2014, 10, 11), 2015: date(2015, 9, 11)}


def fall_rows(frosts: dict[int, date], *, low_c: float = -2.3) -> list[tuple[str, float, float, None]]:
    """Years whose every day gives 9 °F·day (50 and 68 °F), with one frost each."""
    out = []
    for year, frost in frosts.items():
        for k in range(365):
            day = date(year, 1, 1) + timedelta(days=k)
            out.append((day.isoformat(), low_c if day == frost else 10.0, 20.0, None))
    return out


def one_field() -> Snapshot:
    """A field at the height of its station."""
    return made_of([field("f"), planting("f", PLANTED), STATION], TODAY)


def test_heat_to_frost_by_hand() -> None:
    """From 20 May to 11 September, 1 and 11 October are 114, 134 and 144 days of 9 °F·day each (86/50)."""
    found = frost_years({"L": fall_rows(FALL)}, one_field(), 0, MAY_20)
    assert found is not None
    assert sorted(found.by_year_ddf) == pytest.approx([114 * 9, 134 * 9, 144 * 9])
    assert (found.heat_ddf.low, found.heat_ddf.mid, found.heat_ddf.high) == pytest.approx((1026, 1206, 1296))
    assert (found.frost.early, found.frost.mid, found.frost.late) == (
        date(2016, 9, 11), date(2016, 10, 1), date(2016, 10, 11),
    )  # fmt: skip
    assert (found.years, found.station) == (3, "Lincoln")


def test_only_killing_frosts_of_fall_end_the_heat() -> None:
    """29 °F does not kill, and a May frost is before the new corn; without a frost the heat runs to 30 November."""
    mild = frost_years({"L": fall_rows({2015: date(2015, 9, 11)}, low_c=-1.6)}, one_field(), 0, MAY_20)
    spring = frost_years({"L": fall_rows({2015: date(2015, 5, 22)})}, one_field(), 0, MAY_20)
    assert mild is not None
    assert spring is not None
    assert mild.frost.mid == spring.frost.mid == date(2016, 11, 30)


def test_years_that_do_not_reach_fall_are_no_years() -> None:
    """Spring days alone say nothing of the frost; nor does the year itself, which has no fall yet."""
    short = [row for row in fall_rows(FALL) if row[0][5:] < "08-01"]
    assert frost_years({"L": short}, one_field(), 0, MAY_20) is None
    this_year = fall_rows({2016: date(2016, 10, 1)})
    assert frost_years({"L": this_year}, one_field(), 0, MAY_20) is None


def test_hybrid_that_does_not_ripen_loses_by_its_years() -> None:
    """Need 1500 less 19 × 6.8 is 1370.8: none of three years has it. Without a need nothing is counted."""
    rows = {"L": fall_rows(FALL)}
    unsaid = replant_of(one_field(), "f", replace(ASKED, cut_share_new=0.0), None, rows)
    assert unsaid.frost is not None
    assert unsaid.parts[0].found["ripe_share"] is None
    need = replant_of(one_field(), "f", replace(ASKED, cut_share_new=0.0, hybrid_need=1500.0), None, rows)
    assert need.parts[0].found["ripe_share"] == 0.0
    by_hand = replant(
        Case(
            planted=PLANTED, stand=18_000, replant_on=MAY_20, replant_stand=30_000, yield_bu_ac=180, price_usd_bu=4.5,
            cost_usd_ac=60, hybrid_need=1500.0, heat_to_frost=(114 * 9, 134 * 9, 144 * 9),
        )
    )  # fmt: skip
    got = [row["replant_percent"] for row in need.tables]
    assert got == pytest.approx([row["replant_percent"] for row in by_hand["tables"]])
    assert got[0] < unsaid.tables[0]["replant_percent"]
    typed = replant_of(one_field(), "f", replace(ASKED, hybrid_need=1500.0, heat_to_frost=(3000.0,)), None, rows)
    assert (typed.parts[0].found["ripe_share"], typed.frost) == (1.0, None)
    none = replant_of(one_field(), "f", replace(ASKED, hybrid_need=1500.0), None, {})
    assert (none.parts[0].found["ripe_share"], none.frost) == (None, None)


# Larvae still there

MAY_24, GREEN = date(2016, 5, 24), "at-planting"
LOW = Zone(id=f"{GREEN}/low", field=GREEN, name="Low corner", area_ha=4.5)


def walk(*fresh: int) -> Walk:
    """A walk of the field that was green till it was planted: stops of 20 plants with so many cut."""
    stops = tuple(Stop(places=20, fresh_cut_at=n, sound=20 - n) for n in fresh)
    return Walk(id="w", field=GREEN, walked=date(2016, 5, 23), collars=2.0, stops=stops)


def larvae(records: list[Record], day: date, name: str = GREEN) -> Any:
    """What larvae are said to cut in a field replanted on a day."""
    snap = made_of(records, MAY_24)
    k = next(k for k, unit in enumerate(snap.units) if unit.field.id == name)
    return larvae_of(snap, [k], day).get(k)


def test_larvae_cut_less_of_later_corn() -> None:
    """Who waits lets the brood go by: the share falls from day to day, to nothing once it is through."""
    days = [date(2016, 5, 25), date(2016, 5, 31), date(2016, 6, 10), date(2016, 6, 25)]
    shares = [larvae([*FOUR, walk(3, 2, 4)], day).cut_new.mid for day in days]
    assert shares == sorted(shares, reverse=True)
    assert shares[0] > 0.02
    assert shares[-1] < 1e-4


def test_belief_comes_from_the_walks() -> None:
    """Many cut: more to come than where nobody walked; none of 200: less. The range opens round the mean."""
    many, unseen, none = (
        larvae(told, date(2016, 5, 26)) for told in ([*FOUR, walk(3, 2, 4)], [*FOUR], [*FOUR, walk(*(0,) * 10)])
    )
    assert many.cut_new.mid > unseen.cut_new.mid > none.cut_new.mid
    assert (many.walked, many.places, unseen.walked) == (date(2016, 5, 23), 60, None)
    for said in (many, unseen, none):
        assert 0.0 <= said.cut_new.low <= said.cut_new.high <= 1.0
    assert many.cut_new.low < many.cut_new.mid < many.cut_new.high
    assert none.cut_new.high == 0.0, "nine times in ten there are none, and still some are expected"


def test_no_eggs_no_larvae() -> None:
    """Ground tilled black before the flight: nothing to cut the new corn."""
    said = larvae([*FOUR], date(2016, 5, 26), "black")
    assert (said.cut_new.high, said.cut_old.high) == (0.0, 0.0)


def test_brood_is_that_of_the_old_stand() -> None:
    """The larvae lived by the corn there is: only the corn starts anew, their stages stay (a kill in April would else
    starve them in a gap of five weeks)."""
    records = [r for r in FOUR if not (isinstance(r, Planting) and r.field == "killed-early")]
    snap = made_of([*records, planting("killed-early", date(2016, 4, 26))], MAY_24)
    told = believed(snap, [0, 1, 2, 3])
    assert told is not None
    assert snap.inputs is not None
    again = hazards(_replanted(snap.inputs, [2], 87.0), snap.settings.engine, np.arange(4), told.hazard.shifts_ddc)
    assert again.stages == pytest.approx(told.hazard.stages, abs=1e-3)
    assert again.collars[2, 87] == 0.0
    assert told.hazard.collars[2, 87] > 2.0


def test_new_corn_is_cut_from_its_spike_on() -> None:
    """By hand: the share is 1 − exp(−load × plants cut per larva of the new corn / 100), over belief and weather."""
    snap = made_of([*FOUR, walk(3, 2, 4)], MAY_24)
    day = date(2016, 5, 26)
    k = next(k for k, unit in enumerate(snap.units) if unit.field.id == GREEN)
    told = believed(snap, [k])
    assert told is not None
    assert snap.inputs is not None
    index = float((day - SEASON.begins).days)
    again = hazards(_replanted(snap.inputs, [k], index), snap.settings.engine, np.array([k]), told.hazard.shifts_ddc)
    assert again.cut[0, :, int(index) + 2].max() < 0.01, "nothing is cut before it is up"
    total, mean = again.cut_member[:, 0, :, -1], 0.0
    for member in total:
        for at, lam in enumerate(told.belief.grid.lam):
            mean += float((told.belief.weight[0, at] * (1 - np.exp(-lam * member / 100))).sum()) / len(total)
    assert larvae_of(snap, [k], day)[k].cut_new.mid == pytest.approx(mean, rel=1e-9)


def test_larvae_enter_both_stands_and_the_appraisal_neither() -> None:
    """They take from the new plants and from those left; the adjuster counts the stand of today."""
    policy = Policy(180, 0.8, 4.66)
    asked = replace(ASKED, stands={"": 16_000.0}, replant_on=None)
    snap = made_of([*FOUR, walk(3, 2, 4)], MAY_24)
    said = replant_of(snap, GREEN, asked, policy, {})
    free = replant_of(snap, GREEN, replace(asked, cut_share_new=0.0), policy, {})
    (part,), (none,) = said.parts, free.parts
    assert part.larvae is not None
    assert none.why_no_larvae == "typed"
    typed = replant(
        Case(
            planted=part.planted, stand=16_000, replant_on=said.replant_on, replant_stand=30_000, yield_bu_ac=180,
            price_usd_bu=4.5, cost_usd_ac=60, cut_share_new=part.larvae.cut_new.mid,
            cut_share_old=part.larvae.cut_old.mid,
        ),
        policy,
    )  # fmt: skip
    assert said.tables == tuple(typed["tables"])
    assert said.tables[0]["now_percent"] < free.tables[0]["now_percent"]
    assert said.tables[0]["replant_percent"] < free.tables[0]["replant_percent"]
    assert said.insurance is not None
    assert free.insurance is not None
    assert said.insurance["appraised_bu_ac"] == free.insurance["appraised_bu_ac"]


def test_advice_is_told_at_both_ends_of_the_larvae() -> None:
    """Where the answer hangs on how many larvae there are, both answers are there to be read."""
    asked = replace(ASKED, stands={"": 13_000.0}, replant_on=date(2016, 5, 25), cost_usd_ac=30)
    (part,) = replant_of(made_of([*FOUR, walk(6, 5, 8)], MAY_24), GREEN, asked, None, {}).parts
    assert part.larvae is not None
    for end, told in (("low", part.if_few), ("high", part.if_many)):
        case = Case(
            planted=part.planted, stand=13_000, replant_on=date(2016, 5, 25), replant_stand=30_000, yield_bu_ac=180,
            price_usd_bu=4.5, cost_usd_ac=30, cut_share_new=getattr(part.larvae.cut_new, end),
            cut_share_old=getattr(part.larvae.cut_old, end),
        )  # fmt: skip
        assert told == replant(case)["advice"]


def test_treated_parts_and_missing_weather_are_said() -> None:
    """After an insecticide the larvae are others' business; without weather nothing is known of them."""
    done = Pass(field=GREEN, date=date(2016, 5, 22), what="insecticide", zone=LOW.id)
    asked = replace(ASKED, replant_on=None)
    said = replant_of(made_of([*FOUR, LOW, done, walk(3)], MAY_24), GREEN, asked, None, {})
    assert {part.name: part.why_no_larvae for part in said.parts} == {"rest": "", "Low corner": "treated"}
    bare = replant_of(made_of([*FOUR], MAY_24, rows=[]), GREEN, asked, None, {})
    assert [(part.larvae, part.why_no_larvae) for part in bare.parts] == [(None, "no weather")]
    assert bare.ready.on == MAY_24


def test_tables_stay_where_only_larvae_thin_the_stand() -> None:
    """12 000 left are held by tables that begin there: cut further, the tables are not dropped, and the note tells."""
    case = Case(
        planted=PLANTED, stand=12_000, replant_on=MAY_20, replant_stand=30_000, yield_bu_ac=180, price_usd_bu=4.5,
        cost_usd_ac=60,
    )  # fmt: skip
    plain, cut = replant(case), replant(replace(case, cut_share_old=0.1))
    assert [row["name"] for row in cut["tables"]] == [row["name"] for row in plain["tables"]]
    assert any(note.startswith("With what larvae cut a stand is below these tables") for note in cut["notes"])
    assert not any("larvae cut" in note for note in plain["notes"])


def test_two_plantings_are_judged_apart() -> None:
    """Each by its own date and stand; a zone and a planting together name one part."""
    second = planting("black", date(2016, 5, 12), "2")
    zone = Zone(id="black/low", field="black", name="Low", area_ha=5.0)
    snap = made_of([*FOUR, second, zone], MAY_24)
    asked = replace(ASKED, replant_on=None, stands={"1": 26_000.0, "low/2": 12_000.0})
    said = replant_of(snap, "black", asked, None, {})
    found = {part.name: (part.planted.day, part.stand) for part in said.parts}
    assert found == {
        "rest, planting 1": (5, 26_000), "Low, planting 1": (5, 26_000), "Low, planting 2": (12, 12_000),
    }  # fmt: skip
    assert said.not_judged == ("rest, planting 2",)
    only = replant_of(snap, "black", replace(asked, stands={"": 12_000.0}, part="low", planting="2"), None, {})
    assert [part.name for part in only.parts] == ["Low, planting 2"]
