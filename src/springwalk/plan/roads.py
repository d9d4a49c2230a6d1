"""Driving time between places."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from springwalk.errors import BadValue
from springwalk.plan.day import Place, Roads
from springwalk.tables import number, plain_name

EARTH_M = 6_371_000.0
"""Mean radius; a plane is used within a day's drive only."""
WIDEST_DEG = 5.0


def driving_min(
    starts: NDArray[np.float64], ends: NDArray[np.float64], roads: Roads, *, turn_in: bool
) -> NDArray[np.float64]:
    """Minutes from each start to each end, shapes (a, 2) and (b, 2) in metres to (a, b)."""
    straight_m = np.hypot(*(starts[:, None, :] - ends[None, :, :]).transpose(2, 0, 1))
    minutes: NDArray[np.float64] = straight_m * roads.factor / (roads.speed_km_h * 1000 / 60)
    return minutes + roads.turn_in_min if turn_in else minutes


def on_a_plane(lat_lon_deg: Sequence[tuple[float, float]]) -> list[Place]:
    """Metres east and north of the first place, from latitude and longitude in degrees.

    Valid within a day's drive (0.1 % at 100 km); raises BadValue where places lie further apart than 5°.
    """
    if not lat_lon_deg:
        return []
    lat, lon = np.radians(np.array(lat_lon_deg, float)).T
    widest = float(np.degrees(max(np.ptp(lat), np.ptp(lon))))
    if not widest <= WIDEST_DEG:
        raise BadValue("places", f"{widest:.1f}", "lie too far apart for one day", "plan each area by itself", unit="°")
    middle = (lat.min() + lat.max()) / 2
    east = EARTH_M * np.cos(middle) * (lon - lon[0])
    north = EARTH_M * (lat - lat[0])
    return [(float(x), float(y)) for x, y in zip(east, north, strict=True)]


def usual_roads() -> Roads:
    """The shipped speed, road factor and turn-in time (table ``day_plan``), with their basis in words."""
    used = [number("day_plan", name) for name in ("speed", "road_factor", "turn_in")]
    basis = "; ".join(f"{plain_name(x)} {x.value:g} {x.unit} ({x.mark})".replace(" 1 (", " (") for x in used)
    speed, factor, turn_in = (x.value for x in used)
    return Roads(speed, factor, turn_in, basis)
