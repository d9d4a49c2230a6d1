"""Keeping a typed walk: its identity, what forms are offered, and which walk a correction may take the place of."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from springwalk.errors import BadValue, NotFound
from springwalk.jobs.walk import UNNAMED, identity, keep_walk, marked_rows, typed_walk_of, walk_ground
from springwalk.records import Walk
from springwalk.records.walks import Larva, Stop
from springwalk.store import Store, open_store
from tests.seasons import TODAY
from tests.stores import season_store

ZONES = "field,zone,name,area\nnorth,low,Low corner,10ac\n"


@pytest.fixture
def season(tmp_path: Path) -> Iterator[Store]:
    """A store with the small season and a zone."""
    with open_store(season_store(tmp_path / "season.db", {"zones.csv": ZONES})) as opened:
        yield opened


def told(**more: Any) -> Walk:
    """A walk of the north field as it comes from a form."""
    given: dict[str, Any] = {"field": "north", "walked": TODAY, "stops": (Stop(places=20, fresh_cut_at=1),), **more}
    return Walk(id=UNNAMED, **given)


def test_the_id_rests_on_all_that_was_told() -> None:
    """Each thing told makes another walk; what is not told takes no part, so later versions keep the id."""
    others = [
        told(), told(field="south"), told(walked=date(2016, 5, 16)), told(person="A"), told(hour=8), told(note="x"),
        told(planting="north/1"), told(stops=()), told(stops=(Stop(places=20, fresh_cut_at=2),)), told(collars=2.0),
        told(larvae=(Larva(length_mm=12),)), told(plants_searched=0), told(soil="dry"), told(staging="leaves"),
        told(stops=(Stop(places=20, fresh_cut_at=1, marked_row="A"),)),
    ]  # fmt: skip
    assert len({identity(one) for one in others}) == len(others)
    assert (
        identity(told()) == identity(told(hour=None, note="")) == "typed-2016-05-17-44315540"
    )  # for good: stores hold it


def test_the_same_walk_from_desk_and_command_is_one(season: Store) -> None:
    """Two ways to tell one walk are one walk: its plants are not counted twice."""
    first = keep_walk(season, told(), person="A", today=TODAY)
    again = keep_walk(season, told(field="The North Field", person="A"), device="desk", today=TODAY)
    assert (first.entered.put, again.entered.put) == ("new", "same")
    assert first.walk == again.walk
    assert again.entered.entry is None


def test_questions_come_with_the_walk_that_raises_them(season: Store) -> None:
    """A recount is held against what is kept; the first count is not blamed."""
    row = Stop(places=20, marked_row="A", part="low", fresh_cut_at=3)
    first = keep_walk(season, told(walked=date(2016, 5, 14), stops=(row,)), today=TODAY)
    fewer = keep_walk(season, told(stops=(Stop(places=20, marked_row="a", old_cut=1),)), today=TODAY)
    assert first.questions == ()
    assert [(one.code, one.facts["walk"]) for one in fewer.questions] == [("walk_row_fewer", fewer.walk)]


def test_forms_are_offered_zones_plantings_and_rows(season: Store) -> None:
    """A field by its name; rows with their newest count, in the order they were first marked."""
    for on, cut in ((date(2016, 5, 16), 3), (date(2016, 5, 14), 2)):
        stops = (Stop(places=20, marked_row="A", part="north/low", old_cut=cut), Stop(places=20, marked_row="B"))
        keep_walk(season, told(walked=on, stops=stops), today=TODAY)
    ground = walk_ground(season, "the north field", today=TODAY)
    assert (ground.field, ground.name, ground.today) == ("north", "The north field", TODAY)
    assert [(one.id, one.name) for one in ground.zones] == [("north/low", "Low corner")]
    assert [(one.id, one.name) for one in ground.plantings] == [("north/1", "1")]
    assert [(row.name, row.walked.day, row.stop.old_cut) for row in ground.rows] == [("A", 16, 3), ("B", 16, 0)]
    assert walk_ground(season, "south", today=TODAY).rows == ()
    with pytest.raises(NotFound, match=r"^field = nort: no such field"):
        walk_ground(season, "nort")


def test_rows_of_one_name_in_two_plantings_are_two() -> None:
    """Row 1 of the older planting is not row 1 of the younger."""
    row = Stop(places=20, marked_row="1")
    walks = [told(planting=f"north/{k}", stops=(row,)) for k in (1, 2)]
    assert [one.planting for one in marked_rows(walks)] == ["north/1", "north/2"]


def test_only_a_typed_walk_of_the_field_can_be_corrected(season: Store) -> None:
    """A file's walk is corrected in its file, another field's in that field."""
    mine = keep_walk(season, told(), today=TODAY).walk
    assert typed_walk_of(season, "north", mine).id == mine
    with pytest.raises(NotFound, match=r"^walk = W1: no walk with this id was typed; there are: typed-2016"):
        typed_walk_of(season, "north", "W1")
    with pytest.raises(BadValue, match=rf"^walk = {mine}: it is a walk of field 'north'; name that field, or leave"):
        keep_walk(season, told(field="south"), today=TODAY, correct=mine)
