"""The tables. Portable types only; instants are UTC text ``YYYY-MM-DDTHH:MM:SS.ffffffZ``; days are ``YYYY-MM-DD``.

A change here needs a new file in ``migrations/versions`` and one more in ``migrate.HEAD``; a test compares both ways.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import REAL, CheckConstraint, Column, Double, ForeignKey, Index, Integer, MetaData, Table, Text, text

metadata = MetaData()

Number: Double[float] = Double().with_variant(REAL(), "sqlite")
"""float64 everywhere; SQLite's STRICT tables know it only as REAL."""

INSTANT_LENGTH = 27


def _instant(name: str) -> CheckConstraint:
    return CheckConstraint(f"length({name}) = {INSTANT_LENGTH}", name=f"{name}_is_an_instant")


def _table(name: str, *parts: Any) -> Table:
    return Table(name, metadata, *parts, sqlite_strict=True)


entries = _table(
    "entries",
    Column("seq", Integer, nullable=False, unique=True),
    Column("id", Text, primary_key=True),
    Column("thing", Text, nullable=False, index=True),
    Column("parents", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("schema", Integer, nullable=False),
    Column("body", Text, nullable=False),
    Column("sha256", Text, nullable=False),
    Column("device", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("made_at", Text, nullable=False),
    Column("sent_at", Text),
    Column("received_at", Text, nullable=False),
    CheckConstraint("seq > 0", name="seq_counts_from_one"),
    CheckConstraint("length(id) > 0 AND length(thing) > 0", name="entry_is_named"),
    CheckConstraint("parents LIKE '[%]'", name="parents_is_a_list"),
    CheckConstraint("length(sha256) = 64", name="sha256_is_whole"),
    _instant("made_at"),
    _instant("sent_at"),
    _instant("received_at"),
)
"""What was seen, typed or told: never rewritten, never deleted."""

links = _table(
    "links",
    Column("parent", Text, primary_key=True),
    Column("child", Text, ForeignKey("entries.id"), primary_key=True),
)
"""Derived from entries.parents, one row per parent, so that a parent that arrives after its child is no head."""

heads = _table(
    "heads",
    Column("thing", Text, primary_key=True),
    Column("entry", Text, ForeignKey("entries.id"), primary_key=True, unique=True),
)
"""Derived: the entries nobody has replaced. Two rows for a thing = a conflict."""

days = _table(
    "days",
    Column("station", Text, primary_key=True),
    Column("date", Text, primary_key=True),
    Column("revision", Integer, primary_key=True),
    Column("min_c", Number),
    Column("max_c", Number),
    Column("rain_mm", Number),
    Column("source", Text, nullable=False),
    Column("taken_at", Text, nullable=False),
    Column("current", Integer, nullable=False),
    CheckConstraint("length(date) = 10", name="date_is_a_day"),
    CheckConstraint("revision > 0", name="revision_counts_from_one"),
    CheckConstraint("current IN (0, 1)", name="current_is_yes_or_no"),
    _instant("taken_at"),
)
"""Station days in °C and mm, NULL = not reported. A changed value is a new revision."""

Index(
    "one_current_day",
    days.c.station,
    days.c.date,
    unique=True,
    sqlite_where=text("current = 1"),
    postgresql_where=text("current = 1"),
)

files = _table(
    "files",
    Column("name", Text, primary_key=True),
    Column("seq", Integer, primary_key=True, unique=True),
    Column("sha256", Text, nullable=False),
    Column("taken_at", Text, nullable=False),
    CheckConstraint("length(sha256) = 64", name="file_sha256_is_whole"),
    _instant("taken_at"),
)
"""Receipts of files taken in; the newest for a name has the highest seq."""

results = _table(
    "results",
    Column("key", Text, primary_key=True),
    Column("body", Text, nullable=False),
)
"""Kept answers; may be thrown away at any time."""

counter = _table(
    "counter",
    Column("one", Integer, primary_key=True, autoincrement=False),
    Column("value", Integer, nullable=False),
    CheckConstraint("one = 1", name="counter_has_one_row"),
    CheckConstraint("value >= 0", name="counter_is_not_negative"),
)
"""The one number every write takes first."""

meta = _table(
    "meta",
    Column("key", Text, primary_key=True),
    Column("value", Text, nullable=False),
)
"""``epoch`` (changed by restore) and ``schema`` (the number of the newest migration run)."""
