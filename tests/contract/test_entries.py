"""Entries: append-only, found again exactly, in conflict visibly."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime, timedelta, timezone

import pytest

from springwalk.errors import BadValue
from springwalk.records import Event, Record, Season, Station
from springwalk.store import Store
from springwalk.store.entries import (
    append,
    append_raw,
    conflicts,
    entry_of,
    heads,
    history,
    kept_with,
    not_understood,
    put_record,
    record_of,
    thing_of,
)
from tests.contract.made_up import catch, field, records_of, trap, walk

SEASON = Season(name="Made-up", year=2026)
STATION = Station(id="north", latitude=41.5, longitude=-93.2)
EVENT = Event(field="f1", date="2026-04-20", what="tilled")  # type: ignore[arg-type]


@pytest.mark.parametrize("record", [trap(), catch(3), field(), walk(), SEASON, STATION, EVENT], ids=lambda r: r.kind)
def test_a_record_comes_back_exactly(store: Store, record: Record) -> None:
    """What was told must be read back as told, for every kind of record."""
    with store.writing() as write:
        assert put_record(write, record) == "new"
    with store.reading() as read:
        (entry,) = heads(read, record.kind)
    assert (record_of(entry), entry.body, entry.understood) == (record, record.body(), True)
    assert entry.sha256 == hashlib.sha256(record.body().encode()).hexdigest()


def test_an_entry_carries_who_and_when(store: Store) -> None:
    """A count nobody can trace is worth little; instants are kept in UTC whatever zone they came in."""
    made = datetime(2026, 5, 20, 7, 30, tzinfo=timezone(timedelta(hours=-5)))
    sent = datetime(2026, 5, 20, 18, 0, tzinfo=UTC)
    with store.writing() as write:
        entry = append(write, walk(), device="phone-1", person="Ada", made_at=made, sent_at=sent)
        received = write.now
    with store.reading() as read:
        assert entry_of(read, entry.id) == entry
    assert (entry.device, entry.person, entry.seq, entry.parents) == ("phone-1", "Ada", 1, ())
    assert entry.made_at == "2026-05-20T12:30:00.000000Z"
    assert (entry.sent_at, entry.received_at) == ("2026-05-20T18:00:00.000000Z", received)
    assert entry.id[14] == "7", "ids are UUIDs of version 7"


def test_what_one_action_kept_is_found_from_any_part_of_it(store: Store) -> None:
    """A replant is two records: one undo must find both, and neither another device's nor another action's."""
    with store.writing() as write:
        first, second = append(write, STATION, device="typed"), append(write, EVENT, device="typed")
        append(write, trap(), device="desk")
    with store.writing() as write:
        alone = append(write, catch(3), device="typed")
    with store.reading() as read:
        found = [kept_with(read, one) for one in (first, second, alone)]
    assert found == [[second], [first], []]


def test_an_instant_without_a_zone_is_refused(store: Store) -> None:
    """A naive time would be read as another hour on another machine."""
    said = "made_at = 2026-05-20T07:30:00: has no time zone; give an instant in UTC."
    with pytest.raises(BadValue) as told, store.writing() as write:
        append(write, walk(), made_at=datetime(2026, 5, 20, 7, 30))  # noqa: DTZ001
    assert str(told.value) == said


def test_the_same_record_again_writes_nothing(store: Store) -> None:
    """Taking the same folder in twice must change nothing, not even the counter."""
    with store.writing() as write:
        assert [put_record(write, record) for record in (trap(), catch(3))] == ["new", "new"]
    before = store.counter
    with store.writing() as write:
        assert [put_record(write, record) for record in (trap(), catch(3))] == ["same", "same"]
    assert (before, store.counter) == (2, 2)


def test_a_changed_record_replaces_and_keeps_the_old(store: Store) -> None:
    """A correction must be the current state, and what it corrected must stay readable."""
    with store.writing() as write:
        said = [put_record(write, catch(moths)) for moths in (3, 5, 3)]
    assert said == ["new", "revised", "revised"]
    assert records_of(store, "catch") == [catch(3)]
    with store.reading() as read:
        told = history(read, thing_of(catch(0)))
    assert [entry.record for entry in told] == [catch(3), catch(5), catch(3)]
    assert [entry.parents for entry in told] == [(), (told[0].id,), (told[1].id,)]


def test_the_same_id_again_is_nothing(store: Store) -> None:
    """A phone that got no answer sends again; the walk must not double."""
    with store.writing() as write:
        first = append(write, walk(), id="id-1")
    with store.writing() as write:
        assert append(write, walk(), id="id-1") == first
    assert (store.counter, records_of(store)) == (1, [walk()])


def test_other_text_under_a_known_id_is_kept_as_a_conflict(store: Store) -> None:
    """Even a phone that uses an id twice must not lose a count, nor add to it by sending again."""
    other = walk().model_copy(update={"note": "second"})
    with store.writing() as write:
        append(write, walk(), id="id-1")
        twin = append(write, other, id="id-1")
        assert append(write, other, id="id-1") == twin
    with store.reading() as read:
        (torn,) = conflicts(read).values()
    assert sorted(entry.body for entry in torn) == sorted([walk().body(), other.body()])
    assert store.counter == 2


def test_two_versions_from_one_parent_are_a_visible_conflict(store: Store) -> None:
    """Two phones edited one walk: both are shown, none wins in silence."""
    with store.writing() as write:
        first = append(write, trap())
        left = append(write, trap(name="left"), parents=[first.id])
        right = append(write, trap(name="right"), parents=[first.id])
    with store.reading() as read:
        assert conflicts(read) == {first.thing: sorted([left, right], key=lambda entry: entry.id)}
        assert len(heads(read, "trap")) == 2


def torn(store: Store) -> None:
    """A trap of which two phones say different things."""
    with store.writing() as write:
        first = append(write, trap())
        append(write, trap(name="left"), parents=[first.id])
        append(write, trap(name="right"), parents=[first.id])


@pytest.mark.parametrize(("name", "said"), [("left", "same"), ("right", "same"), ("third", "conflict")])
def test_a_put_does_not_settle_a_conflict_in_silence(store: Store, name: str, said: str) -> None:
    """The folder taken in each morning must not decide between two scouts."""
    torn(store)
    with store.reading() as read:
        before = conflicts(read)
    with store.writing() as write:
        assert put_record(write, trap(name=name)) == said
    with store.reading() as read:
        assert conflicts(read) == before
    assert store.counter == 3


@pytest.mark.parametrize("name", ["left", "third"])
def test_a_put_that_is_asked_to_settles_a_conflict(store: Store, name: str) -> None:
    """Someone must be able to say what the thing is now, one of the sides or another."""
    torn(store)
    with store.writing() as write:
        assert put_record(write, trap(name=name), settle=True) == "revised"
        assert put_record(write, trap(name=name), settle=True) == "same"
    with store.reading() as read:
        assert conflicts(read) == {}
        assert [entry.record for entry in heads(read)] == [trap(name=name)]


def test_a_parent_that_arrives_after_its_child_is_no_head(store: Store) -> None:
    """Phones send in any order; an outdated version must not come back to life."""
    with store.writing() as write:
        append(write, trap(name="new"), id="child", parents=["parent"])
    with store.writing() as write:
        append(write, trap(name="old"), id="parent")
    assert records_of(store) == [trap(name="new")]


def test_a_merge_across_things_replaces_both(store: Store) -> None:
    """Two walks told apart by mistake can become one."""
    with store.writing() as write:
        ids = [append(write, trap(id)).id for id in ("a", "b")]
        append(write, trap("a", "both"), parents=ids)
    assert records_of(store) == [trap("a", "both")]


@pytest.mark.parametrize(
    ("kind", "schema", "body"),
    [
        ("hail", 1, "{}"),
        ("trap", 2, trap().body()),
        ("trap", 1, '{"id": "t1", "latitude": 99, "longitude": 0}'),
        ("trap", 1, '{"id": "t1", "latitude": NaN, "longitude": 0}'),
        ("trap", 1, '{"id": "t1", "latitude": 1, "longitude": 0, "colour": "red"}'),
        ("trap", 1, "not JSON at all"),
        ("trap", 1, ""),
    ],
    ids=["unknown kind", "newer schema", "value out of range", "NaN", "unknown name", "no JSON", "empty"],
)
def test_what_is_not_understood_is_kept_and_marked(store: Store, kind: str, schema: int, body: str) -> None:
    """A newer phone's record must wait for a newer program, not be lost."""
    with store.writing() as write:
        entry = append_raw(write, kind, schema, body, thing="x")
    with store.reading() as read:
        assert not_understood(read) == [entry]
        (kept,) = heads(read, kind)
    assert (kept.body, kept.kind, kept.schema, kept.understood, record_of(kept)) == (body, kind, schema, False, None)


