"""A walk that can't be right is kept and asked about, and what contradicts itself never reaches belief."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import pytest
from hypothesis import given, strategies as st

from springwalk.engine import belief
from springwalk.engine.belief_stops import spots
from springwalk.engine.hazard import hazards
from springwalk.jobs.advise import advise_of
from springwalk.jobs.field import field_of
from springwalk.jobs.params_belief import belief_params
from springwalk.jobs.snapshot import Snapshot
from springwalk.jobs.terms import Terms
from springwalk.jobs.walk_checks import Known, check_walks, questions_of, used_of
from springwalk.jobs.walks_seen import walks_seen
from springwalk.records import PLANT_STATES, Planting, Record, Walk, Zone
from springwalk.records.walks import Larva, Stop
from springwalk.show.walk_questions import ODD, question, question_lines
from tests.jobs.made import FOUR, snapshot

MAY_17, MAY_21, MAY_24 = date(2016, 5, 17), date(2016, 5, 21), date(2016, 5, 24)
PLANTED = Known({"north/1": date(2016, 5, 5)})
TERMS = Terms.per_acre(bushels=200, price=4.5, own_pass=16, product=7, visit=25)


def walk(*stops: Stop, on: date = MAY_24, field: str = "north", **more: Any) -> Walk:
    """A walk of a day."""
    return Walk(id=f"typed-{on}", field=field, walked=on, stops=stops, **more)


def row(name: str = "A", places: int = 20, **counts: Any) -> Stop:
    """A marked row."""
    return Stop(places=places, marked_row=name, **counts)


def mm(*lengths: float) -> tuple[Larva, ...]:
    """Larvae of these lengths."""
    return tuple(Larva(length_mm=length) for length in lengths)


FIRST = walk(row(fresh_cut_at=2, empty_place=1), on=MAY_21, collars=3.0)
CASES: list[tuple[str, Walk, list[Walk], str, str]] = [
    ("walk_more_than_places", walk(Stop(places=20, sound=18, leaf_fed=3)), [], "stop",
     "Walk of 24 May: stop 1 tells 21 plants in 20 places: which of the two is right? That stop is left out of the"
     " advice until it is corrected."),
    ("walk_more_than_places", walk(row(sound=21)), [], "stop", "marked row A tells 21 plants in 20 places"),
    ("walk_row_fewer", walk(row(fresh_cut_at=1, old_cut=1)), [FIRST], "stop",
     "marked row A had 3 plants cut or gone on 21 May and has 2 plants now. A cut plant does not come back whole"),
    ("walk_row_twice", walk(row(old_cut=3), row("a", old_cut=5)), [FIRST], "stop", "marked row a is told twice"),
    ("walk_row_moved", walk(row(old_cut=3, part="north/low")), [FIRST], "stop",
     "marked row A stood in no zone on 21 May and is told in low now: is it the same row?"),
    ("walk_row_places", walk(row(places=25, old_cut=3)), [FIRST], "",
     "marked row A had 20 places on 21 May and has 25 places now: were the same plants counted? It is used as told."),
    ("walk_not_searched", walk(larvae=mm(12, 14)), [], "number",
     "two larvae were found, but nobody told round how many plants: how many were searched? Their sizes count,"),
    ("walk_not_searched", walk(larvae=mm(12), plants_searched=0), [], "number", "one larva was found, round no plant"),
    ("walk_more_larvae", walk(larvae=mm(12, 14, 15), plants_searched=2), [], "",
     "3 larvae round only 2 plants searched: are both right? It is used as told."),
    ("walk_larva_long", walk(larvae=mm(12, 64), plants_searched=20), [], "search",
     "a larva of 64 mm is longer than any cutworm: was another unit meant, or is it another animal?"),
    ("walk_larva_short", walk(larvae=mm(0.5), plants_searched=20), [], "search",
     "a larva of 0.50 mm is shorter than one just hatched: were inches meant? Then write them like 0.5in."),
    ("walk_larva_disagrees", walk(larvae=(Larva(length_mm=35, instar=3),), plants_searched=20), [], "",
     "a larva of 35 mm is told as instar 3, which is of another length"),
    ("walk_before_planting", walk(Stop(places=20), on=date(2016, 5, 4)), [], "corn",
     "Walk of 4 May: it is dated before 5 May, when the corn was planted"),
    ("walk_collars_too_many", walk(collars=9.0, on=MAY_17), [], "collars",
     "9 leaf collars can't be there yet on corn planted 5 May: were leaves counted, or is a date wrong?"),
    ("walk_collars_down", walk(collars=2.0), [FIRST], "collars",
     "2 leaf collars are fewer than the 3 leaf collars of 21 May: which is right? The stage is left out"),
]  # fmt: skip


@pytest.mark.parametrize(("code", "told", "earlier", "left_out", "words"), CASES)
def test_each_contradiction_is_asked_about(
    code: str, told: Walk, earlier: list[Walk], left_out: str, words: str
) -> None:
    """One question for one slip: what is odd, what it does to the advice, in words that say what to correct."""
    (asked,) = questions_of(told, earlier, PLANTED)
    assert (asked.code, asked.facts["walk"], asked.facts["left_out"]) == (code, told.id, left_out)
    assert words in question(asked)
    assert question(type(asked).model_validate_json(asked.model_dump_json())) == question(asked)


def test_every_question_has_its_case_and_words() -> None:
    """A new check must come with words and a row above."""
    assert {code for code, *_ in CASES} == set(ODD)


@pytest.mark.parametrize(
    ("told", "earlier"),
    [
        (walk(Stop(places=20, fresh_cut_at=1, double=20, sound=19)), []),
        (walk(row(old_cut=2, empty_place=1)), [FIRST]),
        (walk(row(regrown=2, empty_place=1)), [FIRST]),
        (walk(row(tunnelled=1, empty_place=2, fresh_cut_below=4)), [FIRST]),
        (walk(row("B")), [FIRST]),
        (walk(row(), on=MAY_21), [FIRST]),
        (walk(row(), planting="north/2"), [FIRST.model_copy(update={"planting": "north/1"})]),
        (walk(larvae=mm(3, 50), plants_searched=2), []),
        (walk(larvae=(Larva(length_mm=24, instar=5), Larva(length_mm=45, instar=7)), plants_searched=20), []),
        (walk(collars=2.5), [FIRST]),
        (walk(collars=2.0, staging="leaves"), [FIRST]),
        (walk(collars=4.5, on=MAY_17), []),
        (walk(on=date(2016, 5, 2), larvae=mm(8), plants_searched=30, note="in weeds"), []),
    ],
)
def test_what_can_be_true_is_not_asked_about(told: Walk, earlier: list[Walk]) -> None:
    """A cut plant may be old, regrown, tunnelled or gone by the next look, and two people read a stage apart."""
    assert questions_of(told, earlier, PLANTED) == ()


def test_a_row_in_another_case_is_the_same_row_to_belief() -> None:
    """Files spell a row as each scout did: "A", then " a", are the same plants, not as many again."""
    first, later = walk(row(fresh_cut_at=2), on=MAY_21, field="black"), walk(row(" a", old_cut=3), field="black")
    snap = snapshot([*FOUR, first, later.model_copy(update={"id": "w2"})], MAY_24)
    assert [stop.marked_row for seen in walks_seen(snap, range(len(snap.units))) for stop in seen.stops] == ["a", "a"]
    (one,) = spots(walks_seen(snap, range(len(snap.units))))
    assert (one.places, sum(one.new)) == (20, 3)


@pytest.mark.parametrize(
    ("hours", "last"), [((None, None), 1), ((0, None), 2), ((17, 8), 2), ((8, 17), 1), ((None, 0), 1), ((9, 9), 1)]
)
def test_two_walks_of_a_day_count_the_same_whoever_was_entered_first(
    hours: tuple[int | None, int | None], last: int
) -> None:
    """By hour, one without an hour first, then by id: entering one before the other must change no answer."""
    one = walk(Stop(places=20), field="black", on=MAY_17, collars=2.0, hour=hours[0])
    two = walk(Stop(places=20), field="black", on=MAY_17, collars=1.0, hour=hours[1]).model_copy(update={"id": "z"})
    pages = [field_of(snapshot([*FOUR, *both], MAY_17), "black") for both in ([one, two], [two, one])]
    assert pages[0] == pages[1]
    told = pages[0].row.last_walk
    assert told is not None
    assert told.collars == last


def test_planting_dates_that_nobody_told_ask_nothing() -> None:
    """Without a date, or with one of two, a walk can't be too early."""
    early = walk(Stop(places=20), on=date(2016, 3, 4), collars=5.0)
    assert questions_of(early, [], Known()) == ()
    assert questions_of(early, [], Known({"north/1": None, "north/2": MAY_24})) == ()
    assert questions_of(
        early.model_copy(update={"planting": "north/2"}), [], Known({"north/1": None, "north/2": MAY_24})
    )


