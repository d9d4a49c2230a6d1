"""The kit a phone carries says what the desk says of the same stops, to the ninth figure, whatever was known before."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from springwalk.engine import belief_stops, kit as phone
from springwalk.engine.advice import Advice, advise
from springwalk.engine.advice_facts import FieldFacts
from springwalk.engine.belief import Belief, Grid, StopSeen, WalkSeen, believe, make_grid, of_unit
from springwalk.engine.hazard import Hazard, hazards
from springwalk.engine.kit import Kit, KitAdvice, advise_from_kit
from springwalk.engine.kit_made import log_before, make_kit
from springwalk.engine.losses import Plants, outlook
from springwalk.engine.options import setting
from springwalk.engine.state_rule import Counted
from springwalk.jobs.params import load
from springwalk.jobs.params_advice import advice_params
from tests.advising import USUAL
from tests.drawn import examples
from tests.engine.belief_made import BEFORE, EARLY, EXPECTED, GRID, LATE, MIDDLE, PARAMS, counted, walk
from tests.lincoln import four_fields

COARSE = make_grid(11, step_ddf=50.0)
UNIT = 1
EXACT = 1e-9
calm = settings(deadline=None, derandomize=True, max_examples=examples(100))
"""Same draws on every run, and no failure because the machine was busy."""

EARLIER = (
    walk(BEFORE, counted(0, 0, leaf=2)),
    walk(EARLY - 4, (*counted(0, 1, leaf=1), StopSeen(20, 1, 0, marked_row="seen")), plants_searched=20, hour=20,
         larvae_found=1, lengths_mm=(9.0,)),
)  # fmt: skip
"""Walks of the field itself: leaves, cut plants, a marked row, a larva."""
OTHERS = (
    walk(EARLY - 1, counted(3, 0, 2, leaf=1), unit=3),
    walk(EARLY - 6, counted(0, 0, 0), unit=2, plants_searched=30, hour=12),
)
HISTORIES = {
    "nothing": (), "old marks": EARLIER[:1], "own walks": EARLIER, "other fields": OTHERS, "both": (*EARLIER, *OTHERS),
}  # fmt: skip
DAYS = (EARLY - 8, EARLY, MIDDLE, LATE)


@cache
def ahead(grid_step_ddf: float) -> Hazard:
    """The hazard of the four fields of Lincoln over a grid's shifts."""
    return hazards(four_fields(today=EARLY), load().engine, np.arange(4), shifts(grid_step_ddf).shifts_ddc)


def shifts(grid_step_ddf: float) -> Grid:
    """The usual grid, or the coarse one."""
    return GRID if grid_step_ddf == 15.0 else COARSE


@cache
def kit_of(history: str, day: int, facts: FieldFacts, step: float = 50.0) -> Kit:
    """The kit of the field on a day, made without today's stops."""
    walks = [w for w in HISTORIES[history] if w.day < day]
    hazard, grid = ahead(step), shifts(step)
    (before,) = log_before([UNIT], walks, hazard, EXPECTED, grid, PARAMS)
    one = setting(np.full(grid.shape, np.nan), grid.lam, outlook(hazard, UNIT, day), facts, advice_params())
    return make_kit(one, of_unit(hazard, UNIT), day, before, [w for w in walks if w.unit == UNIT])


def desk(
    history: str, day: int, facts: FieldFacts, stops: tuple[StopSeen, ...], step: float = 50.0
) -> tuple[Belief, Advice]:
    """What the desk believes and advises once the stops are taken in as a walk of the day."""
    walks = [*(w for w in HISTORIES[history] if w.day < day), WalkSeen(UNIT, day, stops)]
    hazard, grid = ahead(step), shifts(step)
    belief = believe(walks, hazard, EXPECTED, grid, PARAMS)
    return belief, advise(belief.weight[UNIT], grid.lam, outlook(hazard, UNIT, day), facts, advice_params())


def facts(**more: object) -> FieldFacts:
    """Usual money, corn of two collars, nothing searched."""
    made = FieldFacts(USUAL, Plants(collars=2.0), Counted(cut=0.0), spray_in_days=(1,))
    return replace(made, **more)  # type: ignore[arg-type]


