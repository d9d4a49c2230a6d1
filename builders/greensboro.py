"""Take April to June dry-bulb hours out of a typical year of Greensboro and write them small, once.

Run ``python builders/greensboro.py PATH/723170TYA.CSV``; the file travels in the open-source package pvlib (BSD-3,
licence kept in tests/published/greensboro_hourly.LICENSE.txt). Months of a typical year come from different years,
so dates are written as month and day.
"""

from __future__ import annotations

import argparse
import csv
from pathlib import Path

OUT = Path(__file__).resolve().parent.parent / "tests" / "published" / "greensboro_hourly.csv"
MONTHS = ("04", "05", "06")


def hours(source: Path) -> list[tuple[str, int, str]]:
    """(month-day, hour 1–24, °C) of April to June in the file's order; the first line names the station."""
    with source.open(encoding="utf-8", newline="") as handle:
        next(handle)
        return [
            (row["Date (MM/DD/YYYY)"][:5].replace("/", "-"), int(row["Time (HH:MM)"][:2]), row["Dry-bulb (C)"])
            for row in csv.DictReader(handle)
            if row["Date (MM/DD/YYYY)"].startswith(MONTHS)
        ]


def main() -> None:
    """Read the file named on the command line and write the small one."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("source", type=Path)
    parser.add_argument("--to", type=Path, default=OUT)
    told = parser.parse_args()
    with told.to.open("w", encoding="utf-8", newline="") as handle:
        writer = csv.writer(handle, lineterminator="\n")
        writer.writerow(("date", "hour", "temp_c"))
        writer.writerows(hours(told.source))


if __name__ == "__main__":
    main()
