"""What an exported folder gives back when it is taken in, held against the store it came from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from springwalk.intake import FileRead, Repair, read_folder
from springwalk.records import Forecast, Record
from springwalk.store.days import DayRow

Key = tuple[str, str]
Values = tuple[float | None, float | None, float | None]


@dataclass(frozen=True)
class Unsaid:
    """What the files of a folder don't give back as it was, and the files that must be taken as they are.

    ``records`` are natural keys, ``days`` are (station, date). ``as_is``: files whose numbers the intake suspects;
    someone confirmed them once.
    """

    records: frozenset[str]
    days: frozenset[Key]
    as_is: tuple[str, ...]


def read_back(folder: Path, year: int, records: Iterable[Record], days: Mapping[str, Sequence[DayRow]]) -> Unsaid:
    """Read a folder as ``intake`` would at the end of the season's year, and compare.

    Equal means equal to the last digit. Only the name of the file a forecast came from is not compared.
    """
    today = date(year, 12, 31)
    reads = list(read_folder(folder, today=today))
    doubtful = tuple(sorted({each.name for each in reads if _suspects(each)}))
    if doubtful:
        reads = list(read_folder(folder, today=today, repairs={name: Repair(as_is=True) for name in doubtful}))
    told = {record.natural_key(): _told(record) for each in reads for record in each.records}
    missing = {key for record in records if told.get(key := record.natural_key()) != _told(record)}
    return Unsaid(frozenset(missing), frozenset(_days_not_said(reads, days)), doubtful)


def _suspects(each: FileRead) -> bool:
    """Whether something of the file is held back on suspicion."""
    return each.left_out > 0 and any(fault.severity == "suspected" for fault in each.faults)


def _told(record: Record) -> Record:
    return record.model_copy(update={"source": ""}) if isinstance(record, Forecast) else record


def _days_not_said(reads: Iterable[FileRead], days: Mapping[str, Sequence[DayRow]]) -> set[Key]:
    told: dict[Key, Values] = {}
    for each in reads:
        for day in each.days:
            told[day.station, day.date.isoformat()] = (day.min_c, day.max_c, day.rain_mm)
    return {
        (station, row[0]) for station, rows in days.items() for row in rows if told.get((station, row[0])) != row[1:]
    }
