"""Areas as SVG path data, quickly: few facets, to a hundredth of a mm, y down from a given top.

Stands first in the room. For a screen only; files have true lines and arcs.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import GeometryType

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely import Geometry

DECIMALS = 2  # mm
CORNERS = 3  # of the least ring
NEAR = 0.02  # mm: how far what is shown may leave an area's facets


def facet_data(area: Geometry, top: float) -> str:
    """The `d` of all rings of the polygons in `area`; `top` - y becomes the picture's y.

    Neighbours are simplified apart: on the screen they may part by twice `NEAR`.
    """
    return facets_data([area], top)[0]


def facets_data(areas: Sequence[Geometry], top: float | None) -> list[str]:
    """As facet_data, of each of many areas; no `top` says that their y goes down already."""
    parts, owner = shapely.get_parts(np.array(areas, dtype=object), return_index=True)
    are_areas = (shapely.get_type_id(parts) == GeometryType.POLYGON) & ~shapely.is_empty(parts)
    rings, part = shapely.get_rings(parts[are_areas], return_index=True)
    drawn = shapely.simplify(rings, NEAR, preserve_topology=False)
    # What is smaller than what is told of it is told as it is.
    drawn = np.where(shapely.get_num_coordinates(drawn) <= CORNERS, rings, drawn)
    points = shapely.get_coordinates(drawn)
    if top is not None:
        points[:, 1] = top - points[:, 1]
    words = list(map(repr, (np.round(points, DECIMALS) + 0.0).ravel().tolist()))
    told = [""] * len(areas)
    begin = 0
    counts = shapely.get_num_coordinates(drawn).tolist()
    for area, count in zip(owner[are_areas][part].tolist(), counts, strict=True):
        # After a path's first point, more pairs are lines (SVG 2, 9.3.3); the last is the first.
        told[area] += "M" + " ".join(words[begin : begin + 2 * count - 2]) + "Z"
        begin += 2 * count
    return told
