"""Repairs a person asks for: ``FILE:unit=C``, ``FILE:swap``, ``FILE:as-is``. Nothing is repaired unasked."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from shlex import quote

from springwalk.errors import BadValue
from springwalk.intake.faults import did_you_mean

UNITS = ("F", "C", "tenths C")
FORMS = "write FILE:unit=C (or F, or 'tenths C'), FILE:swap or FILE:as-is"


@dataclass(frozen=True)
class Repair:
    """What is asked for one file: another temperature unit, swapping, or taking suspected values as they are."""

    unit: str = ""
    swap: bool = False
    as_is: bool = False


NO_REPAIR = Repair()


def one_repair(words: str | Mapping[str, str], before: Repair = NO_REPAIR) -> Repair:
    """A Repair from ``"swap"``, ``"as-is"``, ``"unit=C"`` or ``{"unit": "C"}``, added to what was asked before."""
    if isinstance(words, Mapping):
        for key, value in words.items():
            before = one_repair(key if key in ("swap", "as-is") else f"{key}={value}", before)
        return before
    if words == "swap":
        return replace(before, swap=True)
    if words == "as-is":
        return replace(before, as_is=True)
    key, _, value = words.partition("=")
    if key != "unit":
        raise BadValue("repair", words, "no such repair", FORMS)
    if value not in UNITS:
        raise BadValue("repair unit", value or "(blank)", "not a temperature unit", FORMS)
    return replace(before, unit=value)


def parse_repairs(options: Iterable[str]) -> dict[str, Repair]:
    """Repairs by file from options such as ``weather/x.csv:unit=C``; raises BadValue for any other form."""
    found: dict[str, Repair] = {}
    for option in options:
        file, colon, words = option.rpartition(":")
        if not colon or not file:
            raise BadValue("repair", option, "names no file or no repair", FORMS)
        found[file] = one_repair(words, found.get(file, NO_REPAIR))
    return found


def as_repairs(repairs: Mapping[str, Repair | str | Mapping[str, str]] | None) -> dict[str, Repair]:
    """Any accepted way of naming repairs, as Repair objects by file."""
    return {file: words if isinstance(words, Repair) else one_repair(words) for file, words in (repairs or {}).items()}


def unused_repair(file: str, repairable: Iterable[str]) -> tuple[str, str]:
    """Rule and what to do for a repair of a file that nothing reads."""
    hint = did_you_mean(file, list(repairable))
    return "no file of this name was read", hint or "check the name"


def unfit_repair(repair: Repair) -> bool:
    """Whether a repair asks of a table what only an outline or weather file can be asked."""
    return repair.swap or bool(repair.unit)


@dataclass(frozen=True)
class Command:
    """How to say a repair on the command line: for a folder, or for one file read alone.

    ``options`` are the words of the command as it was given (its store, its day) that the repair must carry too.
    """

    folder: Path | None
    file: str
    options: str = ""

    def unit(self, unit: str) -> str:
        """The words that read the file in another unit."""
        return f"--unit {quote(unit)}" if self.folder is None else f"{self._start} {quote(f'{self.file}:unit={unit}')}"

    def plain(self, word: str) -> str:
        """The words for ``swap`` or ``as-is``."""
        return f"--{word}" if self.folder is None else f"{self._start} {quote(f'{self.file}:{word}')}"

    def take_back(self) -> str:
        """The words that take back what an earlier file of this name gave and it no longer holds."""
        return f"{self._intake} --take-back {quote(self.file)}"

    @property
    def _start(self) -> str:
        return f"{self._intake} --repair"

    @property
    def _intake(self) -> str:
        options = f" {self.options}" if self.options else ""
        return f"springwalk intake {quote(str(self.folder))}{options}"
