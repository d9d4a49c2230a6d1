"""Taking a thing back: a new entry that says so; nothing is deleted, and it can be told again."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from springwalk.errors import NotFound
from springwalk.store import Entry, Store, backup, open_store, restore
from springwalk.store.entries import (
    append,
    conflicts,
    given_by,
    heads,
    history,
    not_understood,
    put_record,
    take_back,
    thing_of,
)
from tests.contract.made_up import catch, trap

BODY = '{"taken_back":true}'


def names(entries: list[Entry]) -> list[object]:
    """The records of entries."""
    return [entry.record for entry in entries]


def test_a_thing_taken_back_is_gone_and_its_history_stays(store: Store) -> None:
    """A trap typed by mistake must leave the sheet, and no one may wonder where it went."""
    with store.writing() as write:
        put_record(write, trap())
        put_record(write, trap("t2"))
        entry = take_back(write, trap(), device="desk", person="Ada")
    with store.reading() as read:
        told = history(read, thing_of(trap()))
        assert names(heads(read, "trap")) == [trap("t2")]
        assert entry in heads(read, "trap", with_taken_back=True)
        assert (conflicts(read), not_understood(read)) == ({}, [])
    assert told[1] == entry
    assert (entry.kind, entry.schema, entry.body, entry.device, entry.person) == ("trap", 0, BODY, "desk", "Ada")
    assert (entry.parents, entry.taken_back, entry.record, told[0].taken_back) == ((told[0].id,), True, None, False)


def test_a_thing_can_be_told_again(store: Store) -> None:
    """A row that comes back into a file is new, and its past is still one story."""
    with store.writing() as write:
        put_record(write, trap())
        gone = take_back(write, thing_of(trap()))
        assert put_record(write, trap()) == "new"
        assert put_record(write, trap()) == "same"
    with store.reading() as read:
        (now,) = heads(read, "trap")
        assert len(history(read, now.thing)) == 3
    assert (now.record, now.parents) == (trap(), (gone.id,))


def test_taking_back_twice_is_once(store: Store) -> None:
    """The same folder taken in twice must change nothing."""
    with store.writing() as write:
        put_record(write, trap())
        first = take_back(write, trap())
    with store.writing() as write:
        assert take_back(write, trap()) == first
    assert store.counter == 2


def test_taking_back_what_was_never_told_is_refused(store: Store) -> None:
    """A slip in the name must not pass for a thing that is gone."""
    with pytest.raises(NotFound) as told, store.writing() as write:
        take_back(write, "t9")
    assert str(told.value) == "thing = t9: the store holds nothing of it; check its name."
    assert store.counter == 0


def test_taking_back_ends_a_conflict(store: Store) -> None:
    """Two versions of a trap that is not there need no choice between them."""
    with store.writing() as write:
        both = [append(write, trap(name=name)) for name in ("left", "right")]
        gone = take_back(write, trap())
    with store.reading() as read:
        assert (conflicts(read), heads(read)) == ({}, [])
    assert gone.parents == tuple(sorted(entry.id for entry in both))


def test_a_change_against_a_taking_back_is_a_conflict(store: Store) -> None:
    """One phone deletes what another edits: both must be seen."""
    with store.writing() as write:
        first = append(write, trap())
        gone = take_back(write, trap())
        edit = append(write, trap(name="edited"), parents=[first.id])
    with store.writing() as write:
        assert put_record(write, trap(name="edited")) == "same"
        assert put_record(write, trap(name="other")) == "conflict"
    with store.reading() as read:
        assert conflicts(read) == {first.thing: sorted([gone, edit], key=lambda entry: entry.id)}
        assert heads(read) == [edit]
    with store.writing() as write:
        assert put_record(write, trap(name="edited"), settle=True) == "revised"
    with store.reading() as read:
        assert (conflicts(read), names(heads(read))) == ({}, [trap(name="edited")])


def test_two_takings_back_are_one_thing_gone(store: Store) -> None:
    """Two phones that delete the same trap agree, so telling it again is new."""
    with store.writing() as write:
        first = append(write, trap())
        take_back(write, trap(), device="phone-1")
        append(write, trap(name="edited"), parents=[first.id])
        gone = take_back(write, trap(), device="phone-2")
        assert put_record(write, trap()) == "new"
    with store.reading() as read:
        assert [entry.parents for entry in heads(read)] == [(gone.id,)]


def test_a_backup_keeps_what_was_taken_back(store: Store, tmp_path: Path, new_location: Callable[[], str]) -> None:
    """A restored store must not bring back to life what is gone."""
    with store.writing() as write:
        put_record(write, trap())
        put_record(write, trap("t2"))
        take_back(write, trap())
    backup(store, tmp_path / "b.zip")
    location = new_location()
    restore(tmp_path / "b.zip", location)
    with open_store(location) as again, again.reading() as read, store.reading() as old:
        assert names(heads(read)) == [trap("t2")]
        assert heads(read, with_taken_back=True) == heads(old, with_taken_back=True)
        assert history(read, thing_of(trap())) == history(old, thing_of(trap()))


def test_what_a_file_gave_is_what_nobody_else_has_said_since(store: Store) -> None:
    """A row that left its file can be taken back, but not what a person told of the same thing later."""
    with store.writing() as write:
        for record in (trap("a"), trap("b"), trap("c"), trap("d")):
            put_record(write, record, device="intake traps.csv")
        put_record(write, catch(3), device="intake catches.csv")
        put_record(write, trap("b", "moved"), device="phone-1")
        put_record(write, trap("c", "renamed"), device="intake traps.csv")
        take_back(write, trap("d"), device="intake traps.csv")
    expected = sorted([trap("a"), trap("c", "renamed")], key=thing_of)
    with store.reading() as read:
        assert names(given_by(read, "intake traps.csv")) == expected
        assert names(given_by(read, "intake catches.csv")) == [catch(3)]
        assert given_by(read, "intake") == []