def agree(kit: Kit, said: KitAdvice, belief: Belief, advice: Advice) -> None:
    """Every act loses the same on both, the same is best, and the same is believed."""
    kinds = [(act.kind, act.days) for act in kit.acts] + [("come back", later.days) for later in kit.later]
    told = {(option.kind, option.days): option.expected for option in advice.options}
    assert dict(zip(kinds, said.expected, strict=True)) == pytest.approx(told, rel=EXACT)
    if advice.options[1].expected > advice.options[0].expected * (1.0 + EXACT):
        assert kinds[said.best] == (advice.options[0].kind, advice.options[0].days)
    assert said.search_first == (kinds[said.best][0] in ("spray", "ride along"))
    assert said.mean_load == pytest.approx(belief.mean_load[UNIT], rel=EXACT)
    assert said.any_larvae == pytest.approx(belief.any_larvae[UNIT], rel=EXACT)


@st.composite
def a_stop(draw: st.DrawFn) -> StopSeen:
    """A stop as a thumb may type it: most are usual, some contradict themselves, some are where it was worst."""
    places = draw(st.sampled_from((20, 20, 20, 1, 10, 25, 33, 50, 100)))
    few = st.integers(0, min(places, draw(st.sampled_from((1, 3, 12)))))
    return StopSeen(
        places=places,
        cut_fresh=draw(few),
        cut_old=draw(few),
        leaf_fed=draw(st.none() | few),
        counted=draw(st.integers(0, 9)) > 0,
        marked_row=draw(st.sampled_from(("",) * 6 + ("new", "seen"))),
        spaced=draw(st.integers(0, 9)) == 0,
    )


def not_recounted(kit: Kit, stops: list[StopSeen]) -> tuple[StopSeen, ...]:
    """Stops without those of rows counted before, today's first sound count of a row kept."""
    rows, kept = set(kit.rows_seen), []
    for stop in stops:
        if not stop.marked_row or stop.marked_row not in rows:
            kept.append(stop)
            rows |= {stop.marked_row} if stop.counted and stop.sound else set()
    return tuple(kept)


@pytest.mark.slow
@calm
@given(
    stops=st.lists(a_stop(), max_size=10), history=st.sampled_from(sorted(HISTORIES)), day=st.sampled_from(DAYS),
    heights=st.tuples(*[st.integers(0, 4)] * 3), ride=st.sampled_from((None, 0, 5)),
    spray=st.sampled_from(((1,), (0, 3))), soil=st.sampled_from((None, "dry")),
)  # fmt: skip
def test_phone_and_desk_agree(
    stops: list[StopSeen], history: str, day: int, heights: tuple[int, int, int], ride: int | None,
    spray: tuple[int, ...], soil: str | None,
) -> None:  # fmt: skip
    """Any stops, on any day, after any walks: the phone's numbers are the desk's."""
    known = facts(pass_in_days=ride, spray_in_days=spray, plants=Plants(collars=2.0, soil=soil))
    kit = kit_of(history, day, known)
    said = advise_from_kit(kit, stops, heights=heights)
    then = replace(known, plants=replace(known.plants, cut_heights=heights))
    agree(kit, said, *desk(history, day, then, not_recounted(kit, stops)))


@pytest.mark.parametrize("history", sorted(HISTORIES))
def test_they_agree_on_the_usual_grid(history: str) -> None:
    """The grid the season is judged on, with a usual walk and one stop of plants far apart."""
    stops = (
        *counted(0, 2, 1, leaf=1),
        StopSeen(20, 1, 3),
        StopSeen(33, 0, 0, leaf_fed=0),
        StopSeen(20, 2, spaced=True),
    )
    kit = kit_of(history, EARLY, facts(), 15.0)
    agree(kit, advise_from_kit(kit, stops), *desk(history, EARLY, facts(), stops, 15.0))


