"""Making a store: built whole beside its place and then put there, so a half-made store is never seen."""

from __future__ import annotations

import os
import uuid
from collections.abc import Callable
from pathlib import Path

from sqlalchemy import Connection, insert

from springwalk.errors import StoreError
from springwalk.store import migrate
from springwalk.store.connect import engine_for, transaction
from springwalk.store.places import BESIDE, discard, sync_folder, unfinished
from springwalk.store.schema import counter, meta


def new_file(path: Path, location: str, fill: Callable[[Connection], None] | None = None, *, value: int = 0) -> bool:
    """Make an empty store at ``path``, with a new epoch and its counter at ``value``; ``fill`` adds rows.

    All in one transaction on a file beside ``path``. Returns False, and changes nothing, when a file is
    there already. Raises StoreError when the folder is missing or closed.
    """
    if not path.parent.is_dir():
        raise StoreError("store", location, "its folder does not exist", "make the folder first")
    _refuse_leftovers(path, location)
    part = unfinished(path, ".new")
    try:
        _build(part, location, fill, value)
        return _put_in_place(part, path)
    except OSError as error:
        raise StoreError(
            "store", location, f"cannot be made ({error.strerror})", "check the folder and disk"
        ) from error
    finally:
        for end in ("", *BESIDE):
            discard(part.with_name(part.name + end))


def _refuse_leftovers(path: Path, location: str) -> None:
    """SQLite would take a log beside the new file for its own and write another store's pages into it."""
    for end in BESIDE:
        left = path.with_name(path.name + end)
        if left.exists() and not path.exists():  # in this order: another program may be making the store right now
            rule = f"{left.name} of an earlier store lies beside it"
            raise StoreError("store", location, rule, "move that file away first")


def _build(part: Path, location: str, fill: Callable[[Connection], None] | None, value: int) -> None:
    engine = engine_for(part, wal=True)
    try:
        with transaction(engine, location, write=True) as connection:
            migrate.upgrade(connection, location)
            connection.execute(insert(meta).values(key="epoch", value=str(uuid.uuid4())))
            connection.execute(insert(counter).values(one=1, value=value))
            if fill is not None:
                fill(connection)
    finally:
        engine.dispose()  # the last connection writes the log back into the one file


def _put_in_place(part: Path, path: Path) -> bool:
    try:
        os.link(part, path)  # unlike a rename, this never replaces a file
    except FileExistsError:
        return False
    except OSError:  # a disk without links
        if path.exists():
            return False
        part.rename(path)
    sync_folder(path.parent)
    return True
