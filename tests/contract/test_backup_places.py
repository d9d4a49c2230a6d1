"""Where a backup may be written and read: only our own backup is replaced, and nothing that could wait for ever."""

from __future__ import annotations

import errno
import json
import os
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from springwalk.errors import BadFile
from springwalk.store import Store, backup, open_store, restore
from tests.contract.made_up import fill


def refused(store: Store, path: Path) -> str:
    """The message of a refused backup."""
    with pytest.raises(BadFile) as told:
        backup(store, path)
    assert told.value.exit_code == 4
    return str(told.value)


# members of a zip that is not ours
ZIPS = {
    "a spreadsheet": {"[Content_Types].xml": "<Types/>", "xl/workbook.xml": "<workbook/>"},
    "a manifest of another program": {"manifest.json": json.dumps({"format": "other-backup"})},
    "a manifest that is a list": {"manifest.json": "[1]"},
    "a manifest that is no JSON": {"manifest.json": "Manifest-Version: 1.0"},
    "an empty zip": {},
}


@pytest.mark.parametrize("members", ZIPS.values(), ids=ZIPS.keys())
def test_a_zip_of_another_program_is_never_replaced(store: Store, tmp_path: Path, members: dict[str, str]) -> None:
    """A spreadsheet is a zip too, and so are many letters; a slip in the path must not cost one."""
    other = tmp_path / "fields.xlsx"
    with zipfile.ZipFile(other, "w") as pack:
        for name, text in members.items():
            pack.writestr(name, text)
    before = other.read_bytes()
    assert zipfile.is_zipfile(other)
    said = "there is another file here, not a backup; give another path."
    assert refused(store, other) == f"backup = {other}: {said}"
    assert other.read_bytes() == before


def make_pipe(path: Path) -> None:
    """A pipe nobody writes to: whoever opens it waits for ever."""
    os.mkfifo(path)


def make_loop(path: Path) -> None:
    """Two links that point at each other."""
    path.symlink_to(path.with_name("other"))
    path.with_name("other").symlink_to(path)


PLACES: dict[str, tuple[Callable[[Path], object], str, str]] = {
    "pipe": (make_pipe, "b.zip", "a pipe or device"),
    "device": (lambda path: path.symlink_to(os.devnull), "b.zip", "a pipe or device"),
    "folder": (Path.mkdir, "b.zip", "a folder"),
    "loop": (make_loop, "b.zip", "a path the system refuses (Too many levels of symbolic links)"),
    "long": (lambda _: None, "b" * 5000, "a path the system refuses (File name too long)"),
}


@pytest.mark.timeout(20)
@pytest.mark.parametrize(("make", "name", "told"), PLACES.values(), ids=PLACES.keys())
def test_what_is_no_file_is_refused_and_never_waited_for(
    store: Store,
    tmp_path: Path,
    new_location: Callable[[], str],
    make: Callable[[Path], object],
    name: str,
    told: str,
) -> None:
    """A command that hangs on a pipe, or dies of a strange path, tells the user nothing."""
    path = tmp_path / name
    make(path)
    before = sorted(tmp_path.iterdir())
    assert refused(store, path) == f"backup = {path}: {told}, not a file; give another path."
    with pytest.raises(BadFile) as source:
        restore(path, new_location())
    assert str(source.value) == f"backup = {path}: {told}, not a file; check the path."
    backup(store, good := tmp_path / "good.zip")
    with pytest.raises(BadFile) as target:
        restore(good, str(path))
    assert str(target.value) == f"store = {path}: {told}, not a place for a store; give another path."
    good.unlink()
    assert sorted(tmp_path.iterdir()) == before


def test_a_name_with_no_room_for_an_ending_is_told(store: Store, tmp_path: Path) -> None:
    """The unfinished file needs a longer name than the backup; that must not end in a traceback."""
    path = tmp_path / ("b" * 250)
    assert (
        refused(store, path) == f"backup = {path}: cannot be written (File name too long); check the folder and disk."
    )


def test_a_full_disk_leaves_the_backup_before(store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The one good backup must not be lost to a failed one."""
    path = tmp_path / "b.zip"
    backup(store, path)
    before = path.read_bytes()
    fill(store)

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    said = "cannot be written (No space left on device); check the folder and disk."
    assert refused(store, path) == f"backup = {path}: {said}"
    assert (path.read_bytes(), list(tmp_path.iterdir())) == (before, [path])


def test_unfinished_files_of_killed_programs_are_cleared(
    store: Store, tmp_path: Path, new_location: Callable[[], str]
) -> None:
    """A backup that is killed each night must not fill the disk; what may still be written is left alone."""
    path, twelve = tmp_path / "b.zip", "0123456789ab"
    old = [f"b.zip.{twelve}.part", f"b.zip.{twelve}.new", f"b.zip.{twelve}.new-wal"]
    others = [f"b.zip.{twelve}.bak", "b.zip.notes.part", f"c.zip.{twelve}.part", f"ab.zip.{twelve}.part"]
    young = f"b.zip.{'f' * 12}.part"
    for name in [*old, *others, young]:
        (tmp_path / name).touch()
        if name != young:
            os.utime(tmp_path / name, (1, 1))
    backup(store, path)
    assert sorted(each.name for each in tmp_path.iterdir()) == sorted(["b.zip", young, *others])
    location = Path(new_location())
    left = location.with_name(f"{location.name}.{twelve}.new-journal")
    left.touch()
    os.utime(left, (1, 1))
    open_store(str(location), create=True).close()
    assert not left.exists()
