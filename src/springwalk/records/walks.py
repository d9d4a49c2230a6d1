"""A walk: one visit to a field, stop by stop. Payload version 1."""

from __future__ import annotations

from datetime import date
from typing import ClassVar, Literal

from pydantic import Field as Value

from springwalk.records.base import Record

PLANT_STATES = (
    "fresh_cut_above", "fresh_cut_at", "fresh_cut_below", "old_cut", "regrown", "empty_place",
    "leaf_fed", "wilted", "tunnelled", "sound", "double",
)  # fmt: skip
Staging = Literal["collars", "leaves", "horizontal leaf"]
Soil = Literal["dry", "moist", "wet", "crusted"]
LONGEST_LARVA_MM, LAST_INSTAR = 80.0, 9
"""What a larva's record holds at most, typed or in a file; what is odd below that is kept and asked about."""


class Stop(Record):
    """One sampling spot: plant places looked at and how many were in each state.

    ``counted`` False means the scout went looking where it was worst. ``part`` names the zone the stop
    stands for ("" = the whole field); ``marked_row`` names a row length that is counted again.
    """

    kind: ClassVar[str] = "stop"
    places: int = Value(ge=1, le=2000)
    part: str = ""
    counted: bool = True
    marked_row: str = ""
    fresh_cut_above: int = Value(default=0, ge=0)
    fresh_cut_at: int = Value(default=0, ge=0)
    fresh_cut_below: int = Value(default=0, ge=0)
    old_cut: int = Value(default=0, ge=0)
    regrown: int = Value(default=0, ge=0)
    empty_place: int = Value(default=0, ge=0)
    leaf_fed: int = Value(default=0, ge=0)
    wilted: int = Value(default=0, ge=0)
    tunnelled: int = Value(default=0, ge=0)
    sound: int | None = Value(default=None, ge=0)
    double: int = Value(default=0, ge=0)

    @property
    def fresh_cut(self) -> int:
        """Plants cut in the last two days, whatever the height of the cut."""
        return self.fresh_cut_above + self.fresh_cut_at + self.fresh_cut_below


class Larva(Record):
    """One larva found: length in mm, or instar where it was told by the head."""

    kind: ClassVar[str] = "larva"
    length_mm: float | None = Value(default=None, gt=0, le=LONGEST_LARVA_MM)
    instar: int | None = Value(default=None, ge=1, le=LAST_INSTAR)
    species: str = "black cutworm"


class Walk(Record):
    """One visit to a field.

    ``collars`` is read with ``staging``; ``plants_searched``, ``hour`` and ``soil`` go with the larvae.
    """

    kind: ClassVar[str] = "walk"
    id: str = Value(min_length=1)
    field: str
    planting: str | None = None
    walked: date
    person: str = ""
    collars: float | None = Value(default=None, ge=0, le=20)
    staging: Staging = "collars"
    stops: tuple[Stop, ...] = ()
    larvae: tuple[Larva, ...] = ()
    plants_searched: int | None = Value(default=None, ge=0)
    hour: int | None = Value(default=None, ge=0, le=23)
    soil: Soil | None = None
    note: str = ""
