"""What an intake answers with: per file what was new, the same, revised, and every fault."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from springwalk.intake import Fault
from springwalk.jobs.held import record_words
from springwalk.records import Day, Record, plain

NOTHING = "not told"
_LONGEST = 60


@dataclass(frozen=True)
class Revision:
    """A value that changed: what it belongs to, and its text before and after."""

    what: str
    before: str
    after: str


@dataclass(frozen=True)
class FileReceipt:
    """One file: records that were new or the same, values that changed, and the faults found in it.

    ``rows`` are the rows (outlines, stops, days) the file holds, ``left_out`` those of them that were refused.
    ``gone`` are in words what an earlier file of this name gave and the file no longer holds: it is kept, and
    ``to_take_back`` is the command that takes it back; ``taken_back`` is what was taken back now.
    """

    name: str
    new: int
    same: int
    revised: tuple[Revision, ...]
    faults: tuple[Fault, ...]
    rows: int = 0
    left_out: int = 0
    gone: tuple[str, ...] = ()
    to_take_back: str = ""
    taken_back: tuple[str, ...] = ()

    @property
    def refused(self) -> int:
        """Faults that kept something out."""
        return sum(fault.severity == "refused" for fault in self.faults)

    @property
    def suspected(self) -> int:
        """Suspicions: each to be repaired or confirmed by one command."""
        return sum(fault.severity == "suspected" for fault in self.faults)


@dataclass(frozen=True)
class Receipt:
    """A whole intake. ``changed`` tells whether the store holds anything it did not hold before."""

    files: tuple[FileReceipt, ...]
    changed: bool

    @property
    def refused(self) -> int:
        """Faults of all files that kept something out."""
        return sum(file.refused for file in self.files)

    @property
    def left_out(self) -> int:
        """Rows of all files that were left out."""
        return sum(file.left_out for file in self.files)

    @property
    def suspected(self) -> int:
        """Suspicions in all files."""
        return sum(file.suspected for file in self.files)

    def plain(self) -> dict[str, Any]:
        """The receipt as JSON-ready values; each fault also as its one line."""
        return {
            "changed": self.changed,
            "refused": self.refused,
            "left_out": self.left_out,
            "suspected": self.suspected,
            "files": [
                {
                    "name": file.name,
                    "rows": file.rows,
                    "left_out": file.left_out,
                    "new": file.new,
                    "same": file.same,
                    "revised": [asdict(item) for item in file.revised],
                    "held_from_earlier": list(file.gone),
                    "to_take_back": file.to_take_back,
                    "taken_back": list(file.taken_back),
                    "faults": [{**asdict(fault), "text": str(fault)} for fault in file.faults],
                }
                for file in self.files
            ],
        }


def record_revision(before: Record | None, after: Record) -> Revision:
    """What changed in a record, name by name; ``before`` None = it was not understood."""
    old, new = {} if before is None else plain(before), plain(after)
    names = [name for name in new if old.get(name) != new[name]]
    return Revision(
        record_words(after),
        ", ".join(f"{name} {_text(old.get(name))}" for name in names),
        ", ".join(f"{name} {_text(new[name])}" for name in names),
    )


def day_revision(before: Day, after: Day) -> Revision:
    """What changed in a station day, in °C and mm."""
    units = {"min_c": "°C", "max_c": "°C", "rain_mm": "mm"}
    names = [name for name in units if getattr(before, name) != getattr(after, name)]

    def told(day: Day) -> str:
        return ", ".join(f"{name.split('_')[0]} {_number(getattr(day, name), units[name])}" for name in names)

    return Revision(after.natural_key(), told(before), told(after))


def _number(value: float | None, unit: str) -> str:
    return NOTHING if value is None else f"{value:.4g} {unit}"


def _text(value: Any) -> str:
    if value is None or value == "":
        return NOTHING
    if isinstance(value, float):
        return f"{value:.6g}"
    text = str(value)
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1]}…"
