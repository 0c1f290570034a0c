"""Areas united, and held against what went into them.

Stands before strokes and clips. GEOS unites areas in floating point, and where corners of one
lie within rounding of edges of another it may lose some of them without a word. So the outcome
is looked at, and made again on a grid where it is wrong.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Area = Polygon | MultiPolygon
    Floats = NDArray[np.float64]

HAIR = 1e-9  # share of the extent: what is this near to an edge is on it
GRIDS = (0.0, 2.0**-44, 2.0**-40)  # share of the extent: 0 first


def united(parts: Sequence[Area]) -> Area:
    """The union of areas, which are valid.

    Raises ValueError when they are of sizes too far apart to be united.
    """
    parts = [part for part in parts if not part.is_empty]
    if len(parts) < 2:
        return parts[0] if parts else Polygon()
    table = np.asarray(parts, dtype=object)
    extent = float(np.abs(shapely.bounds(table)).max())
    for share in GRIDS:
        try:
            whole = polygons(shapely.union_all(table, grid_size=extent * share or None))
        except shapely.GEOSException:
            continue
        if _holds(whole, table, HAIR * extent):
            return whole
    raise ValueError("its parts are too large, too small or too much alike to be united")


def polygons(area: Any) -> Area:
    """What is left of an area without lines and points."""
    if isinstance(area, MultiPolygon) and len(area.geoms) > 1:
        return area
    parts = [part for part in shapely.get_parts(area).tolist() if isinstance(part, Polygon)]
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)


def _holds(whole: Area, parts: NDArray[np.object_], hair: float) -> bool:
    """Whether all parts are in the whole.

    Where no edge of it runs inside a part, each part is either all in it or not at all: then one
    point of each tells.
    """
    wide = parts[shapely.area(parts) > hair * shapely.length(parts)]
    shapely.prepare(whole)
    if not shapely.intersects(whole, shapely.point_on_surface(wide)).all():
        return False
    beyond = np.asarray(shapely.points(_just_outside(whole, hair)))
    shapely.prepare(parts)
    at, part = shapely.STRtree(parts).query(beyond)
    inside = shapely.intersects(parts[part], beyond[at])
    # A little inside it is where parts are less than a hair apart.
    depth = shapely.distance(shapely.boundary(parts[part[inside]]), beyond[at[inside]])
    return not (depth > 2 * hair).any()


def _just_outside(area: Area, by: float) -> Floats:
    """Places (n, 2) beside the middle of each edge of an area, `by` away from it."""
    rings = shapely.get_rings(shapely.orient_polygons(area))
    points, ring = shapely.get_coordinates(rings, return_index=True)
    at = np.flatnonzero(ring[1:] == ring[:-1])
    way = points[at + 1] - points[at]
    size = np.hypot(*way.T)
    long = size > 2 * by
    middle, way = ((points[at] + points[at + 1]) / 2)[long], way[long] / size[long, None]
    # An area lies left of its rings.
    return np.asarray(middle + by * np.column_stack([way[:, 1], -way[:, 0]]))
