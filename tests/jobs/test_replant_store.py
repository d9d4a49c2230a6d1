"""The replant question asked of a store: the trap cases, what comes from where, parts and dates."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from springwalk.errors import BadValue, NotFound
from springwalk.jobs.replant import Case, replant
from springwalk.jobs.replant_field import Asked, replant_field, replant_of
from springwalk.jobs.replant_policy import Policy
from springwalk.jobs.replant_said import ReplantSaid
from springwalk.jobs.snapshot import snapshot
from springwalk.jobs.take_in import take_in
from springwalk.records import Gauge
from springwalk.store import Store, open_store
from springwalk.units import ACRES_PER_HA
from tests.jobs.made import STATION, field, planting, snapshot as made_of
from tests.seasons import SEASON as SEASON_TOML, weather, write_season

TODAY, MAY_20 = date(2016, 5, 14), date(2016, 5, 20)
PLANTED = date(2016, 4, 25)
MONEY = SEASON_TOML.replace("[[station]]", "[money]\nyield = 180\nprice = 4.5\n\n[[station]]")
FILES = {
    "season.toml": MONEY,
    "plantings.csv": "field,planting,planted,seeds_per_acre\neast,1,2016-04-25,\nnorth,1,2016-05-05,32000\n",
    "zones.csv": "field,zone,name,acres\neast,low,Low ground,12\n",
    "walks.csv": "walk,field,date,places\n",
    "weather/station.csv": weather(last=date(2016, 5, 13)),
}
ASKED = Asked({"": 18_000.0}, cost_usd_ac=60, replant_on=MAY_20, replant_stand=30_000)
POLICY = Policy(180, 0.8, 4.66)


@pytest.fixture(scope="module")
def stored(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """A season with one field on black ground (no larvae), planted on 25 April, with a low corner of 12 acres."""
    folder = tmp_path_factory.mktemp("replant")
    write_season(folder / "farm", FILES)
    with open_store(str(folder / "season.db"), create=True) as opened:
        take_in(opened, folder / "farm", today=TODAY)
        yield opened


def ask(store: Store, policy: Policy | None = None, name: str = "east", **change: Any) -> ReplantSaid:
    """The question of a field with some of it changed."""
    return replant_field(store, name, replace(ASKED, **change), policy, today=TODAY)


def test_store_tells_what_is_typed_without_one(stored: Store) -> None:
    """Date, yield and price of the store give the tables of the case typed whole: next to no larvae on black ground."""
    typed = replant(
        Case(
            planted=PLANTED, stand=18_000, replant_on=MAY_20, replant_stand=30_000, yield_bu_ac=180, price_usd_bu=4.5,
            cost_usd_ac=60,
        )
    )  # fmt: skip
    said = ask(stored)
    for found in (*(part.found["tables"] for part in said.parts), said.tables):
        # On black ground next to no larva is expected, but what was told of the ground may be wrong.
        for one, other in zip(found, typed["tables"], strict=True):
            assert one["name"] == other["name"]
            assert one["now_percent"] == pytest.approx(other["now_percent"], abs=0.05)
            assert one["gain_bu_ac"] == pytest.approx(other["gain_bu_ac"], abs=0.05)
    assert (said.advice, said.what) == (typed["advice"], "unsure")
    assert (said.yield_bu_ac, said.price_usd_bu, said.assumed) == (180, 4.5, ())
    assert said.parts[0].larvae is not None
    assert said.parts[0].larvae.cut_new.high == 0.0


def test_fourteen_thousand_left_are_not_paid_for(stored: Store) -> None:
    """The known trap: 79 % of 180 is 142 bu, above 0.9 of the guarantee of 144: advice is not built on a payment, but
    it begins with the insurer all the same."""
    said = ask(stored, POLICY, stands={"": 14_000.0})
    assert said.insurance is not None
    assert (said.insurance["pays"], said.insurance["appraised_bu_ac"]) == (False, 142.2)
    assert said.insurance["pays_below_bu_ac"] == 129.6
    assert (said.advice, said.what, said.insurer_first) == ("replant", "whole", True)


def test_ten_thousand_left_are_paid_for(stored: Store) -> None:
    """68 % of 180 is 122 bu: 8 bu at 4.66 on every acre, and the insurer comes before the planter."""
    said = ask(stored, POLICY, stands={"": 10_000.0})
    assert said.insurance is not None
    assert (said.insurance["pays"], said.insurance["payment_usd_ac"]) == (True, pytest.approx(37.28))
    assert said.advice == "call the insurer first"
    assert ask(stored, stands={"": 10_000.0}).insurer_first is False


@pytest.mark.parametrize("stand", [24_000.0, 25_000.0])
def test_near_full_stand_is_kept(stored: Store, stand: float) -> None:
    """24 000 to 25 000 left: keep, with a policy or without."""
    for policy in (None, POLICY):
        said = ask(stored, policy, stands={"": stand})
        assert (said.advice, said.what, said.replant) == ("keep", "none", ())


def test_price_of_seed_flips_the_advice(stored: Store) -> None:
    """15 500 left: with seed free every table gains, at full price Minnesota's dates lose."""
    also: dict[str, Any] = {"seed_usd_ac": 40.0}
    said = ask(stored, stands={"": 15_500.0}, also=also)
    seed = said.parts[0].found["seed"]
    assert (seed["free"]["advice"], seed["full"]["advice"]) == ("replant", "too close to say")
    assert said.advice == "too close to say"
    assert ask(stored, stands={"": 15_500.0}, also={**also, "seed_share_paid": 0.0}).advice == "replant"


