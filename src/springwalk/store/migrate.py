"""Store versions: which one a file has, and the way up to today's. Alembic is loaded only when it is needed."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection, delete, insert, inspect, select

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


def upgrade(connection: Connection) -> None:
    """Run the missing migrations inside the transaction of ``connection`` and note the version reached."""
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))  # % means something in these options
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    command.upgrade(config, f"{HEAD:04d}")
    connection.execute(delete(meta).where(meta.c.key == "schema"))
    connection.execute(insert(meta).values(key="schema", value=str(HEAD)))
