"""Whether a pattern's regions tile its outline: the check that is always on.

Every edge of every region is walked once each way by two neighbours, or once along the
outline. Summed winding numbers are then 1 everywhere inside and 0 outside, so nothing is bare
and nothing is covered twice; areas closing says the same from another side.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.planar.edges import undirected

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

CLOSING = 1e-9  # share of the outline's area that rounding may lose
ON_OUTLINE = 1e-9  # share of the extent: how far an unshared edge may lie off the outline


@dataclass(frozen=True, slots=True)
class Tiling:
    """How regions tile an outline: bare area, area covered twice (mm²), edges without partner.

    All three are exactly 0 for a tiling.
    """

    gap_area: float
    overlap_area: float
    unpaired_edges: int


def tiling_of(areas: Sequence[Polygon], outline: BaseGeometry) -> Tiling:
    """Pair the edges of `areas` with one another and with the outline, and close their sum."""
    polygons = np.array(areas, dtype=object)
    single, doubled = _unshared(polygons)
    off = _off_outline(single, outline)
    total = float(shapely.area(polygons).sum())
    closes = abs(total - outline.area) <= CLOSING * outline.area
    if doubled + off == 0 and closes:
        return Tiling(0.0, 0.0, 0)
    covered = shapely.unary_union(shapely.make_valid(polygons))
    return Tiling(
        float(outline.difference(covered).area),
        float(max(0.0, total - covered.area) + covered.difference(outline).area),
        doubled + off,
    )


def _unshared(polygons: NDArray[np.object_]) -> tuple[NDArray[np.float64], int]:
    """Edges (m, 4) walked once only, and how many are walked twice the same way or more."""
    rings = shapely.get_rings(shapely.orient_polygons(polygons))
    points, ring = shapely.get_coordinates(rings, return_index=True)
    ends = np.hstack([points[:-1], points[1:]])[ring[:-1] == ring[1:]]
    ends, turned = undirected(ends)
    order = np.lexsort(ends.T)
    ends, way = ends[order], np.where(turned[order], -1, 1)
    fresh = np.append(True, (ends[1:] != ends[:-1]).any(axis=1))
    starts = np.flatnonzero(fresh)
    count = np.diff(np.append(starts, len(ends)))
    balance = np.add.reduceat(way, starts)
    wrong = (count > 2) | ((count == 2) & (balance != 0))
    return ends[starts[count == 1]], int(wrong.sum())


def _off_outline(edges: NDArray[np.float64], outline: BaseGeometry) -> int:
    """How many of the edges don't lie on the outline's boundary."""
    boundary = outline.boundary
    shapely.prepare(boundary)
    near = ON_OUTLINE * float(np.abs(outline.bounds).max())
    a, b = edges[:, :2], edges[:, 2:]
    places = shapely.points(np.vstack([a, b, (a + b) / 2]))
    on = shapely.dwithin(boundary, places, near).reshape(3, -1).all(axis=0)
    return int((~on).sum())
