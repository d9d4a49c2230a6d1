"""A store that may only be read: questions are answered, writes are refused by a line, nothing is left beside it."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from springwalk.errors import StoreError
from springwalk.store import Store, migrate, open_store
from springwalk.store.entries import put_record
from springwalk.store.results import put_result
from tests.contract.made_up import fill, records_of, trap

ONLY_READ = "may only be read; check who may write to the file and its folder."
NOBODY = 65534


@contextmanager
def as_a_guest() -> Iterator[None]:
    """The block runs as a user whom file modes bind; root may write anywhere."""
    root = os.geteuid() == 0
    if root:
        os.seteuid(NOBODY)
    try:
        yield
    finally:
        if root:
            os.seteuid(0)


@pytest.fixture
def shelf() -> Iterator[Path]:
    """A folder every user can reach, with a filled store in it."""
    folder = Path(tempfile.mkdtemp(prefix="springwalk-test-"))
    with open_store(str(folder / "s 1?.db"), create=True) as store:
        fill(store)
    folder.chmod(0o777)
    yield folder
    folder.chmod(0o777)
    shutil.rmtree(folder)


def close_file(folder: Path) -> None:
    """Only the file is closed."""
    (folder / "s 1?.db").chmod(0o444)


def close_folder(folder: Path) -> None:
    """Only the folder is closed: no log can be made beside the file."""
    (folder / "s 1?.db").chmod(0o666)
    folder.chmod(0o555)


def close_both(folder: Path) -> None:
    """As on a disc or a shared drive."""
    close_file(folder)
    folder.chmod(0o555)


def refused_write(store: Store) -> str:
    """The message of a write that is refused."""
    with pytest.raises(StoreError) as told, store.writing() as write:
        put_result(write, "k", "v")
    return str(told.value)


@pytest.mark.parametrize("close", [close_file, close_folder, close_both])
def test_a_question_is_answered_and_a_write_is_refused(shelf: Path, close: Callable[[Path], None]) -> None:
    """Last year's store on a shared drive must still show its sheet, and stay as it is."""
    path = shelf / "s 1?.db"
    before = path.read_bytes()
    close(shelf)
    with as_a_guest(), open_store(str(path)) as store:
        assert store.read_only
        assert (store.path, store.counter) == (path, 12)
        assert trap() in records_of(store, "trap")
        assert refused_write(store) == f"store = {path}: {ONLY_READ}"
        assert store.counter == 12
    assert (path.read_bytes(), list(shelf.iterdir())) == (before, [path])


def test_a_store_that_may_be_written_is_not_read_only(shelf: Path) -> None:
    """Answers must be kept where they can be."""
    with open_store(str(shelf / "s 1?.db")) as store:
        assert not store.read_only
        with store.writing() as write:
            put_result(write, "k", "v")


@pytest.mark.skipif(os.geteuid() != 0, reason="needs two users, so only root can set it up")
def test_what_lies_in_the_log_is_read_too(shelf: Path) -> None:
    """While another program writes, the file alone is not the whole store."""
    path = shelf / "s 1?.db"
    close_file(shelf)
    with open_store(str(path)) as writer:
        with writer.writing() as write:
            put_record(write, trap("late"))
        for end in ("-wal", "-shm"):
            path.with_name(path.name + end).chmod(0o666)
        with as_a_guest(), open_store(str(path)) as store:
            assert store.read_only
            assert trap("late") in records_of(store, "trap")
            assert refused_write(store) == f"store = {path}: {ONLY_READ}"


def change_while_read(store: Store) -> None:
    """Another program writes into the file in the middle of a question."""
    with store.reading() as read:
        assert read.counter == 12
        os.utime(store.path, (1, 1))


def test_a_change_meanwhile_is_told(shelf: Path) -> None:
    """A closed store is read without a lock, so an answer made of two moments must not be believed."""
    path = shelf / "s 1?.db"
    close_both(shelf)
    with as_a_guest():
        store = open_store(str(path))
    with store:
        with pytest.raises(StoreError) as told:
            change_while_read(store)
        assert str(told.value) == f"store = {path}: another program changed it while it was read; ask again."


def test_an_older_store_that_may_only_be_read_is_told(shelf: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Bringing it up to date needs a write, so the reason must be the one the user can mend."""
    path = shelf / "s 1?.db"
    close_both(shelf)
    monkeypatch.setattr(migrate, "HEAD", 2)
    with as_a_guest(), pytest.raises(StoreError) as told:
        open_store(str(path))
    assert str(told.value) == f"store = {path}: {ONLY_READ}"
