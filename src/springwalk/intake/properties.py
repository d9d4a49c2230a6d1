"""Properties of outlines: the user's own names for them, names that plainly mean the same, and a missing id."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from springwalk.intake import cells
from springwalk.intake.faults import FaultList, counted, some
from springwalk.intake.rows import Row
from springwalk.intake.tables import Columns, normal
from springwalk.intake.words import HISTORIES, TEXTURES

FIELD_COLUMNS = Columns(("id",), ("name", "grower", "note", "elevation", "texture", "previous_crop", "history"))
OBVIOUS: Mapping[str, tuple[str, ...]] = {
    "id": ("id", "field_id", "fieldid"),
    "name": ("name", "field_name", "fieldname", "field"),
    "grower": (
        "grower",
        "grower_name",
        "grower_nam",
        "client",
        "client_name",
        "client_nam",
        "farm",
        "farm_name",
        "owner",
    ),
    "note": ("note", "notes"),
    "elevation": ("elevation",),
    "texture": ("texture", "soil_texture", "soil", "soil_type"),
    "previous_crop": ("previous_crop", "crop_before", "last_crop", "last_year's_crop", "prior_crop"),
    "history": ("history", "field_history"),
    "plantings": ("plantings",),
    "zones": ("zones",),
    "events": ("events",),
}
"""Our name, then what is read as it in any case; where a feature has several the first in this order counts.

Names cut at ten characters are those of a shapefile's table."""
FEATURES_NAMED = 3
_HISTORY_MARKS = re.compile(r"[;,|]")


def soil_and_history(row: Row) -> dict[str, Any]:
    """The texture, previous crop and history of a field. A word not known here is noted and not read.

    A property called soil may hold anything in another program's export: an outline is not lost over it.
    """
    texture = row.word("texture", TEXTURES)
    told = _HISTORY_MARKS.split(row.text("history"))
    history = [found for word in told if (found := row.word("history", HISTORIES, word)) is not None]
    crop = " ".join(row.text("previous_crop").split())
    return {"texture": texture, "previous_crop": crop, "history": tuple(dict.fromkeys(history))}


def is_feature(told: Any) -> bool:
    """Whether a thing is a GeoJSON Feature whose properties, if any, are an object."""
    return isinstance(told, dict) and told.get("type") == "Feature" and isinstance(told.get("properties"), dict)


def name_properties(
    features: Sequence[Any], renamed: Mapping[str, str], faults: FaultList
) -> tuple[list[Any], frozenset[int]]:
    """The features with our names for their properties, and the numbers (from 1) of those without an id.

    Features without an id are one fault that lists the properties there are: the cause is one.
    """
    named, found, lost = [], {}, []
    for number, told in enumerate(features, start=1):
        if isinstance(told, dict) and told.get("properties") is None:
            told = {**told, "properties": {}}
        if not is_feature(told):
            named.append(told)
            continue
        properties = told["properties"]
        found[number] = properties
        ours = _ours(properties, renamed, told.get("id"))
        named.append({**told, "properties": ours})
        if _blank(ours.get("id")):
            lost.append(number)
    _tell_unfound(renamed, list(found.values()), faults)
    if lost:
        _tell_without_id(lost, found, len(features), faults)
    return named, frozenset(lost)


def _ours(properties: Mapping[str, Any], renamed: Mapping[str, str], beside: Any) -> dict[str, Any]:
    by_name: dict[str, list[Any]] = {}
    for key in sorted(properties, key=lambda key: key != normal(key)):
        by_name.setdefault(normal(key), []).append(properties[key])
    ours = {}
    for name, words in OBVIOUS.items():
        wanted = [normal(renamed[name])] if name in renamed and normal(renamed[name]) in by_name else words
        there = [value for word in wanted for value in by_name.get(word, ())]
        if there:  # a blank property is there: it says that there is nothing
            ours[name] = next((value for value in there if not _blank(value)), None)
    history = ours.get("history")
    if isinstance(history, list):
        ours["history"] = "; ".join(cells.json_text(word) for word in history)
    if _blank(ours.get("id")) and beside is not None:
        ours["id"] = beside
    return ours


def _blank(value: Any) -> bool:
    return value is None or (isinstance(value, str) and not value.strip())


def _tell_unfound(renamed: Mapping[str, str], found: Sequence[Mapping[str, Any]], faults: FaultList) -> None:
    there = {normal(key) for properties in found for key in properties}
    for ours, heading in renamed.items():
        if found and normal(heading) not in there:
            rule = f"no outline has this property (properties found: {_listed(found)})"
            faults.note(0, f"columns.fields.{ours}", heading, rule, "correct the name in season.toml")


def _listed(found: Sequence[Mapping[str, Any]]) -> str:
    return some(dict.fromkeys(str(key) for properties in found for key in properties), 20) or "none"


def _tell_without_id(lost: list[int], found: Mapping[int, Mapping[str, Any]], total: int, faults: FaultList) -> None:
    properties = list(found.values())
    rule = f"{len(lost)} of {total} {counted(total, 'outline')} {'has' if len(lost) == 1 else 'have'} no id"
    if len(lost) < total:
        rule += f" (first: {counted(len(lost), 'feature')} {', '.join(map(str, lost[:FEATURES_NAMED]))})"
    rule += f"; properties found: {_listed(properties)}"
    fitting = _telling_apart([found[number] for number in lost])
    todo = "give each field an id that stays the same through the season"
    if fitting and len(lost) == total:
        lines = " or ".join(f'id = "{name}"' for name in fitting[:FEATURES_NAMED])
        todo = f"write {lines} under [columns.fields] in season.toml, or {todo}"
    if len(lost) == total:
        faults.not_read(0, "id", "", rule, todo)
        return
    faults.add("refused", 0, "id", "", rule, todo, rows=len(lost))
    for number in lost:
        faults.leave_out(f"feature {number}: ")


def _telling_apart(found: Sequence[Mapping[str, Any]]) -> list[str]:
    """Properties that every one of these features has, each with a value of its own that can be an id."""
    fitting = []
    for key in found[0]:
        values = [properties.get(key) for properties in found]
        texts = {cells.json_text(value).strip() for value in values if isinstance(value, str | int | float)}
        if len(texts) == len(values) and "" not in texts and not any("/" in text for text in texts):
            fitting.append(str(key))
    numbered = {key for key in fitting if all(isinstance(properties[key], int | float) for properties in found)}
    return sorted(fitting, key=lambda key: key in numbered)  # a program's own numbering may change at the next export
