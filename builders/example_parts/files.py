"""Reading the scenario tables and writing CSV text the same way on every machine."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from pathlib import Path

TABLES = Path(__file__).parent / "tables"
REAL_2016 = Path(__file__).parent.parent / "lincoln_2016.csv"
REAL_LICENSE = Path(__file__).parent.parent / "lincoln_2016.LICENSE.txt"


def table(name: str) -> list[dict[str, str]]:
    """The rows of one scenario table, as text by heading."""
    with (TABLES / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def csv_text(heading: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """CSV text with a heading line and plain line feeds; None becomes an empty cell."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(heading)
    writer.writerows(rows)
    return out.getvalue()