def test_a_stand_planted_again_starts_afresh() -> None:
    """After a replant the corn is younger and the row's plants are others."""
    again = Known({"north/1": date(2016, 5, 5), "north/2": date(2016, 5, 22)})
    assert questions_of(walk(row(), collars=0.0), [FIRST], again) == ()


def test_a_recount_is_held_against_the_last_count_that_holds() -> None:
    """After a slip the next look is compared with the count before the slip, not with the slip."""
    looks = [walk(row(old_cut=n), on=date(2016, 5, day)) for n, day in ((3, 18), (1, 20), (2, 22), (4, 24))]
    checked = check_walks(looks[::-1], Known())
    assert [[q.code for q in one.questions] for one in checked] == [[], ["walk_row_fewer"], ["walk_row_fewer"], []]
    assert [len(one.used.stops) for one in checked] == [1, 0, 0, 1]


def test_only_what_contradicts_itself_is_left_out() -> None:
    """The odd stop goes, the others stay; an odd size takes the number searched with it, not the other sizes."""
    told = walk(Stop(places=20, fresh_cut_at=1), Stop(places=5, old_cut=6), larvae=mm(12, 70), plants_searched=30,
                collars=9.0, on=MAY_17)  # fmt: skip
    used = used_of(told, questions_of(told, [], PLANTED))
    assert used.stops == told.stops[:1]
    assert (used.larvae, used.plants_searched, used.collars) == (mm(12), None, None)
    early = walk(Stop(places=20), on=date(2016, 5, 4), larvae=mm(12), plants_searched=30)
    assert used_of(early, questions_of(early, [], PLANTED)).stops == ()
    plain = walk(Stop(places=20), larvae=mm(12))
    assert used_of(plain, questions_of(plain, [], PLANTED)) is plain


