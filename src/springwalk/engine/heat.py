"""Degree-days from daily extremes: one building block, named methods.

Everything is in °C and °C·day (1 °C·day = 1.8 °F·day). For a daily course of temperature, ``H(T)`` is the
degree-days above one threshold T and ``f(T)`` the share of the day above it; every cutoff follows from them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from springwalk.errors import BadValue

Shape = Literal["sine", "triangle", "average", "86/50", "clipped-mean", "capped-max"]
Cutoff = Literal["none", "horizontal", "intermediate", "vertical"]
Array = NDArray[np.float64]

SHAPES: tuple[Shape, ...] = ("sine", "triangle", "average", "86/50", "clipped-mean", "capped-max")
CUTOFFS: tuple[Cutoff, ...] = ("none", "horizontal", "intermediate", "vertical")


@dataclass(frozen=True)
class Method:
    """A way to count heat. ``upper_c`` None = no upper threshold (only with cutoff ``none``).

    ``shape`` sine or triangle takes a ``cutoff`` and may be ``double`` (each half of the day with its own minimum);
    average, 86/50 (both extremes clamped to the thresholds), clipped-mean (the mean clamped) and capped-max (the mean
    with the maximum capped at the upper threshold) stand alone.
    """

    shape: Shape = "sine"
    cutoff: Cutoff = "horizontal"
    lower_c: float = 10.0
    upper_c: float | None = 30.0
    double: bool = False

    def __post_init__(self) -> None:
        """Refuse a method that means nothing."""
        if self.shape not in SHAPES:
            raise BadValue("method", self.shape, "no such way of counting heat", f"use one of {', '.join(SHAPES)}")
        if self.cutoff not in CUTOFFS:
            raise BadValue("cutoff", self.cutoff, "no such cutoff", f"use one of {', '.join(CUTOFFS)}")
        if self.needs_upper and self.upper_c is None:
            raise BadValue("upper", None, f"{self.label} needs an upper threshold", "give --upper")
        if self.upper_c is not None and not self.lower_c < self.upper_c:
            raise BadValue("upper", self.upper_c, f"must be above lower = {self.lower_c:g}", "swap them", unit="°C")

    @property
    def curved(self) -> bool:
        """Whether the method follows the course of the day (sine, triangle)."""
        return self.shape in ("sine", "triangle")

    @property
    def needs_upper(self) -> bool:
        """Whether the method cannot do without an upper threshold."""
        return self.shape in ("86/50", "clipped-mean", "capped-max") or (self.curved and self.cutoff != "none")

    @property
    def label(self) -> str:
        """The method in words, without its thresholds."""
        if not self.curved:
            return self.shape
        return f"{'double' if self.double else 'single'} {self.shape}, {self.cutoff} cutoff"


AVERAGE = Method(shape="average", cutoff="none", upper_c=None)
SINE = Method()
CORN = Method(shape="86/50")
NAMED: dict[str, Method] = {
    "sine": SINE,
    "triangle": Method(shape="triangle"),
    "average": AVERAGE,
    "86/50": CORN,
    "clipped-mean": Method(shape="clipped-mean"),
}
"""Methods by the name a season may give, base 50 °F and upper 86 °F."""


def above(min_c: ArrayLike, max_c: ArrayLike, threshold_c: float, *, shape: Shape = "sine") -> Array:
    """Degree-days (°C·day) of one day above one threshold for a sine or triangle day.

    Arrays broadcast; NaN gives NaN. Source: six-case tables of Zalom et al. 1983 (UC Leaflet 21373) collapse to
    this one integral (re-derived; checked by quadrature in the tests).
    """
    low, high = np.asarray(min_c, np.float64), np.asarray(max_c, np.float64)
    mean, half = (low + high) / 2.0, (high - low) / 2.0
    span = np.where(half > 0.0, half, 1.0)  # a day without range never enters the curved branch
    if shape == "triangle":
        inside = (high - threshold_c) ** 2 / (4.0 * span)
    else:
        theta = np.arcsin(np.clip((threshold_c - mean) / span, -1.0, 1.0))
        inside = ((mean - threshold_c) * (np.pi / 2.0 - theta) + half * np.cos(theta)) / np.pi
    whole = mean - threshold_c
    heat = np.where(low >= threshold_c, whole, np.where(high <= threshold_c, 0.0, inside))
    return np.where(np.isnan(mean), np.nan, heat)


def share_above(min_c: ArrayLike, max_c: ArrayLike, threshold_c: float, *, shape: Shape = "sine") -> Array:
    """Share (0–1) of a sine or triangle day above one threshold; NaN gives NaN."""
    low, high = np.asarray(min_c, np.float64), np.asarray(max_c, np.float64)
    mean, half = (low + high) / 2.0, (high - low) / 2.0
    span = np.where(half > 0.0, half, 1.0)
    if shape == "triangle":
        inside = (high - threshold_c) / (2.0 * span)
    else:
        inside = (np.pi / 2.0 - np.arcsin(np.clip((threshold_c - mean) / span, -1.0, 1.0))) / np.pi
    share = np.where(low >= threshold_c, 1.0, np.where(high <= threshold_c, 0.0, inside))
    return np.where(np.isnan(mean), np.nan, share)


def degree_days(
    min_c: ArrayLike, max_c: ArrayLike, method: Method = SINE, *, next_min_c: ArrayLike | None = None
) -> Array:
    """Degree-days (°C·day) of each day by a named method.

    Arrays broadcast; NaN (a missing extreme) gives NaN. ``next_min_c`` (the following morning) is needed by the
    double methods. The intermediate cutoff is floored at 0 per day. Raises BadValue where a minimum is above its
    maximum. Source: Zalom et al. 1983; capped-max after Univ. Minnesota vegetable IPM, seed corn maggot degree-days
    (after Funderburk et al. 1984); 86/50 after Nielsen, Purdue 2020 (both extremes clamped to both limits).
    """
    low, high = np.asarray(min_c, np.float64), np.asarray(max_c, np.float64)
    _refuse_swapped(low, high)
    if not method.double:
        return _single(low, high, method)
    if not method.curved:
        raise BadValue("double", method.shape, "only sine and triangle split the day", "leave --double out")
    if next_min_c is None:
        raise BadValue("next_min", "(not given)", "a double method needs the next morning's minimum", "give --next-min")
    evening = np.asarray(next_min_c, np.float64)
    _refuse_swapped(evening, high, name="next_min")
    return 0.5 * _single(low, high, method) + 0.5 * _single(evening, high, method)


def _refuse_swapped(low: Array, high: Array, *, name: str = "min") -> None:
    with np.errstate(invalid="ignore"):
        bad = low > high
    if np.any(bad):
        low_b, high_b = np.broadcast_arrays(low, high)
        value = float(low_b[bad].flat[0])
        top = float(high_b[bad].flat[0])
        todo = "swap or correct the extremes"
        raise BadValue(name, f"{value:g}", f"above the day's maximum {top:g}", todo, unit="°C")


def _single(low: Array, high: Array, method: Method) -> Array:
    lower, upper = method.lower_c, method.upper_c
    if method.shape == "average":
        return np.maximum((low + high) / 2.0 - lower, 0.0)
    if method.shape == "capped-max" and upper is not None:
        return np.maximum((low + np.minimum(high, upper)) / 2.0 - lower, 0.0)
    if method.shape == "86/50":
        return (np.clip(low, lower, upper) + np.clip(high, lower, upper)) / 2.0 - lower
    if method.shape == "clipped-mean":
        return np.clip((low + high) / 2.0, lower, upper) - lower
    heat = above(low, high, lower, shape=method.shape)
    if method.cutoff == "none" or upper is None:
        return heat
    hot = above(low, high, upper, shape=method.shape)
    if method.cutoff == "horizontal":
        return heat - hot
    if method.cutoff == "intermediate":
        return np.maximum(heat - 2.0 * hot, 0.0)
    return heat - hot - (upper - lower) * share_above(low, high, upper, shape=method.shape)


def running_total(daily_ddc: ArrayLike) -> Array:
    """Heat from the first day to the end of each day along the last axis (°C·day); NaN spreads forward.

    A sum from a date is a difference: heat of days a+1 … b = total[b] − total[a].
    """
    return np.cumsum(np.asarray(daily_ddc, np.float64), axis=-1)


def quarter_rule(min_c: ArrayLike, max_c: ArrayLike, *, lower_c: float = 10.0) -> Array:
    """Degree-days (°C·day) of each day by the four-case quarter rule, no upper threshold; NaN gives NaN.

    Kept to compare with services that use it; not offered for a season. Source: Met Éireann, as given in its notes.
    """
    low, high = np.asarray(min_c, np.float64), np.asarray(max_c, np.float64)
    _refuse_swapped(low, high)
    mean = (low + high) / 2.0
    partly = np.where(mean > lower_c, (high - lower_c) / 2.0 - (lower_c - low) / 4.0, (high - lower_c) / 4.0)
    heat = np.where(low >= lower_c, mean - lower_c, np.where(high > lower_c, partly, 0.0))
    return np.where(np.isnan(mean), np.nan, heat)


def crop_heat_units(min_c: ArrayLike, max_c: ArrayLike) -> Array:
    """Crop heat units (CHU, Canada) of each day from extremes in °C; NaN gives NaN.

    Day part 3.33 (max − 10) − 0.084 (max − 10)², night part 1.8 (min − 4.4), each floored at 0, and their mean.
    Source: Agriculture and Agri-Food Canada, open data record on crop heat units.
    """
    low, high = np.asarray(min_c, np.float64), np.asarray(max_c, np.float64)
    _refuse_swapped(low, high)
    above_day = high - 10.0
    day = np.maximum(3.33 * above_day - 0.084 * above_day**2, 0.0)
    night = np.maximum(1.8 * (low - 4.4), 0.0)
    return np.asarray((day + night) / 2.0)
