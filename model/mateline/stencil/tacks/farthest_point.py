r"""The point of an area that is farthest from the nearest of several centres, exactly.

Stands before tape_tacks. The distance to the nearest centre has its maximum at a corner of the
area, or where the area's border crosses from one centre's Voronoi cell to another's, or at a
Voronoi vertex inside the area. A cell is convex, so only border segments whose ends lie in
different cells cross.

        o centre           Voronoi vertices are circumcentres of three centres with no other
       / \    .            centre nearer. Found from all triples, without a diagram: centres on
      o---o   x farthest   a lattice make diagrams that libraries get wrong.
"""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.products import dots, product

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely import Polygon

    Floats = NDArray[np.float64]

FLAT = 1e-12  # no unit: three centres nearer to one line have no circumcentre that matters


def gaps(here: Floats, there: Floats) -> Floats:
    """Distances (n, m) from points `here` (n, 2) to points `there` (m, 2)."""
    between: Floats = here[:, None, 0] - there[:, 0]
    up = here[:, None, 1] - there[:, 1]
    between *= between  # in place: fresh memory costs more than the sums
    up *= up
    between += up
    return np.sqrt(between, out=between)


def farthest(area: Polygon, centres: Floats, limit: float = np.inf) -> tuple[Floats, Floats]:
    """Points (n, 2) of `area` among which is the farthest one, and how far each is from `centres`.

    With `limit` points inside that are farther than that are left out, which saves time where it
    is known that there are none.
    """
    corners, ring = shapely.get_coordinates(shapely.get_rings(area), return_index=True)
    apart = gaps(corners, centres)
    nearest = apart.argmin(axis=1)
    across = np.flatnonzero((nearest[1:] != nearest[:-1]) & (ring[1:] == ring[:-1]))
    points = [corners]
    if len(across):
        points.append(_crossings(corners[across], corners[across + 1], centres))
    if len(centres) > 2:
        points.append(_circumcentres(area, centres, limit))
    found = np.vstack(points)
    far: Floats = gaps(found, centres).min(axis=1)
    return found, far


def _crossings(start: Floats, end: Floats, centres: Floats) -> Floats:
    """Where segments cross the line midway between any two centres.

    |p - a|² = |p - b|² with p = start + t (end - start) is linear in t.
    """
    a, b = np.array(list(combinations(range(len(centres)), 2))).T
    way = centres[b] - centres[a]
    middle = dots(way, (centres[a] + centres[b]) / 2)
    along = product(end - start, way.T)
    with np.errstate(divide="ignore", invalid="ignore"):
        t = (middle - product(start, way.T)) / along
    segment, pair = np.nonzero((t > 0) & (t < 1))
    share = t[segment, pair][:, None]
    crossings: Floats = start[segment] + share * (end - start)[segment]
    return crossings


def _circumcentres(area: Polygon, centres: Floats, limit: float) -> Floats:
    """Centres of the circles through three centres that lie in `area`."""
    triples = _triples(centres, limit)
    a, b, c = (centres[column] for column in triples.T)
    one, two = b - a, c - a
    cross = 2 * (one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0])
    size_one, size_two = dots(one, one), dots(two, two)
    real = np.abs(cross) > FLAT * (size_one + size_two)
    one, two, cross = one[real], two[real], cross[real, None]
    size_one, size_two = size_one[real, None], size_two[real, None]
    # Relative to a: (|one|² two_perp' - |two|² one_perp') / cross; elementary.
    away = np.hstack(
        [
            size_one * two[:, 1:] - size_two * one[:, 1:],
            size_two * one[:, :1] - size_one * two[:, :1],
        ]
    )
    away = away / cross
    near = dots(away, away) <= limit * limit
    points = (a[real] + away)[near]
    shapely.prepare(area)
    inside: Floats = points[shapely.intersects_xy(area, points[:, 0], points[:, 1])]
    return inside


def _triples(centres: Floats, limit: float) -> NDArray[np.int64]:
    """All triples of centres no two of which are farther apart than 2 `limit`."""
    count = len(centres)
    near = gaps(centres, centres) <= 2 * limit
    rows = []
    for i in range(count - 2):
        others = np.flatnonzero(near[i, i + 1 :]) + i + 1
        j, k = np.triu_indices(len(others), k=1)
        j, k = others[j], others[k]
        close = near[j, k]
        rows.append(np.column_stack([np.full(int(close.sum()), i), j[close], k[close]]))
    return np.vstack(rows)
