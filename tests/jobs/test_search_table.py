"""How long to search for larvae: nothing found is never treated, and the answer moves with hours, soil and walks."""

from __future__ import annotations

from datetime import date
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from springwalk.engine import belief
from springwalk.engine.assess import assess
from springwalk.engine.hazard import hazards
from springwalk.errors import BadValue, NotFound
from springwalk.jobs.params_belief import belief_params
from springwalk.jobs.search_table import PartSearch, search_table_of
from springwalk.jobs.snapshot import Snapshot
from springwalk.jobs.stop_table import stop_table_of
from springwalk.jobs.terms import Hours, Terms
from springwalk.jobs.walks_seen import walks_seen
from springwalk.records import Pass, Record, Walk
from springwalk.records.walks import Larva, Stop
from springwalk.show.search_words import search_lines, steps
from tests.jobs.made import FOUR, snapshot

TERMS = Terms.per_acre(bushels=200, price=4.5, own_pass=16, product=7, visit=25)
MAY_24 = date(2016, 5, 24)
COUNT = Walk(id="c", field="at-planting", walked=MAY_24, collars=2.0,
             stops=tuple(Stop(places=20, fresh_cut_at=n, sound=20 - n) for n in (1, 0, 2, 0, 1)))  # fmt: skip


def morning(*more: Record) -> Snapshot:
    """The four Lincoln fields on 24 May."""
    return snapshot([*FOUR, *more], MAY_24)


def asked(snap: Snapshot, field: str = "at-planting", *, wage: float = 25.0, **search: Any) -> PartSearch:
    """The table of a field's only part."""
    (part,) = search_table_of(snap, field, TERMS, Hours(wage), **search).parts
    return part


def test_none_found_is_never_treated_and_one_found_can_be() -> None:
    """A search that finds nothing goes on or ends without a pass, whatever is believed; one larva opens the pass."""
    table = asked(morning(COUNT)).table
    assert [row.plants for row in table] == [5 * k for k in range(1, len(table) + 1)]
    assert {row.none for row in table} <= {"go on", "come back", "leave"}
    assert "treat" in {row.found for row in table}
    assert [row.none for row in table[:-1]] == ["go on"] * (len(table) - 1)
    assert table[-1].none != "go on"


def test_chance_of_finding_none_is_that_of_belief() -> None:
    """Worked another way, larva by larva of the grid: exp(−plants/100 × load × alive and found × 0.45 at dusk)."""
    snap = morning(COUNT)
    units = [k for k, unit in enumerate(snap.units) if unit.field.id == "at-planting"]
    assert snap.inputs is not None
    grid, params = belief.make_grid(), belief_params()
    hazard = hazards(snap.inputs, snap.settings.engine, np.array(units), grid.shifts_ddc)
    load = assess(snap.inputs, snap.settings.engine).larvae_per_100[units]
    weight = belief.believe(walks_seen(snap, units), hazard, load, grid, params).weight[0]
    day = (MAY_24 - snap.season.begins).days
    for row in asked(snap).table:
        none = 0.0
        for lam, mine in zip(grid.lam, weight, strict=True):
            for shift, w in enumerate(mine):
                stages = hazard.stages[0, shift, day]
                found = sum(stages[1 + k] * params.sizes.found[k] for k in range(4))
                none += w * np.exp(-row.plants / 100 * lam * found * 0.45)
        assert row.chance_none == pytest.approx(none, rel=0.02)


def test_the_search_is_worth_more_at_dusk_than_at_noon_in_dry_soil() -> None:
    """Larvae come up at dusk and sit deep in dry soil: the same minutes find less, and none found says less."""
    dusk, noon = asked(morning(COUNT)), asked(morning(COUNT), hour=12, soil="dry")
    assert dusk.worth > noon.worth > 0.0
    assert all(a.chance_none < b.chance_none for a, b in zip(dusk.table, noon.table, strict=False))


def test_dearer_hours_end_the_search_sooner() -> None:
    """Minutes are paid: with dear ones fewer plants are searched, and it is worth less."""
    parts = [asked(morning(COUNT), wage=wage) for wage in (25.0, 600.0, 6000.0)]
    assert all(len(a.table) >= len(b.table) and a.worth >= b.worth for a, b in pairwise(parts))
    assert len(parts[-1].table) < len(parts[0].table)


def test_a_search_that_found_none_makes_the_next_one_worth_less() -> None:
    """What was searched today is believed already."""
    before = Walk(id="s", field="at-planting", walked=MAY_24, plants_searched=40, hour=20, soil="moist")
    assert asked(morning(COUNT, before)).worth < asked(morning(COUNT)).worth


def test_larvae_found_already_need_no_search() -> None:
    """A live larva of treatable size found in the last days opens the choice; one too large does not."""
    found = COUNT.model_copy(update={"plants_searched": 20, "hour": 20, "larvae": (Larva(length_mm=15),)})
    part = asked(morning(found))
    assert (part.found_before, part.worth, part.table) == (1, 0.0, ())
    large = found.model_copy(update={"larvae": (Larva(length_mm=44),)})
    assert asked(morning(large)).found_before == 0
    lines = search_lines(search_table_of(morning(found), "at-planting", TERMS, Hours(25.0)))
    assert lines[0] == (
        "at-planting: one live larva was found in the last days, so no search is needed before choosing."
    )
    assert not any(line.startswith("  ") for line in lines)


