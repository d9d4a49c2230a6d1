"""Whatever the order in which things arrive, the same heads stand at the end."""

from __future__ import annotations

import uuid

import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from springwalk.store import Store
from springwalk.store.entries import append_raw, conflicts, heads, history, put_record, thing_of
from tests import drawn
from tests.contract.made_up import trap

examples = settings(
    deadline=None, max_examples=drawn.examples(60), suppress_health_check=[HealthCheck.too_slow], derandomize=True
)


@st.composite
def versions_sent(draw: st.DrawFn) -> tuple[list[tuple[int, list[int]]], list[int]]:
    """Versions (thing, parents among the earlier ones) and an order of arrival in which some come twice."""
    count = draw(st.integers(1, 7))
    versions = [
        (draw(st.integers(0, 1)), draw(st.lists(st.integers(0, number - 1), unique=True, max_size=3)) if number else [])
        for number in range(count)
    ]
    arrivals = [*range(count), *draw(st.lists(st.integers(0, count - 1), max_size=4))]
    return versions, draw(st.permutations(arrivals))


@pytest.mark.slow
@examples
@given(sent=versions_sent())
def test_any_order_of_arrival_ends_with_the_same_heads(
    shared_store: Store, sent: tuple[list[tuple[int, list[int]]], list[int]]
) -> None:
    """Phones send late, twice and out of order; what stands must not depend on it."""
    versions, order = sent
    own = uuid.uuid4().hex
    before = shared_store.counter
    for number in order:
        thing, parents = versions[number]
        with shared_store.writing() as write:
            named = [f"{own}-{parent}" for parent in parents]
            append_raw(write, "v", 1, str(number), thing=f"{own}-{thing}", parents=named, id=f"{own}-{number}")
    replaced = {parent for _, parents in versions for parent in parents}
    expected = {number for number in range(len(versions)) if number not in replaced}
    with shared_store.reading() as read:
        found = [entry for entry in heads(read) if entry.thing.startswith(own)]
        torn = {thing for thing in conflicts(read) if thing.startswith(own)}
        assert read.counter == before + len(versions)
    assert {int(entry.body) for entry in found} == expected
    things = [versions[number][0] for number in expected]
    assert torn == {f"{own}-{thing}" for thing in things if things.count(thing) > 1}


@examples
@given(
    said=st.lists(st.lists(st.sampled_from("xyz"), max_size=4), min_size=3, max_size=3),
    order=st.randoms(use_true_random=False),
)
def test_any_interleaving_of_puts_ends_with_the_same_heads(
    shared_store: Store, said: list[list[str]], order: object
) -> None:
    """Files are read in any order; what each thing was last said to be must stand, once."""
    own = uuid.uuid4().hex
    turns = [number for number, names in enumerate(said) for _ in names]
    order.shuffle(turns)  # type: ignore[attr-defined]
    waiting = [iter(names) for names in said]
    for number in turns:
        with shared_store.writing() as write:
            put_record(write, trap(f"{own}-{number}", next(waiting[number])))
    with shared_store.reading() as read:
        for number, names in enumerate(said):
            thing = thing_of(trap(f"{own}-{number}"))
            stand = [entry.record for entry in heads(read) if entry.thing == thing]
            assert stand == [trap(f"{own}-{number}", names[-1])] if names else stand == []
            news = [name for place, name in enumerate(names) if place == 0 or names[place - 1] != name]
            assert len(history(read, thing)) == len(news)
