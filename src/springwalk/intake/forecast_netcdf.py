"""Ensemble forecasts as NetCDF (the extra ``forecast``): one station's point out of it, in °C and mm.

Names and units: CF conventions (standard_name, cell_methods, units "… since …"), memory.
"""

from __future__ import annotations

import importlib
from datetime import UTC, date, datetime
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from springwalk.intake.faults import FaultList, some
from springwalk.intake.forecast_days import Steps, daily, running_total
from springwalk.intake.forecast_table import RawForecast
from springwalk.intake.geometry import distance_km
from springwalk.intake.rawdays import RawDay
from springwalk.records import Station

MOST_VALUES = 20_000_000
FAR_KM = 100.0
"""A grid point farther off than this is not the station's (assumption)."""
ENDINGS = (".nc", ".nc4", ".netcdf", ".cdf")
INSTALL = "pip install 'springwalk[forecast]'"
EXPORT = "export daily minimum, maximum and rain as CSV"
NAMES = {
    "max": ("tmax", "t_max", "mx2t", "mx2t24", "tasmax", "temperature_2m_max"),
    "min": ("tmin", "t_min", "mn2t", "mn2t24", "tasmin", "temperature_2m_min"),
    "both": ("t2m", "2t", "tas", "temperature", "temperature_2m"),
    "rain": ("tp", "pr", "precip", "precipitation", "rain", "apcp", "prcp"),
}
TEMPERATURES = {"K": -273.15, "kelvin": -273.15, "degC": 0.0, "C": 0.0, "celsius": 0.0, "degree_Celsius": 0.0}
FAHRENHEIT = ("degF", "F", "fahrenheit", "degree_Fahrenheit")
RAINS = {"mm": 1.0, "kg m-2": 1.0, "kg/m2": 1.0, "kg m**-2": 1.0, "m": 1000.0, "cm": 10.0, "in": 25.4, "inch": 25.4}
FLUXES = ("kg m-2 s-1", "kg/m2/s", "kg m**-2 s**-1", "mm s-1", "mm/s")
DIMS = {
    "member": ("member", "number", "realization", "ens", "ensemble", "ensemble_member"),
    "time": ("time", "valid_time", "step", "lead_time"),
    "lat": ("lat", "latitude", "y"),
    "lon": ("lon", "longitude", "x"),
    "station": ("station", "stations", "site", "point", "location"),
}
Array = NDArray[np.float64]


class _NoError(Exception):
    """Why a file can't be read: place, value, rule and what to do."""

    def __init__(self, place: str, value: object, rule: str, todo: str = EXPORT) -> None:
        super().__init__(place, value, rule, todo)


def is_netcdf(name: str) -> bool:
    """Whether a file's name says NetCDF."""
    return name.casefold().endswith(ENDINGS)


def read_netcdf(data: bytes, faults: FaultList, station: Station, timezone: str) -> RawForecast | None:
    """The members at the station's place by local day; None, with one fault listed, where that can't be had."""
    try:
        library = importlib.import_module("netCDF4")
    except ImportError:
        rule = "NetCDF can't be read here: the extra forecast is not installed"
        faults.not_read(0, "", faults.file, rule, INSTALL)
        return None
    try:
        with library.Dataset("forecast", mode="r", memory=data) as held:
            return _read(library, held, station, ZoneInfo(timezone), faults)
    except _NoError as no:
        place, value, rule, todo = no.args
        faults.not_read(0, place, value, rule, todo)
    except Exception as error:  # whatever a broken file makes the library raise
        rule = f"not a NetCDF file that can be read ({type(error).__name__})"
        faults.not_read(0, "", " ".join(str(error).split()), rule, EXPORT)
    return None


