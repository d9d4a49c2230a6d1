"""Which parts of a field are judged, and with what stand: ``low=14000``, ``rest=29000`` or one number for all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from springwalk.errors import BadValue
from springwalk.intake import did_you_mean, shown
from springwalk.jobs.snapshot import Snapshot
from springwalk.jobs.units import Unit

REST = "rest"
"""What the ground outside every zone is called."""


@dataclass(frozen=True)
class Judged:
    """One unit of a snapshot (its place) to be judged, with its name, planting date and stand in plants per acre."""

    unit: int
    name: str
    planted: date
    stand: float


def judged(
    snap: Snapshot, at: int, stands: Mapping[str, float], *, part: str = "", planting: str = "",
    planted: date | None = None,
) -> tuple[tuple[Judged, ...], tuple[str, ...]]:  # fmt: skip
    """The parts of field ``at`` that have a stand, and the names of those that have none.

    A part is called by its zone (id or name; ``rest`` outside all, or the one part left where all others are named),
    its planting, or both: ``low/2``. The stand under "" is that of every part not named, within ``part`` and
    ``planting``. ``planted`` goes before the store's date. Raises BadValue for a name that no part has or two names of
    one part, and for a planting without a date.
    """
    units = snap.units_of_field(snap.fields[at].id)
    told: dict[int, float] = {}
    for name, stand in sorted(stands.items(), key=lambda item: item[0].strip().casefold() == REST):
        for k in _named(snap, units, name, told) if name else ():
            if k in told:
                raise BadValue("stand", shown(name), "a part that another stand names too", "name each part once")
            told[k] = stand
    if "" in stands:
        inside = set(_called(snap, units, part, "part") if part else units)
        inside &= set(_called(snap, units, planting, "planting") if planting else units)
        if not inside:
            rule = f"planting {planting} does not stand in it"
            raise BadValue("part", shown(part), rule, "name a planting that does")
        told |= {k: stands[""] for k in inside if k not in told}
    if not told:
        raise BadValue("stand", "(none)", "no stand was given", "give plants per acre left, like --stand 18000")
    names = {k: _name(snap, units, k) for k in units}
    found = [Judged(k, names[k], _planted(snap.units[k], planted), told[k]) for k in units if k in told]
    return tuple(found), tuple(names[k] for k in units if k not in told)


def parts_of(snap: Snapshot, at: int) -> dict[int, tuple[str, str]]:
    """Each unit of field ``at`` (its place in ``snap.units``): the key its stand is told under, and its name.

    A key is a name that only this unit has, such as ``low/2``; both are empty where the field is one part.
    """
    units = snap.units_of_field(snap.fields[at].id)
    return {k: (_key(snap, units, k), _name(snap, units, k)) for k in units}


def _key(snap: Snapshot, units: Sequence[int], k: int) -> str:
    if len(units) == 1:
        return ""
    zones = _zone_names(snap.units[k], zoned=any(snap.units[j].zone for j in units))
    return "/".join(next(iter(one)) for one in (zones, _planting_names(snap.units[k])) if one)


def _named(snap: Snapshot, units: Sequence[int], name: str, told: Mapping[int, float]) -> list[int]:
    """The units the name of a stand means; where zones cover a field, ``rest`` is the one part nobody named."""
    if name.strip().casefold() == REST and not any(REST in names for names in _zones(snap, units).values()):
        left = [k for k in units if k not in told]
        if len(left) == 1 < len(units):
            return left
    return _called(snap, units, name, "stand")


def _called(snap: Snapshot, units: Sequence[int], text: str, option: str) -> list[int]:
    """The units a name means: a zone before a planting."""
    words = [word.strip().casefold() for word in text.split("/")]
    zones, plantings = _zones(snap, units), {k: _planting_names(snap.units[k]) for k in units}
    if len(words) == 2:
        found = [k for k in units if words[0] in zones[k] and words[1] in plantings[k]]
    else:
        found = [k for k in units if words[0] in zones[k]] or [k for k in units if words[0] in plantings[k]]
    if not found:
        raise BadValue(option, shown(text), "no part of the field is called so", _hint(snap, units, text, option))
    return found


def _hint(snap: Snapshot, units: Sequence[int], text: str, option: str) -> str:
    """A near miss, else what people call the parts: plantings only where there are several, or one was asked for."""
    zones, numbered = _zones(snap, units), {list(own)[-1] for k in units if (own := _planting_names(snap.units[k]))}
    plantings = numbered if option == "planting" or len(numbered) > 1 else set()
    called = {zone.name if (zone := snap.units[k].zone) else REST for k in units if zones[k] and option != "planting"}
    names = sorted(called) + sorted(plantings)
    if not names:
        return "it is one part: give one number"
    short = [name for one in zones.values() for name in one if option != "planting"]
    near = did_you_mean(text.strip(), [*names, *short])
    return near if near.startswith("did you mean") else did_you_mean(text.strip(), names, closeness=1.0)


def _zones(snap: Snapshot, units: Sequence[int]) -> dict[int, dict[str, None]]:
    zoned = any(snap.units[k].zone for k in units)
    return {k: _zone_names(snap.units[k], zoned=zoned) for k in units}


def _zone_names(unit: Unit, *, zoned: bool) -> dict[str, None]:
    """What a unit's zone is called, the short id first."""
    if unit.zone is None:
        return {REST: None} if zoned else {}
    return dict.fromkeys((unit.zone.id.rpartition("/")[2].casefold(), unit.zone.name.casefold()))


def _planting_names(unit: Unit) -> dict[str, None]:
    """What a unit's planting is called: ``1``, or ``planting 1``."""
    if unit.planting is None:
        return {}
    short = unit.planting.id.rpartition("/")[2].casefold()
    return dict.fromkeys((short, f"planting {short}"))


def _name(snap: Snapshot, units: Sequence[int], k: int) -> str:
    """What people call a part; empty where the field is one part."""
    unit = snap.units[k]
    several = len({snap.units[j].planting.id for j in units if snap.units[j].planting}) > 1  # type: ignore[union-attr]
    zoned = any(snap.units[j].zone for j in units)
    zone = unit.zone.name if unit.zone else REST if zoned else ""
    planting = f"planting {unit.planting.id.rpartition('/')[2]}" if several and unit.planting else ""
    return ", ".join(word for word in (zone, planting) if word)


def _planted(unit: Unit, typed: date | None) -> date:
    planted = typed or (unit.planting.planted if unit.planting else None)
    if planted is None:
        rule = "nobody told when the stand there was planted"
        raise BadValue("planted", "(not told)", rule, "give it, like --planted 04-25")
    return planted
