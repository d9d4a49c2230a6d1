"""season.toml, fields.geojson, weather and forecasts of an exported season folder."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import time, timedelta
from pathlib import PurePosixPath
from typing import Any

from springwalk.intake import cells
from springwalk.intake.files import inside
from springwalk.intake.money import MONEY_KEYS
from springwalk.jobs.export_said import LENGTH_UNITS, csv_text, day, plain, said, text_cell
from springwalk.records import Field, Forecast, Season, Station
from springwalk.store.days import DayRow

DAY_COLUMNS = ("date", "min (°C)", "max (°C)", "rain (mm)")
FORECAST_COLUMNS = ("issued", "date", "member", *DAY_COLUMNS[1:])
_NOT_FOR_NAMES = re.compile(r"[^A-Za-z0-9._-]+")


def file_names(stations: Iterable[str], folder: str) -> dict[str, str]:
    """A file for each station: its id as far as a file can be called so, no two alike in any case."""
    found: dict[str, str] = {}
    taken: set[str] = set()
    for station in stations:
        base = _NOT_FOR_NAMES.sub("-", station).strip("-.") or "station"
        name, number = base, 1
        while name.casefold() in taken:
            number += 1
            name = f"{base}-{number}"
        taken.add(name.casefold())
        found[station] = f"{folder}/{name}.csv"
    return found


def season_text(
    season: Season, stations: Sequence[Station], weather: Mapping[str, str], forecasts: Mapping[str, Sequence[str]]
) -> str:
    """season.toml: the season, then each station with its weather file and forecasts by station id."""
    told = [(name, getattr(season, name)) for name in ("timezone", "state", "heat_method", "capture_rule")]
    lines = ["[season]", f"name = {_quoted(season.name)}", f"year = {season.year}"]
    lines += [f"{name} = {_quoted(value)}" for name, value in told if value]
    lines += [f"{name} = {value}" for name in ("first_day", "last_day") if (value := getattr(season, name))]
    lines += _typed(season)
    for station in stations:
        lines += ["", "[[station]]", f"id = {_quoted(station.id)}"]
        lines += [f"name = {_quoted(station.name)}"] if station.name else []
        lines += [f"latitude = {station.latitude!r}", f"longitude = {station.longitude!r}"]
        lines += [f"elevation = {_quoted(_height(station.elevation_m))}"] if station.elevation_m is not None else []
        lines += [f"attribution = {_quoted(station.attribution)}"] if station.attribution else []
        lines.append(f"file = {_quoted(weather[station.id])}")
        if forecasts.get(station.id):
            lines.append(f"forecast = [{', '.join(map(_quoted, forecasts[station.id]))}]")
    return "\n".join(lines) + "\n"


def _typed(season: Season) -> list[str]:
    """[money] and [team], of what was told."""
    money = {key: getattr(season.money, name) for key, (name, _, _) in MONEY_KEYS.items()}
    money["days_to_sprayer"] = season.money.days_to_sprayer
    lines = []
    for title, values in (("money", money), ("team", season.team.model_dump())):
        told = {key: value for key, value in values.items() if value is not None}
        lines += ["", f"[{title}]"] if told else []
        lines += [
            f"{key} = {_quoted(str(value)) if isinstance(value, time) else repr(value)}" for key, value in told.items()
        ]
    return lines


def _quoted(text: str) -> str:
    """Text as a basic string of TOML, which escapes what JSON escapes, and DEL besides."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _height(value: float | None) -> str:
    return said(value, LENGTH_UNITS, lambda text: cells.measure(text, "length_m", "ft"))


def outlines_text(fields: Iterable[Field]) -> str:
    """fields.geojson: an outline a line, with the properties of its field."""
    features = [
        {
            "type": "Feature",
            "properties": {
                "id": one.id, "name": one.name, "grower": one.grower, "note": one.note,
                "elevation": _height(one.elevation_m) or None, "texture": one.texture,
                "previous_crop": one.previous_crop, "history": list(one.history),
            },
            "geometry": geometry(one),
        }
        for one in sorted(fields, key=lambda one: one.id)
    ]  # fmt: skip
    return collection_text(features)


def geometry(field: Field) -> dict[str, Any] | None:
    """The outline of a field as a GeoJSON geometry; None where it has none."""
    return field.outline if field.outline.get("coordinates") else None


def collection_text(features: Iterable[Mapping[str, Any]]) -> str:
    """A GeoJSON FeatureCollection, a feature a line."""
    lines = [json.dumps(one, ensure_ascii=False, allow_nan=False) for one in features]
    inner = ",\n".join(lines)
    return '{"type": "FeatureCollection", "features": [\n' + (f"{inner}\n" if inner else "") + "]}\n"


def days_text(rows: Iterable[DayRow]) -> str:
    """A station's days as a plain weather table: °C and mm in full, blank = not reported."""
    told = (dict(zip(DAY_COLUMNS, (row[0], *map(plain, row[1:])), strict=True)) for row in rows)
    return csv_text(DAY_COLUMNS, told)


def forecast_files(forecasts: Iterable[Forecast], taken: Iterable[str]) -> dict[str, dict[str, list[Forecast]]]:
    """Forecasts by station and then by file: the file each came from where that can be written as CSV again, else
    forecasts/STATION.csv. ``taken`` are names of other files.
    """
    listed = sorted(forecasts, key=lambda one: (one.station, one.issued))
    used = {name.casefold(): "" for name in taken}
    spare = file_names(dict.fromkeys(one.station for one in listed), "forecasts")
    found: dict[str, dict[str, list[Forecast]]] = {}
    for one in listed:
        name = one.source if _can_be_csv(one.source) else spare[one.station]
        if used.setdefault(name.casefold(), one.station) != one.station:
            name = spare[one.station]
            used.setdefault(name.casefold(), one.station)
        found.setdefault(one.station, {}).setdefault(name, []).append(one)
    return found


def _can_be_csv(name: str) -> bool:
    """Whether a file of this name can be written into the folder as a table."""
    parts = PurePosixPath(name).parts
    return inside(name) and name.casefold().endswith(".csv") and "\\" not in name and len(parts) <= 3


def forecast_text(forecasts: Iterable[Forecast]) -> str:
    """Forecasts of one station, a row for each issue, member and day; °C and mm in full."""
    return csv_text(FORECAST_COLUMNS, (row for one in forecasts for row in _forecast_rows(one)))


def _forecast_rows(one: Forecast) -> Iterable[dict[str, str]]:
    for member, lows in enumerate(one.min_c):
        for at, low in enumerate(lows):
            values = (low, one.max_c[member][at], one.rain_mm[member][at] if one.rain_mm else None)
            if values != (None, None, None):
                told = (day(one.issued), day(one.first + timedelta(days=at)), text_cell(str(member + 1)))
                yield dict(zip(FORECAST_COLUMNS, (*told, *map(plain, values)), strict=True))
