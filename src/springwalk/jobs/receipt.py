"""What an intake answers with: per file what was new, the same, revised, and every fault."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from springwalk.intake import Fault
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
    """One file: rows that were new or the same, values that changed, and the faults found in it."""

    name: str
    new: int
    same: int
    revised: tuple[Revision, ...]
    faults: tuple[Fault, ...]

    @property
    def refused(self) -> int:
        """Faults that kept something out."""
        return sum(fault.severity == "refused" for fault in self.faults)

    @property
    def suspected(self) -> int:
        """Suspicions: to be repaired or confirmed by one command."""
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
    def suspected(self) -> int:
        """Suspicions in all files."""
        return sum(file.suspected for file in self.files)

    def plain(self) -> dict[str, Any]:
        """The receipt as JSON-ready values; each fault also as its one line."""
        return {
            "changed": self.changed,
            "refused": self.refused,
            "suspected": self.suspected,
            "files": [
                {
                    "name": file.name,
                    "new": file.new,
                    "same": file.same,
                    "revised": [asdict(item) for item in file.revised],
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
        after.natural_key(),
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
