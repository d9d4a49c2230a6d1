"""Backup and restore: everything, the same bytes twice, and no half store from a bad file."""

from __future__ import annotations

import hashlib
import json
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from springwalk.errors import BadFile, StoreError
from springwalk.store import Store, backup, open_store, restore
from springwalk.store.days import day_revisions, days, put_days
from springwalk.store.entries import append, conflicts, heads, history, put_record
from springwalk.store.files import files, put_file
from tests.contract.made_up import SHA_B, catch, day, fill, trap

COUNTS = {"entries": 10, "days": 5, "files": 2}


def everything(store: Store) -> tuple[object, ...]:
    """All a store holds, as its readers see it."""
    with store.reading() as read:
        found = heads(read)
        told = [history(read, thing) for thing in sorted({entry.thing for entry in found})]
        revised = day_revisions(read, "north", day(2).date)
        return found, told, conflicts(read), days(read), revised, files(read), read.counter


@pytest.fixture
def pack(store: Store, tmp_path: Path) -> Path:
    """A good backup of a store that holds a little of everything."""
    fill(store)
    backup(store, tmp_path / "season.zip")
    return tmp_path / "season.zip"


def test_a_restored_store_holds_everything(store: Store, pack: Path, new_location: Callable[[], str]) -> None:
    """A backup that loses a record, a number or a conflict is none."""
    location = new_location()
    assert restore(pack, location) == COUNTS
    with open_store(location) as again:
        assert everything(again) == everything(store)
        assert again.epoch != store.epoch, "phones must offer everything again"
        with again.writing() as write:
            assert put_record(write, catch(4)) == "same"
            assert put_days(write, [day(2, 2.9)]).same == 1
            assert put_file(write, "weather/north.csv", SHA_B) == "same"
        with again.writing() as write:
            assert append(write, trap("t9")).seq == store.counter + 1


def test_two_backups_of_a_store_are_the_same_bytes(store: Store, pack: Path, new_location: Callable[[], str]) -> None:
    """The same bytes let anyone see that nothing changed; a restored store gives them too."""
    assert backup(store, pack.with_name("second.zip")) == COUNTS
    location = new_location()
    restore(pack, location)
    with open_store(location) as again:
        backup(again, pack.with_name("third.zip"))
    assert pack.read_bytes() == pack.with_name("second.zip").read_bytes() == pack.with_name("third.zip").read_bytes()


def test_an_empty_store_can_be_backed_up(store: Store, tmp_path: Path, new_location: Callable[[], str]) -> None:
    """The first backup may come before the first record."""
    backup(store, tmp_path / "b.zip")
    assert restore(tmp_path / "b.zip", new_location()) == {"entries": 0, "days": 0, "files": 0}


def test_a_backup_is_readable_without_this_program(pack: Path) -> None:
    """Records outlive programs: plain JSON lines in a zip, with their sums."""
    with zipfile.ZipFile(pack) as opened:
        manifest = json.loads(opened.read("manifest.json"))
        lines = opened.read("entries.jsonl").decode().split("\n")
    assert (manifest["format"], manifest["version"], manifest["counter"]) == ("springwalk-backup", 1, 12)
    assert [json.loads(line)["seq"] for line in lines[:-1]] == list(range(1, 11))
    digest = hashlib.sha256("\n".join(lines).encode()).hexdigest()
    said = manifest["members"]["entries.jsonl"]
    assert (said["sha256"], said["rows"]) == (digest, 10)


def test_a_backup_replaces_the_one_before_and_leaves_no_other_file(store: Store, pack: Path) -> None:
    """One name for the nightly backup, and no litter beside it."""
    old = pack.read_bytes()
    with store.writing() as write:
        put_record(write, trap("t7"))
    backup(store, pack)
    assert pack.read_bytes() != old
    assert [path.name for path in pack.parent.iterdir()] == ["season.zip"]


def test_a_backup_never_replaces_another_file(store: Store, tmp_path: Path) -> None:
    """A slip in the path must not cost a letter or a spreadsheet."""
    other = tmp_path / "letter.txt"
    other.write_text("Dear grower")
    with pytest.raises(BadFile) as told:
        backup(store, other)
    assert str(told.value) == f"backup = {other}: there is another file here, not a backup; give another path."
    assert other.read_text() == "Dear grower"


def test_a_backup_into_a_missing_folder_is_told(store: Store, tmp_path: Path) -> None:
    """The user must learn that there is no backup."""
    path = tmp_path / "none" / "b.zip"
    with pytest.raises(BadFile) as told:
        backup(store, path)
    said = "cannot be written (No such file or directory); check the folder and disk."
    assert str(told.value) == f"backup = {path}: {said}"


def test_restore_never_touches_a_store_that_is_there(store: Store, pack: Path) -> None:
    """Restoring over this season's store would lose what came after the backup."""
    before = everything(store)
    with pytest.raises(BadFile) as told:
        restore(pack, store.location)
    said = "there is a file here already; give another path or move that file away first."
    assert str(told.value) == f"store = {store.location}: {said}"
    assert everything(store) == before


