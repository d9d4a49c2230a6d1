"""When to stop counting in a field, from a store: what is left out, what is refused, and how the answer moves."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from springwalk.errors import BadValue, NotFound
from springwalk.jobs.snapshot import Snapshot, snapshot
from springwalk.jobs.stop_table import stop_table_of
from springwalk.jobs.stop_told import FieldStops
from springwalk.jobs.take_in import take_in
from springwalk.jobs.terms import Hours, Terms
from springwalk.show.stop_words import stop_lines
from springwalk.store import open_store
from tests.seasons import EVENTS, PLANTINGS, TODAY, WALKS, write_season

TERMS = Terms.per_acre(bushels=180, price=4.5, own_pass=16, product=0, visit=20)
PASSES = f"field,date,pass,product,person\nnorth,{date(2016, 5, 16)},insecticide,Invented,A\n"
COUNTED_TODAY = WALKS + f"W2,north,{TODAY},A,,,20,9,\n"
COUNTED_BEFORE = WALKS + "W2,north,2016-05-16,A,,,20,9,\n"


@pytest.fixture
def season(tmp_path: Path) -> Path:
    """The small season's folder."""
    return write_season(tmp_path / "farm")


def read(folder: Path, **changes: str) -> Snapshot:
    """A snapshot of the season with some files changed, by their name before the dot."""
    write_season(folder, {f"{name}.csv": text for name, text in changes.items()})
    opened = open_store(str(folder.parent / "kept.db"), create=True)
    try:
        take_in(opened, folder, today=TODAY)
        return snapshot(opened, today=TODAY)
    finally:
        opened.close()


def asked(snap: Snapshot, field: str = "north", *, wage: float = 40.0, worth: float = 0.0) -> FieldStops:
    """The question with usual terms."""
    return stop_table_of(snap, field, TERMS, Hours(wage, worth))


def test_a_field_under_eggs_gets_a_table(season: Path) -> None:
    """Every state but the last stop's leads on or ends; the first is after one stop; the chances never pass 1."""
    part = asked(read(season)).parts[0]
    assert part.worth > 0.0
    assert 0.0 < part.stops_expected <= 10.0
    assert {s.stops for s in part.table if s.answer == "count on"} <= set(range(1, 10))
    for k in range(1, 11):
        assert sum(s.chance for s in part.table if s.stops == k) <= 1.0 + 1e-9
    assert sum(s.chance for s in part.table if s.stops == 1) == pytest.approx(1.0)


def test_a_field_tilled_black_needs_no_count(season: Path) -> None:
    """No eggs, no larvae of this flight: no count could change that it is left."""
    part = asked(read(season, plantings=PLANTINGS, events=EVENTS), "east").parts[0]
    assert (part.without, part.worth, part.table) == ("leave", 0.0, ())


def test_dearer_hours_make_fewer_stops(season: Path) -> None:
    """The larger of the wage and what an hour is worth elsewhere is the price of a stop."""
    snap = read(season)
    cheap, dear = asked(snap).parts[0], asked(snap, worth=240.0).parts[0]
    assert dear.stop_cost == pytest.approx(6.0 * cheap.stop_cost)
    assert dear.stops_expected < cheap.stops_expected
    assert asked(snap, wage=240.0).parts[0].stop_cost == pytest.approx(dear.stop_cost)


def test_todays_walk_is_the_count_itself(season: Path) -> None:
    """A count dated today is the one the table is for, so it must not enter twice; one of yesterday does.

    (Leaf collars typed today are used: they are known by then.)
    """
    plain = asked(read(season))
    assert asked(read(season, walks=COUNTED_TODAY)) == plain
    assert asked(read(season, walks=COUNTED_BEFORE)) != plain


def test_a_treated_field_has_no_table(season: Path) -> None:
    """After an insecticide larvae are another population: the flagged plants decide."""
    snap = read(season, passes=PASSES)
    assert asked(snap).parts == ()
    assert stop_lines(asked(snap))[0].startswith("The north field: treated")


def test_an_unknown_field_is_refused(season: Path) -> None:
    """A slip in a name says what was meant."""
    with pytest.raises(NotFound, match=r"^field = nort: no such field in this store; did you mean north\.$"):
        asked(read(season), "nort")


@pytest.mark.parametrize(("wage", "worth", "name"), [(-1.0, 0.0, "wage"), (40.0, float("nan"), "worth of an hour")])
def test_an_hour_can_not_cost_less_than_nothing(wage: float, worth: float, name: str) -> None:
    """A negative or missing price would make counting free or endless."""
    with pytest.raises(BadValue, match=rf"^{name} = .*: must be 0 or above and below 10,000; give money an hour\.$"):
        Hours(wage, worth)


def test_words_answer_first(season: Path) -> None:
    """The first line says what a count is worth; each count has one line; the cautions close."""
    lines = stop_lines(asked(read(season)))
    assert lines[0].startswith("The north field: a count today is worth about $")
    assert lines[1].strip() == "stops  with any cut  plants cut: what to do"
    assert any(line.split()[:3] == ["1", "0", "0:"] for line in lines)
    assert "label is the law" in " ".join(lines)
