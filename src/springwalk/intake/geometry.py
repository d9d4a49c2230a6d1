"""Outlines: GeoJSON coordinates to closed rings, a shape that is checked, an area and a centre."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Any

import shapely
from pyproj import Geod
from shapely.geometry import MultiPolygon, Polygon
from shapely.validation import explain_validity

from springwalk.intake.cells import UnreadableError

Position = tuple[float, float]
Ring = list[Position]
KM = 1000.0
M2_PER_HA = 10_000.0


@dataclass(frozen=True)
class Shape:
    """Polygons, each an outer ring and its holes; ``opened`` counts rings whose last point was not the first."""

    polygons: tuple[tuple[Ring, ...], ...]
    multi: bool
    opened: int

    def swapped(self) -> Shape:
        """The same shape with the two numbers of every position exchanged."""
        turned = tuple(tuple([(y, x) for x, y in ring] for ring in rings) for rings in self.polygons)
        return Shape(turned, self.multi, self.opened)

    def outline(self) -> dict[str, Any]:
        """The GeoJSON geometry, rings closed, heights dropped."""
        listed = [[[list(position) for position in ring] for ring in rings] for rings in self.polygons]
        return (
            {"type": "MultiPolygon", "coordinates": listed}
            if self.multi
            else {"type": "Polygon", "coordinates": listed[0]}
        )

    def in_degrees(self) -> bool:
        """Whether every position can be a longitude and a latitude."""
        return all(abs(x) <= 180 and abs(y) <= 90 for rings in self.polygons for ring in rings for x, y in ring)

    def middle(self) -> Position:
        """(latitude, longitude) of the mean of the outer corners: near enough to tell a far outline."""
        points = [position for rings in self.polygons for position in rings[0][:-1]]
        return sum(y for _, y in points) / len(points), sum(x for x, _ in points) / len(points)


def read_shape(geometry: Any) -> Shape:
    """A Polygon or MultiPolygon geometry as a Shape; raises UnreadableError with the rule it breaks."""
    if not isinstance(geometry, dict):
        raise UnreadableError("the feature has no geometry", "draw its outline again")
    kind, coordinates = geometry.get("type"), geometry.get("coordinates")
    if kind not in ("Polygon", "MultiPolygon"):
        raise UnreadableError("not a Polygon or MultiPolygon", "draw the field as an area")
    if not isinstance(coordinates, list) or not coordinates:
        raise UnreadableError("the outline is empty", "draw it again")
    groups = coordinates if kind == "MultiPolygon" else [coordinates]
    opened = 0
    polygons = []
    for group in groups:
        if not isinstance(group, list) or not group:
            raise UnreadableError("a part of the outline is empty", "draw it again")
        rings = []
        for told in group:
            ring = _ring(told)
            if ring[0] != ring[-1]:
                ring.append(ring[0])
                opened += 1
            if len(set(ring)) < 3:
                raise UnreadableError("a ring has fewer than three corners", "draw it again")
            rings.append(ring)
        polygons.append(tuple(rings))
    return Shape(tuple(polygons), kind == "MultiPolygon", opened)


def _ring(told: Any) -> Ring:
    if not isinstance(told, list) or not told:
        raise UnreadableError("a ring is empty", "draw it again")
    return [_position(each) for each in told]


def _position(told: Any) -> Position:
    if not isinstance(told, list) or not 2 <= len(told) <= 4:
        raise UnreadableError("a position is not [longitude, latitude]", "export it again as GeoJSON")
    first, second = told[0], told[1]
    for one in (first, second):
        if isinstance(one, bool) or not isinstance(one, int | float) or not abs(one) < 1e9:
            raise UnreadableError(
                "a position holds something that is not a number in degrees", "export it again as GeoJSON"
            )
    return float(first), float(second)


@dataclass(frozen=True)
class Measured:
    """Area on the ellipsoid (ha, holes taken off) and the centroid in degrees."""

    area_ha: float
    latitude: float
    longitude: float


def measure_shape(shape: Shape) -> Measured:
    """Area and centroid of a valid shape; raises UnreadableError where it has no area or crosses itself."""
    area_m2 = sum(_ring_m2(rings[0]) - sum(_ring_m2(hole) for hole in rings[1:]) for rings in shape.polygons)
    parts = [Polygon(rings[0], rings[1:]) for rings in shape.polygons]
    whole = MultiPolygon(parts) if shape.multi else parts[0]
    if all(_flat(rings[0]) for rings in shape.polygons):
        raise UnreadableError("the outline has no area (its corners lie on one line)", "draw it again")
    if not shapely.is_valid(whole):
        raise UnreadableError(*_why_invalid(explain_validity(whole)))
    if not area_m2 > 0 or not math.isfinite(area_m2):
        raise UnreadableError("the outline has no area", "draw it again")
    centre = whole.centroid
    return Measured(area_m2 / M2_PER_HA, float(centre.y), float(centre.x))


def _flat(ring: Ring) -> bool:
    (x0, y0), *rest = ring
    far = max(rest, key=lambda p: (p[0] - x0) ** 2 + (p[1] - y0) ** 2)
    dx, dy = far[0] - x0, far[1] - y0
    reach = dx * dx + dy * dy
    return all(abs((x - x0) * dy - (y - y0) * dx) <= 1e-12 * reach for x, y in rest)


def _why_invalid(told: str) -> tuple[str, str]:
    words, _, place = told.partition("[")
    where = ""
    numbers = place.rstrip("]").split()
    if len(numbers) == 2:
        where = f" at longitude {float(numbers[0]):.6f}, latitude {float(numbers[1]):.6f}"
    if "Self-intersection" in words:
        return f"the outline crosses itself{where}", "move the corner there so that no side crosses another"
    return f"not a sound outline: {words.strip().lower()}{where}", "draw it again"


@cache
def _ellipsoid() -> Geod:
    return Geod(ellps="WGS84")


def _ring_m2(ring: Ring) -> float:
    area, _ = _ellipsoid().polygon_area_perimeter([x for x, _ in ring], [y for _, y in ring])
    return abs(float(area))


def surely_exchanged(place: Position) -> bool:
    """Whether a (latitude, longitude) is a place in North America's corn with its two numbers exchanged."""
    return -130 <= place[0] <= -60 and 24 <= place[1] <= 50


def distance_km(one: Position, other: Position) -> float:
    """Distance in km along the ellipsoid between two (latitude, longitude) places."""
    _, _, metres = _ellipsoid().inv(one[1], one[0], other[1], other[0])
    return float(metres) / KM
