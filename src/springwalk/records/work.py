"""What people did and promised: passes over a field, seed lots, planting progress, promised visits, looks done."""

from __future__ import annotations

from datetime import date, time
from typing import ClassVar, Literal

from pydantic import Field as Value

from springwalk.records.base import Record

PassKind = Literal[
    "insecticide", "herbicide", "fungicide", "manure", "anhydrous", "fertilizer", "rotary hoe", "other",
]  # fmt: skip


class Pass(Record):
    """A pass over a field. ``at`` is the local time it ended, None = not told.

    ``entry_hours`` is the entry interval typed from the label in hand, None = not typed. ``direction_deg`` is the
    heading of travel (0 = north, 90 = east), ``untreated`` says where a strip was left.
    """

    kind: ClassVar[str] = "pass"
    field: str
    date: date
    what: PassKind
    at: time | None = None
    zone: str | None = None
    planting: str | None = None
    product: str = ""
    entry_hours: float | None = Value(default=None, ge=0, le=2160)
    direction_deg: float | None = Value(default=None, ge=0, lt=360)
    untreated: str = ""
    person: str = ""
    note: str = ""

    def natural_key(self) -> str:
        """One pass of a kind per field, part, day and product: two sprayings on one day are two locks."""
        part = f"{self.planting or ''}:{self.zone or ''}"
        return f"pass:{self.field}:{part}:{self.date}:{self.what}:{self.product}"


class SeedLot(Record):
    """A lot of seed: its hybrid, traits, seed treatment, and its warm and cold tests in percent."""

    kind: ClassVar[str] = "seed lot"
    id: str = Value(min_length=1)
    hybrid: str = ""
    trait: str = ""
    treatment: str = ""
    warm_pct: float | None = Value(default=None, ge=0, le=100)
    cold_pct: float | None = Value(default=None, ge=0, le=100)
    note: str = ""


class Progress(Record):
    """Area planted on a day, of one planting."""

    kind: ClassVar[str] = "progress"
    planting: str
    field: str
    date: date
    area_ha: float = Value(gt=0)
    person: str = ""

    def natural_key(self) -> str:
        """One row per planting and day."""
        return f"progress:{self.planting}:{self.date}"


class Promise(Record):
    """A promise to walk every field of a grower (or one field) at least every so many days while it holds."""

    kind: ClassVar[str] = "promise"
    grower: str = ""
    field: str = ""
    every_days: int = Value(ge=1, le=60)
    since: date
    until: date | None = None
    note: str = ""

    def natural_key(self) -> str:
        """One promise per grower or field."""
        return f"promise:{self.grower}:{self.field}"


class Done(Record):
    """A look on the due list that was made, or set aside with a reason. ``look`` is its key there."""

    kind: ClassVar[str] = "done"
    look: str = Value(min_length=1)
    field: str
    on: date
    outcome: Literal["done", "set aside"] = "done"
    person: str = ""
    note: str = ""

    def natural_key(self) -> str:
        """One end per look."""
        return f"done:{self.look}"
