"""Store versions: a made store equals a migrated one, an older one is brought up, a newer one is refused."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import create_engine

from springwalk.errors import StoreError
from springwalk.store import migrate, open_store, schema
from springwalk.store.entries import put_record
from tests.contract.made_up import fill, records_of, trap

SECOND = """
import sqlalchemy as sa
from alembic import op
revision, down_revision = "0002", "0001"
def upgrade():
    op.add_column("files", sa.Column("note", sa.Text))
    BREAK
"""


def shape(path: Path) -> dict[str, str | None]:
    """Name and text of every table and index in the file."""
    with closing(sqlite3.connect(path)) as opened:
        rows = opened.execute("SELECT name, sql FROM sqlite_master WHERE name NOT LIKE '%alembic%'")
        return {name: sql and " ".join(sql.split()) for name, sql in rows}


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """A store of version 1 with something in it."""
    path = tmp_path / "old.db"
    with open_store(str(path), create=True) as store:
        fill(store)
    return path


@pytest.fixture
def next_version(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """This program as it may be one version later; gives the file of the second migration."""
    folder = tmp_path / "100% later"
    shutil.copytree(migrate.MIGRATIONS, folder)
    monkeypatch.setattr(migrate, "MIGRATIONS", folder)
    monkeypatch.setattr(migrate, "HEAD", 2)
    second = folder / "versions" / "0002_second.py"
    second.write_text(SECOND.replace("BREAK", ""))
    return second


def test_migrations_make_the_tables_the_program_knows(tmp_path: Path) -> None:
    """Two descriptions of one thing drift apart unless they are compared."""
    open_store(str(tmp_path / "migrated.db"), create=True).close()
    engine = create_engine(f"sqlite:///{tmp_path / 'fresh.db'}")
    schema.metadata.create_all(engine)
    engine.dispose()
    fresh = shape(tmp_path / "fresh.db")
    assert fresh == shape(tmp_path / "migrated.db")
    assert {"entries", "heads", "days", "one_current_day", "meta"} <= set(fresh)
    assert all(sql.endswith("STRICT") for sql in fresh.values() if sql and sql.startswith("CREATE TABLE"))


def test_the_version_is_the_newest_migration() -> None:
    """A migration file added without raising HEAD would never run."""
    files = sorted(path.name[:4] for path in (migrate.MIGRATIONS / "versions").glob("[0-9]*.py"))
    assert files == [f"{number:04d}" for number in range(1, migrate.HEAD + 1)]


def test_a_newer_store_is_refused(old: Path, next_version: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An older program must not write into tables it does not know."""
    open_store(str(old)).close()
    monkeypatch.setattr(migrate, "HEAD", 1)
    before = old.read_bytes()
    with pytest.raises(StoreError) as told:
        open_store(str(old))
    assert str(told.value) == f"store = {old}: made by a newer Springwalk; update this program."
    assert old.read_bytes() == before


def test_an_older_store_is_brought_up_and_keeps_its_records(old: Path, next_version: Path) -> None:
    """An update of the program in mid-season must cost nothing."""
    before = shape(old)
    with open_store(str(old)) as store:
        assert store.counter == 12
        assert trap() in records_of(store, "trap")
        with store.reading() as read:
            assert migrate.version_of(read.connection) == 2
        with store.writing() as write:
            assert put_record(write, trap()) == "same"
    after = shape(old)
    assert "note" in (after.pop("files") or "")
    assert "note" not in (before.pop("files") or "")
    assert before == after


def test_a_migration_that_fails_leaves_the_store_as_it_was(old: Path, next_version: Path) -> None:
    """Half a migration would leave a store no version can open."""
    next_version.write_text(SECOND.replace("BREAK", "raise RuntimeError('stopped')"))
    before = shape(old)
    with pytest.raises(StoreError) as told:
        open_store(str(old))
    said = "cannot be brought to version 2 (RuntimeError: stopped); it is as it was"
    assert str(told.value) == f"store = {old}: {said}; go on with the Springwalk it was made with, and report this."
    assert shape(old) == before
    next_version.write_text(SECOND.replace("BREAK", "pass  # mended"))
    open_store(str(old)).close()
    assert "note" in (shape(old)["files"] or "")


def test_a_migration_that_breaks_a_rule_of_the_tables_is_told(old: Path, next_version: Path) -> None:
    """What the database refuses in a migration is no less a fault of the store, not a traceback."""
    doubled = 'op.execute("INSERT INTO counter SELECT one, value FROM counter")'
    next_version.write_text(SECOND.replace("BREAK", doubled))
    before = shape(old)
    with pytest.raises(
        StoreError, match=r"cannot be brought to version 2 \(IntegrityError: .*UNIQUE constraint failed"
    ):
        open_store(str(old))
    assert shape(old) == before
