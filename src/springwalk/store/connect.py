"""The connection to a store's file: where it is, how it is opened, and what its errors mean to a person."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import quote

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.exc import DatabaseError, NoResultFound

from springwalk.errors import StoreError
from springwalk.store.places import FILE, FOLDER, NOTHING, absolute, found_at

WAIT_S = 30.0
"""How long a program waits for another one's write to end."""

SQLITE_HEADER = b"SQLite format 3\x00"
_NEEDS_SQLITE = (3, 37)  # the first with STRICT tables
_BEGIN = "springwalk_begin"


def file_of(location: str) -> Path:
    """The store's file as an absolute path. Raises StoreError for a database address (not readable yet)."""
    if "://" in location:
        scheme = location.split("://", 1)[0]  # the rest may hold a password
        raise StoreError("store", f"{scheme}://…", "only a SQLite file can be a store today", "give the path of a file")
    if not location or "\x00" in location:
        raise StoreError("store", repr(location), "not a file name", "give the path of a file")
    return absolute(location)


def is_there(path: Path, location: str) -> bool:
    """Whether a file lies at ``path``, not opened yet; StoreError for a folder, a pipe or a path that is refused."""
    found = found_at(path)
    if found not in (FILE, NOTHING):
        todo = "give the path of a file"
        raise StoreError("store", location, f"{found}, not a store" if found == FOLDER else found, todo)
    return found == FILE


def check_header(path: Path, location: str) -> None:
    """Raise StoreError unless the file at ``path`` begins like a SQLite file."""
    try:
        with path.open("rb") as file:
            start = file.read(len(SQLITE_HEADER))
    except OSError as error:
        raise StoreError("store", location, f"cannot be read ({error.strerror})", "check who may read it") from error
    if start != SQLITE_HEADER:
        what = "an empty file" if not start else "some other kind of file"
        raise StoreError("store", location, f"{what}, not a store", "give another path or move this file away")


def engine_for(path: Path, *, wal: bool = False, unchanging: bool = False) -> Engine:
    """An engine on the SQLite file at ``path``; ``wal`` turns the write-ahead log on (the file remembers it).

    ``unchanging`` reads a file nobody writes to, without a log beside it: the way into a folder that is closed.
    """
    if sqlite3.sqlite_version_info < _NEEDS_SQLITE:
        raise StoreError("SQLite", sqlite3.sqlite_version, "older than 3.37", "use a Python with a newer SQLite")
    url = URL.create("sqlite", database=str(path))
    if unchanging:
        address = {"uri": "true", "mode": "ro", "immutable": "1"}
        url = URL.create("sqlite", database=f"file:{quote(str(path))}", query=address)
    engine = create_engine(url)

    @event.listens_for(engine, "connect")
    def _prepare(connection: Any, _record: Any) -> None:
        connection.isolation_level = None  # the driver's own BEGIN comes too late: it loses increments in silence
        cursor = connection.cursor()
        cursor.execute(f"PRAGMA busy_timeout = {int(WAIT_S * 1000)}")
        cursor.execute("PRAGMA foreign_keys = ON")
        cursor.execute("PRAGMA synchronous = FULL")
        if wal:
            cursor.execute("PRAGMA journal_mode = WAL")
        cursor.close()

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        connection.exec_driver_sql(connection.get_execution_options().get(_BEGIN, "BEGIN"))

    return engine


@contextmanager
def transaction(engine: Engine, location: str, *, write: bool = False) -> Iterator[Connection]:
    """One transaction: kept at the end, dropped after an error; ``write`` takes the write lock first."""
    with clear_errors(location), engine.connect() as connection:
        connection.execution_options(**{_BEGIN: "BEGIN IMMEDIATE" if write else "BEGIN"})
        with connection.begin():
            yield connection


@contextmanager
def clear_errors(location: str) -> Iterator[None]:
    """Turn what the database says about its file into a StoreError; mistakes in our own statements pass as they are."""
    try:
        yield
    except (DatabaseError, sqlite3.DatabaseError) as error:  # the driver's own while a connection is prepared
        said = getattr(error, "orig", error)
        if isinstance(said, sqlite3.OperationalError):
            raise StoreError("store", location, *_meaning(str(said))) from error
        if type(said) is not sqlite3.DatabaseError:
            raise
        raise StoreError("store", location, f"damaged ({said})", "restore a backup to a new place") from error
    except NoResultFound as error:
        raise StoreError("store", location, "damaged (a row is missing)", "restore a backup to a new place") from error


def _meaning(said: str) -> tuple[str, str]:
    if "locked" in said:
        return f"another program kept it locked for {WAIT_S:g} s", "wait for that program or close it, then try again"
    if "readonly" in said:
        return "may only be read", "check who may write to the file and its folder"
    if "full" in said:
        return "the disk is full; nothing of this step was kept", "make room, then do the step again"
    if "unable to open" in said:
        return "cannot be opened", "check the path and who may read and write there"
    return f"the database stopped ({said})", "check the disk, then try again; nothing of this step was kept"