def test_raw_text_that_is_understood_is_a_record(store: Store) -> None:
    """A phone's text is stored letter for letter, and read when it can be."""
    body = '{ "id":"t1",  "latitude":41.50, "longitude":-93.25, "name":"By the creek" }'
    with store.writing() as write:
        entry = append_raw(write, "trap", 1, body, thing=thing_of(trap()))
    assert (entry.body, entry.record, entry.understood) == (body, trap(), True)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"body": "a\ud800"}, "body = 'a\\ud800': not text that can be kept; send plain UTF-8 without NUL."),
        ({"body": "a\x00"}, "body = 'a\\x00': not text that can be kept; send plain UTF-8 without NUL."),
        ({"person": "\udfff"}, "person = '\\udfff': not text that can be kept; send plain UTF-8 without NUL."),
        ({"thing": ""}, "thing = '': empty; send a name."),
        ({"kind": ""}, "kind = '': empty; send a name."),
        ({"schema": 2**31}, "schema = 2147483648: over 31 bits; send the version of the record."),
        ({"id": "i", "parents": ["i"]}, "parents = i: an entry cannot replace itself; leave it out."),
    ],
)
def test_what_no_store_can_keep_is_refused_by_name(store: Store, change: dict[str, object], said: str) -> None:
    """The message must say which part to mend, and nothing may be half kept."""
    parts: dict[str, object] = {"kind": "trap", "schema": 1, "body": "{}", "thing": "x", **change}
    with pytest.raises(BadValue) as told, store.writing() as write:
        append_raw(write, **parts)  # type: ignore[arg-type]
    assert str(told.value) == said
    assert (store.counter, records_of(store)) == (0, [])


def test_heads_come_in_the_same_order_whatever_was_first(store: Store) -> None:
    """Same records, same sheet: order must not depend on who sent first."""
    names = [f"t{number}" for number in range(12)]
    with store.writing() as write:
        for name in reversed(names):
            put_record(write, trap(name))
    things = sorted(thing_of(trap(name)) for name in names)
    with store.reading() as read:
        assert [entry.thing for entry in heads(read, "trap")] == things
        assert heads(read, "walk") == []
