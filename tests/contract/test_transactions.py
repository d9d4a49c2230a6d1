"""Transactions: all or nothing, numbered by one counter, seen whole; receipts and kept results."""

from __future__ import annotations

import subprocess
import sys

import pytest

from springwalk.store import Store, open_store
from springwalk.store.days import days, put_days
from springwalk.store.entries import append, append_raw, heads, put_record
from springwalk.store.files import file_sha256, files, put_file
from springwalk.store.results import forget_results, get_result, put_result
from tests.contract.made_up import SHA_A, SHA_B, day, records_of, trap

WRITER = """
import sys
from springwalk.store import open_store
from springwalk.store.entries import append_raw
with open_store(sys.argv[1], create=True) as store:
    for number in range(30):
        with store.writing() as write:
            append_raw(write, "count", 1, str(number), thing=f"{sys.argv[2]}-{number}")
"""


class StoppedError(Exception):
    """Stands for any mistake in the middle of a step."""


def fail_half_way(store: Store) -> None:
    """A step that writes a little of everything and then fails."""
    with store.writing() as write:
        put_record(write, trap())
        put_days(write, [day(1)])
        put_file(write, "a.csv", SHA_A)
        put_result(write, "k", "v")
        raise StoppedError


def test_numbers_follow_one_counter(store: Store) -> None:
    """Phones ask for what came after a number, so no number may be missing or used twice."""
    with store.writing() as write:
        seqs = [append(write, trap(name)).seq for name in "abc"]
    with store.writing() as write:
        put_days(write, [day(1)])
    with store.writing() as write:
        seqs.append(append(write, trap("d")).seq)
    assert (seqs, store.counter) == ([1, 2, 3, 5], 5)


def test_a_step_that_fails_leaves_nothing(store: Store) -> None:
    """Half a folder taken in would give a wrong sheet."""
    with pytest.raises(StoppedError):
        fail_half_way(store)
    with store.reading() as read:
        assert (heads(read), days(read), files(read), get_result(read, "k"), read.counter) == ([], {}, [], None, 0)


def test_a_step_that_changes_nothing_leaves_the_counter(store: Store) -> None:
    """The counter is the name under which answers are kept; it may move only with the records."""
    with store.writing():
        pass
    assert store.counter == 0


def test_a_view_does_not_change_while_it_is_read(store: Store) -> None:
    """A sheet must not mix the records of two moments."""
    with store.reading() as read:
        assert heads(read) == []
        with store.writing() as write:
            put_record(write, trap())
        assert (heads(read), read.counter) == ([], 0)
    assert records_of(store) == [trap()]


def test_a_kept_result_does_not_move_the_counter(store: Store) -> None:
    """Keeping an answer must not make that very answer stale."""
    with store.writing() as write:
        put_record(write, trap())
    with store.writing() as write:
        put_result(write, "1|today", "first")
        put_result(write, "1|today", "second")
    with store.reading() as read:
        assert (get_result(read, "1|today"), get_result(read, "other"), read.counter) == ("second", None, 1)


def test_results_of_an_older_counter_can_be_forgotten(store: Store) -> None:
    """Kept answers must not fill the disk over a season."""
    with store.writing() as write:
        for key in ("1|a", "1|b", "2|a", "%|c"):
            put_result(write, key, "text")
    with store.writing() as write:
        assert forget_results(write, but="2|") == 3
    with store.reading() as read:
        assert [get_result(read, key) for key in ("1|a", "2|a")] == [None, "text"]


def test_a_file_leaves_one_receipt_per_content(store: Store) -> None:
    """The receipt tells whether a file is news; going back to an older file is news again."""
    said = []
    for sha in (SHA_A, SHA_A, SHA_B, SHA_A):
        with store.writing() as write:
            said.append(put_file(write, "weather/a.csv", sha))
    assert (said, store.counter) == (["new", "same", "revised", "revised"], 3)
    with store.reading() as read:
        assert [row[:2] for row in files(read)] == [("weather/a.csv", sha) for sha in (SHA_A, SHA_B, SHA_A)]
        assert (file_sha256(read, "weather/a.csv"), file_sha256(read, "b.csv")) == (SHA_A, None)


def test_a_store_opened_again_is_the_same_store(new_location: object) -> None:
    """Closing the program must lose nothing, and phones must know the store again."""
    location = new_location()  # type: ignore[operator]
    with open_store(location, create=True) as first, first.writing() as write:
        put_record(write, trap())
    with open_store(location) as second:
        assert (second.epoch, second.counter, records_of(second)) == (first.epoch, 1, [trap()])
        assert second.location == location


@pytest.mark.slow
def test_writers_in_several_programs_lose_nothing(new_location: object) -> None:
    """Desk and phones write at once; the driver's own defaults lose counts without an error."""
    location = new_location()  # type: ignore[operator]
    programs = [subprocess.Popen([sys.executable, "-c", WRITER, location, name]) for name in ("a", "b", "c")]
    assert [program.wait(timeout=120) for program in programs] == [0, 0, 0]
    with open_store(location) as store, store.reading() as read:
        found = heads(read)
        assert read.counter == 90
    assert sorted(entry.seq for entry in found) == list(range(1, 91))
    assert {entry.thing for entry in found} == {f"{name}-{number}" for name in "abc" for number in range(30)}


def test_a_store_can_be_shared_between_threads(store: Store) -> None:
    """The web server answers from several threads with one open store."""
    from concurrent.futures import ThreadPoolExecutor

    def one(number: int) -> int:
        with store.writing() as write:
            return append_raw(write, "count", 1, "", thing=str(number)).seq

    with ThreadPoolExecutor(4) as pool:
        assert sorted(pool.map(one, range(40))) == list(range(1, 41))
    assert store.counter == 40
