"""One file of a season folder while it is read, and what every step of the reading needs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from itertools import chain
from pathlib import Path

from springwalk.intake.faults import FaultList, FileRead, did_you_mean
from springwalk.intake.files import NOT_READ, FileText
from springwalk.intake.geometry import Position
from springwalk.intake.ids import Ids
from springwalk.intake.repairs import NO_REPAIR, Command, Repair
from springwalk.intake.rows import Row, Ways
from springwalk.intake.season import SeasonFile
from springwalk.intake.shapefile import read_outline_file
from springwalk.intake.tables import Columns, read_table
from springwalk.intake.untold import untold
from springwalk.records import Record

KINDS = {
    "seed_lots": ("seed lot",), "plantings": ("planting",), "zones": ("zone",), "events": ("event",),
    "progress": ("progress",), "passes": ("pass",), "rain": ("gauge",), "traps": ("trap",),
    "catches": ("trap", "catch"), "flight_reports": ("flight report",), "walks": ("walk",),
    "pest_counts": ("pest count",), "promises": ("promise",), "done": ("done",),
    "recommendations": ("recommendation",), "recommendation_steps": ("recommendation step",),
}  # fmt: skip
"""The kinds of record that each table tells."""


@dataclass
class Opened:
    """One file on its way to a FileRead."""

    name: str
    faults: FaultList
    file: FileText = NOT_READ
    records: list[Record] = field(default_factory=list)
    absent: dict[str, frozenset[str]] = field(default_factory=dict)
    """Columns the file does not have, by kind of record."""
    dated: set[str] = field(default_factory=set)
    """Plantings whose date was told by an event or by planting progress."""
    lines: dict[str, int] = field(default_factory=dict)

    def done(self, ids: Ids | None = None) -> FileRead:
        """What the file gave; with ``ids`` its rows that name fields without an outline are told first."""
        if ids is not None:
            ids.tell_without_outline(self.faults)
        faults = self.faults
        return FileRead(
            self.name,
            self.file.sha256,
            tuple(self.records),
            (),
            faults.listed(),
            faults.rows,
            faults.left_out,
            faults.complete,
            self.lines,
            untold(self.records, self.absent, self.dated),
        )


@dataclass
class Work:
    """What every step needs."""

    path: Path
    season: SeasonFile
    ways: Ways
    ids: Ids
    places: list[Position]
    repairs: Mapping[str, Repair]
    options: str
    limit_bytes: int

    def open(self, name: str) -> Opened | None:
        """A file that is there, or named in season.toml."""
        if name not in self.season.named and not (self.path / name).exists():
            return None
        opened = Opened(name, FaultList(name))
        opened.file = read_outline_file(self.path / name, opened.faults, limit_bytes=self.limit_bytes)
        return opened

    def table(self, table: str, columns: Columns) -> tuple[Opened | None, Iterable[Row]]:
        """One of the CSV files and its rows."""
        name = self.season.tables.get(table, f"{table}.csv")
        if name in self.season.weather:  # a station's own rain.csv is no table of gauges
            return None, ()
        opened = self.open(name)
        if opened is None or opened.file.text is None:
            return opened, ()
        told = Columns(columns.needed, columns.optional, self.renamed(table, columns, opened.faults))
        rows = read_table(opened.file.text, told, self.ways, opened.faults)
        first = next(rows, None)
        if first is None:
            return opened, ()
        opened.absent = dict.fromkeys(KINDS[table], frozenset(columns.all) - first.values.keys())
        return opened, chain([first], rows)

    def renamed(self, table: str, columns: Columns, faults: FaultList) -> dict[str, str]:
        """The user's own headings of a table, by ours."""
        renamed = dict(self.season.columns.get(table, {}))
        for ours in [name for name in renamed if name not in columns.all]:
            hint = did_you_mean(ours, columns.all)
            rule = f"[columns.{table}] in season.toml names a column not known here"
            faults.refused(
                0,
                f"columns.{table}.{ours}",
                renamed.pop(ours),
                rule,
                f"{hint}? Correct it" if hint.startswith("did") else hint,
            )
        return renamed

    def as_is(self, name: str) -> bool:
        """Whether a person said that what is suspected of this file is right."""
        return self.repairs.get(name, NO_REPAIR).as_is

    def command(self, name: str) -> Command:
        """How to say a repair of one of the files."""
        return Command(self.path, name, self.options)