def rewritten(pack: Path, change: Callable[[dict[str, bytes]], None], *, resum: bool = False) -> Path:
    """The backup with its members changed; ``resum`` makes the sums fit again, as a careful forger would."""
    with zipfile.ZipFile(pack) as opened:
        members = {name: opened.read(name) for name in opened.namelist()}
    change(members)
    if resum:
        manifest = json.loads(members["manifest.json"])
        for name, said in manifest["members"].items():
            said["sha256"] = hashlib.sha256(members[name]).hexdigest()
        members["manifest.json"] = json.dumps(manifest).encode()
    with zipfile.ZipFile(pack, "w", zipfile.ZIP_DEFLATED) as out:
        for name, data in members.items():
            out.writestr(name, data)
    return pack


def refused(pack: Path, location: str) -> str:
    """The message of a refused restore, after a look that nothing was left behind."""
    folder = Path(location).parent
    before = sorted(folder.iterdir())
    with pytest.raises(BadFile) as told:
        restore(pack, location)
    assert sorted(folder.iterdir()) == before, "a half store was left behind"
    return str(told.value)


def manifest_with(**changes: Any) -> Callable[[dict[str, bytes]], None]:
    """A change of the manifest."""

    def change(members: dict[str, bytes]) -> None:
        members["manifest.json"] = json.dumps({**json.loads(members["manifest.json"]), **changes}).encode()

    return change


def first_row(member: str, **changes: Any) -> Callable[[dict[str, bytes]], None]:
    """A change of a member's first row; a value of ``...`` takes the column away."""

    def change(members: dict[str, bytes]) -> None:
        first, rest = members[member].split(b"\n", 1)
        row = {name: value for name, value in {**json.loads(first), **changes}.items() if value is not ...}
        members[member] = json.dumps(row).encode() + b"\n" + rest

    return change


def drop_entries(members: dict[str, bytes]) -> None:
    """A member too few."""
    del members["entries.jsonl"]


def cut_row(members: dict[str, bytes]) -> None:
    """A row too few."""
    members["days.jsonl"] = members["days.jsonl"].split(b"\n", 1)[1]


def older_day_is_current(members: dict[str, bytes]) -> None:
    """The corrected value of a day given up for the first one."""
    rows = [json.loads(line) for line in members["days.jsonl"].splitlines()]
    torn = [row for row in rows if (row["station"], row["date"]) == ("north", "2026-04-02")]
    assert [row["current"] for row in torn] == [0, 1]
    for row in torn:
        row["current"] = 1 - row["current"]
    members["days.jsonl"] = b"".join(json.dumps(row).encode() + b"\n" for row in rows)


def one_letter(members: dict[str, bytes]) -> None:
    """One word changed."""
    members["entries.jsonl"] = members["entries.jsonl"].replace(b"creek", b"crack")


OWN = "use a backup made by Springwalk."


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (drop_entries, f"a zip of something else; {OWN}"),
        (one_letter, "entries.jsonl is not what was backed up; use another backup."),
        (cut_row, "days.jsonl is not what was backed up; use another backup."),
        (manifest_with(format="other"), f"its manifest cannot be read; {OWN}"),
        (manifest_with(version=2), "made by a newer Springwalk; update this program."),
        (manifest_with(version="1"), f"its manifest cannot be read; {OWN}"),
        (manifest_with(version=True), f"its manifest cannot be read; {OWN}"),
        (manifest_with(version=-5), f"its manifest cannot be read; {OWN}"),
        (manifest_with(version=0), f"its manifest cannot be read; {OWN}"),
        (manifest_with(counter=-1), f"its manifest cannot be read; {OWN}"),
        (manifest_with(members={}), f"its manifest cannot be read; {OWN}"),
    ],
)
def test_a_changed_backup_is_refused(
    pack: Path, new_location: Callable[[], str], change: Callable[[dict[str, bytes]], None], said: str
) -> None:
    """A backup is trusted with a whole season, so every part is checked before anything is written."""
    assert refused(rewritten(pack, change), new_location()) == f"backup = {pack}: {said}"


