"""Fields, the plantings and zones inside them, and what happened there on a date."""

from __future__ import annotations

from datetime import date
from typing import Any, ClassVar, Literal

from pydantic import Field as Value

from springwalk.records.base import Record

Cover = Literal["black", "residue", "clean", "few weeds", "some weeds", "many weeds", "dense"]
"""How green the ground is to a moth: black tilled soil … dense low winter annuals or a living cover crop."""

EventKind = Literal["weeds seen", "cover killed", "tilled", "emerged"]


class Field(Record):
    """A field: its outline (a GeoJSON Polygon or MultiPolygon, longitude and latitude in degrees) and area."""

    kind: ClassVar[str] = "field"
    id: str = Value(min_length=1)
    name: str
    grower: str = ""
    outline: dict[str, Any]
    area_ha: float = Value(gt=0)
    latitude: float = Value(ge=-90, le=90)
    longitude: float = Value(ge=-180, le=180)
    elevation_m: float | None = None
    note: str = ""


class Planting(Record):
    """What was put in the ground together. ``planted`` is None where nobody wrote it down."""

    kind: ClassVar[str] = "planting"
    id: str = Value(min_length=1)
    field: str
    planted: date | None = None
    hybrid: str = ""
    trait: str = ""
    lot: str = ""
    planter: str = ""
    seeds_per_ha: float | None = Value(default=None, gt=0)
    row_width_m: float | None = Value(default=None, gt=0)
    area_ha: float | None = Value(default=None, gt=0)


class Zone(Record):
    """A part of a field that is told apart (low ground, weedy patch, end rows)."""

    kind: ClassVar[str] = "zone"
    id: str = Value(min_length=1)
    field: str
    name: str
    area_ha: float = Value(gt=0)


class Event(Record):
    """Something dated that changes a field: weeds seen, cover killed, tilled, emerged.

    ``zone`` or ``planting`` None means the whole field. ``cover`` is what is left after the event
    (tilled: ``black`` unless said otherwise) or what was seen.
    """

    kind: ClassVar[str] = "event"
    field: str
    date: date
    what: EventKind
    cover: Cover | None = None
    zone: str | None = None
    planting: str | None = None
    person: str = ""
    note: str = ""

    def natural_key(self) -> str:
        """One event of a kind per field, part and day."""
        return f"event:{self.field}:{self.planting or ''}:{self.zone or ''}:{self.date}:{self.what}"
