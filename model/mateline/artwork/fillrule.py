"""The area that rings enclose by a fill rule.

Stands between flattened rings and shapes. Source: SVG 2, 13.4.2 (`fill-rule`): a point is
inside when the rings wind around it an odd number of times, or not zero times.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from mateline.artwork.crossings import edge_boxes, meeting_pairs

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

MANY = 5_000  # vertices: fewer are not worth counting
MOST_CROSSINGS = 300_000  # of one outline with itself
SLIVER = 1e-18  # share of the extent squared: areas this small are rounding


def enclosed(rings: Sequence[Floats], *, evenodd: bool) -> Polygon | MultiPolygon:
    """Area inside `rings` (each (n, 2), closed or not; the last edge goes without saying)."""
    closed = [ring for ring in map(_closed, rings) if ring is not None]
    if not closed:
        return Polygon()
    polygons = [Polygon(ring) for ring in closed]
    if len(polygons) == 1 and polygons[0].is_valid:
        return polygons[0]
    if _apart(closed) and all(polygon.is_valid for polygon in polygons):
        return MultiPolygon(polygons)
    return _wound(closed, evenodd=evenodd)


def _closed(ring: Floats) -> Floats | None:
    fresh = np.append(True, (ring[1:] != ring[:-1]).any(axis=1))
    ring = ring[fresh]
    if (ring[0] != ring[-1]).any():
        ring = np.vstack([ring, ring[:1]])
    return ring if len(ring) > 3 else None


def _apart(rings: list[Floats]) -> bool:
    """Whether the rings' boxes don't touch one another."""
    if len(rings) > 64:
        return False
    low = np.array([ring.min(axis=0) for ring in rings])
    high = np.array([ring.max(axis=0) for ring in rings])
    touch = (low[:, None] <= high[None, :]).all(axis=2) & (high[:, None] >= low[None, :]).all(
        axis=2
    )
    return int(touch.sum()) == len(rings)


def _wound(rings: list[Floats], *, evenodd: bool) -> Polygon | MultiPolygon:
    if sum(map(len, rings)) > MANY:
        pairs = meeting_pairs(np.vstack([edge_boxes(ring) for ring in rings]))
        if pairs > MOST_CROSSINGS:
            raise ValueError(f"the outline crosses itself about {pairs:.2g} times")
    lines = [shapely.LineString(ring) for ring in rings]
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(shapely.unary_union(lines))))
    if len(faces) == 0:
        return Polygon()
    extent = max(float(np.abs(ring).max()) for ring in rings)
    faces = faces[shapely.area(faces) > SLIVER * extent * extent]
    places = shapely.get_coordinates(shapely.point_on_surface(faces))
    winding = np.sum([_turns(ring, places) for ring in rings], axis=0)
    inside = winding % 2 != 0 if evenodd else winding != 0
    area = shapely.coverage_union_all(faces[inside]) if inside.any() else Polygon()
    parts = [part for part in shapely.get_parts(area) if isinstance(part, Polygon)]
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)


def _turns(ring: Floats, places: Floats) -> NDArray[np.int64]:
    """How often the closed ring winds around each place, counter-clockwise positive."""
    turns = np.zeros(len(places), dtype=np.int64)
    a, b = ring[:-1], ring[1:]
    for at in range(0, len(places), 512):  # keeps the table of edges by places small
        x, y = places[at : at + 512, :1], places[at : at + 512, 1:]
        side = (b[:, 0] - a[:, 0]) * (y - a[:, 1]) - (x - a[:, 0]) * (b[:, 1] - a[:, 1])
        up = (a[:, 1] <= y) & (b[:, 1] > y) & (side > 0)
        down = (a[:, 1] > y) & (b[:, 1] <= y) & (side < 0)
        turns[at : at + 512] = up.sum(axis=1) - down.sum(axis=1)
    return turns