@pytest.mark.parametrize(
    ("change", "member"),
    [
        (first_row("entries.jsonl", seq="one"), "entries.jsonl"),
        (first_row("entries.jsonl", seq=10**6), "entries.jsonl"),
        (first_row("entries.jsonl", seq=2), "entries.jsonl"),
        (first_row("entries.jsonl", schema=2**70), "entries.jsonl"),
        (first_row("entries.jsonl", body="{}"), "entries.jsonl"),
        (first_row("entries.jsonl", parents="[1]"), "entries.jsonl"),
        (first_row("entries.jsonl", parents="{"), "entries.jsonl"),
        (first_row("entries.jsonl", colour="red"), "entries.jsonl"),
        (first_row("entries.jsonl", person=...), "entries.jsonl"),
        (first_row("entries.jsonl", person=["Ada"]), "entries.jsonl"),
        (first_row("entries.jsonl", made_at="yesterday"), "entries.jsonl"),
        (first_row("entries.jsonl", made_at="2026-05-20T25:00:00.000000Z"), "entries.jsonl"),
        (first_row("entries.jsonl", sent_at="2026-05-20T12:00:00.00000+Z"), "entries.jsonl"),
        (first_row("entries.jsonl", schema=2**31), "entries.jsonl"),
        (first_row("entries.jsonl", id="i", parents='["i"]'), "entries.jsonl"),
        (first_row("entries.jsonl", person="\ud800"), "entries.jsonl"),
        (first_row("days.jsonl", min_c=float("nan")), "days.jsonl"),
        (first_row("days.jsonl", min_c="12"), "days.jsonl"),
        (first_row("days.jsonl", min_c=True), "days.jsonl"),
        (first_row("days.jsonl", station=None), "days.jsonl"),
        (first_row("files.jsonl", seq=11.0), "files.jsonl"),
        (first_row("days.jsonl", current=3), "days.jsonl"),
        (first_row("days.jsonl", date="2016-x1-01"), "days.jsonl"),
        (first_row("days.jsonl", date="2026-02-30"), "days.jsonl"),
        (first_row("days.jsonl", date="2016-W20-2"), "days.jsonl"),
        (first_row("days.jsonl", current=0), "days.jsonl"),
        (older_day_is_current, "days.jsonl"),
        (cut_row, "days.jsonl"),
    ],
)
def test_a_forged_row_is_refused(
    pack: Path, new_location: Callable[[], str], change: Callable[[dict[str, bytes]], None], member: str
) -> None:
    """Sums that fit prove nothing about what is inside; no row may get past the store's own rules."""
    said = refused(rewritten(pack, change, resum=True), new_location())
    assert said.startswith(f"backup = {pack}: {member} holds what no store can hold, after row ")
    assert said.endswith(f"; {OWN}")


@pytest.mark.parametrize("keep", [0, 1, 100, -200, -1], ids=lambda keep: f"cut at {keep}")
def test_a_backup_cut_short_is_refused(pack: Path, new_location: Callable[[], str], keep: int) -> None:
    """A copy that stopped half way must not pass for a backup."""
    pack.write_bytes(pack.read_bytes()[:keep])
    said = "damaged, cut short or not a backup; use another backup."
    assert refused(pack, new_location()) == f"backup = {pack}: {said}"


def test_a_backup_with_one_bad_byte_anywhere_is_refused_or_unharmed(
    store: Store, pack: Path, new_location: Callable[[], str]
) -> None:
    """Old disks turn single bits: either the store is right or there is none; never a traceback."""
    good = pack.read_bytes()
    said: list[str] = []
    for place in range(0, len(good), 37):
        pack.write_bytes(good[:place] + bytes([good[place] ^ 0x10]) + good[place + 1 :])
        location = new_location()
        try:
            restore(pack, location)
        except BadFile as error:
            said.append(str(error))
        if not Path(location).exists():
            continue
        with open_store(location) as again:
            assert everything(again) == everything(store)
    assert len(said) > 20
    assert all(text.startswith(f"backup = {pack}: ") for text in said)


def test_a_store_too_large_for_a_backup_is_told(store: Store, pack: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A backup that restore would refuse must not be written; the one before must stay."""
    before = pack.read_bytes()
    monkeypatch.setattr(sys.modules["springwalk.store.backup"], "LIMIT_BYTES", 101_000)
    with pytest.raises(StoreError) as told:
        backup(store, pack)
    said = "more than a backup may hold (2 GB); copy the store file itself while no program uses it."
    assert str(told.value) == f"store = {store.location}: {said}"
    assert (pack.read_bytes(), [path.name for path in pack.parent.iterdir()]) == (before, ["season.zip"])


def test_a_zip_bomb_is_refused_before_it_is_unpacked(pack: Path, new_location: Callable[[], str]) -> None:
    """A small file must not fill the disk."""
    data = bytearray(pack.read_bytes())
    at = data.index(b"PK\x01\x02")  # the directory's line of the first member; its unpacked size is at +24
    data[at + 24 : at + 28] = (2_100_000_000).to_bytes(4, "little")
    pack.write_bytes(data)
    said = f"unpacks to more than 2 GB; {OWN}"
    assert refused(pack, new_location()) == f"backup = {pack}: {said}"


def test_a_backup_that_is_not_there_is_told(tmp_path: Path, new_location: Callable[[], str]) -> None:
    """A wrong path is the commonest slip."""
    path = tmp_path / "none.zip"
    assert refused(path, new_location()) == f"backup = {path}: there is no such file; check the path."
