"""A [[station]] of season.toml: the station's record and how its weather files are written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from springwalk.intake import cells
from springwalk.intake.geometry import surely_exchanged
from springwalk.intake.repairs import UNITS
from springwalk.intake.toml import Section
from springwalk.records import Station

FORMATS = ("plain", "ghcn-daily", "auto")
FORECAST_UNITS = ("F", "C")
RAIN_UNITS = ("in", "mm", "tenths mm")
RAIN_WITH = {"F": "in", "C": "mm", "tenths C": "tenths mm"}
"""The rain unit that goes with a temperature unit where season.toml names none."""
PLAIN_COLUMNS = ("date", "max", "min", "rain")


@dataclass(frozen=True)
class StationFiles:
    """A station, its files, and their form. Units are those of the file; "" = not told."""

    station: Station
    files: tuple[str, ...]
    format: str = "plain"
    temperature_unit: str = ""
    rain_unit: str = ""
    date_form: str = ""
    columns: Mapping[str, str] = field(default_factory=dict)
    forecasts: tuple[str, ...] = ()
    forecast_unit: str = ""
    """Temperature unit of the forecasts where their headings name none."""


def read_station(told: Section, date_form: str) -> StationFiles | None:
    """One station, or None with the faults listed. An unknown key leaves the station out: it may be a misspelt unit."""
    keys = ("id", "name", "latitude", "longitude", "elevation", "file", "format", "temperature_unit", "rain_unit",
            "date_format", "attribution", "columns", "forecast", "forecast_unit")  # fmt: skip
    told.only(*keys)
    told.bad = told.bad or any(key not in keys for key in told.values)
    name_id = told.read("id", cells.identifier, needed=True)
    latitude = told.number("latitude", -90, 90, needed=True)
    longitude = told.number("longitude", -180, 180, needed=True)
    if latitude is not None and longitude is not None and surely_exchanged((latitude, longitude)):
        told.refuse("latitude", latitude, "latitude and longitude are exchanged", "exchange them")
    elevation_m = _elevation(told)
    files, forecasts = told.paths("file"), told.paths("forecast")
    if not files and not told.bad:
        told.refuse("file", "", "is needed", "name the station's weather file")
    form = told.choice("format", FORMATS) or "plain"
    unit = told.choice("temperature_unit", UNITS) or ""
    forecast_unit = told.choice("forecast_unit", FORECAST_UNITS) or ""
    rain = told.choice("rain_unit", RAIN_UNITS) or ""
    dates = told.read("date_format", cells.day_form) or date_form
    columns = _columns(told)
    name, attribution = told.text("name"), told.text("attribution")
    if told.bad or name_id is None or latitude is None or longitude is None:
        return None
    station = Station(
        id=name_id, name=name or name_id, latitude=latitude, longitude=longitude, elevation_m=elevation_m,
        attribution=attribution,
    )  # fmt: skip
    return StationFiles(station, files, form, unit, rain, dates, columns, forecasts, forecast_unit)


def _elevation(told: Section) -> float | None:
    value = told.values.get("elevation")
    if value is None or isinstance(value, str):
        return told.read("elevation", lambda text: cells.measure(text, "length_m", "ft"))
    feet = told.number("elevation", -1500, 30000)
    return None if feet is None else cells.measure(repr(float(feet)), "length_m", "ft")


def _columns(told: Section) -> dict[str, str]:
    section = told.table("columns")
    if section is None:
        return {}
    section.only(*PLAIN_COLUMNS)
    found = {key: heading for key in PLAIN_COLUMNS if (heading := section.text(key))}
    told.bad = told.bad or section.bad or any(key not in PLAIN_COLUMNS for key in section.values)
    return found
