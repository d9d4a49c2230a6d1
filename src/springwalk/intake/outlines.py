"""fields.geojson: outlines to fields, with the plantings, zones and events told inside them."""

from __future__ import annotations

import json
import statistics
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from springwalk.intake import cells
from springwalk.intake.cells import UnreadableError
from springwalk.intake.faults import FaultList, shown
from springwalk.intake.geometry import (
    Measured,
    Position,
    Shape,
    distance_km,
    measure_shape,
    read_shape,
    surely_exchanged,
)
from springwalk.intake.ids import Ids, settle
from springwalk.intake.land import EVENT_COLUMNS, PLANTING_COLUMNS, ZONE_COLUMNS, planting_of, zone_of
from springwalk.intake.properties import is_feature, name_properties, soil_and_history
from springwalk.intake.repairs import Command, Repair
from springwalk.intake.rows import Row, Ways, make
from springwalk.records import Field, Planting, Zone

FAR_KM = 500.0
FARTHEST_LATITUDE = 60.0
LARGEST_HA = 2000.0
NO_OUTLINES = '{\n  "type": "FeatureCollection",\n  "features": []\n}\n'
"""What springwalk start writes: nothing is to be said of it."""
INSIDE = {
    "plantings": PLANTING_COLUMNS.all,
    "zones": ZONE_COLUMNS.all,
    "events": EVENT_COLUMNS.all,
}


@dataclass
class Outlines:
    """What one outline file gave; ``events`` wait until every planting and zone is known."""

    fields: list[Field] = field(default_factory=list)
    plantings: list[Planting] = field(default_factory=list)
    zones: list[Zone] = field(default_factory=list)
    events: list[tuple[Row, str]] = field(default_factory=list)
    told: dict[str, set[str]] = field(default_factory=dict)
    """Names of properties that any outline has, and of what stands inside them, by kind of record."""
    nameless: int = 0
    """Outlines that nobody can name: without an id, or no Feature at all."""


@dataclass
class _Feature:
    row: Row
    name: str
    shape: Shape
    properties: dict[str, Any]


def read_outlines(
    text: str, faults: FaultList, *, ways: Ways, ids: Ids, places: Iterable[Position], repair: Repair,
    command: Command, renamed: Mapping[str, str] | None = None,
) -> Outlines:  # fmt: skip
    """The fields of a FeatureCollection. ``places`` are (latitude, longitude) of stations and fields known before.

    ``renamed`` maps our names of properties to the user's.
    """
    features, outlines = [], Outlines()
    collected = _features(text, faults)
    faults.rows += len(collected)
    named, without_id = name_properties(collected, renamed or {}, faults)
    outlines.nameless = len(without_id)
    for number, told in enumerate(named, start=1):
        if is_feature(told):
            outlines.told.setdefault("field", set()).update(told["properties"])
        if number not in without_id:
            row = _row(number, told, faults, ways)
            name = None if row is None else row.id("id", needed=True)
            if row is None or name is None:
                outlines.nameless += 1
            elif (feature := _feature(number, name, row, told)) is None:
                ids.left_out.add(name)
            else:
                features.append(feature)
    anchor = _middle(place for place in places if not surely_exchanged(place))
    around = anchor or _middle(each.shape.middle() for each in features if _on_farmland(each.shape))
    found = []
    for feature in features:
        shape = _in_place(feature, around, anchor is not None, repair, command)
        record = None if shape is None else _field(feature, shape, repair, command)
        if record is None:
            ids.left_out.add(feature.name)
        else:
            found.append((feature, record))
    rows = {id(feature.row): feature for feature, _ in found}
    kept = settle([(feature.row, record) for feature, record in found], "id", lambda one: one.id)
    ids.left_out |= {record.id for _, record in found} - {record.id for _, record in kept}
    for row, record in kept:
        if record.id in ids.folder_fields:
            row.refuse("id", "another outline file has this id", "give each field its own id")
            continue
        named_here = "name" in outlines.told.get("field", ())
        ids.add_field(record.id, record.name if named_here else ids.names.get(record.id) or record.name)
        outlines.fields.append(record)
        _inside(rows[id(row)], record.id, ids, outlines)
    return outlines


