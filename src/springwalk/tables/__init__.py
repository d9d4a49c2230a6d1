"""Published numbers as data: each row has a value, a unit, a mark and a source.

Marks: ``published`` (a source in sources.toml), ``trade`` (common practice, no source), ``memory`` (recalled, not
re-read) and ``assumption`` (ours). Mark and source travel with a number to every page.
"""

from __future__ import annotations

import csv
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from springwalk.errors import NotFound

MARKS = ("published", "trade", "memory", "assumption")


@dataclass(frozen=True)
class Source:
    """Where published numbers come from."""

    key: str
    cite: str


@dataclass(frozen=True)
class Number:
    """One row of a table: ``low`` and ``high`` are None where no range is given."""

    table: str
    name: str
    value: float
    unit: str
    low: float | None
    high: float | None
    mark: str
    source: str
    note: str


@cache
def sources() -> dict[str, Source]:
    """Every source by its key."""
    with _data("sources.toml").open("rb") as handle:
        return {key: Source(key, cite) for key, cite in tomllib.load(handle).items()}


def cite(key: str) -> str:
    """The words of a source; "" for no key."""
    return sources()[key].cite if key else ""


@cache
def rows(table: str) -> tuple[dict[str, str], ...]:
    """A table as its plain rows of text, for tables that hold words."""
    path = _data(f"{table}.csv")
    if not path.is_file():
        raise NotFound("table", table, "no such table", f"use one of {', '.join(names())}")
    with path.open(encoding="utf-8", newline="") as handle:
        return tuple(csv.DictReader(handle))


def number_in(cell: str) -> float | None:
    """The number in a cell of a table; None where the cell is empty."""
    return float(cell) if cell else None


@cache
def numbers(table: str) -> dict[str, Number]:
    """The rows of a table of numbers by name."""
    return {
        row["name"]: Number(
            table, row["name"], float(row["value"]), row["unit"], number_in(row["low"]), number_in(row["high"]),
            row["mark"], row["source"], row["note"],
        )
        for row in rows(table)
    }  # fmt: skip


def number(table: str, name: str) -> Number:
    """One number with its unit, mark and source; raises NotFound for a name the table lacks."""
    found = numbers(table).get(name)
    if found is None:
        raise NotFound(f"{table} number", name, "not in the table", f"use one of {', '.join(numbers(table))}")
    return found


def plain_name(number: Number) -> str:
    """What a number is called on a page: its plain name where one is given, else its own with spaces."""
    return _plain_names().get(number.table, {}).get(number.name, number.name.replace("_", " "))


@cache
def _plain_names() -> dict[str, dict[str, str]]:
    with _data("plain_names.toml").open("rb") as handle:
        return tomllib.load(handle)


def names() -> tuple[str, ...]:
    """The tables there are."""
    return tuple(sorted(p.name.removesuffix(".csv") for p in _data("").iterdir() if p.name.endswith(".csv")))


def _data(name: str):  # type: ignore[no-untyped-def]
    return files("springwalk.tables").joinpath("data", name) if name else files("springwalk.tables").joinpath("data")
