"""The first store: entries, days, files, results. Frozen: later changes go in later files."""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

NUMBER: sa.Double[float] = sa.Double().with_variant(sa.REAL(), "sqlite")


def instant(name: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(f"length({name}) = 27", name=f"{name}_is_an_instant")


def table(name: str, *parts: Any) -> None:
    op.create_table(name, *parts, sqlite_strict=True)


def upgrade() -> None:
    entries()
    table(
        "links",
        sa.Column("parent", sa.Text, primary_key=True),
        sa.Column("child", sa.Text, sa.ForeignKey("entries.id"), primary_key=True),
    )
    table(
        "heads",
        sa.Column("thing", sa.Text, primary_key=True),
        sa.Column("entry", sa.Text, sa.ForeignKey("entries.id"), primary_key=True, unique=True),
    )
    days()
    table(
        "files",
        sa.Column("name", sa.Text, primary_key=True),
        sa.Column("seq", sa.Integer, primary_key=True, unique=True),
        sa.Column("sha256", sa.Text, nullable=False),
        sa.Column("taken_at", sa.Text, nullable=False),
        sa.CheckConstraint("length(sha256) = 64", name="file_sha256_is_whole"),
        instant("taken_at"),
    )
    table("results", sa.Column("key", sa.Text, primary_key=True), sa.Column("body", sa.Text, nullable=False))
    table(
        "counter",
        sa.Column("one", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("value", sa.Integer, nullable=False),
        sa.CheckConstraint("one = 1", name="counter_has_one_row"),
        sa.CheckConstraint("value >= 0", name="counter_is_not_negative"),
    )
    table("meta", sa.Column("key", sa.Text, primary_key=True), sa.Column("value", sa.Text, nullable=False))


def entries() -> None:
    table(
        "entries",
        sa.Column("seq", sa.Integer, nullable=False, unique=True),
        sa.Column("id", sa.Text, primary_key=True),
        sa.Column("thing", sa.Text, nullable=False),
        sa.Column("parents", sa.Text, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("schema", sa.Integer, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.Column("sha256", sa.Text, nullable=False),
        sa.Column("device", sa.Text, nullable=False),
        sa.Column("person", sa.Text, nullable=False),
        sa.Column("made_at", sa.Text, nullable=False),
        sa.Column("sent_at", sa.Text),
        sa.Column("received_at", sa.Text, nullable=False),
        sa.CheckConstraint("seq > 0", name="seq_counts_from_one"),
        sa.CheckConstraint("length(id) > 0 AND length(thing) > 0", name="entry_is_named"),
        sa.CheckConstraint("parents LIKE '[%]'", name="parents_is_a_list"),
        sa.CheckConstraint("length(sha256) = 64", name="sha256_is_whole"),
        instant("made_at"),
        instant("sent_at"),
        instant("received_at"),
    )
    op.create_index("ix_entries_thing", "entries", ["thing"])


def days() -> None:
    table(
        "days",
        sa.Column("station", sa.Text, primary_key=True),
        sa.Column("date", sa.Text, primary_key=True),
        sa.Column("revision", sa.Integer, primary_key=True),
        sa.Column("min_c", NUMBER),
        sa.Column("max_c", NUMBER),
        sa.Column("rain_mm", NUMBER),
        sa.Column("source", sa.Text, nullable=False),
        sa.Column("taken_at", sa.Text, nullable=False),
        sa.Column("current", sa.Integer, nullable=False),
        sa.CheckConstraint("length(date) = 10", name="date_is_a_day"),
        sa.CheckConstraint("revision > 0", name="revision_counts_from_one"),
        sa.CheckConstraint("current IN (0, 1)", name="current_is_yes_or_no"),
        instant("taken_at"),
    )
    where = sa.text("current = 1")
    op.create_index(
        "one_current_day", "days", ["station", "date"], unique=True, sqlite_where=where, postgresql_where=where
    )