def test_questions_of_a_walk_end_with_how_to_correct_it() -> None:
    """A typed walk is corrected by its id, one from a file in the file."""
    told = walk(Stop(places=5, old_cut=6), Stop(places=5, old_cut=7))
    lines = question_lines(questions_of(told, [], PLANTED))
    assert len(lines) == 3
    assert lines[2] == "To correct it tell the walk again with: springwalk walk … --correct typed-2016-05-24"
    paper = told.model_copy(update={"id": "w7"})
    assert question_lines(questions_of(paper, [], PLANTED))[2] == (
        "To correct it change walk w7 in walks.csv and take the folder in again."
    )


def morning(*walks: Record, today: date = MAY_24) -> Snapshot:
    """The four Lincoln fields with walks of the field black."""
    return snapshot([*FOUR, *walks], today)


def of_black(snap: Snapshot) -> list[belief.WalkSeen]:
    """What belief sees of the field black."""
    units = [k for k, unit in enumerate(snap.units) if unit.field.id == "black"]
    return list(walks_seen(snap, units))


def test_a_recount_reaches_the_engine_as_an_increment() -> None:
    """Two of twenty, then two old and one fresh in the same row, is three cut plants, one of them new: not five."""
    looks = (
        walk(row(fresh_cut_at=2), on=MAY_21, field="black"),
        walk(row(fresh_cut_at=1, old_cut=2), field="black"),
    )
    (spot,) = spots(of_black(morning(*looks)))
    assert spot.places == 20
    assert spot.new == (0, 2, 1)
    apart = [one.model_copy(update={"stops": (one.stops[0].model_copy(update={"marked_row": ""}),)}) for one in looks]
    assert [sum(spot.new) for spot in spots(of_black(morning(*apart)))] == [2, 3]


def test_a_recount_with_fewer_never_reaches_the_engine() -> None:
    """What can't be true is asked about and left out: belief is that of the first count alone."""
    first = walk(row(fresh_cut_at=3), on=MAY_21, field="black")
    fewer = walk(row(old_cut=1), field="black")
    (spot,) = spots(of_black(morning(first, fewer)))
    assert (spot.new, len(spot.days)) == ((0, 3), 2)
    assert [q.code for one in morning(first, fewer).checked["black"] for q in one.questions] == ["walk_row_fewer"]


