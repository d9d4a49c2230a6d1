"""Backup and restore: one portable zip of plain text, the same bytes for the same store, checked before it is used.

Format 1: ``entries.jsonl``, ``days.jsonl``, ``files.jsonl`` (one JSON object a row, column names as keys) and
``manifest.json`` (format, version, counter, counts, sha256 and size of each member). Heads, links and kept results
are left out: they follow from the rest.
"""

from __future__ import annotations

import hashlib
import json
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import islice
from pathlib import Path
from typing import IO, Any, NoReturn

from sqlalchemy import Connection, Table, insert, select
from sqlalchemy.exc import DataError, IntegrityError, InterfaceError, ProgrammingError

from springwalk.errors import BadFile, StoreError
from springwalk.store.connect import file_of
from springwalk.store.core import Store
from springwalk.store.create import new_file
from springwalk.store.places import BESIDE, FILE, NOTHING, absolute, found_at, written_whole
from springwalk.store.rows import check_days, check_row
from springwalk.store.schema import days, entries, files, heads, links

FORMAT = "springwalk-backup"
VERSION = 1
LIMIT_BYTES = 2_000_000_000
"""No backup unpacks to more than this: a small file cannot fill the disk or the memory."""

_MANIFEST = "manifest.json"
_MANIFEST_LIMIT = 100_000
_TABLES: dict[str, tuple[Table, tuple[Any, ...]]] = {
    "entries.jsonl": (entries, (entries.c.seq,)),
    "days.jsonl": (days, (days.c.station, days.c.date, days.c.revision)),
    "files.jsonl": (files, (files.c.seq,)),
}
_CHUNK = 1 << 20
_BATCH = 1000
_REFUSED = (DataError, IntegrityError, InterfaceError, ProgrammingError)
_BROKEN = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError)
"""What unpacking a damaged, locked or foreign zip raises."""


def backup(store: Store, path: str | Path) -> dict[str, int]:
    """Write all of ``store`` as of one moment to the zip ``path``; returns the number of entries, days and files.

    An earlier backup at ``path`` is replaced only when the new one is whole. Raises BadFile when ``path`` is the
    store, any file but a backup, or cannot be written; StoreError when the store holds more than a backup may (2 GB).
    """
    shown = str(path)
    path = absolute(path)
    _check_target(store, path, shown)
    try:
        with written_whole(path) as file:
            return _write_zip(store, file)
    except OSError as error:
        raise BadFile("backup", shown, f"cannot be written ({error.strerror})", "check the folder and disk") from error


def _check_target(store: Store, path: Path, shown: str) -> None:
    own = store.path
    if path in {own.with_name(own.name + end) for end in ("", *BESIDE)}:
        raise BadFile("backup", shown, "this is the store itself", "give another path")
    found = found_at(path)
    if found == FILE and not _is_backup(path):
        raise BadFile("backup", shown, "there is another file here, not a backup", "give another path")
    if found not in (FILE, NOTHING):
        raise BadFile("backup", shown, f"{found}, not a file", "give another path")


def _is_backup(path: Path) -> bool:
    """Whether the file at ``path`` is a zip whose manifest says that we made it: a spreadsheet is a zip too."""
    try:
        with zipfile.ZipFile(path) as pack, pack.open(_MANIFEST) as member:
            said = json.loads(member.read(_MANIFEST_LIMIT))
    except (*_BROKEN, OSError, KeyError, ValueError):
        return False
    return isinstance(said, dict) and said.get("format") == FORMAT


def _write_zip(store: Store, file: Any) -> dict[str, int]:
    manifest: dict[str, Any] = {"format": FORMAT, "version": VERSION, "members": {}}
    total = 0
    with zipfile.ZipFile(file, "w") as pack, store.reading() as read:
        manifest["counter"] = read.counter
        for name, (table, order) in _TABLES.items():
            digest, size, rows = hashlib.sha256(), 0, 0
            with pack.open(_member(name), "w", force_zip64=True) as out:
                for row in read.connection.execute(select(table).order_by(*order)).mappings():
                    line = json.dumps(dict(row), ensure_ascii=False, allow_nan=False).encode() + b"\n"
                    digest.update(line)
                    out.write(line)
                    size, rows, total = size + len(line), rows + 1, total + len(line)
                    if total > LIMIT_BYTES - _MANIFEST_LIMIT:
                        todo = "copy the store file itself while no program uses it"
                        raise StoreError("store", store.location, "more than a backup may hold (2 GB)", todo)
            manifest["members"][name] = {"rows": rows, "bytes": size, "sha256": digest.hexdigest()}
        pack.writestr(_member(_MANIFEST), json.dumps(manifest, indent=1))
    return _counts(manifest)


def _member(name: str) -> zipfile.ZipInfo:
    """A zip member that says nothing about the time, the machine or its user."""
    member = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
    member.compress_type, member.create_system, member.external_attr = zipfile.ZIP_DEFLATED, 3, 0o644 << 16
    return member


def _counts(manifest: dict[str, Any]) -> dict[str, int]:
    return {name.removesuffix(".jsonl"): int(manifest["members"][name]["rows"]) for name in _TABLES}


