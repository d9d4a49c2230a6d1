"""Fields, the plantings and zones inside them, and what happened there on a date."""

from __future__ import annotations

from datetime import date
from typing import Any, ClassVar, Literal

from pydantic import Field as Value

from springwalk.records.base import Record

Cover = Literal["black", "residue", "clean", "few weeds", "some weeds", "many weeds", "dense"]
"""How green the ground is to a moth: black tilled soil … dense low winter annuals or a living cover crop."""

EventKind = Literal[
    "weeds seen", "cover killed", "tilled", "emerged",
    "hail", "ponding", "water gone", "wind", "frost", "crust", "baits set", "torn up",
]  # fmt: skip
"""What can be told of a field on a day.

``ponding`` is water standing, ``water gone`` the day it left, ``torn up`` the day a stand was taken out for a replant.
"""

Texture = Literal[
    "sand", "loamy sand", "sandy loam", "loam", "silt loam", "silt", "silt clay loam", "silty clay", "clay",
]  # fmt: skip
"""Soil textures with a row in FAO-56 Table 19."""

History = Literal[
    "sod before", "clover before", "small grain before", "rye cover", "grass edge", "wheat edge", "nutsedge",
    "wireworms before", "grubs before", "slugs before", "low wet ground", "manure", "grassy weeds",
]  # fmt: skip
"""What makes a field one to look at for a stand pest."""


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
    texture: Texture | None = None
    previous_crop: str = ""
    history: tuple[History, ...] = ()
    note: str = ""


class Planting(Record):
    """What was put in the ground together. ``planted`` is None where nobody wrote it down.

    ``zone`` is the part of the field it stands in; None = the field.
    """

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
    zone: str | None = None


class Zone(Record):
    """A part of a field that is told apart (low ground, weedy patch, end rows)."""

    kind: ClassVar[str] = "zone"
    id: str = Value(min_length=1)
    field: str
    name: str
    area_ha: float = Value(gt=0)


class Event(Record):
    """Something dated that changes a field or makes a walk: weeds seen, cover killed, tilled, emerged, hail, ponding …

    ``zone`` or ``planting`` None means the whole field. ``cover`` is what is left after the event
    (tilled: ``black`` unless said otherwise) or what was seen. ``hours`` is how long water stood or frost held, None =
    not told.
    """

    kind: ClassVar[str] = "event"
    field: str
    date: date
    what: EventKind
    cover: Cover | None = None
    zone: str | None = None
    planting: str | None = None
    hours: float | None = Value(default=None, ge=0, le=2000)
    person: str = ""
    note: str = ""

    def natural_key(self) -> str:
        """One event of a kind per field, part and day."""
        return f"event:{self.field}:{self.planting or ''}:{self.zone or ''}:{self.date}:{self.what}"