def _read(library: Any, held: Any, station: Station, zone: ZoneInfo, faults: FaultList) -> RawForecast:
    found = {ours: one for ours in NAMES if (one := _variable(held, ours)) is not None}
    if "max" in found and "min" in found:
        found.pop("both", None)
    elif "both" in found:
        found["max"] = found["min"] = found.pop("both")
    else:
        names = some(sorted(held.variables), 20)
        raise _NoError("variables", names, "no minimum and maximum of air temperature, and no hourly one")
    forecast = RawForecast(temperature_unit="C", rain_unit="mm")
    forecast.issued = _issued(library, held, zone)
    days: dict[int, dict[date, RawDay]] = {}
    for ours, variable in found.items():
        values = _values(held, variable, station)
        steps = _steps(library, held, variable, zone)
        scaled = _rain_mm(values, variable, steps, faults) if ours == "rain" else _temperature_c(values, variable)
        item = {"max": "maximum", "min": "minimum", "rain": "rain"}[ours]
        for member, row in enumerate(scaled):
            for day, value in daily(row, steps, ours).items():
                one = days.setdefault(member, {}).setdefault(day, RawDay(0, day, who=(member, day)))
                setattr(one, item, value)
    for member, told in sorted(days.items()):
        name = str(member + 1)
        headings = {ours: f"member {name}, {ours}" for ours in ("date", "max", "min", "rain")}
        forecast.member(name, None, headings).raw.days = [told[day] for day in sorted(told)]
        faults.rows += len(told)
    return forecast


def _variable(held: Any, ours: str) -> Any:
    """The variable that is ours by its standard name and cell methods, else by its name."""
    for name, variable in held.variables.items():
        standard = str(getattr(variable, "standard_name", "")).casefold()
        methods = str(getattr(variable, "cell_methods", "")).casefold()
        kind = "max" if "maximum" in methods else "min" if "minimum" in methods else "both"
        if standard == "air_temperature" and kind == ours and name.casefold() not in _others(ours):
            return variable
        if ours == "rain" and standard.endswith(("precipitation_flux", "precipitation_amount", "rainfall_amount")):
            return variable
    return next((held.variables[name] for name in held.variables if name.casefold() in NAMES[ours]), None)


def _others(ours: str) -> set[str]:
    return {name for key, names in NAMES.items() if key != ours for name in names}


def _values(held: Any, variable: Any, station: Station) -> Array:
    """(member, time) values at the station; masked ones are NaN."""
    if int(np.prod(variable.shape)) > MOST_VALUES:
        todo = "cut out the days and the place needed"
        raise _NoError(variable.name, variable.shape, f"more than {MOST_VALUES} values; nothing was read", todo)
    roles = [_role(held, dim) for dim in variable.dimensions]
    unknown = [
        dim for dim, role in zip(variable.dimensions, roles, strict=True) if not role and held.dimensions[dim].size > 1
    ]
    if unknown or "time" not in roles:
        raise _NoError(variable.name, some(variable.dimensions), "dimensions other than time, member, and a place")
    index = tuple(slice(None) if role in ("member", "time") else _nearest(held, role, station) for role in roles)
    values = np.ma.filled(np.ma.asarray(variable[index], dtype=np.float64), np.nan)
    kept = [role for role in roles if role in ("member", "time")]
    if kept == ["time"]:
        return np.asarray(values)[np.newaxis, :]
    if sorted(kept) != ["member", "time"]:
        raise _NoError(variable.name, some(variable.dimensions), "a dimension is there twice")
    return np.asarray(values if kept == ["member", "time"] else values.T)


def _role(held: Any, dim: str) -> str:
    """What a dimension is, by its coordinate's standard name or its own name."""
    coordinate = held.variables.get(dim)
    standard = str(getattr(coordinate, "standard_name", "")).casefold()
    by_standard = {"realization": "member", "time": "time", "latitude": "lat", "longitude": "lon"}
    return by_standard.get(standard) or next((role for role, names in DIMS.items() if dim.casefold() in names), "")


