"""Places on the disk: what lies at a path, files written whole beside their place, and what a killed program left."""

from __future__ import annotations

import os
import re
import stat
import time
import uuid
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO

BESIDE = ("-wal", "-shm", "-journal")
"""What SQLite keeps beside a database file."""

FILE, NOTHING, FOLDER = "a file", "nothing", "a folder"
STALE_S = 3600.0
"""Unfinished files older than this were left by a program that was killed."""


def absolute(path: str | Path) -> Path:
    """The path from the root with links followed; where the system cannot follow them, as it is written."""
    try:
        return Path(path).resolve()
    except (OSError, RuntimeError, ValueError):  # a loop of links, a name too long, a NUL
        return Path(path).absolute()


def found_at(path: Path) -> str:
    """FILE, NOTHING, FOLDER, or in words what else lies at ``path``; it is not opened, for a pipe may never answer."""
    try:
        mode = path.stat().st_mode
    except (FileNotFoundError, NotADirectoryError):
        return NOTHING
    except (OSError, ValueError) as error:
        return f"a path the system refuses ({getattr(error, 'strerror', None) or error})"
    if stat.S_ISREG(mode):
        return FILE
    return FOLDER if stat.S_ISDIR(mode) else "a pipe or device"


def may_write(path: Path) -> bool:
    """Whether this program may write the file at ``path`` and make files beside it, as SQLite must."""
    effective = os.access in os.supports_effective_ids
    return all(os.access(place, os.W_OK, effective_ids=effective) for place in (path, path.parent))


def unfinished(path: Path, end: str) -> Path:
    """A new name beside ``path`` for a file that is not whole yet, after old ones of killed programs are cleared."""
    _clear_stale(path)
    return path.with_name(f"{path.name}.{uuid.uuid4().hex[:12]}{end}")


def discard(path: Path) -> None:
    """Take a file away if it is there; where that cannot be done it stays, for there is an error to tell already."""
    with suppress(OSError):
        path.unlink()


@contextmanager
def written_whole(path: Path) -> Iterator[IO[bytes]]:
    """A file that takes the place of ``path`` at the end of the block, when all of it is on the disk.

    After an error, as on a full disk, what was at ``path`` is as it was. Raises OSError.
    """
    part = unfinished(path, ".part")
    try:
        with part.open("xb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
        sync_folder(path.parent)
    finally:
        discard(part)


def sync_folder(folder: Path) -> None:
    """Make a new name in ``folder`` last through a power cut, where the system can."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _clear_stale(path: Path) -> None:
    """Take away our own unfinished files of ``path`` that nobody has touched for an hour."""
    ours = re.compile(rf"{re.escape(path.name)}\.[0-9a-f]{{12}}\.(new|part)({'|'.join(BESIDE)})?")
    before = time.time() - STALE_S
    with suppress(OSError), os.scandir(path.parent) as found:
        for each in found:
            if ours.fullmatch(each.name) and each.is_file(follow_symlinks=False) and each.stat().st_mtime < before:
                discard(Path(each.path))