def test_thin_corner_is_replanted_alone(stored: Store) -> None:
    """12 acres at 12 000, the rest at 29 000: replant the 12 acres; money is the corner's, per table, by its acres."""
    said = ask(stored, stands={"low": 12_000.0, "rest": 29_000.0})
    assert (said.advice, said.what, said.replant) == ("replant", "part", ("Low ground",))
    assert said.replant_ha * ACRES_PER_HA == pytest.approx(12.0, abs=1e-3)
    low, rest = (next(p for p in said.parts if p.name == name) for name in ("Low ground", "rest"))
    assert said.gain_usd_range == pytest.approx(tuple(12 * x for x in low.found["gain_usd_ac_range"]), rel=1e-4)
    share = low.area_ha / (low.area_ha + rest.area_ha)
    first = share * low.found["tables"][0]["gain_usd_ac"] + (1 - share) * rest.found["tables"][0]["gain_usd_ac"]
    assert said.tables[0]["gain_usd_ac"] == pytest.approx(first, abs=0.002)


def test_fixed_trip_can_keep_a_small_corner(stored: Store) -> None:
    """What 12 acres gain is set against a trip that costs the same for 12 acres and for 80."""
    stands = {"low": 12_000.0, "rest": 29_000.0}
    free = ask(stored, stands=stands)
    assert free.gain_usd_range is not None
    least, most = free.gain_usd_range
    between = ask(stored, stands=stands, trip_usd=(least + most) / 2)
    assert (between.what, between.advice) == ("unsure", "too close to say")
    dear = ask(stored, stands=stands, trip_usd=most + 1)
    assert (dear.what, dear.advice, dear.replant) == ("none", "keep", ())
    assert dear.gain_usd_range == pytest.approx((least - most - 1, -1), abs=0.01)


def test_part_without_a_stand_is_named_and_not_judged(stored: Store) -> None:
    """Silence on the rest would look like advice to keep it, or to replant it too."""
    said = ask(stored, stands={"": 12_000.0}, part="LOW GROUND")
    assert (said.not_judged, said.what, said.replant) == (("rest",), "part", ("Low ground",))
    both = ask(stored, stands={"": 29_000.0, "low": 12_000.0})
    assert {part.name: part.stand for part in both.parts} == {"Low ground": 12_000.0, "rest": 29_000.0}


def test_area_rule_of_a_policy_is_typed_and_kept(stored: Store) -> None:
    """Paid from 20 acres or 20 % of the unit: 12 acres of a unit of 160 are too few, of one of 50 enough. Without the
    rule typed none is asked for: terms are never shipped."""
    stands = {"low": 10_000.0, "rest": 29_000.0}
    few = ask(stored, replace(POLICY, least_acres=20, least_share=0.2, unit_acres=160), stands=stands)
    low = next(part for part in few.parts if part.name == "Low ground")
    assert (low.found["insurance"]["pays"], low.found["insurance"]["acres_needed"]) == (False, 20)
    assert low.advice == few.advice == "replant"
    enough = ask(stored, replace(POLICY, least_acres=20, least_share=0.2, unit_acres=50), stands=stands)
    assert enough.advice == "call the insurer first"
    assert ask(stored, POLICY, stands=stands).advice == "call the insurer first"


