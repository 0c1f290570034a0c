r"""A hole through a panel, or the footprint of hardware on it, in the face frame.

Stands after curves. Sizes come from hardware.py; this module only knows shapes.

    round        slot           rectangle      countersunk (seen in section)
      __        ________        ________       \    /  head, at the outside face
     (  )      (________)      (________)       |  |   shank
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from shapely import Polygon

from mateline.curves import Chain, Point, Segment, circle, flattened, moved

Kind = Literal["round", "slot", "rectangle", "countersunk"]
# What a hole's place was measured from: two edges by the boards beyond them, two corners, or an
# edge and the corner from which one measures along it.
Measured = tuple[Literal["edges", "corners", "along"], tuple[str, str]]


@dataclass(frozen=True, slots=True)
class Hole:
    """One hole. `centre` is in the face frame; lengths in mm, `turn` in radians.

    `length` lies along `turn` from the face's x; a round or countersunk hole has
    length == width == diameter of its shank. `stays` says that the hardware is in place while
    painting, so that the board is cut round it with `margin` to spare; otherwise the hole is
    open under the board. `deviation` is the standard deviation of the centre in x and y, `measured`
    what its place was taken from.
    """

    name: str
    kind: Kind
    centre: Point
    length: float
    width: float
    turn: float = 0.0
    corner: float = 0.0
    head: float = 0.0
    head_angle: float = 0.0
    stays: bool = False
    margin: float = 0.0
    deviation: Point = (0.0, 0.0)
    measured: Measured | None = None


def opening(hole: Hole) -> Chain:
    """Closed chain, counter-clockwise: the hole where it meets the outside face."""
    if hole.kind == "countersunk":
        return circle(hole.centre, hole.head / 2)
    return shank(hole)


def shank(hole: Hole) -> Chain:
    """Closed chain, counter-clockwise: the hole where it meets the inside face."""
    if hole.kind in {"round", "countersunk"}:
        return circle(hole.centre, hole.width / 2)
    corner = hole.width / 2 if hole.kind == "slot" else hole.corner
    return _turned(_rounded_box(hole.length, hole.width, corner), hole)


def keep_clear(hole: Hole) -> Chain:
    """Closed chain: the opening grown by the hole's margin, corners rounded by it.

    Growing a chain of lines and arcs with tangent joints keeps it lines and arcs.
    """
    grow = hole.margin
    if hole.kind in {"round", "countersunk"}:
        across = hole.head if hole.kind == "countersunk" else hole.width
        return circle(hole.centre, across / 2 + grow)
    corner = hole.width / 2 if hole.kind == "slot" else hole.corner
    box = _rounded_box(hole.length + 2 * grow, hole.width + 2 * grow, corner + grow)
    return _turned(box, hole)


def open_area(hole: Hole) -> Polygon:
    """What the opening takes of the outside face, as facets of its outline."""
    return Polygon(flattened(opening(hole)))


def kept_area(hole: Hole) -> Polygon:
    """What the board is cut away for round hardware that stays, as facets of its outline."""
    return Polygon(flattened(keep_clear(hole)))


def on_face(chain: Chain, outline: Polygon) -> tuple[Chain, ...]:
    """What the closed `chain` bounds of a face, in facets where it reaches over the face's rim."""
    area = Polygon(flattened(chain))
    if outline.contains(area):
        return (chain,)
    parts = shapely.get_parts(shapely.intersection(area, outline)).tolist()
    rings = [
        shapely.orient_polygons(part).exterior.coords
        for part in parts
        if isinstance(part, Polygon) and not part.is_empty
    ]
    return tuple(
        Chain((ring[0][0], ring[0][1]), tuple(Segment((at[0], at[1])) for at in ring[1:]))
        for ring in rings
    )


def sink_depth(hole: Hole) -> float:
    """Depth of a countersink's cone, mm: (D - d) / (2 tan(angle / 2)), elementary."""
    if hole.kind != "countersunk":
        return 0.0
    return (hole.head - hole.width) / (2 * math.tan(hole.head_angle / 2))


def _rounded_box(length: float, width: float, corner: float) -> Chain:
    x, y, r = length / 2, width / 2, corner
    if r <= 0:
        return Chain((x, -y), tuple(Segment(to) for to in ((x, y), (-x, y), (-x, -y), (x, -y))))
    corners = (
        ((x, y - r), (x - r, y), (x - r, y - r)),
        ((-x + r, y), (-x, y - r), (-x + r, y - r)),
        ((-x, -y + r), (-x + r, -y), (-x + r, -y + r)),
        ((x - r, -y), (x, -y + r), (x - r, -y + r)),
    )
    start = (x, -y + r)
    segments: list[Segment] = []
    at = start
    for before, after, centre in corners:
        if before != at:  # a slot has no straight part at its ends
            segments.append(Segment(before))
        segments.append(Segment(after, centre))
        at = after
    return Chain(start, tuple(segments))


def _turned(chain: Chain, hole: Hole) -> Chain:
    cos, sin = math.cos(hole.turn), math.sin(hole.turn)
    return moved(chain, np.array([[cos, -sin, hole.centre[0]], [sin, cos, hole.centre[1]]]))