@settings(calm, max_examples=examples(30))
@given(data=st.data(), stops=st.lists(a_stop().filter(lambda s: not s.marked_row), min_size=2, max_size=8))
def test_order_of_stops_never_matters(data: st.DataObject, stops: list[StopSeen]) -> None:
    """The same stops walked the other way round say the same."""
    kit = kit_of("both", EARLY, facts())
    other = advise_from_kit(kit, data.draw(st.permutations(stops)))
    one = advise_from_kit(kit, stops)
    assert other.expected == pytest.approx(one.expected, rel=EXACT)
    assert len(other.left_out) == len(one.left_out)


def test_without_stops_it_says_what_the_morning_says() -> None:
    """Before the first stop the kit is the desk's belief of the morning."""
    kit = kit_of("both", EARLY, facts())
    agree(kit, advise_from_kit(kit, []), *desk("both", EARLY, facts(), ()))


def test_what_is_left_out_is_told() -> None:
    """A slip of the thumb, a spot picked for being bad, a row of last week and a row twice today never enter."""
    kit = kit_of("own walks", EARLY, facts())
    good = counted(0, 1)
    odd = (
        StopSeen(20, 15, 9), StopSeen(20, 9, counted=False), StopSeen(20, 4, marked_row="seen"),
        StopSeen(20, 0, marked_row="new"), StopSeen(20, 2, marked_row="new"),
    )  # fmt: skip
    said = advise_from_kit(kit, (*good, *odd))
    assert kit.rows_seen == ("seen",)
    assert said.left_out == (2, 3, 4, 6)
    assert said.expected == advise_from_kit(kit, (*good, StopSeen(20))).expected


def test_leaf_history_moves_the_phone() -> None:
    """Marks from before any larva hatched are background: with them today's marks must say less of larvae."""
    stops = counted(0, 0, 0, leaf=2)
    with_past = advise_from_kit(kit_of("old marks", EARLY - 2, facts()), stops)
    alone = advise_from_kit(kit_of("nothing", EARLY - 2, facts()), stops)
    assert with_past.any_larvae < alone.any_larvae - 0.01


def test_leaves_not_looked_at_are_not_leaves_without_marks() -> None:
    """Nobody looked says nothing of leaves; looked and found none speaks against larvae."""
    kit = kit_of("nothing", EARLY, facts())
    assert (
        advise_from_kit(kit, counted(0, 0, 0, leaf=0)).any_larvae
        < advise_from_kit(kit, counted(0, 0, 0)).any_larvae - 0.01
    )


def test_treating_asks_for_a_search_first() -> None:
    """A kit knows of no live larvae: where treating loses least it never says to spray at once."""
    kit = kit_of("nothing", EARLY, facts())
    many, none = advise_from_kit(kit, counted(3, 2, 4, 1, 3)), advise_from_kit(kit, counted(0, 0, 0, 0, 0))
    assert (kit.acts[many.best].kind, many.search_first) == ("spray", True)
    assert not none.search_first


def test_heights_of_cuts_move_the_money() -> None:
    """Plants cut below the surface are lost, those cut above grow back: same belief, other money."""
    kit, stops = kit_of("nothing", EARLY, facts()), counted(3, 2, 4)
    above, below = (advise_from_kit(kit, stops, heights=cut) for cut in ((9, 0, 0), (0, 0, 9)))
    assert above.mean_load == below.mean_load
    assert above.expected[0] < 0.8 * below.expected[0]


def test_a_stop_may_have_any_number_of_places() -> None:
    """The chances of all counts of a stop add to 1 on the phone, for each level, load and shift."""
    kit = kit_of("nothing", EARLY, facts())
    for places in (1, 7):
        total = sum(
            np.exp(phone.log_stop(kit, StopSeen(places, c, 0, leaf_fed=x)))
            for c in range(places + 1) for x in range(places + 1 - c)
        )  # fmt: skip
        # Beyond eight false cuts at a stop none is told from larvae's; seven places never get there.
        assert total == pytest.approx(np.ones((3, *COARSE.shape)), abs=1e-9)


def test_numbers_held_by_both_are_the_same() -> None:
    """The phone's file stands alone, so what it shares with the desk is held here."""
    shared = ("MOST_LIKENESS", "MOST_FALSE")
    assert [getattr(phone, name) for name in shared] == [getattr(belief_stops, name) for name in shared]