def test_adjusters_appraisal_goes_before_the_tables(stored: Store) -> None:
    """14 000 left would not be paid for by the tables; an adjuster who found 120 bu has the say."""
    said = ask(stored, replace(POLICY, appraised_bu_ac=120), stands={"": 14_000.0})
    assert said.insurance is not None
    assert (said.insurance["pays"], said.insurance["appraised_bu_ac"]) == (True, 120)
    told = Policy(None, None, 4.66, guarantee_bu_ac=144, appraised_bu_ac=120)
    assert ask(stored, told, stands={"": 14_000.0}).insurance == said.insurance


def test_money_nobody_told_is_named(tmp_path: Path) -> None:
    """Typed goes before the season's, that before the printed assumption; what is assumed is said."""
    folder = write_season(tmp_path / "farm", {**FILES, "season.toml": SEASON_TOML})
    with open_store(str(tmp_path / "season.db"), create=True) as opened:
        take_in(opened, folder, today=TODAY)
        assert ask(opened).assumed == ("crop", "price")
        assert ask(opened, yield_bu_ac=200.0).assumed == ("price",)
        assert ask(opened, yield_bu_ac=200.0).yield_bu_ac == 200


def test_states_own_table_comes_first(tmp_path: Path) -> None:
    """Iowa's newest that holds 18 000 plants for Iowa; a state without a table is named, in letters too."""
    for state, first, none in (("IA", "Iowa PM-1885, reprinted to 2009", ""), ("NE", "Illinois 1994", "NE")):
        toml = MONEY.replace("year", f'state = "{state}"\nyear')
        folder = write_season(tmp_path / state, {**FILES, "season.toml": toml})
        with open_store(str(tmp_path / f"{state}.db"), create=True) as opened:
            take_in(opened, folder, today=TODAY)
            said = ask(opened)
            assert (said.tables[0]["name"], said.no_table) == (first, none)


def test_new_stand_follows_the_seeding_rate(stored: Store) -> None:
    """32,000 seeds an acre at 92 % are 29,440 plants; typed goes before; where nobody told, the best of most fields."""

    def told(said: ReplantSaid) -> list[tuple[float, str]]:
        return [(part.replant_stand, part.replant_stand_from) for part in said.parts]

    assert told(ask(stored, None, "north", replant_stand=None)) == [(pytest.approx(29_440, abs=1), "seeds")]
    assert told(ask(stored)) == [(30_000, "typed")] * 2
    assert told(ask(stored, replant_stand=None)) == [(31_500, "usual")] * 2


BAD = [
    (
        {"cost_usd_ac": None},
        BadValue,
        "cost = (not given) US$/acre: what replanting costs is not known; type it with the",
    ),
    ({"stands": {}}, BadValue, "stand = (none): no stand was given; give plants per acre left, like --stand 18000."),
    (
        {"stands": {"hill": 1.0}},
        BadValue,
        "stand = hill: no part of the field is called so; there are: Low ground, rest.",
    ),
    ({"stands": {"low": 1.0, "low ground": 2.0}}, BadValue, "stand = low ground: a part that another stand names too;"),
    ({"part": "lwo"}, BadValue, "part = lwo: no part of the field is called so; did you mean 'low'"),
    ({"planting": "2"}, BadValue, "planting = 2: no part of the field is called so; there are: planting 1."),
    ({"trip_usd": -1.0}, BadValue, "trip = -1 US$: outside 0 … 100000; give what one trip costs, whatever its acres."),
    ({"replant_on": date(2016, 7, 20)}, BadValue, "planted … replant-on = 04-25 … 07-20: no table holds these dates;"),
    ({"kill_days": -1.0}, BadValue, "kill days = -1 days: must be 0 or more; give the days still to wait."),
]


@pytest.mark.parametrize(("change", "kind", "told"), BAD)
def test_what_cannot_be_is_refused(stored: Store, change: dict[str, Any], kind: type[Exception], told: str) -> None:
    """Each slip gets one line that says what is wrong and what to do."""
    with pytest.raises(kind, match=f"^{re.escape(told)}"):
        ask(stored, **change)


