"""Kept results: text by key. They may be forgotten at any time, and keeping one does not move the counter."""

from __future__ import annotations

from sqlalchemy import delete, func, insert, select

from springwalk.store.core import Reading, Writing
from springwalk.store.schema import results


def get_result(read: Reading, key: str) -> str | None:
    """The text kept under ``key``; None where there is none."""
    found: str | None = read.connection.execute(select(results.c.body).where(results.c.key == key)).scalar()
    return found


def put_result(write: Writing, key: str, body: str) -> None:
    """Keep ``body`` under ``key`` in place of what was there."""
    write.connection.execute(delete(results).where(results.c.key == key))
    write.connection.execute(insert(results).values(key=key, body=body))
    write.kept_result = True


def forget_results(write: Writing, *, but: str) -> int:
    """Forget the results whose key does not begin with ``but``; returns how many."""
    stale = func.substr(results.c.key, 1, len(but)) != but
    gone = write.connection.execute(delete(results).where(stale)).rowcount
    write.kept_result = write.kept_result or gone > 0
    return gone
