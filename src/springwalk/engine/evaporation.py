"""Reference evapotranspiration by FAO-56, equation by equation (Allen et al. 1998, FAO Irrigation & Drainage Paper 56).

Every function takes numbers or arrays and works on whole arrays; NaN in gives NaN out. Units: °C, kPa, MJ/m²/day, m/s
at 2 m, mm/day, degrees north. Days of the year run from 1.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

SOLAR_MJ_PER_M2_MIN = 0.0820
STEFAN_BOLTZMANN = 4.903e-9
"""MJ per K⁴, m² and day."""
MM_PER_MJ = 0.408
"""Water (mm) that a megajoule per m² evaporates (eq. 20)."""
ALBEDO = 0.23
INTERIOR = 0.16
"""k of equation 50 away from a large water; 0.19 on a coast."""
USUAL_WIND_M_S = 2.0
"""Wind where none was measured (FAO-56 chapter 3)."""


def pressure_kpa(elevation_m: ArrayLike) -> Array:
    """Air pressure at a height above the sea (eq. 7)."""
    return np.asarray(101.3 * ((293.0 - 0.0065 * _array(elevation_m)) / 293.0) ** 5.26)


def psychrometric_kpa_per_c(pressure: ArrayLike) -> Array:
    """Psychrometric constant from air pressure in kPa (eq. 8)."""
    return np.asarray(0.665e-3 * _array(pressure))


def saturation_kpa(temperature_c: ArrayLike) -> Array:
    """Vapour pressure of saturated air (eq. 11); of the dew point it is the actual one (eq. 14)."""
    t = _array(temperature_c)
    return np.asarray(0.6108 * np.exp(17.27 * t / (t + 237.3)))


def mean_saturation_kpa(min_c: ArrayLike, max_c: ArrayLike) -> Array:
    """Mean of saturation at a day's extremes (eq. 12); saturation at the mean temperature would be too low."""
    return np.asarray((saturation_kpa(min_c) + saturation_kpa(max_c)) / 2.0)


def slope_kpa_per_c(temperature_c: ArrayLike) -> Array:
    """Slope of saturation against temperature (eq. 13)."""
    t = _array(temperature_c)
    return np.asarray(4098.0 * saturation_kpa(t) / (t + 237.3) ** 2)


def actual_kpa(min_c: ArrayLike, max_c: ArrayLike, humidity_max: ArrayLike, humidity_min: ArrayLike) -> Array:
    """Actual vapour pressure from a day's extremes and relative humidities in % (eq. 17)."""
    early = saturation_kpa(min_c) * _array(humidity_max) / 100.0
    late = saturation_kpa(max_c) * _array(humidity_min) / 100.0
    return np.asarray((early + late) / 2.0)


def sunset_angle(latitude: ArrayLike, day_of_year: ArrayLike) -> Array:
    """Sunset hour angle in radians (eq. 24 and 25); 0 in polar night, π in polar day."""
    lat, tilt = np.radians(_array(latitude)), declination(day_of_year)
    return np.asarray(np.arccos(np.clip(-np.tan(lat) * np.tan(tilt), -1.0, 1.0)))


def declination(day_of_year: ArrayLike) -> Array:
    """Height of the sun over the equator at noon, radians (eq. 24)."""
    return np.asarray(0.409 * np.sin(2.0 * np.pi / 365.0 * _array(day_of_year) - 1.39))


def sun_distance(day_of_year: ArrayLike) -> Array:
    """Inverse relative distance of earth and sun (eq. 23), 1 on average."""
    return np.asarray(1.0 + 0.033 * np.cos(2.0 * np.pi / 365.0 * _array(day_of_year)))


def above_air_mj(latitude: ArrayLike, day_of_year: ArrayLike) -> Array:
    """Radiation above the atmosphere, Ra (eq. 21)."""
    lat, tilt, angle = np.radians(_array(latitude)), declination(day_of_year), sunset_angle(latitude, day_of_year)
    height = angle * np.sin(lat) * np.sin(tilt) + np.cos(lat) * np.cos(tilt) * np.sin(angle)
    return np.asarray(24.0 * 60.0 / np.pi * SOLAR_MJ_PER_M2_MIN * sun_distance(day_of_year) * height)


def day_length_h(latitude: ArrayLike, day_of_year: ArrayLike) -> Array:
    """Hours from sunrise to sunset, N (eq. 34)."""
    return np.asarray(24.0 / np.pi * sunset_angle(latitude, day_of_year))


def sun_from_hours_mj(above_air: ArrayLike, sun_h: ArrayLike, day_h: ArrayLike) -> Array:
    """Solar radiation Rs from hours of sun (eq. 35 with its usual a = 0.25 and b = 0.50)."""
    return np.asarray((0.25 + 0.50 * _array(sun_h) / _array(day_h)) * _array(above_air))