def _features(text: str, faults: FaultList) -> list[Any]:
    try:
        told = json.loads(text, parse_constant=_no_constant)
    except json.JSONDecodeError as error:
        place = f"line {error.lineno}, character {error.colno}"
        faults.not_read(
            0, place, text[error.pos : error.pos + 20], f"not JSON ({error.msg})", "export it again as GeoJSON"
        )
        return []
    except (ValueError, RecursionError):
        faults.not_read(0, "text", text[:20], "not JSON that can be read", "export it again as GeoJSON")
        return []
    kind = told.get("type") if isinstance(told, dict) else type(told).__name__
    if kind != "FeatureCollection" or not isinstance(told.get("features"), list):
        todo = "export all fields as one GeoJSON FeatureCollection"
        faults.not_read(0, "type", kind, "not a FeatureCollection with a list of features", todo)
        return []
    features: list[Any] = told["features"]
    if not features and text.strip() != NO_OUTLINES.strip():
        faults.note(0, "features", 0, "no outlines yet", "add the fields")
    return features


def _no_constant(name: str) -> float:
    raise ValueError(f"{name} is no number")


def _row(number: int, told: Any, faults: FaultList, ways: Ways) -> Row | None:
    """The properties of one feature as a row; None, with its fault listed, where it is no Feature."""
    prefix = f"feature {number}: "
    if not is_feature(told):
        faults.refused(0, prefix + "type", type(told).__name__, "not a Feature", "export it again as GeoJSON")
        return None
    texts = _texts(told["properties"], ("plantings", "zones", "events"))
    return Row(faults, 0, texts, ways, prefix=prefix, who=prefix)


def _feature(number: int, name: str, row: Row, told: dict[str, Any]) -> _Feature | None:
    """One feature whose id is known; None, with its fault listed, where its geometry won't do."""
    named = Row(
        row.faults, 0, row.values, row.ways, prefix=f"feature {number} ({shown(name)}): ", who=f"feature {number}: "
    )
    try:
        shape = read_shape(told.get("geometry"))
    except UnreadableError as error:
        named.refuse("geometry", error.rule, error.todo, value=_kind(told.get("geometry")))
        return None
    return _Feature(named, name, shape, told["properties"])


def _kind(geometry: Any) -> str:
    return str(geometry.get("type")) if isinstance(geometry, dict) else "none"


def _texts(values: dict[str, Any], without: tuple[str, ...] = ()) -> dict[str, str]:
    return {
        str(key): cells.json_text(value) for key, value in values.items() if value is not None and key not in without
    }


def _middle(places: Iterable[Position]) -> Position | None:
    listed = list(places)
    if not listed:
        return None
    return statistics.median(lat for lat, _ in listed), statistics.median(lon for _, lon in listed)


def _in_place(
    feature: _Feature, near: Position | None, anchored: bool, repair: Repair, command: Command
) -> Shape | None:
    """The shape where it is plausible, swapped where that was asked for; else None with the suspicion listed.

    ``anchored``: ``near`` is of stations and fields known before, else only of the other outlines.
    """
    shape, row = feature.shape, feature.row
    turned = shape.swapped()
    told = ", ".join(f"{value:g}" for value in reversed(shape.middle()))
    surely = surely_exchanged(shape.middle())
    turned_fits = surely or _fits(turned, near, anchored)
    if not surely and (_fits(shape, near, anchored) or (repair.as_is and shape.in_degrees())):
        return shape
    if turned_fits and repair.swap:
        row.note("geometry", told, "longitude and latitude were exchanged, as told", "mend the file too")
        return turned
    if surely:
        rule, todo = "longitude and latitude are exchanged", f"export it again, or: {command.plain('swap')}"
        row.refuse("geometry", rule, todo, value=told)
    elif turned_fits:
        todo = f"if so: {command.plain('swap')}"
        if shape.in_degrees():
            todo += f"; if it is right: {command.plain('as-is')}"
        _suspect(row, told, "longitude and latitude look exchanged; the outline is held back", todo)
    elif shape.in_degrees() and not anchored and abs(shape.middle()[0]) > FARTHEST_LATITUDE:
        rule = f"beyond {FARTHEST_LATITUDE:g}° of latitude, where no corn grows; the outline is held back"
        _suspect(row, told, rule, f"correct it; if it is right: {command.plain('as-is')}")
    elif shape.in_degrees() and near is not None:
        rule = (
            f"{distance_km(shape.middle(), near):.0f} km from the other fields and stations; the outline is held back"
        )
        _suspect(row, told, rule, f"correct it; if it is right: {command.plain('as-is')}")
    else:
        row.refuse(
            "geometry", "not longitude and latitude in degrees", "export it again in WGS 84 (EPSG:4326)", value=told
        )
    return None


