r"""Hardware over the joint of two faces: where it lies on the second, and what room both give it.

Beside place_words.

    +-----------+-----------+     boards in one plane, of one carcase or two: one hole in both
    |         ( | )         |
    +-----------+-----------+     boards round a plain corner: laid flat about their sharp edge

A hole is cut square to each of the faces. A bevel or a round between them has no flat for it. The
ends of boards that lie over others at the joint are flush with them, and hardware may lie there.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon

from mateline.cabinet.panel import edge_axes, edge_length, inset, moved_in
from mateline.products import mapped, product

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from mateline.cabinet.faces import Face
    from mateline.cabinet.hole import Hole
    from mateline.cabinet.panel import Panel

    Array = NDArray[np.float64]

FLUSH = 1.0  # mm: faces that lie in one plane but for less are flush
LEVEL = math.cos(math.radians(3))  # no unit: faces that lean less to each other run on in one plane
GAP = 0.5  # mm: a joint of two carcases may gape by less


def carriage(face: Face, other: Face) -> Array | None:
    """(2, 3): from the frame of `face` to that of `other`, laid flat over their joint.

    None where they have no joint that hardware could straddle.
    """
    here = _edge_with(face.panel, other.panel)
    there = _edge_with(other.panel, face.panel)
    if here is not None and there is not None:
        if face.panel.edges[here].strips or other.panel.edges[there].strips:
            return None
        return _unfolded(face.panel, here, other.panel, there)
    return _projected(face, other)


def carried(hole: Hole, matrix: Array) -> Hole:
    """The same hole in the frame to which `matrix` goes."""
    x, y = mapped(np.array([hole.centre]), matrix)[0].tolist()
    turned = product(matrix[:, :2], (math.cos(hole.turn), math.sin(hole.turn)))
    spread = np.sqrt(product(matrix[:, :2] ** 2, np.square(hole.deviation)))
    return replace(
        hole,
        centre=(x, y),
        turn=math.atan2(turned[1], turned[0]),
        deviation=(float(spread[0]), float(spread[1])),
        measured=None,
    )


def room_over(face: Face, others: Sequence[tuple[Face, Array]]) -> BaseGeometry:
    """What hardware may take of `face` and of the faces that it straddles, in its frame."""
    outlines = [_moved(Polygon(other.panel.outline), _back(matrix)) for other, matrix in others]
    rooms = [_room(face.panel, shapely.union_all(outlines))]
    for other, matrix in others:
        facing = _moved(Polygon(face.panel.outline), matrix)
        rooms.append(_moved(_room(other.panel, facing), _back(matrix)))
    grown = shapely.union_all(shapely.buffer(np.array(rooms), GAP, join_style="mitre"))
    room: BaseGeometry = shapely.buffer(grown, -GAP, join_style="mitre")
    return room


def _room(panel: Panel, facing: BaseGeometry) -> BaseGeometry:
    """The flat of a board, and out to its sharp edges where they are plain and lie on `facing`.

    There the ends of boards that lie over this one are flush with it.
    """
    insets = []
    for index, edge in enumerate(panel.edges):
        start, along, _ = edge_axes(panel, index)
        middle = start + edge_length(panel, index) / 2 * along
        joint = not edge.strips and shapely.dwithin(facing, shapely.Point(middle), GAP)
        insets.append(0.0 if joint else inset(edge, 0.0))
    return Polygon(moved_in(panel.outline, insets))


def _moved(area: BaseGeometry, matrix: Array) -> BaseGeometry:
    return shapely.transform(area, lambda points: mapped(points, matrix))


def _edge_with(panel: Panel, other: Panel) -> int | None:
    if panel.carcase != other.carcase:
        return None
    names = [edge.neighbour for edge in panel.edges]
    return names.index(other.name) if other.name in names else None


def _unfolded(panel: Panel, here: int, other: Panel, there: int) -> Array:
    """Both sharp edges lie on one line in space, and run along it in opposite ways."""
    start, along, inward = edge_axes(panel, here)
    begin, way, into = edge_axes(other, there)
    step = _raised(panel, start) - _raised(other, begin)
    flat = np.column_stack([other.frame.along_x, other.frame.along_y])
    reach = float(product(step, product(flat, way)))
    # In the other frame: begin + (reach - s) way - d into, with s and d along and inward here.
    turn = -np.outer(way, along) - np.outer(into, inward)
    return np.column_stack([turn, begin + reach * way - product(turn, start)])


def _projected(face: Face, other: Face) -> Array | None:
    """Square onto the other face's plane, where both are flush and touch."""
    frame, onto = face.panel.frame, other.panel.frame
    if float(product(frame.outward, onto.outward)) < LEVEL:
        return None
    axes = np.array([onto.along_x, onto.along_y])
    step = np.array(frame.corner) - np.array(onto.corner)
    turn = product(axes, np.column_stack([frame.along_x, frame.along_y]))
    # As an isometry, whatever is left of an angle between the planes.
    angle = math.atan2(turn[1, 0] - turn[0, 1], turn[0, 0] + turn[1, 1])
    cos, sin = math.cos(angle), math.sin(angle)
    matrix: Array = np.column_stack([[[cos, -sin], [sin, cos]], product(axes, step)])
    outlines = Polygon(face.panel.outline), Polygon(other.panel.outline)
    near = shapely.shortest_line(_moved(outlines[0], matrix), outlines[1])
    if shapely.length(near) > GAP:
        return None
    at = mapped(shapely.get_coordinates(near)[:1], _back(matrix))[0]
    off = float(product(_raised(face.panel, at) - np.array(onto.corner), onto.outward))
    return matrix if abs(off) <= FLUSH else None


def _raised(panel: Panel, at: Array) -> Array:
    flat = np.column_stack([panel.frame.along_x, panel.frame.along_y])
    spot: Array = np.array(panel.frame.corner) + product(flat, at)
    return spot


def _back(matrix: Array) -> Array:
    """The way back by an isometry."""
    turn = matrix[:, :2].T
    return np.column_stack([turn, -product(turn, matrix[:, 2])])
