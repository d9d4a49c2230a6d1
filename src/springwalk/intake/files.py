"""Getting the text of an outside file: size first, then bytes, then characters."""

from __future__ import annotations

import gzip
import hashlib
import io
import os
import zlib
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from springwalk.errors import BadFile
from springwalk.intake.faults import FaultList, counted, printable, shown

IN_SEASON = "check the name in season.toml"
LONGEST_PATH = 200
LIMIT_BYTES = 64 * 1024 * 1024
GZIP_MARK = b"\x1f\x8b"
SAVE_AS_UTF8 = "save it again as UTF-8 (in a spreadsheet: 'CSV UTF-8')"


@dataclass(frozen=True)
class FileText:
    """A file's text (None where it could not be read) and the SHA-256 of its bytes ("" where they were not read)."""

    text: str | None
    sha256: str


NOT_READ = FileText(None, "")


def inside(name: str) -> bool:
    """Whether a path written in season.toml stays in the folder."""
    path = PurePosixPath(name.replace("\\", "/"))
    return bool(name.strip()) and name.isprintable() and not path.is_absolute() and ".." not in path.parts


def check_folder(folder: Path) -> None:
    """Raise BadFile, in one line, for what is no folder that can be read."""
    todo = "check its name, or make it with springwalk start FOLDER"
    try:
        with os.scandir(folder):
            return
    except FileNotFoundError:
        rule = "there is no such folder"
    except NotADirectoryError:
        rule = "not a folder"
    except (OSError, ValueError) as error:
        rule = f"can't be read ({getattr(error, 'strerror', None) or error})"
        todo = "check the path, and who may read there"
    raise BadFile("folder", shown_path(folder), rule, todo)


def shown_path(path: Path) -> str:
    """A path as it can be printed on one line; the middle of a very long one is left out."""
    text = printable(str(path))
    return text if len(text) <= LONGEST_PATH else f"{text[: LONGEST_PATH // 2]} … {text[-LONGEST_PATH // 4 :]}"


@dataclass(frozen=True)
class FileBytes:
    """A file's bytes (None where they could not be read) and their SHA-256 ("" where they were not read)."""

    data: bytes | None
    sha256: str


NO_BYTES = FileBytes(None, "")


def read_text(path: Path, faults: FaultList, *, limit_bytes: int = LIMIT_BYTES, named: str = IN_SEASON) -> FileText:
    """The text of a UTF-8 file, gzipped or not; one that can't be read is listed in ``faults``.

    Size is checked before reading, and again while unpacking. ``named`` is what to do about a wrong name. The
    SHA-256 is of the bytes as they lie there.
    """
    file = read_bytes(path, faults, limit_bytes=limit_bytes, named=named)
    data = file.data
    if data is not None and data.startswith(GZIP_MARK):
        data = _unpacked(data, faults, limit_bytes)
    return FileText(None if data is None else _decode(data, faults), file.sha256)


def read_bytes(path: Path, faults: FaultList, *, limit_bytes: int = LIMIT_BYTES, named: str = IN_SEASON) -> FileBytes:
    """The bytes of a file no larger than the limit; one that can't be read is listed in ``faults``."""
    try:
        if not path.is_file():
            rule = "there is no such file" if not path.exists() else "not an ordinary file"
            faults.not_read(0, "", shown(path.name), rule, named)
            return NO_BYTES
        size = path.stat().st_size
        if size > limit_bytes:
            rule = f"over the limit of {limit_bytes} bytes; nothing was read"
            faults.not_read(0, "size", size, rule, "split it, or take out the years not needed", unit="bytes")
            return NO_BYTES
        data = path.read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        faults.not_read(0, "", path.name, f"can't be opened ({reason})", "check the file and its permissions")
        return NO_BYTES
    return FileBytes(data, hashlib.sha256(data).hexdigest())


def _unpacked(data: bytes, faults: FaultList, limit_bytes: int) -> bytes | None:
    """What a gzip file holds, read no further than the limit: a small file may unpack to more than memory holds."""
    try:
        with gzip.GzipFile(fileobj=io.BytesIO(data)) as packed:
            text = packed.read(limit_bytes + 1)
    except (OSError, EOFError, zlib.error) as error:
        todo = "download or pack it again"
        faults.not_read(0, "size", len(data), f"not a whole gzip file ({error})", todo, unit="bytes")
        return None
    if len(text) > limit_bytes:
        rule = f"unpacks to more than the limit of {limit_bytes} bytes; nothing was read"
        faults.not_read(0, "size", len(data), rule, "take out the years not needed", unit="bytes")
        return None
    return text


def _decode(data: bytes, faults: FaultList) -> str | None:
    if not data.strip():
        faults.not_read(
            0, "size", len(data), "the file is empty", "save it again, or take it out", unit=counted(len(data), "byte")
        )
        return None
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        faults.not_read(0, "byte 1", repr(data[:2]), "UTF-16, not UTF-8", SAVE_AS_UTF8)
        return None
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        bad = data[error.start : error.start + 1]
        line = data.count(b"\n", 0, error.start) + 1
        faults.not_read(0, f"line {line}, byte {error.start + 1}", f"0x{bad.hex()}", "not UTF-8", SAVE_AS_UTF8)
        return None
    nul = text.find("\0")
    if nul >= 0:
        faults.not_read(0, f"character {nul + 1}", "NUL", "not text", SAVE_AS_UTF8)
        return None
    if not text.strip():
        faults.not_read(
            0, "size", len(data), "the file is empty", "save it again, or take it out", unit=counted(len(data), "byte")
        )
        return None
    return text
