"""Counts of stand pests other than cutworm, each in the pest's own sampling unit."""

from __future__ import annotations

from datetime import date
from typing import ClassVar

from pydantic import Field as Value

from springwalk.records.base import Record


class PestCount(Record):
    """One count of one pest in one field or part on a day.

    ``looked`` is how many sampling units were looked at (plants, bait stations, squares, boards: the pest's own),
    ``insects`` how many insects were found in them together, ``units_with`` how many units had any (or were injured);
    None = not counted.
    """

    kind: ClassVar[str] = "pest count"
    field: str
    date: date
    pest: str = Value(min_length=1)
    unit: str = ""
    looked: int = Value(ge=1, le=100_000)
    insects: int | None = Value(default=None, ge=0)
    units_with: int | None = Value(default=None, ge=0)
    length_mm: float | None = Value(default=None, gt=0, le=80)
    zone: str | None = None
    planting: str | None = None
    person: str = ""
    note: str = ""

    def natural_key(self) -> str:
        """One count of a pest per field, part, unit and day."""
        return f"pest count:{self.field}:{self.planting or ''}:{self.zone or ''}:{self.date}:{self.pest}:{self.unit}"
