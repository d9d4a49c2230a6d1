"""From records to a kit: what the phone says in the field is what the desk says once the walk is taken in."""

from __future__ import annotations

import gzip
import json
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from springwalk.engine.kit import Kit, advise_from_kit
from springwalk.errors import NotFound
from springwalk.jobs.advise import advise_of
from springwalk.jobs.advised import PartAdvice
from springwalk.jobs.kit import PartKit, field_kits, field_kits_of, part_json
from springwalk.jobs.snapshot import Snapshot
from springwalk.jobs.take_in import take_in
from springwalk.jobs.terms import Terms
from springwalk.jobs.walks_seen import seen_stop
from springwalk.records import Pass, Record, Walk, Zone
from springwalk.records.walks import Larva, Stop
from springwalk.store import Store
from tests.jobs.made import FOUR, planting, snapshot
from tests.seasons import TODAY, write_season
from tests.vectors.reading import kit_of

MONEY: dict[str, Any] = {"bushels": 200, "price": 4.5, "own_pass": 16, "product": 7, "visit": 25}
TERMS, RIDING = Terms.per_acre(**MONEY), Terms.per_acre(**MONEY, spray_in_days=(0, 2), pass_in_days=3)
MAY_28 = date(2016, 5, 28)
FIELD = "at-planting"
LOW = Zone(id="at-planting/low", field=FIELD, name="Low corner", area_ha=4.5)


def walked(name: str, day: date, *stops: Stop, **more: Any) -> Walk:
    """A walk."""
    return Walk(id=f"{name} {day}", field=name, walked=day, stops=stops, **more)


BEFORE = (
    walked(FIELD, date(2016, 5, 21), *[Stop(places=20, leaf_fed=n, sound=20 - n) for n in (1, 0, 2)], collars=1.0),
    walked(FIELD, date(2016, 5, 25), Stop(places=20, fresh_cut_at=1, marked_row="a"), Stop(places=20, sound=20),
           plants_searched=30, hour=20, larvae=(Larva(length_mm=14.0),)),
    walked("late", date(2016, 5, 26), *[Stop(places=20, fresh_cut_at=2, old_cut=1)] * 4),
    walked("killed-early", date(2016, 5, 1), *[Stop(places=20)] * 5),
)  # fmt: skip
"""Walks of the field and of others; the last is too old for advice to ask it."""
TODAYS = {
    "nothing found": [Stop(places=20, sound=20)] * 5,
    "some cut": [
        Stop(places=20, fresh_cut_above=1, fresh_cut_at=1), Stop(places=20, old_cut=2, leaf_fed=1),
        Stop(places=33, fresh_cut_below=2, regrown=1, sound=30), Stop(places=20, fresh_cut_at=1, marked_row="b"),
    ],
    "a slip and a bad spot": [
        Stop(places=20, old_cut=15, leaf_fed=9), Stop(places=20, old_cut=12, counted=False), Stop(places=10, old_cut=1),
    ],
}  # fmt: skip


def morning(*more: Record, today: date = MAY_28) -> Snapshot:
    """The four Lincoln fields with more records."""
    return snapshot([*FOUR, *more], today)


def lost(kit: Kit, stops: Sequence[Stop]) -> dict[tuple[str, int], float]:
    """What the phone says each act loses, by kind and days."""
    heights = (
        sum(s.fresh_cut_above for s in stops), sum(s.fresh_cut_at for s in stops), sum(s.fresh_cut_below for s in stops)
    )  # fmt: skip
    said = advise_from_kit(kit, [seen_stop(stop) for stop in stops], heights=heights)
    kinds = [(act.kind, act.days) for act in kit.acts] + [("come back", later.days) for later in kit.later]
    return dict(zip(kinds, said.expected, strict=True))


def told(snap: Snapshot, terms: Terms, name: str = "") -> dict[tuple[str, int], float]:
    """What the desk says of the part of that name."""
    parts = next(one for one in advise_of(snap, terms) if one.field == FIELD).parts
    part: PartAdvice = next(one for one in parts if one.name == name)
    return {(o.kind, (o.on - snap.today).days): o.lost_per_ha for o in part.options}


@pytest.mark.parametrize(
    "terms", [pytest.param(TERMS, id="own pass"), pytest.param(RIDING, id="riding along", marks=pytest.mark.slow)]
)
@pytest.mark.parametrize("before", [(), BEFORE], ids=["first walk", "walked before"])
@pytest.mark.parametrize("today", list(TODAYS))
def test_phone_and_desk_agree(today: str, before: tuple[Walk, ...], terms: Terms) -> None:
    """The kit of the morning with today's stops, and the desk with the walk taken in: the same money for each act."""
    stops = TODAYS[today]
    (part,) = field_kits_of(morning(*before), FIELD, terms)
    taken_in = morning(*before, walked(FIELD, MAY_28, *stops))
    assert lost(part.kit, stops) == pytest.approx(told(taken_in, terms), rel=1e-9)