def test_belief_does_not_move_for_what_is_left_out() -> None:
    """An impossible stop, larva and stage change nothing, where the same taken at its word would."""
    plain = walk(Stop(places=20, fresh_cut_at=1, sound=19), field="at-planting")
    odd = walk(*plain.stops, Stop(places=5, fresh_cut_at=9), field="at-planting", larvae=mm(66), plants_searched=40,
               collars=12.0)  # fmt: skip

    def believed(one: Walk) -> Any:
        snap = morning(one)
        assert snap.inputs is not None
        units = [k for k, unit in enumerate(snap.units) if unit.field.id == "at-planting"]
        grid, params = belief.make_grid(), belief_params()
        hazard = hazards(snap.inputs, snap.settings.engine, np.array(units), grid.shifts_ddc)
        return belief.believe(walks_seen(snap, units), hazard, np.full(len(units), 0.3), grid, params).weight

    assert believed(odd) == pytest.approx(believed(plain))
    many = plain.model_copy(update={"stops": (*plain.stops, Stop(places=20, fresh_cut_at=9, sound=11))})
    assert believed(many) != pytest.approx(believed(plain))


def test_advice_says_what_it_left_out() -> None:
    """Advice carries the questions of its walks; an old search without its plants is no longer asked about."""
    good = walk(Stop(places=20, fresh_cut_at=1), Stop(places=5, old_cut=9), field="at-planting")
    old = walk(larvae=mm(12), on=date(2016, 5, 10), field="at-planting")
    (said,) = advise_of(morning(good, old), TERMS)
    assert [one.code for one in said.questions] == ["walk_more_than_places"]
    assert (said.parts[0].places, said.parts[0].percent_cut) == (20, 5.0)


def test_a_search_alone_goes_with_the_count_before_it() -> None:
    """Larvae of an evening's search belong to the part where most was cut that day, and today's advice has them."""
    low = Zone(id="at-planting/low", field="at-planting", name="Low corner", area_ha=4.5)
    count = walk(Stop(places=20, fresh_cut_at=1), Stop(places=20, fresh_cut_at=4, part=low.id), field="at-planting",
                 hour=9)  # fmt: skip
    noon = walk(field="at-planting", plants_searched=10, hour=12, soil="moist").model_copy(update={"id": "noon"})
    dusk = walk(field="at-planting", plants_searched=30, hour=20, soil="moist", larvae=mm(14, 15)).model_copy(
        update={"id": "dusk"}
    )
    (said,) = advise_of(morning(low, count, noon, dusk), TERMS)
    assert {part.name: part.larvae_found for part in said.parts} == {"": None, "Low corner": 2}
    (without,) = advise_of(morning(low, count), TERMS)
    assert {part.larvae_found for part in without.parts} == {None}


def test_new_cuts_on_a_marked_row_are_fresh_whatever_they_are_called() -> None:
    """Three more old stubs than three days ago are cuts made since: the field is not left as if nothing were new."""
    first = walk(row(old_cut=1), on=MAY_21, field="at-planting")
    grown = walk(row(old_cut=4), field="at-planting", plants_searched=60, hour=20, soil="moist")
    still = grown.model_copy(update={"stops": (row(old_cut=1),)})
    (more,), (same,) = (advise_of(morning(first, one), TERMS) for one in (grown, still))
    assert "nothing fresh" not in more.parts[0].reasons
    assert more.parts[0].cuts_ahead_per_100.mid > same.parts[0].cuts_ahead_per_100.mid


COUNTS = st.fixed_dictionaries({state: st.integers(0, 25) for state in PLANT_STATES})


@given(
    st.lists(st.tuples(st.integers(1, 30), st.sampled_from(["", "A", "b"]), COUNTS), max_size=4),
    st.lists(st.floats(0.1, 80), max_size=4), st.none() | st.integers(0, 50), st.none() | st.floats(0, 20),
)  # fmt: skip
def test_whatever_is_told_twice_over_has_words_and_a_use(
    stops: list[tuple[int, str, dict[str, int]]], lengths: list[float], searched: int | None, collars: float | None
) -> None:
    """Any walk is checked without a fault of ours, every question has words, and what is used asks nothing worse."""
    told = walk(*(Stop(places=n, marked_row=name, **counts) for n, name, counts in stops), larvae=mm(*lengths),
                plants_searched=searched, collars=collars)  # fmt: skip
    known = Known({"north/1": date(2016, 5, 5)})
    asked = questions_of(told, [FIRST], known)
    assert all(question(one).endswith(".") for one in asked)
    left = {one.facts["left_out"] for one in questions_of(used_of(told, asked), [FIRST], known)}
    assert left <= {"", "number"}


def test_a_planting_is_none_of_a_walks_questions() -> None:
    """The checks read planting dates of the field alone."""
    other = Planting(id="late/9", field="late", planted=date(2016, 6, 1))
    told = walk(Stop(places=20), field="black")
    assert morning(told, other).checked["black"][0].questions == ()
