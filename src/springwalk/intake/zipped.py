"""The parts of one shapefile layer out of a zip, with nothing unpacked that is too large."""

from __future__ import annotations

import io
import lzma
import zipfile
import zlib
from collections.abc import Mapping
from pathlib import PurePosixPath

from springwalk.intake.faults import FaultList, some

PARTS = (".shp", ".dbf", ".prj", ".cpg")
NEEDED = (".shp", ".dbf")
MOST_MEMBERS = 1000
ZIP_AGAIN = "zip the layer again"


def layer_of_zip(data: bytes, faults: FaultList, limit_bytes: int) -> dict[str, bytes] | None:
    """The parts of the only layer in a zip by their ending; None with one fault listed where that won't do.

    Sizes that the zip tells are checked before anything is unpacked, and what is unpacked is cut at them.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            layers = _layers(packed.infolist(), faults)
            chosen = None if layers is None else _only(layers, faults, limit_bytes)
            if chosen is None:
                return None
            parts = {suffix: _unpacked(packed, member) for suffix, member in chosen.items()}
    except (zipfile.BadZipFile, zlib.error, lzma.LZMAError, EOFError, OSError, ValueError) as error:
        faults.not_read(0, "zip", f"{len(data)} bytes", f"not a whole zip file ({error})", ZIP_AGAIN)
        return None
    except (RuntimeError, NotImplementedError) as error:  # a password, or a way of packing not known here
        faults.not_read(0, "zip", f"{len(data)} bytes", f"can't be unpacked ({error})", "zip it without a password")
        return None
    return needed_parts(parts, faults)


def needed_parts(parts: Mapping[str, bytes], faults: FaultList) -> dict[str, bytes] | None:
    """The parts, where those that are needed are there and not empty; else None with one fault listed."""
    missing = [suffix for suffix in NEEDED if not parts.get(suffix)]
    if missing:
        rule = "the layer lacks this part, or it is empty"
        faults.not_read(0, "shapefile", ", ".join(missing), rule, "put .shp, .dbf and .prj of the layer together")
        return None
    return dict(parts)


Layers = dict[str, dict[str, zipfile.ZipInfo]]


def _layers(members: list[zipfile.ZipInfo], faults: FaultList) -> Layers | None:
    if len(members) > MOST_MEMBERS:
        rule = f"more than {MOST_MEMBERS} files in the zip; nothing was read"
        faults.not_read(0, "zip", len(members), rule, "zip the layer of the fields alone", unit="files")
        return None
    layers: Layers = {}
    for member in members:
        path = PurePosixPath(member.filename.replace("\\", "/"))
        suffix = path.suffix.casefold()
        hidden = path.name.startswith(".") or "__MACOSX" in path.parts
        if suffix in PARTS and not hidden and not member.is_dir():
            layers.setdefault(str(path.with_suffix("")).casefold(), {}).setdefault(suffix, member)
    return layers


def _only(layers: Layers, faults: FaultList, limit_bytes: int) -> dict[str, zipfile.ZipInfo] | None:
    """The one layer with outlines, unless its parts are too large."""
    outlined = {name: parts for name, parts in layers.items() if ".shp" in parts}
    if len(outlined) != 1:
        rule = "several layers in one zip" if outlined else "no shapefile in the zip"
        todo = "zip the layer of the fields alone" if outlined else "zip .shp, .dbf and .prj of the layer together"
        faults.not_read(0, "zip", some(sorted(outlined)), rule, todo)
        return None
    (parts,) = outlined.values()
    size = sum(member.file_size for member in parts.values())
    if size > limit_bytes:
        rule = f"unpacks to more than the limit of {limit_bytes} bytes; nothing was read"
        faults.not_read(0, "size", size, rule, "zip the layer of the fields alone", unit="bytes")
        return None
    return parts


def _unpacked(packed: zipfile.ZipFile, member: zipfile.ZipInfo) -> bytes:
    """One part, no longer than the zip says it is: a zip may lie about that."""
    with packed.open(member) as file:
        data = file.read(member.file_size + 1)
    if len(data) > member.file_size:
        raise ValueError(f"{member.file_size} bytes told, more found")
    return data