def test_each_part_has_its_kit() -> None:
    """A low corner and the rest are believed apart; stops of one part go to its kit alone."""
    low, rest = sorted(field_kits_of(morning(LOW, *BEFORE), FIELD, TERMS), key=lambda part: part.area_ha)
    assert [(part.name, part.zone, part.area_ha) for part in (low, rest)] == [
        ("Low corner", "Low corner", 4.5), ("", None, 25.5)
    ]  # fmt: skip
    stops = [Stop(places=20, fresh_cut_at=3, part=LOW.id), Stop(places=20, old_cut=1, part="Low corner")]
    taken_in = morning(LOW, *BEFORE, walked(FIELD, MAY_28, *stops))
    assert lost(low.kit, stops) == pytest.approx(told(taken_in, TERMS, "Low corner"), rel=1e-9)


def test_each_planting_has_its_kit() -> None:
    """Corn planted in two goes stands at two stages: two kits."""
    made = field_kits_of(morning(planting(FIELD, date(2016, 5, 14), "2")), FIELD, TERMS)
    assert [part.planting for part in made] == ["at-planting/1", "at-planting/2"]
    assert made[0].kit.acts[0].cut.tolist() != made[1].kit.acts[0].cut.tolist()


def test_todays_walk_is_not_in_the_kit() -> None:
    """A kit asked for again at noon must not hold the stops that the phone will add."""
    plain = field_kits_of(morning(*BEFORE), FIELD, TERMS)
    again = field_kits_of(morning(*BEFORE, walked(FIELD, MAY_28, *TODAYS["some cut"])), FIELD, TERMS)
    assert [part_json(part) for part in again] == [part_json(part) for part in plain]


def test_a_treated_part_has_no_kit() -> None:
    """After an insecticide the larvae are another population."""
    assert field_kits_of(morning(Pass(field=FIELD, date=date(2016, 5, 20), what="insecticide")), FIELD, TERMS) == ()


def test_a_field_without_weather_is_refused() -> None:
    """Without weather no larva can be followed."""
    text = r"^weather = at-planting: no weather reaches the field; take in days of a station near it\.$"
    with pytest.raises(NotFound, match=text):
        field_kits_of(snapshot(list(FOUR), MAY_28, rows=[]), FIELD, TERMS)


def test_an_unknown_field_is_refused() -> None:
    """A slip in a name says what was meant."""
    with pytest.raises(
        NotFound, match=r"^field = at-plantin: no such field in this store; did you mean at-planting\.$"
    ):
        field_kits_of(morning(), "at-plantin", TERMS)


def test_a_kit_from_a_store(store: Store, tmp_path: Path) -> None:
    """By the field's name, for the day asked, from what was taken in."""
    take_in(store, write_season(tmp_path / "farm"), today=TODAY)
    (part,) = field_kits(store, "The north field", TERMS, today=TODAY)
    assert (part.field, part.today) == ("north", TODAY)
    assert field_kits(store, "north", TERMS, today=TODAY)[0].kit.acts[0].cut.tolist() == part.kit.acts[0].cut.tolist()


def through_text(part: PartKit) -> Kit:
    """The kit as a phone reads it."""
    return kit_of(json.loads(part_json(part)))


def test_text_moves_no_answer_and_fits_a_phone() -> None:
    """Rounding on the way moves less than 0.0001 money per ha; packed, a usual field is far below 150 KB."""
    (part,) = field_kits_of(morning(*BEFORE), FIELD, RIDING)
    kit = through_text(part)
    for stops in TODAYS.values():
        assert lost(kit, stops) == pytest.approx(lost(part.kit, stops), abs=1e-4)
    text = part_json(part).encode()
    head = json.loads(text)
    assert len(gzip.compress(text)) < 80_000
    assert (head["version"], head["field"], head["today"]) == (1, FIELD, "2016-05-28")
    assert kit.rows_seen == ("a",)


def test_no_weight_is_still_text() -> None:
    """A load that can't be has log weight −∞, which JSON has no word for: it becomes a number too low to count."""
    (part,) = field_kits_of(morning(), "black", TERMS)
    part.kit.before[:, -1] = float("-inf")
    kit = through_text(part)
    assert kit.before.min() == -999.0
    assert lost(kit, TODAYS["some cut"]) == pytest.approx(lost(part.kit, TODAYS["some cut"]), abs=1e-4)
