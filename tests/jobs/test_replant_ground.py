"""What the form of a replant question offers: every part under a key of its own, and what stands there now."""

from __future__ import annotations

from datetime import date

import pytest

from springwalk.errors import NotFound
from springwalk.jobs.replant_ground import ground_of
from springwalk.jobs.replant_stands import judged, parts_of
from springwalk.jobs.snapshot import Snapshot
from springwalk.records import Event, Planting, Record, Zone
from springwalk.units import ACRES_PER_HA
from tests.jobs.made import FOUR, planting, snapshot as made_of

TODAY = date(2016, 5, 24)
ZONE = Zone(id="black/low", field="black", name="Low ground", area_ha=5.0)
TORN = Event(field="late", date=date(2016, 5, 22), what="torn up")


def snap(*more: Record) -> Snapshot:
    """Four fields of 30 ha with some more told of them."""
    return made_of([*FOUR, *more], today=TODAY)


@pytest.mark.parametrize(
    ("more", "keys", "names"),
    [
        ((), [""], [""]),
        ((ZONE,), ["rest/1", "low/1"], ["rest", "Low ground"]),
        ((planting("black", date(2016, 5, 9), "2"),), ["1", "2"], ["planting 1", "planting 2"]),
        (
            (ZONE, planting("black", date(2016, 5, 9), "2")),
            ["rest/1", "low/1", "rest/2", "low/2"],
            ["rest, planting 1", "Low ground, planting 1", "rest, planting 2", "Low ground, planting 2"],
        ),
    ],
)
def test_a_key_means_one_part(more: tuple[Record, ...], keys: list[str], names: list[str]) -> None:
    """A stand typed in a part's box is told of that part and of no other."""
    season = snap(*more)
    at = [field.id for field in season.fields].index("black")
    found = parts_of(season, at)
    assert ([key for key, _ in found.values()], [name for _, name in found.values()]) == (keys, names)
    for k, (key, name) in found.items():
        parts, _ = judged(season, at, {key: 9000.0})
        assert [(part.unit, part.name) for part in parts] == [(k, name)]


def test_what_stands_there_now_is_offered() -> None:
    """After a replant the new planting alone can be named; acres add up to the field's; money is the season's."""
    again = Planting(id="late/2", field="late", planted=TODAY)
    found = ground_of(snap(TORN, again, Zone(id="late/wet", field="late", name="Wet", area_ha=4.0)), "late")
    assert [one.id for one in found.plantings] == ["late/2"]
    assert [(one.id, one.name) for one in found.zones] == [("late/wet", "Wet")]
    assert {part.planted for part in found.parts} == {TODAY}
    assert sum(part.area_ha for part in found.parts) * ACRES_PER_HA == pytest.approx(30 * ACRES_PER_HA)
    assert (found.field, found.today) == ("late", TODAY)
    assert found.crop_bu_ac > 0 < found.price_usd_bu


def test_unknown_field_is_refused() -> None:
    """With the nearest id."""
    with pytest.raises(NotFound, match="no such field in this store; did you mean black"):
        ground_of(snap(), "blak")
