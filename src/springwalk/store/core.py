"""The store itself: opened once, read in consistent views, written in transactions that number what they keep."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType

from sqlalchemy import Connection, Engine, select, update

from springwalk.errors import BadValue, StoreError
from springwalk.store import migrate
from springwalk.store.connect import check_header, engine_for, file_of, is_there, transaction
from springwalk.store.create import new_file
from springwalk.store.places import may_write
from springwalk.store.schema import counter, meta


def utc_now() -> datetime:
    """The present instant, UTC."""
    return datetime.now(UTC)


def instant(moment: datetime, name: str = "instant") -> str:
    """``moment`` as UTC text ``YYYY-MM-DDTHH:MM:SS.ffffffZ``; BadValue for one without a time zone."""
    if moment.tzinfo is None:
        raise BadValue(name, moment.isoformat(), "has no time zone", "give an instant in UTC")
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ").rjust(27, "0")


class Reading:
    """One consistent view of the store; what others write meanwhile is not in it."""

    def __init__(self, connection: Connection) -> None:
        self.connection = connection

    @property
    def counter(self) -> int:
        """The number of the last change in this view."""
        return int(self.connection.execute(select(counter.c.value)).scalar_one())


class Writing(Reading):
    """One write transaction; it holds the counter from its first moment, so numbers follow the order of commits."""

    def __init__(self, connection: Connection) -> None:
        super().__init__(connection)
        bump = update(counter).values(value=counter.c.value + 1).returning(counter.c.value)
        self._first = int(connection.execute(bump).scalar_one())
        self._used = 0
        self.changed = False
        self.kept_result = False
        self.now = instant(utc_now())

    def next_seq(self) -> int:
        """The next number of the one counter; the store counts as changed."""
        self._used += 1
        self.changed = True
        return self._first + self._used - 1

    def touch(self) -> None:
        """Say that something was changed that takes no number of its own."""
        self.changed = True

    def settle(self) -> bool:
        """Set the counter to what was really used; False when nothing was written at all."""
        if not (self.changed or self.kept_result):
            return False
        # A kept result is no change: it must not make the results kept under this counter stale.
        value = self._first - 1 + max(self._used, int(self.changed))
        self.connection.execute(update(counter).values(value=value))
        return True


class Store:
    """An open store. Made by ``open_store``; safe to share between threads; close it or use it in ``with``."""

    def __init__(self, location: str, path: Path, engine: Engine, *, read_only: bool, unchanging: bool) -> None:
        self.location = location
        self.path = path
        self._engine = engine
        self._read_only = read_only
        self._stamp = _stamp(path) if unchanging else None
        with self.reading() as read:
            self.epoch = str(read.connection.execute(select(meta.c.value).where(meta.c.key == "epoch")).scalar_one())

    @contextmanager
    def reading(self) -> Iterator[Reading]:
        """A consistent view for as long as the block lasts."""
        with transaction(self._engine, self.location) as connection:
            yield Reading(connection)
        if self._stamp is not None and self._stamp != _stamp(self.path):  # it was read without a lock
            raise StoreError("store", self.location, "another program changed it while it was read", "ask again")

    @contextmanager
    def writing(self) -> Iterator[Writing]:
        """A write transaction: all is kept at the end of the block, nothing after an error.

        Waits up to 30 s for another writer (then StoreError); never open one inside another. A block that
        changes nothing leaves the counter where it was. Raises StoreError at once when the store is read-only.
        """
        _refuse_read_only(self._read_only, self.location)
        with transaction(self._engine, self.location, write=True) as connection:
            write = Writing(connection)
            yield write
            if not write.settle():
                connection.rollback()

    @property
    def read_only(self) -> bool:
        """Whether this program may only read the store: a question that would keep its answer leaves that out."""
        return self._read_only

    @property
    def counter(self) -> int:
        """The number of the last change; the same number = the same records, days and files."""
        with self.reading() as read:
            return read.counter

    def close(self) -> None:
        """Let go of the file."""
        self._engine.dispose()

    def __enter__(self) -> Store:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.close()


def open_store(location: str, *, create: bool = False) -> Store:
    """Open the store in the file ``location``, made first with ``create``; an older store is brought up to date.

    A file or folder that may not be written to gives a store that is ``read_only``. Raises StoreError when the file
    is missing (without ``create``), is no plain file, is no store, is damaged, or was made by a newer program.
    """
    path = file_of(location)
    if not is_there(path, location):
        if not create:
            todo = "take a folder in first: springwalk intake FOLDER"
            raise StoreError("store", location, "there is no such store", todo)
        new_file(path, location)  # False = another program was faster; its store is as good
    check_header(path, location)
    read_only = not may_write(path)
    # Beside a log the file alone may be half a store; then SQLite must find a way in, or say that it can't.
    unchanging = read_only and not path.with_name(f"{path.name}-wal").exists()
    engine = engine_for(path, unchanging=unchanging)
    try:
        _bring_up_to_date(engine, location, read_only)
        return Store(location, path, engine, read_only=read_only, unchanging=unchanging)
    except BaseException:
        engine.dispose()
        raise


def _bring_up_to_date(engine: Engine, location: str, read_only: bool) -> None:
    with transaction(engine, location) as connection:
        version = migrate.version_of(connection)
    if version is None:
        todo = "give another path or move this file away"
        raise StoreError("store", location, "a database of some other program, not a store", todo)
    if version > migrate.HEAD:
        raise StoreError("store", location, "made by a newer Springwalk", "update this program")
    if version < migrate.HEAD:
        _refuse_read_only(read_only, location)
        with transaction(engine, location, write=True) as connection:
            migrate.upgrade(connection, location)


def _refuse_read_only(read_only: bool, location: str) -> None:
    if read_only:
        raise StoreError("store", location, "may only be read", "check who may write to the file and its folder")


def _stamp(path: Path) -> tuple[int, int]:
    """Size and time of the file, which change with its content; (0, 0) where it is gone."""
    try:
        found = path.stat()
    except OSError:
        return 0, 0
    return found.st_size, found.st_mtime_ns