def restore(path: str | Path, new_location: str) -> dict[str, int]:
    """Make a store at ``new_location`` from a backup; returns the number of entries, days and files.

    Keeps ids, numbers, instants, heads and the counter; the epoch is new, so phones offer everything again. All is
    checked before anything is written. Raises BadFile when there is a file already, and for a damaged, foreign or
    too large backup, StoreError where no store can be made; then no store is left behind.
    """
    target = file_of(new_location)
    there = found_at(target)
    if there == FILE:
        _refuse_existing(new_location)
    if there != NOTHING:
        raise BadFile("store", new_location, f"{there}, not a place for a store", "give another path")
    shown = str(path)
    _check_source(path, shown)
    try:
        with zipfile.ZipFile(path) as pack:
            manifest = _checked(pack, shown)

            def fill(connection: Connection) -> None:
                _fill(connection, pack, manifest, shown)

            made = new_file(target, new_location, fill, value=manifest["counter"])
    except (zipfile.BadZipFile, NotImplementedError, ValueError) as error:
        raise BadFile("backup", shown, "damaged, cut short or not a backup", "use another backup") from error
    except OSError as error:
        raise BadFile("backup", shown, f"cannot be read ({error.strerror})", "check the path") from error
    if not made:
        _refuse_existing(new_location)
    return _counts(manifest)


def _check_source(path: str | Path, shown: str) -> None:
    found = found_at(absolute(path))
    if found == NOTHING:
        raise BadFile("backup", shown, "there is no such file", "check the path")
    if found != FILE:
        raise BadFile("backup", shown, f"{found}, not a file", "check the path")


def _refuse_existing(location: str) -> NoReturn:
    raise BadFile("store", location, "there is a file here already", "give another path or move that file away first")


def _checked(pack: zipfile.ZipFile, shown: str) -> dict[str, Any]:
    """The manifest, after names, sizes and checksums of all members were found to be right."""
    infos = pack.infolist()
    if sum(info.file_size for info in infos) > LIMIT_BYTES:
        raise BadFile("backup", shown, "unpacks to more than 2 GB", "use a backup made by Springwalk")
    plain = all(info.compress_type in (zipfile.ZIP_DEFLATED, zipfile.ZIP_STORED) for info in infos)
    locked = any(info.flag_bits & 1 for info in infos)
    if sorted(info.filename for info in infos) != sorted([*_TABLES, _MANIFEST]) or not plain or locked:
        raise BadFile("backup", shown, "a zip of something else", "use a backup made by Springwalk")
    manifest = _manifest(pack, shown)
    for name in _TABLES:
        digest = hashlib.sha256()
        with _unpacked(pack, name, shown) as member:
            while chunk := member.read(_CHUNK):
                digest.update(chunk)
        if digest.hexdigest() != manifest["members"][name]["sha256"]:
            raise BadFile("backup", shown, f"{name} is not what was backed up", "use another backup")
    return manifest


def _manifest(pack: zipfile.ZipFile, shown: str) -> dict[str, Any]:
    with _unpacked(pack, _MANIFEST, shown) as member:
        text = member.read(_MANIFEST_LIMIT)
    try:
        said = json.loads(text)
        if said["format"] != FORMAT or type(said["version"]) is not int or said["version"] < 1:  # True is an int too
            raise ValueError("format")
        if said["version"] > VERSION:
            raise BadFile("backup", shown, "made by a newer Springwalk", "update this program")
        numbers = [said["counter"], *(said["members"][name]["rows"] for name in _TABLES)]
        if not all(type(number) is int and 0 <= number < 2**63 for number in numbers):
            raise ValueError("numbers")
        manifest: dict[str, Any] = said
        [said["members"][name]["sha256"] for name in _TABLES]
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise BadFile("backup", shown, "its manifest cannot be read", "use a backup made by Springwalk") from error
    return manifest


@contextmanager
def _unpacked(pack: zipfile.ZipFile, name: str, shown: str) -> Iterator[IO[bytes]]:
    """A member of the zip, with what can go wrong while unpacking it told as BadFile."""
    try:
        with pack.open(name) as member:
            yield member
    except _BROKEN as error:
        raise BadFile("backup", shown, f"{name} is damaged", "use another backup") from error


def _fill(connection: Connection, pack: zipfile.ZipFile, manifest: dict[str, Any], shown: str) -> None:
    """Put the rows of all members into an empty store; BadFile for a row no store could hold."""
    seen: list[tuple[str, str, list[str]]] = []
    for name, (table, _) in _TABLES.items():
        count = 0
        try:
            with _unpacked(pack, name, shown) as member:
                for rows in _batches(member):
                    for row in rows:
                        check_row(row, table, manifest["counter"])
                        if table is entries:
                            seen.append((row["id"], row["thing"], json.loads(row["parents"])))
                    connection.execute(insert(table), rows)
                    count += len(rows)
            if count != manifest["members"][name]["rows"]:
                raise ValueError("number of rows")
            if table is entries:
                _derive(connection, seen)
            if table is days:
                check_days(connection)
        except (*_REFUSED, ValueError, KeyError, TypeError, OverflowError, RecursionError) as error:
            rule = f"{name} holds what no store can hold, after row {count}"
            raise BadFile("backup", shown, rule, "use a backup made by Springwalk") from error


def _batches(member: IO[bytes]) -> Iterator[list[dict[str, Any]]]:
    """The rows of a member in handfuls."""
    while lines := list(islice(member, _BATCH)):
        yield [json.loads(line) for line in lines]


def _derive(connection: Connection, seen: list[tuple[str, str, list[str]]]) -> None:
    """Links and heads, which follow from the entries."""
    pairs = [{"parent": parent, "child": id} for id, _, parents in seen for parent in parents]
    replaced = {pair["parent"] for pair in pairs}
    current = [{"thing": thing, "entry": id} for id, thing, _ in seen if id not in replaced]
    for table, rows in ((links, pairs), (heads, current)):
        if rows:
            connection.execute(insert(table), rows)