def test_unknown_field_and_date_are_refused(stored: Store, tmp_path: Path) -> None:
    """A field without a planting date can be asked of with the date typed."""
    with pytest.raises(NotFound, match="did you mean east"):
        ask(stored, None, "eats")
    folder = write_season(tmp_path / "farm", {**FILES, "plantings.csv": "field,planting\neast,1\n"})
    with open_store(str(tmp_path / "season.db"), create=True) as opened:
        take_in(opened, folder, today=TODAY)
        told = "planted = (not told): nobody told when the stand there was planted; give it, like --planted 04-25."
        with pytest.raises(BadValue, match=f"^{re.escape(told)}$"):
            ask(opened)
        assert ask(opened, planted=PLANTED).tables == ask(stored).tables


# When the field can be planted


def test_every_wait_is_in_the_earliest_day(stored: Store) -> None:
    """2 days to kill, 6 of the label, 1.5 for the planter; what was not typed counts none and is left open."""
    said = ask(stored, kill_days=2.0, label_days=6.0, queue_days=1.5)
    ready = said.ready
    assert ready.dry_days is not None
    assert ready.on == TODAY + timedelta(days=ready.dry_days + 10)
    assert said.replant_on == ready.on > MAY_20
    assert said.asked_on == MAY_20
    assert (ask(stored).ready.kill_days, ask(stored).replant_on) == (None, MAY_20)
    assert ask(stored, replant_on=None).replant_on == ask(stored).ready.on


def test_wet_ground_puts_the_day_off(stored: Store) -> None:
    """Two inches in the gauge this morning: the planter waits until the surface has dried; unknown rain is said."""
    snap = snapshot(stored, today=TODAY)
    wet = replace(snap.told, by_kind={**snap.told.by_kind, "gauge": (Gauge(date=TODAY, rain_mm=50.0),)})
    dry, after = (replant_of(s, "east", ASKED, None, {}).ready for s in (snap, replace(snap, told=wet)))
    assert dry.dry_days is not None
    assert after.dry_days is not None
    assert after.dry_days > dry.dry_days
    assert after.on == TODAY + timedelta(days=after.dry_days)
    untold = made_of([field("f"), planting("f", PLANTED), STATION], TODAY)
    assert replant_of(untold, "f", ASKED, None, {}).ready.dry_days is None


def test_rest_is_the_one_part_nobody_named(tmp_path: Path) -> None:
    """Two zones that cover a field have no ground outside: rest then means the other zone; of three it says nothing."""
    for zones, whole in ((("low", "upland"), True), (("low", "upland", "hill"), False)):
        lines = "".join(f"east,{zone},The {zone},{161 / len(zones):.3f}\n" for zone in zones)
        folder = write_season(tmp_path / f"{len(zones)}", {**FILES, "zones.csv": f"field,zone,name,acres\n{lines}"})
        with open_store(str(tmp_path / f"{len(zones)}.db"), create=True) as opened:
            take_in(opened, folder, today=TODAY)
            names = {part.name for part in ask(opened).parts}
            if whole:
                said = ask(opened, stands={"Rest": 29_000.0, "low": 12_000.0})
                assert {part.name: part.stand for part in said.parts} == {"The low": 12_000.0, "The upland": 29_000.0}
                assert said == ask(opened, stands={"low": 12_000.0, "upland": 29_000.0})
            assert names == {f"The {zone}" for zone in zones}
            if not whole:
                with pytest.raises(BadValue, match=r"= rest: no part .* there are: The hill, The low, The upland"):
                    ask(opened, stands={"low": 12_000.0, "rest": 29_000.0})


def test_a_planting_may_be_called_planting(tmp_path: Path) -> None:
    """People say planting 2; the bare number is accepted too."""
    files = {
        **FILES,
        "plantings.csv": "field,planting,planted\neast,1,2016-04-25\neast,2,2016-05-02\n",
        "zones.csv": "",
    }
    folder = write_season(tmp_path / "two", files)
    with open_store(str(tmp_path / "two.db"), create=True) as opened:
        take_in(opened, folder, today=TODAY)
        said = ask(opened, stands={"planting 1": 12_000.0, "2": 29_000.0})
        assert {part.name: part.stand for part in said.parts} == {"planting 1": 12_000.0, "planting 2": 29_000.0}
        with pytest.raises(BadValue, match="there are: planting 1, planting 2"):
            ask(opened, stands={"x": 12_000.0})
