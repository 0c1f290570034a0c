"""Areas as SVG path data, quickly: few facets, to a hundredth of a mm, y down from a given top.

Stands first in the room. For a screen only; files have true lines and arcs.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from shapely import Geometry, LinearRing

DECIMALS = 2  # mm
CORNERS = 3  # of the least ring
NEAR = 0.02  # mm: how far what is shown may leave an area's facets


def facet_data(area: Geometry, top: float) -> str:
    """The `d` of all rings of the polygons in `area`; `top` - y becomes the picture's y.

    Neighbours are simplified apart: on the screen they may part by twice `NEAR`.
    """
    parts = []
    for polygon in shapely.get_parts(area):
        if polygon.geom_type == "Polygon" and not polygon.is_empty:
            parts += [_ring(ring, top) for ring in (polygon.exterior, *polygon.interiors)]
    return "".join(parts)


def _ring(ring: LinearRing, top: float) -> str:
    points = shapely.get_coordinates(ring.simplify(NEAR, preserve_topology=False))[:-1]
    if len(points) < CORNERS:  # smaller than what is told of it
        points = shapely.get_coordinates(ring)[:-1]
    flipped = np.round(np.column_stack([points[:, 0], top - points[:, 1]]), DECIMALS) + 0.0
    # After a path's first point, more pairs are lines (SVG 2, 9.3.3).
    return "M" + json.dumps(flipped.ravel().tolist())[1:-1].replace(",", "") + "Z"
