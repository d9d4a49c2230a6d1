"""What a walk changed: fields say something of each other, in the direction they should, and not twice."""

from __future__ import annotations

from datetime import date

import pytest

from springwalk.errors import NotFound
from springwalk.jobs.changed import Changed, changed_by
from springwalk.records import Larva, Stop, Walk
from springwalk.show.changed_words import changed_lines
from tests.jobs.made import FOUR, snapshot

MAY_24 = date(2016, 5, 24)


def walk(field: str, cut: int, larvae: int = 0, name: str = "w1", number: int = 23) -> Walk:
    """Five stops of twenty with so many fresh cuts at each, and larvae of half an inch."""
    return Walk(
        id=name, field=field, walked=date(2016, 5, number), person="A",
        stops=tuple(Stop(places=20, fresh_cut_at=cut) for _ in range(5)),
        larvae=tuple(Larva(length_mm=13.0) for _ in range(larvae)), plants_searched=50 if larvae else None, hour=20,
        soil="moist",
    )  # fmt: skip


def told(*walks: Walk, of: str = "at-planting") -> Changed:
    """What the newest walk of a field changed."""
    return changed_by(snapshot([*FOUR, *walks], MAY_24), of)


def test_many_cuts_raise_fields_nobody_walked_and_none_lower_them() -> None:
    """A field full of larvae makes the season worse for its neighbours; a clean one makes it better."""
    bad, good = told(walk("at-planting", 2, larvae=4)), told(walk("at-planting", 0))
    assert bad.own.after_per_100.mid > bad.own.before_per_100.mid > good.own.after_per_100.mid
    assert bad.with_after > bad.with_before == pytest.approx(good.with_before)
    assert good.with_after < good.with_before
    moved = {one.field: one for one in bad.others}
    assert moved["late"].after_per_100.mid > moved["late"].before_per_100.mid
    assert not moved["late"].walked
    assert {one.field for one in bad.others} | {"at-planting"} <= {"at-planting", "black", "killed-early", "late"}


def test_only_the_walk_asked_about_is_taken_out() -> None:
    """An earlier walk of another field counts on both sides."""
    first = walk("killed-early", 1, name="w0", number=20)
    both = told(first, walk("at-planting", 2, larvae=4))
    alone = told(walk("at-planting", 2, larvae=4))
    assert both.own.before_per_100.mid != alone.own.before_per_100.mid
    assert next(one for one in both.others if one.field == "killed-early").walked


def test_a_field_nobody_walked_is_refused() -> None:
    """There is nothing to compare."""
    with pytest.raises(NotFound, match="walk = late: no walk of this field counts here; walk"):
        told(walk("at-planting", 1), of="late")


def test_the_words_name_own_field_then_fields_nobody_walked() -> None:
    """The answer first; every number with what it is, per 100 plants."""
    lines = changed_lines(told(walk("at-planting", 2, larvae=4)))
    assert lines[0] == "What the walk of 23 May changed:"
    assert any(line.startswith("This field: at-planting, ") for line in lines)
    assert any(line.startswith("Fields nobody walked: ") and "larvae per 100 plants" in line for line in lines)
