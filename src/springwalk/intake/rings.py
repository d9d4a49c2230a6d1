"""Loose rings to polygons: which are outer rings, and which of them each hole belongs to."""

from __future__ import annotations

import shapely
from shapely.errors import GEOSException
from shapely.geometry import Polygon

Ring = list[tuple[float, float]]
MOST_RINGS = 500
"""More rings than any field has; grouping takes their square."""


def group_rings(rings: list[Ring]) -> list[list[Ring]]:
    """Polygons, each its outer ring and then its holes.

    A ring inside an even number of others is an outer one. Which way a ring runs is not asked: programs differ.
    """
    if len(rings) < 2:
        return [rings] if rings else []
    areas = [Polygon(ring) if len(ring) >= 4 else None for ring in rings]
    insides = [
        [at for at, area in enumerate(areas) if at != own and _holds(area, ring)] for own, ring in enumerate(rings)
    ]
    outers = [at for at, around in enumerate(insides) if len(around) % 2 == 0]
    groups = {at: [rings[at]] for at in outers}
    for own, around in enumerate(insides):
        if own in groups:
            continue
        holding = [at for at in around if at in groups and len(insides[at]) == len(around) - 1]
        if holding:
            groups[holding[0]].append(rings[own])
        else:  # rings that lie on each other: kept as an area, so that the outline is refused aloud
            groups[own] = [rings[own]]
    return list(groups.values())


def _holds(area: Polygon | None, ring: Ring) -> bool:
    """Whether a point inside the ring lies in the area."""
    if area is None:
        return False
    try:
        inner = Polygon(ring).representative_point() if len(ring) >= 4 else None
        x, y = (inner.x, inner.y) if inner is not None and not inner.is_empty else ring[0]
    except (GEOSException, ValueError):
        x, y = ring[0]
    return bool(shapely.contains_xy(area, x, y))