def sun_from_extremes_mj(above_air: ArrayLike, min_c: ArrayLike, max_c: ArrayLike, *, k: float = INTERIOR) -> Array:
    """Solar radiation Rs from the span of a day's temperatures (eq. 50)."""
    return np.asarray(k * np.sqrt(_span(min_c, max_c)) * _array(above_air))


def clear_sun_mj(above_air: ArrayLike, elevation_m: ArrayLike) -> Array:
    """Solar radiation of a clear day, Rso (eq. 37)."""
    return np.asarray((0.75 + 2e-5 * _array(elevation_m)) * _array(above_air))


def net_short_mj(sun: ArrayLike) -> Array:
    """Solar radiation that grass keeps, Rns (eq. 38)."""
    return np.asarray((1.0 - ALBEDO) * _array(sun))


def net_long_mj(min_c: ArrayLike, max_c: ArrayLike, actual: ArrayLike, sun: ArrayLike, clear_sun: ArrayLike) -> Array:
    """Heat radiated away, Rnl (eq. 39); the relative sun is taken as 1 at most."""
    warmth = ((_array(max_c) + 273.16) ** 4 + (_array(min_c) + 273.16) ** 4) / 2.0
    cloud = 1.35 * np.minimum(_array(sun) / _array(clear_sun), 1.0) - 0.35
    return np.asarray(STEFAN_BOLTZMANN * warmth * (0.34 - 0.14 * np.sqrt(_array(actual))) * cloud)


def wind_at_2m(wind_m_s: ArrayLike, height_m: ArrayLike) -> Array:
    """Wind at 2 m from wind at another height over grass (eq. 47)."""
    return np.asarray(_array(wind_m_s) * 4.87 / np.log(67.8 * _array(height_m) - 5.42))


def month_soil_mj(month_before_c: ArrayLike, month_after_c: ArrayLike) -> Array:
    """Heat into the soil in a month from the means of the months around it (eq. 43); about 0 for a single day."""
    return np.asarray(0.07 * (_array(month_after_c) - _array(month_before_c)))


def penman_monteith_mm(
    mean_c: ArrayLike, wind_m_s: ArrayLike, net_mj: ArrayLike, saturation: ArrayLike, actual: ArrayLike,
    psychrometric: ArrayLike, *, soil_mj: ArrayLike = 0.0,
) -> Array:  # fmt: skip
    """Reference evapotranspiration ETo of a day by Penman–Monteith (eq. 6)."""
    t, u, gamma, slope = _array(mean_c), _array(wind_m_s), _array(psychrometric), slope_kpa_per_c(mean_c)
    sun = MM_PER_MJ * slope * (_array(net_mj) - _array(soil_mj))
    air = gamma * 900.0 / (t + 273.0) * u * (_array(saturation) - _array(actual))
    return np.asarray((sun + air) / (slope + gamma * (1.0 + 0.34 * u)))


def penman_monteith_from_extremes_mm(
    min_c: ArrayLike, max_c: ArrayLike, above_air: ArrayLike, elevation_m: ArrayLike,
    *, wind_m_s: ArrayLike = USUAL_WIND_M_S, k: float = INTERIOR,
) -> Array:  # fmt: skip
    """ETo by Penman–Monteith where only extremes are known (FAO-56 chapter 3, example 20).

    The dew point is taken as the minimum (eq. 48), the wind as 2 m/s, the sun from the span (eq. 50).
    """
    sun = sun_from_extremes_mj(above_air, min_c, max_c, k=k)
    actual = saturation_kpa(min_c)
    lost = net_long_mj(min_c, max_c, actual, sun, clear_sun_mj(above_air, elevation_m))
    gamma = psychrometric_kpa_per_c(pressure_kpa(elevation_m))
    mean = (_array(min_c) + _array(max_c)) / 2.0
    return penman_monteith_mm(
        mean, wind_m_s, net_short_mj(sun) - lost, mean_saturation_kpa(min_c, max_c), actual, gamma
    )  # fmt: skip


def hargreaves_mm(min_c: ArrayLike, max_c: ArrayLike, above_air: ArrayLike) -> Array:
    """ETo of a day by Hargreaves (eq. 52), never below zero: what we use for a station with extremes only.

    Penman–Monteith from extremes knows no more: its dew point, wind and sun are all assumed from the same two readings,
    and it needs the height as well. Days colder than −17.8 °C on average give 0. Daily values are rough; the caller
    carries the error (tables ``surface_water``: et0_error).
    """
    mean = (_array(min_c) + _array(max_c)) / 2.0
    et0 = 0.0023 * (mean + 17.8) * np.sqrt(_span(min_c, max_c)) * MM_PER_MJ * _array(above_air)
    return np.asarray(np.maximum(et0, 0.0))


def _span(min_c: ArrayLike, max_c: ArrayLike) -> Array:
    """Maximum less minimum; extremes that cross count as equal."""
    return np.asarray(np.maximum(_array(max_c) - _array(min_c), 0.0))


def _array(value: ArrayLike) -> Array:
    return np.asarray(value, dtype=np.float64)