def _nearest(held: Any, role: str, station: Station) -> int:
    """The place of the station along a dimension of places."""
    lat, lon = (_coordinate(held, DIMS[one]) for one in ("lat", "lon"))
    if role not in ("lat", "lon", "station"):
        return 0
    if lat is None or lon is None:
        raise _NoError("coordinates", station.id, "no latitude and longitude of its points")
    lon = (lon + 180.0) % 360.0 - 180.0
    at_lat, at_lon = int(np.argmin(abs(lat - station.latitude))), int(np.argmin(abs(lon - station.longitude)))
    if role == "station":
        squares = (lat - station.latitude) ** 2 + (
            (lon - station.longitude) * np.cos(np.radians(station.latitude))
        ) ** 2
        at_lat = at_lon = int(np.argmin(squares))
    far = distance_km((float(lat[at_lat]), float(lon[at_lon])), (station.latitude, station.longitude))
    if far > FAR_KM:
        todo = "cut out the part with the station"
        raise _NoError("place", station.id, f"the nearest point of the file is {far:.0f} km off", todo)
    return at_lon if role == "lon" else at_lat


def _coordinate(held: Any, names: tuple[str, ...]) -> Array | None:
    found = next((held.variables[name] for name in held.variables if name.casefold() in names), None)
    if found is None or found.ndim > 1 or found.size > MOST_VALUES:
        return None
    return np.atleast_1d(np.ma.filled(np.ma.asarray(found[...], dtype=np.float64), np.nan))


def _instants(library: Any, variable: Any) -> list[datetime]:
    """The instants of a time variable, in UTC."""
    if variable.size > MOST_VALUES:
        raise _NoError(variable.name, variable.size, "more times than any forecast has")
    told = library.num2date(
        np.atleast_1d(np.asarray(variable[...])), variable.units, getattr(variable, "calendar", "standard"),
        only_use_cftime_datetimes=False, only_use_python_datetimes=True,
    )  # fmt: skip
    return [each.replace(tzinfo=UTC) for each in told]


def _since(variable: Any) -> bool:
    return variable is not None and " since " in str(getattr(variable, "units", ""))


def _steps(library: Any, held: Any, variable: Any, zone: ZoneInfo) -> Steps:
    """The times of a variable's values: its time dimension's own, or a valid_time beside it."""
    dim = next(dim for dim in variable.dimensions if _role(held, dim) == "time")
    for one in (held.variables.get("valid_time"), held.variables.get(dim)):
        if _since(one) and one.ndim == 1 and one.dimensions == (dim,):
            instants = _instants(library, one)
            if len(instants) == variable.shape[variable.dimensions.index(dim)]:
                return Steps(tuple(instants), zone)
    raise _NoError(dim, "", "no times of the values in the form 'hours since …'")


def _issued(library: Any, held: Any, zone: ZoneInfo) -> date | None:
    """The local day a forecast was made, where the file tells it: a reference time, or a lone time beside steps."""
    for name, variable in held.variables.items():
        standard = str(getattr(variable, "standard_name", "")).casefold()
        lone = name.casefold() == "time" and "time" not in held.dimensions
        if (standard == "forecast_reference_time" or lone) and _since(variable) and variable.size == 1:
            return _instants(library, variable)[0].astimezone(zone).date()
    return None


def _temperature_c(values: Array, variable: Any) -> Array:
    unit = str(getattr(variable, "units", "")).strip()
    if unit in FAHRENHEIT:
        return (values - 32.0) / 1.8
    if unit not in TEMPERATURES:
        todo = "export it in K, degC or degF"
        raise _NoError(f"{variable.name}.units", unit, "not a unit of temperature known here", todo)
    return values + TEMPERATURES[unit]


def _rain_mm(values: Array, variable: Any, steps: Steps, faults: FaultList) -> Array:
    """Rain of each step, or NaN with a fault where its unit is not known or it seems to be a running total."""
    unit = str(getattr(variable, "units", "")).strip()
    if unit in FLUXES:
        return values * steps.hours * 3600.0
    rule = "" if unit in RAINS else "not a unit of rain known here; the rain is left out"
    if not rule and running_total(values):
        rule = "the rain never falls back: a total since the start, not of each step; the rain is left out"
    if rule:
        faults.suspected(0, variable.name, unit, rule, "export the rain of each step in mm; temperatures are kept")
        return np.full_like(values, np.nan)
    return values * RAINS[unit]
