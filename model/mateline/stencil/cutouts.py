"""Board cut round hardware that stays, in a pattern that is there already.

Stands before pieces. Hardware that lies inside one region takes a hole out of that region and
adds one closed border; only where it touches a border is the pattern made anew.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from mateline.pattern.pattern import Border, Pattern
from mateline.pattern.repair import MENDED, repaired

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.drawing.shapes import Shape
    from mateline.pattern.pattern import Region

OUTSIDE = -1


def cleared(
    design: Pattern, shapes: Sequence[Shape], outline: Polygon, clear: Sequence[Polygon], base: str
) -> Pattern:
    """The pattern of `shapes` on what `clear` leaves of `outline`; `design` is that of it all."""
    inside = _homes(design, clear)
    if inside is None:
        room = _room(outline, clear)
        return repaired(shapes, room, MENDED, base=base)[0]
    nodes, borders, regions = [design.nodes], list(design.borders), list(design.regions)
    for opening, home in zip(clear, inside, strict=True):
        ring = shapely.get_coordinates(shapely.orient_polygons(opening).exterior)
        number, node = len(borders), sum(map(len, nodes))
        nodes.append(ring[:1])
        # Counter-clockwise round the hardware: it is on the left, the region on the right.
        borders.append(Border(node, node, OUTSIDE, home, ring))
        regions[home] = _pierced(regions[home], ring, number)
    return Pattern(np.vstack(nodes), tuple(borders), tuple(regions))


def _homes(design: Pattern, clear: Sequence[Polygon]) -> list[int] | None:
    """The region round each of `clear`; None where one touches a border or another one."""
    if len(clear) > 1:
        one, two = shapely.STRtree(clear).query(clear, predicate="intersects")
        if (one != two).any():
            return None
    areas = [region.area for region in design.regions]
    tree = shapely.STRtree(areas)
    number, home = tree.query(clear, predicate="within")
    found = dict(zip(number.tolist(), home.tolist(), strict=True))
    if len(found) < len(clear):
        return None
    rims = [areas[found[at]].boundary for at in range(len(clear))]
    if shapely.intersects(rims, clear).any():
        return None
    return [found[at] for at in range(len(clear))]


def _pierced(region: Region, ring: np.ndarray, border: int) -> Region:
    area = Polygon(region.area.exterior, [*region.area.interiors, ring[::-1]])
    return replace(region, area=area, loops=(*region.loops, (~border,)))


def _room(outline: Polygon, clear: Sequence[Polygon]) -> Polygon | MultiPolygon:
    """What hardware leaves of a face; in two parts where it reaches right across."""
    left = shapely.difference(outline, shapely.union_all(clear))
    parts = [part for part in shapely.get_parts(left) if part.geom_type == "Polygon"]
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)
