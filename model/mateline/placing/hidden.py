"""The flat parts of faces that a viewer looks at, and which of them stand before others.

Stands after similarity, before cast. The viewer is far away. Rounds are left out: they hide no
more than the flat parts beside them, but for a strip as wide as they are.

    depth    how far a place is towards the viewer, mm: of two that he sees at one point of his
             view, the one of the greater depth hides the other
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from mateline.cabinet.faces import bent_cells
from mateline.placing.lit_round import GRAZING
from mateline.placing.similarity import inverse
from mateline.planar.unions import polygons
from mateline.products import mapped, product

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from mateline.cabinet.faces import Face

    Area = Polygon | MultiPolygon
    Array = NDArray[np.float64]

AHEAD = 1.0  # mm: boards that are nearer to one plane do not hide each other
FACETED = 0.5  # mm: how far facets may leave a bent board here
SEEN = 1.0  # mm²: what overlaps by less in the view is rounding
LEVEL = 1e-9  # no unit: slope between two parts below which they are parallel


@dataclass(frozen=True, slots=True)
class Flat:
    """The flat part of a face, or a bevel, that looks towards the viewer.

    `view` (2, 3) takes the net to his view, and `depth` (3,) to how near to him it is.
    """

    face: str
    area: Polygon
    view: Array
    depth: Array

    @property
    def back(self) -> Array:
        """From the view to the net."""
        return inverse(self.view)

    @property
    def seen(self) -> Area:
        """The part as it is in the view."""
        return _moved(self.area, self.view)


def flats_of(face: Face, axes: Array) -> list[Flat]:
    """The flat parts of a face that look towards the viewer who has `axes` to the right and up."""
    if face.panel.bend is not None:
        parts = [(cell.lift, cell.area) for cell in bent_cells(face.panel, FACETED)]
    else:
        parts = [(face.cells[0].lift, face.flat)]
    for strip in face.strips:
        if face.panel.edges[strip.edge].section.segments[strip.segment].centre is None:
            lift = next(cell.lift for cell in face.cells if cell.area == strip.area)
            parts.append((lift, strip.area))
    towards = np.cross(axes[0], axes[1])
    found = []
    for lift, area in parts:
        normal = np.cross(lift[:, 0], lift[:, 1])
        if float(product(normal, towards)) > GRAZING * math.sqrt(float(product(normal, normal))):
            rows = product(np.array([*axes, towards]), lift)
            found.append(Flat(face.name, area, rows[:2], rows[2]))
    return found


def hidden_of(own: Sequence[Flat], others: Sequence[Flat]) -> tuple[MultiPolygon, tuple[str, ...]]:
    """What of a face's flat parts stands behind others, in its net, and the faces before it."""
    behind: list[shapely.Geometry] = []
    before: dict[str, None] = {}
    for flat in own:
        seen = flat.seen
        for other in others:
            if other.face == flat.face:
                continue
            both = polygons(seen.intersection(other.seen))
            if both.area > SEEN:
                both = _nearer(both, flat, other)
            if both.area > SEEN:
                before[other.face] = None
                behind.append(_moved(both, flat.back))
    whole = polygons(shapely.union_all(behind)) if behind else MultiPolygon()
    return MultiPolygon(shapely.get_parts(whole).tolist()), tuple(before)


def _nearer(area: Area, flat: Flat, other: Flat) -> Area:
    """Where in an `area` of the view `other` stands before `flat`."""
    (a, b, c), (d, e, f) = (_depth_seen(each) for each in (other, flat))
    x, y, past = a - d, b - e, c - f - AHEAD
    slope = math.hypot(x, y)
    if slope < LEVEL:
        return area if past > 0 else Polygon()
    # The half of the view in which x X + y Y + past > 0, as far as the area reaches.
    reach = 2 * float(np.abs(shapely.get_coordinates(area)).max()) + abs(past) / slope + 1
    along, across = (-y / slope, x / slope), (x / slope, y / slope)
    start = -past / slope
    corners = [
        (s * along[0] + t * across[0], s * along[1] + t * across[1])
        for s, t in ((-reach, start), (reach, start), (reach, start + 2 * reach),
                     (-reach, start + 2 * reach))
    ]  # fmt: skip
    return polygons(area.intersection(Polygon(corners)))


def _depth_seen(flat: Flat) -> tuple[float, float, float]:
    """The depth of a part at (x, y, 1) of the view."""
    (a, c, e), (b, d, f) = flat.back.tolist()
    p, q, r = flat.depth.tolist()
    return p * a + q * b, p * c + q * d, p * e + q * f + r


def _moved(area: Area, matrix: Array) -> Area:
    moved: Area = shapely.transform(area, lambda points: mapped(points, matrix))
    return moved
