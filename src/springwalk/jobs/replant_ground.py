"""What the form of a replant question offers: the parts of a field, what can be told as replanted, and the money."""

from __future__ import annotations

from datetime import date

from springwalk.jobs.replant_stands import parts_of
from springwalk.jobs.results import Result
from springwalk.jobs.sheet import local_date
from springwalk.jobs.snapshot import Snapshot, field_at, season_of, snapshot
from springwalk.jobs.terms import terms_of
from springwalk.jobs.walk import Part
from springwalk.records import Zone
from springwalk.store import Store


class PartThere(Result):
    """A part of a field that can be judged: the key its stand is told under ("" for a field of one part), its name,
    acres and planting date (None = nobody told)."""

    key: str
    name: str
    area_ha: float
    planted: date | None


class ReplantGround(Result):
    """One field's parts in order, its zones and the plantings that stand there, and the yield and price in use."""

    field: str
    name: str
    today: date
    parts: tuple[PartThere, ...]
    zones: tuple[Part, ...]
    plantings: tuple[Part, ...]
    crop_bu_ac: float
    price_usd_bu: float


def replant_ground(store: Store, field: str, *, today: date | None = None) -> ReplantGround:
    """What a form for ``field`` (id or name) offers on a morning (the season's local date if None); writes nothing.

    Raises NotFound for a field that is not there, and OutsideSeason.
    """
    return ground_of(snapshot(store, today=today or local_date(season_of(store))), field)


def ground_of(snap: Snapshot, field: str) -> ReplantGround:
    """The same from a snapshot; pure."""
    at = field_at(snap, field)
    ident = snap.fields[at].id
    parts = parts_of(snap, at)
    zones = sorted((one for one in snap.told.of(Zone) if one.field == ident), key=lambda one: one.id)
    standing = [planting.id for k in parts if (planting := snap.units[k].planting) is not None]
    money = terms_of(snap.season).said
    assert money is not None
    return ReplantGround(
        field=ident, name=snap.fields[at].name, today=snap.today,
        parts=tuple(_part(snap, k, key, name) for k, (key, name) in parts.items()),
        zones=tuple(Part(id=one.id, name=one.name) for one in zones),
        plantings=tuple(Part(id=one, name=one.removeprefix(f"{ident}/")) for one in dict.fromkeys(standing)),
        crop_bu_ac=money.crop_bu_ac, price_usd_bu=money.price_usd_bu,
    )  # fmt: skip


def _part(snap: Snapshot, k: int, key: str, name: str) -> PartThere:
    unit = snap.units[k]
    return PartThere(
        key=key, name=name, area_ha=unit.area_ha, planted=unit.planting.planted if unit.planting else None
    )  # fmt: skip
