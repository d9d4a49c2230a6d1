"""Store versions: which one a file has, and the way up to today's. Alembic is loaded only when it is needed."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection, delete, insert, inspect, select
from sqlalchemy.exc import OperationalError

from springwalk.errors import SpringwalkError, StoreError
from springwalk.store.schema import meta

HEAD = 1
"""The newest store version this program knows: the number of the last file in ``migrations/versions``."""

MIGRATIONS = Path(__file__).parent / "migrations"


def version_of(connection: Connection) -> int | None:
    """The version of the store behind ``connection``; None where the database is no Springwalk store."""
    if not inspect(connection).has_table(meta.name):
        return None
    columns = {column["name"] for column in inspect(connection).get_columns(meta.name)}
    if not {"key", "value"} <= columns:
        return None
    said = connection.execute(select(meta.c.value).where(meta.c.key == "schema")).scalar()
    return int(said) if isinstance(said, str) and said.isdecimal() else None


def upgrade(connection: Connection, location: str) -> None:
    """Run the missing migrations inside the transaction of ``connection`` and note the version reached.

    Raises StoreError for whatever a migration stumbles over; nothing of it is kept then.
    """
    try:
        _run(connection)
    except (SpringwalkError, OperationalError):  # a full disk or a lock is told by the transaction itself
        raise
    except Exception as error:
        told = " ".join(f"{type(error).__name__}: {error}".split())
        rule = f"cannot be brought to version {HEAD} ({told}); it is as it was"
        todo = "go on with the Springwalk it was made with, and report this"
        raise StoreError("store", location, rule, todo) from error


def _run(connection: Connection) -> None:
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))  # % means something in these options
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    command.upgrade(config, f"{HEAD:04d}")
    connection.execute(delete(meta).where(meta.c.key == "schema"))
    connection.execute(insert(meta).values(key="schema", value=str(HEAD)))
