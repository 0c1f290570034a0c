"""The area that rings enclose by a fill rule.

Stands between flattened rings and shapes. Source: SVG 2, 13.4.2 (`fill-rule`): a point is
inside when the rings wind around it an odd number of times, or not zero times.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from mateline.planar.chains import Chains
from mateline.planar.crossings import crossings, meet_more_than
from mateline.planar.point_location import winding_numbers
from mateline.planar.unions import polygons

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

MANY = 5_000  # vertices: fewer are not worth counting
MOST_CROSSINGS = 20_000  # of one outline with itself: each takes many a point's time to find
PER_FACE = 8  # points: it takes the time of so many to tell whether one is inside
MOST_TOUCHING = 300_000  # boxes of edges that meet, without a closer look
MOST_MEETINGS = 1e7  # boxes of edges that meet: looking at more takes many seconds
PER_EDGE = (
    3  # the same for each edge: boxes of neighbours meet, and those of a few long edges many others
)
GRIDS = (0.0, 2.0**-44, 2.0**-40, 2.0**-32)  # share of the extent: 0 first
SLIVER = 1e-18  # share of the extent squared: areas this small are rounding
HAIR = 1e-9  # share of the extent: a point this near to an edge may be in a spike of rounding


def enclosed(
    rings: Sequence[Floats], *, evenodd: bool, spend: Callable[[int], None] | None = None
) -> Polygon | MultiPolygon:
    """Area inside `rings` (each (n, 2), closed or not; the last edge goes without saying).

    `spend` is told how many points' time it takes to tell where rings that cross are inside.
    Raises ValueError for rings that cross too often.
    """
    closed = [ring for ring in map(_closed, rings) if ring is not None]
    if not closed:
        return Polygon()
    _refuse_tangle(closed)
    polygons = [Polygon(ring) for ring in closed]
    if len(polygons) == 1 and polygons[0].is_valid:
        return polygons[0]
    if _apart(closed) and all(polygon.is_valid for polygon in polygons):
        return MultiPolygon(polygons)
    _refuse_crossings(closed)
    faces = _faces(closed)
    if spend is not None:
        spend(PER_FACE * len(faces))
    return _wound(closed, faces, evenodd=evenodd)


def _refuse_tangle(rings: list[Floats]) -> None:
    count = sum(map(len, rings))
    # Before anything is asked of GEOS: whether such a ring is valid takes it minutes to find.
    most = max(MOST_TOUCHING, PER_EDGE * count)
    if count > MANY and meet_more_than(np.vstack([_edge_boxes(ring) for ring in rings]), most):
        _refuse_crossings(rings)


def _refuse_crossings(rings: list[Floats]) -> None:
    """Raise ValueError for rings that cross too often, told from some of their edges."""
    # Boxes of rings inside one another meet, and the rings don't.
    ends = np.cumsum([len(ring) for ring in rings])
    at = np.delete(np.arange(ends[-1]), ends - 1)
    meetings, crossed = crossings(np.vstack(rings), at, at + 1, MOST_CROSSINGS)
    if crossed > MOST_CROSSINGS or meetings > MOST_MEETINGS:
        raise ValueError(f"the outline crosses or touches itself more than {MOST_CROSSINGS} times")


def _edge_boxes(points: Floats) -> Floats:
    a, b = points[:-1], points[1:]
    return np.hstack([np.minimum(a, b), np.maximum(a, b)])


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


def _faces(rings: list[Floats]) -> NDArray[np.object_]:
    """The faces that rings part the plane into."""
    lines = [shapely.LineString(ring) for ring in rings]
    extent = max(float(np.abs(ring).max()) for ring in rings)
    for share in GRIDS:
        noded = shapely.get_parts(shapely.union_all(lines, grid_size=extent * share or None))
        whole, cuts, dangles, _ = shapely.polygonize_full(noded)
        faces = shapely.get_parts(whole)
        # Rings have no ends. Where one runs back over itself, a bit beside itself, rounding may
        # leave some all the same, and open faces: a grid closes them.
        if shapely.is_empty(cuts) and shapely.is_empty(dangles):
            break
    large: NDArray[np.object_] = faces[shapely.area(faces) > SLIVER * extent * extent]
    return large


def _wound(
    rings: list[Floats], faces: NDArray[np.object_], *, evenodd: bool
) -> Polygon | MultiPolygon:
    if len(faces) == 0:
        return Polygon()
    places = shapely.get_coordinates(_inside(faces))
    ends = np.append(0, np.cumsum([len(ring) for ring in rings]))
    winding = winding_numbers(Chains(np.vstack(rings), ends), places)
    inside = winding % 2 != 0 if evenodd else winding != 0
    return polygons(_united(faces[inside])) if inside.any() else Polygon()


def _inside(faces: NDArray[np.object_]) -> NDArray[np.object_]:
    """A point in each face, not in a spike of it that is there by rounding only.

    Such a spike is left by an edge that runs back over itself, and may be the only part of the
    face at half its height, where a point is looked for.
    """
    points: NDArray[np.object_] = shapely.point_on_surface(faces)
    edges = shapely.boundary(faces)
    hair = HAIR * float(np.abs(shapely.bounds(faces)).max())
    near = (shapely.distance(edges, points) <= hair) & (
        shapely.area(faces) > hair * shapely.length(edges)
    )
    circles = shapely.maximum_inscribed_circle(faces[near])
    points[near] = shapely.get_point(circles, 0)
    return points


def _united(faces: NDArray[np.object_]) -> Any:
    try:
        return shapely.coverage_union_all(faces)
    except shapely.GEOSException:  # faces no wider than rounding may lie on one another
        return shapely.union_all(faces)
