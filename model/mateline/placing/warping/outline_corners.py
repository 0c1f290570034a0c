"""The corners of a drawing's own outline, matched one to one with those of a face.

Stands after carriers, before warp. An outline's corner is where it turns by more than a facet of
a curve does. Corners are matched by place, after the drawing was made as wide and as high as the
face; they must come in the same order round both.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.placing.warping.carriers import as_points
from mateline.products import comparable, mapped

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely import Polygon

    Array = NDArray[np.float64]
    Objects = NDArray[np.object_]
    Bounds = tuple[float, float, float, float]

TURN = np.radians(8.0)  # a corner turns more; a facet of a curve that can be seen turns less
CRACK = 0.05  # mm: shapes that are no farther apart belong to one outline
SPECK = 1.0  # mm²: a part of the outline that is no larger is none
THIN = 0.01  # mm: how far a vertex of an outline may leave the line of its neighbours, and be none
# mm: how far a corner may be from its partner, after the fit. The cabinets that a drawing is taken
# to differ by half an inch; twice that is allowed, but on a small face no more than a twentieth of
# its diagonal, since there the next corner is near.
DIFFER = 12.7
FARTHEST = 25.0
SHARE = 0.05


class NoOutlineError(ValueError):
    """A drawing whose shapes have no one outline: they lie in so many `parts`."""

    def __init__(self, parts: int) -> None:
        super().__init__(parts)
        self.parts = parts


class PartnerlessError(ValueError):
    """Corners that have no partner: of the drawing at `drawn` (mm of the drawing, y up), and of the
    face at `of_face` (face frame), within `reach`, mm; none where the order is another.
    """

    def __init__(self, drawn: Array, of_face: Array, reach: float) -> None:
        super().__init__(drawn, of_face, reach)
        self.drawn, self.of_face, self.reach = drawn, of_face, reach


@dataclass(frozen=True, slots=True)
class CornerMatch:
    """Corners of a drawing (k, 2), mm, those of the face (k, 2) that they belong to, and the map
    (2, 3) that makes the drawing as wide and as high as the face.
    """

    drawn: Array
    of_face: Array
    base: Array


def corner_match(areas: Objects, outline: Polygon) -> CornerMatch:
    """The corners of what `areas` (mm, y up) cover together, and those of a face's `outline`.

    Raises NoOutlineError or PartnerlessError.
    """
    own = _silhouette(areas)
    drawn = _on_vertices(corners_of(own), shapely.get_coordinates(areas))
    of_face = _on_vertices(corners_of(outline), shapely.get_coordinates(outline.exterior))
    base = _box_to_box(shapely.union_all(areas).bounds, outline.bounds)
    left, low, right, high = outline.bounds
    reach = max(DIFFER, min(FARTHEST, SHARE * float(np.hypot(right - left, high - low))))
    there = mapped(drawn, base)
    apart = comparable(np.hypot(*(there[:, None] - of_face[None]).transpose(2, 0, 1)))
    alone, lonely = np.ones(len(drawn), dtype=bool), np.ones(len(of_face), dtype=bool)
    partner = np.zeros(len(drawn), dtype=np.int64)
    if apart.size:
        partner = apart.argmin(axis=1)
        back = apart.argmin(axis=0)
        mutual = back[partner] == np.arange(len(drawn))
        near = apart[np.arange(len(drawn)), partner] <= reach
        alone = ~(mutual & near)
        lonely[partner[~alone]] = False
    steps = (np.roll(partner, -1) - partner) % max(len(of_face), 1)
    if alone.any() or lonely.any() or len(drawn) < 3 or (steps != 1).any():
        raise PartnerlessError(drawn[alone], of_face[lonely], reach)
    return CornerMatch(drawn, of_face[partner], base)


def corners_of(outline: Polygon) -> Array:
    """Where an outline turns by more than a facet of a curve, counter-clockwise: (n, 2)."""
    ring = shapely.get_coordinates(shapely.simplify(outline, THIN).exterior)[:-1]
    if not outline.exterior.is_ccw:
        ring = ring[::-1]
    way = np.roll(ring, -1, axis=0) - ring
    before = np.roll(way, 1, axis=0)
    across = before[:, 0] * way[:, 1] - before[:, 1] * way[:, 0]
    along = before[:, 0] * way[:, 0] + before[:, 1] * way[:, 1]
    found: Array = ring[np.abs(np.arctan2(across, along)) > TURN]
    return found


def _silhouette(areas: Objects) -> Polygon:
    """What the areas cover together, without holes, cracks and specks."""
    together = shapely.union_all(areas)
    closed = shapely.buffer(together, CRACK, join_style="mitre")
    closed = shapely.buffer(closed, -CRACK, join_style="mitre")
    parts = shapely.get_parts(closed)
    parts = parts[shapely.area(parts) > SPECK]
    if len(parts) != 1:
        raise NoOutlineError(len(parts))
    return shapely.Polygon(parts[0].exterior)


def _on_vertices(corners: Array, points: Array) -> Array:
    """The vertices that corners are, to the last bit: cracks were closed on the way."""
    if len(corners) == 0:
        return corners
    found: Array = points[shapely.STRtree(as_points(points)).nearest(as_points(corners))]
    return found


def _box_to_box(one: Bounds, other: Bounds) -> Array:
    """The map (2, 3) that makes one box the other, each way by its own scale."""
    wide, high = (
        (other[2] - other[0]) / (one[2] - one[0]),
        (other[3] - other[1]) / (one[3] - one[1]),
    )
    return np.array([[wide, 0.0, other[0] - wide * one[0]], [0.0, high, other[1] - high * one[1]]])
