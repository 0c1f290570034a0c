"""Flat parts of a board's skin below its face, and the triangles of areas and walls.

Stands after net, before ends.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.exports.solid.cells import keys_of
from mateline.products import product

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely import Polygon

    Array = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Areas = NDArray[np.object_]  # of shapely polygons


@dataclass(frozen=True, slots=True)
class Flat:
    """A flat part below the face: its vertices `rim` (n, 2) lie at `spots` (n, 3), and `lift`
    (3, 3) takes others there.
    """

    area: Polygon
    rim: Array
    spots: Array
    lift: Array


def triangulated(areas: Areas, points: Array) -> tuple[Ints, Ints]:
    """Vertex numbers (n, 3), counter-clockwise, and the area that each triangle is part of.

    Uses every vertex of the areas, those on straight sides too, so that neighbours conform.
    """
    triangles, owners = shapely.get_parts(
        shapely.constrained_delaunay_triangles(areas), return_index=True
    )
    corners = shapely.get_coordinates(triangles).reshape(-1, 4, 2)[:, :3]
    keys = keys_of(points)
    order = np.argsort(keys, kind="stable")  # which is quick where most are in order already
    found = np.searchsorted(keys[order], keys_of(corners.reshape(-1, 2)))
    numbers = order[found].reshape(-1, 3)
    (ax, ay), (bx, by) = (corners[:, 1] - corners[:, 0]).T, (corners[:, 2] - corners[:, 0]).T
    clockwise = ax * by - ay * bx < 0
    numbers[clockwise] = numbers[clockwise][:, ::-1]
    return numbers, owners


def ribbon(above: Array, below: Array) -> Array:
    """Wall between two rims that run with the wood on their left."""
    next_above, next_below = np.roll(above, -1, axis=0), np.roll(below, -1, axis=0)
    return np.concatenate(
        [
            np.stack([next_above, above, below], axis=1),
            np.stack([next_above, below, next_below], axis=1),
        ]
    )


def lifted(flat: Array, lift: Array) -> Array:
    """Spots (k, 2) of a plane where its lift (3, 3) takes them, (k, 3), mm."""
    spots: Array = product(np.column_stack([flat, np.ones(len(flat))]), lift.T)
    return spots