def _on_farmland(shape: Shape) -> bool:
    latitude = abs(shape.middle()[0])
    return shape.in_degrees() and latitude <= FARTHEST_LATITUDE and not surely_exchanged(shape.middle())


def _fits(shape: Shape, near: Position | None, anchored: bool) -> bool:
    if near is None or not anchored:
        return _on_farmland(shape) and (near is None or distance_km(shape.middle(), near) <= FAR_KM)
    return shape.in_degrees() and distance_km(shape.middle(), near) <= FAR_KM


def _suspect(row: Row, value: object, rule: str, todo: str, *, column: str = "geometry", unit: str = "") -> None:
    row.bad = True
    row.faults.suspected(row.line, row.place(column), value, rule, todo, unit=unit)


def _field(feature: _Feature, shape: Shape, repair: Repair, command: Command) -> Field | None:
    row = feature.row
    try:
        measured: Measured = measure_shape(shape)
    except UnreadableError as error:
        row.refuse("geometry", error.rule, error.todo, value="outline")
        return None
    if measured.area_ha > LARGEST_HA and not repair.as_is:
        rule = f"over {LARGEST_HA:g} ha, larger than a field; the outline is held back"
        todo = f"draw the field alone; if it is right: {command.plain('as-is')}"
        _suspect(row, f"{measured.area_ha:.0f}", rule, todo, column="area", unit="ha")
        return None
    elevation_m = row.read("elevation", lambda text: cells.measure(text, "length_m", "ft"))
    name, grower, note = row.text("name"), row.text("grower"), row.note_text()
    soil = soil_and_history(row)
    if row.bad:
        return None
    if shape.opened:
        rule = "the last point is not the first; the ring was closed"
        row.note(
            "geometry", shape.opened, rule, "check the outline", unit="open ring" if shape.opened == 1 else "open rings"
        )
    return make(
        row, Field, id=feature.name, name=name or feature.name, grower=grower, outline=shape.outline(),
        area_ha=measured.area_ha, latitude=measured.latitude, longitude=measured.longitude, elevation_m=elevation_m,
        note=note, **soil,
    )  # fmt: skip


def _inside(feature: _Feature, name: str, ids: Ids, outlines: Outlines) -> None:
    """Plantings, zones and events told as properties of the outline."""
    plantings, zones = [], []
    for row in _objects(feature, "zones", name, outlines):
        zone = zone_of(row, name)
        if zone is not None:
            zones.append((row, zone))
    for _, zone in settle(zones, "zone", lambda one: one.id):
        ids.add_zone(zone.id)
        outlines.zones.append(zone)
    for row in _objects(feature, "plantings", name, outlines):
        planting = planting_of(row, name, ids)
        if planting is not None:
            plantings.append((row, planting))
    for _, planting in settle(plantings, "planting", lambda one: one.id):
        ids.add_planting(planting)
        outlines.plantings.append(planting)
    outlines.events += [(row, name) for row in _objects(feature, "events", name, outlines)]


def _objects(feature: _Feature, key: str, name: str, outlines: Outlines) -> list[Row]:
    told = feature.properties.get(key)
    if told is None:
        return []
    if isinstance(told, str):  # some programs write a list inside a property as its JSON text
        try:
            told = json.loads(told, parse_constant=_no_constant)
        except (ValueError, RecursionError):
            told = None
    if not isinstance(told, list) or not all(isinstance(each, dict) for each in told):
        feature.row.refuse(key, "not a list of objects", "write [{…}, {…}]", value=feature.properties.get(key))
        return []
    rows = []
    for number, values in enumerate(told, start=1):
        outlines.told.setdefault(key.removesuffix("s"), set()).update(values)
        row = Row(
            feature.row.faults, 0, _texts(values), feature.row.ways, prefix=f"{feature.row.place('')}{key} {number} "
        )
        unknown = [each for each in row.values if each not in INSIDE[key]]
        if unknown:
            row.note(
                unknown[0],
                row.values[unknown[0]],
                "no such name here; it is not read",
                f"write one of: {', '.join(INSIDE[key])}",
            )
        if row.values.get("field", name) != name:
            row.refuse("field", f"stands inside the outline of {name!r}", "take it out or correct it")
            continue
        rows.append(row)
    return rows
