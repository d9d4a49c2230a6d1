"""Receipts of the files taken in: name, sha256 and when."""

from __future__ import annotations

from typing import Literal

from sqlalchemy import insert, select

from springwalk.store.core import Reading, Writing
from springwalk.store.schema import files as files_table


def put_file(write: Writing, name: str, sha256: str) -> Literal["new", "same", "revised"]:
    """Keep a receipt for a file (hex sha256 of its bytes); nothing when the newest receipt for ``name`` is the same."""
    before = file_sha256(write, name)
    if before == sha256:
        return "same"
    row = {"name": name, "seq": write.next_seq(), "sha256": sha256, "taken_at": write.now}
    write.connection.execute(insert(files_table).values(**row))
    return "new" if before is None else "revised"


def file_sha256(read: Reading, name: str) -> str | None:
    """The sha256 of a file as last taken in; None when it never was."""
    query = select(files_table.c.sha256).where(files_table.c.name == name).order_by(files_table.c.seq.desc()).limit(1)
    found: str | None = read.connection.execute(query).scalar()
    return found


def files(read: Reading) -> list[tuple[str, str, str]]:
    """All receipts (name, sha256, taken at), oldest first."""
    c = files_table.c
    return [tuple(row) for row in read.connection.execute(select(c.name, c.sha256, c.taken_at).order_by(c.seq))]
