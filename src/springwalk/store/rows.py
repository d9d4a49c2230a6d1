"""Rows of a backup, held to the store's own rules: sums that fit prove nothing about what is inside."""

from __future__ import annotations

import json
import math
import re
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, Table, func, select

from springwalk.store.entry import Entry, check, digest
from springwalk.store.schema import days, entries

_INSTANT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}\.[0-9]{6}Z")
_INSTANTS = ("made_at", "sent_at", "received_at", "taken_at")


def check_row(row: Any, table: Table, counter: int) -> None:
    """Raise ValueError for a row that is not one of ``table``'s, whatever its checksum says."""
    if not isinstance(row, dict) or set(row) != set(table.c.keys()):
        raise ValueError("columns")
    for column in table.c:
        value, wanted = row[column.name], column.type.python_type
        fits = type(value) is wanted or (type(value) is int and wanted is float)  # JSON may write 3.0 as 3
        if value is not None and not (fits and (wanted is str or math.isfinite(value))):
            raise ValueError(column.name)
        if value is not None and column.name in _INSTANTS:
            _check_instant(value)
    if "seq" in row and row["seq"] > counter:
        raise ValueError("numbered after the counter")
    if table is days and date.fromisoformat(row["date"]).isoformat() != row["date"]:
        raise ValueError("date")
    if table is entries:
        _check_entry(row)


def _check_instant(text: str) -> None:
    if not _INSTANT.fullmatch(text):
        raise ValueError("instant")
    datetime.fromisoformat(text)


def _check_entry(row: dict[str, Any]) -> None:
    parents = json.loads(row["parents"])
    if not isinstance(parents, list) or not all(isinstance(parent, str) for parent in parents):
        raise ValueError("parents")
    check(Entry(**{**row, "parents": tuple(parents)}))
    if digest(row["body"]) != row["sha256"]:
        raise ValueError("body")


def check_days(connection: Connection) -> None:
    """Raise ValueError unless the newest revision of every station day in the store is its current one."""
    newest = func.max(days.c.revision)
    current = func.max(days.c.revision * days.c.current)
    query = select(days.c.station).group_by(days.c.station, days.c.date).having(newest != current).limit(1)
    if connection.execute(query).first() is not None:
        raise ValueError("a day without a current row")