def test_a_field_without_eggs_needs_no_search() -> None:
    """Tilled black before the flight: a search could not change that it is left."""
    part = asked(morning(), "black")
    assert (part.without, part.table) == ("leave", ())
    assert part.worth < 1e-6
    lines = search_lines(search_table_of(morning(), "black", TERMS, Hours(25.0)))
    assert lines[0].startswith("black: no ")
    assert "no search today would change what is best: leave it." in lines[0]


def test_no_search_before_the_corn_is_up() -> None:
    """Planted the day before under a dense cover full of eggs: there is no corn yet to search round."""
    part = asked(snapshot(FOUR, date(2016, 5, 24)), "late")
    assert (part.no_search, part.table, part.worth) == ("not up", (), 0.0)
    lines = search_lines(search_table_of(snapshot(FOUR, MAY_24), "late", TERMS, Hours(25.0)))
    assert lines[0] == ("late: the corn is not up, so no search today would change what is best: come back on 31 May.")


AGREE = [date(2016, 5, 21), MAY_24, date(2016, 5, 27), date(2016, 5, 30), date(2016, 6, 3), date(2016, 6, 8)]


@pytest.mark.slow
@pytest.mark.parametrize("day", [date(2016, 5, 18), *AGREE])
def test_stop_table_and_search_table_agree(day: date) -> None:
    """With the stop table's own search, by day in moist soil, one pays in both tables or in neither.

    Both by more than a hundredth of what is lost without, which the stop table's common list of shares can be off by.
    """
    snap, seen = snapshot(FOUR, day), 0
    for field in ("black", "at-planting", "killed-early", "late"):
        part = asked(snap, field, hour=10)
        if part.no_search == "not up":
            continue
        (stops,) = stop_table_of(snap, field, TERMS, Hours(25.0)).parts
        least = max(0.01 * stops.lost_without, 1.0)
        assert (part.worth > least) == (stops.worth > least), field
        assert (part.without, part.without_on) == (stops.without, stops.without_on)
        seen += 1
    assert seen >= 2


@pytest.mark.parametrize("day", [date(2016, 5, 21), MAY_24, date(2016, 5, 30)])
def test_a_search_at_dusk_never_pays_less(day: date) -> None:
    """It finds half as many again as by day, and every later look is priced alike; the words say so."""
    snap = snapshot(FOUR, day)
    dusk = search_table_of(snap, "at-planting", TERMS, Hours(25.0))
    assert dusk.against_day == pytest.approx(0.45 / 0.30)
    assert dusk.parts[0].worth >= asked(snap, hour=10).worth
    assert "A search at this hour finds more than one by day" in " ".join(search_lines(dusk))
    by_day = search_table_of(snap, "at-planting", TERMS, Hours(25.0), hour=10)
    assert "than one by day" not in " ".join(search_lines(by_day))


def test_a_close_call_is_not_settled_by_one_larva() -> None:
    """Within three dollars an acre either way the words leave it to the advice; beyond that the table is said."""
    part = asked(morning(COUNT))
    assert all(row.found == "treat" and row.found_margin_per_ac > 3.0 for row in part.table)
    assert steps(part, 40)[-1] == "A larva of treatable size found: stop and treat."
    for margin in (2.9, -2.9):
        rows = tuple(row.model_copy(update={"found_margin_per_ac": margin}) for row in part.table)
        assert steps(part.model_copy(update={"table": rows}), 40)[-1] == (
            "A larva of treatable size found: a close call; see the advice after typing the search in."
        )


def test_a_treated_field_has_no_table() -> None:
    """After an insecticide the flagged plants decide."""
    done = Pass(field="at-planting", date=date(2016, 5, 20), what="insecticide")
    told = search_table_of(morning(COUNT, done), "at-planting", TERMS, Hours(25.0))
    assert told.parts == ()
    assert search_lines(told)[0].startswith("at-planting: treated, so no search decides here.")


def test_words_say_where_and_when_then_how_long() -> None:
    """The answer first; where a search ends only because no longer one is worked out, that is said; cautions close."""
    lines = search_lines(search_table_of(morning(COUNT), "at-planting", TERMS, Hours(25.0)))
    assert lines[0].startswith("at-planting: a search at 20:00 in moist soil is worth about $")
    assert lines[1].startswith("  None found after 5")
    assert any("A longer search is not worked out." in line for line in lines)
    assert any(line.startswith("Search at dusk round freshly cut plants") for line in lines)
    assert "label is the law" in " ".join(lines)


def test_refusals() -> None:
    """A slip in the field or the hour is said; without weather nothing can be."""
    with pytest.raises(NotFound, match=r"^field = nort: no such field"):
        search_table_of(morning(), "nort", TERMS, Hours(25.0))
    with pytest.raises(BadValue, match=r"^hour = 24: not an hour of the day; give 0 to 23\.$"):
        search_table_of(morning(), "black", TERMS, Hours(25.0), hour=24)
    with pytest.raises(NotFound, match=r"^weather = black: no weather reaches the field"):
        search_table_of(snapshot(FOUR, MAY_24, rows=[]), "black", TERMS, Hours(25.0))
