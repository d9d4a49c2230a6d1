"""Numbers and text as cells of an exported file: what the intake reads from them is exactly what was held."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from decimal import Decimal

from springwalk.intake.cells import UnreadableError

_FORMULA = ("=", "+", "-", "@", "＝", "＋", "－", "＠")
"""Beginnings that a spreadsheet takes for a formula."""
_NEIGHBOURS = 4
LENGTH_UNITS: Mapping[str, float] = {"m": 1.0, "mm": 0.001, "cm": 0.01, "in": 0.0254, "ft": 0.3048}
MM_UNITS: Mapping[str, float] = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}


def plain(value: float | None) -> str:
    """A number in full as plain digits, "" for None: never with an exponent, which some cells refuse."""
    if value is None:
        return ""
    text = repr(float(value))
    if "e" in text:
        text = format(Decimal(text), "f")
    return text.removesuffix(".0")


def said(value: float | None, units: Mapping[str, float], reader: Callable[[str], float]) -> str:
    """The shortest number with a unit from which ``reader`` gives back exactly ``value``; "" for None.

    ``units`` are unit → factor to the unit of ``value``. A conversion rounds, so the neighbours of the quotient are
    tried too. Where no unit brings the very number back it is written in the first: off by its last digit.
    """
    if value is None:
        return ""
    tried = [f"{plain(near)}{unit}" for unit, factor in units.items() for near in _near(value / factor)]
    exact = [text for text in tried if _gives(reader, text) == value]
    return min(exact, key=len, default=tried[0])


def _gives(reader: Callable[[str], float], text: str) -> float | None:
    try:
        return reader(text)
    except UnreadableError:
        return None


def _near(value: float) -> Iterable[float]:
    """A number, then its neighbours on both sides."""
    yield value
    above = below = value
    for _ in range(_NEIGHBOURS):
        above, below = math.nextafter(above, math.inf), math.nextafter(below, -math.inf)
        yield above
        yield below


def day(value: date | None) -> str:
    """A date as 2016-04-30, "" for None."""
    return "" if value is None else value.isoformat()


def text_cell(text: str) -> str:
    """Free text as a cell. What a spreadsheet would take for a formula gets a blank in front.

    The intake takes outer blanks off every cell, so the text comes back as it was.
    """
    return f" {text}" if text.startswith(_FORMULA) else text


def csv_text(columns: Sequence[str], rows: Iterable[Mapping[str, str]]) -> str:
    """Rows as CSV text with headings; a column not told in a row is blank."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([row.get(column, "") for column in columns] for row in rows)
    return out.getvalue()
