r"""What grooves, rabbets and holes take of a board at its edges, as a cutter or a drill runs.

Stands after faces and volume, before cuts (which makes them of what is specified) and solids.

    ring   what all grooves of one band of depths leave of a board with curved sides, seen square
           on; beyond edges without such a groove it stands out of the board

        ___________________
       | _________________ |
       || grooved        || |   the tool is what lies between a box and the ring
       ||                 | |
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon, box

from mateline.cabinet.panel import (
    curved_run,
    edge_axes,
    edge_length,
    end_line,
    grouped,
    sharp_sides,
    side_of,
    sides_at,
)
from mateline.cabinet.volume import end_radius
from mateline.curves import Chain, Segment
from mateline.planar.offsets import Curved, moved_sides, sweep_of
from mateline.planar.unions import polygons

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray
    from shapely import MultiPolygon
    from shapely.geometry.base import BaseGeometry

    from mateline.cabinet.panel import Bore, Groove, Panel, Run

    Array = NDArray[np.float64]

BEYOND = 1.0  # mm: how far a cutting tool stands out of the board


def bore_axes(panel: Panel, index: int, bore: Bore) -> tuple[Array, Array]:
    """Where a hole into the end at an edge starts on the sharp outline, and its way: (2,) each.

    Along a curve its place is measured on the arc, and its way is the arc's radius.
    """
    run = curved_run(panel, index)
    if run is None or run.centre is None:
        start, along, inward = edge_axes(panel, index)
        return start + bore.at * along, inward
    side, centre = side_of(panel, index), np.array(run.centre)
    reach = abs(side.radius)
    turn = bore.at / side.radius  # clockwise round a hollow
    angle = math.atan2(side.start[1] - centre[1], side.start[0] - centre[0]) + turn
    out = np.array([math.cos(angle), math.sin(angle)])
    return centre + reach * out, -out if run.bulging else out


def sagitta(panel: Panel, index: int, bore: Bore) -> float:
    """How far the end of a board lies behind the middle of a hole's mouth at its rim, mm; less
    than 0 along a hollow, where it stands out.
    """
    if curved_run(panel, index) is None:
        return 0.0
    reach, half = end_radius(panel, index), bore.diameter / 2
    return math.copysign(abs(reach) - math.sqrt(reach**2 - half**2), reach)


def drilled(panel: Panel) -> BaseGeometry:
    """Where holes go into the ends of a board, seen from outside, in the face frame."""
    found = [
        bore_area(panel, index, bore)
        for index, edge in enumerate(panel.edges)
        for bore in edge.bores
    ]
    return shapely.union_all(found)


def bore_area(
    panel: Panel, index: int, bore: Bore, around: float = 0.0, start: float = 0.0
) -> Polygon:
    """Where a hole goes into an end, seen from outside, with `around` beside and below it; from
    `start` below the middle of its mouth on.
    """
    place, inward = bore_axes(panel, index, bore)
    aside = np.array([inward[1], -inward[0]])
    end, reach = panel.edges[index].section.points[-1][0], bore.diameter / 2 + around
    low = bore.deep + around
    spots = ((-reach, start), (reach, start), (reach, low), (-reach, low))
    return Polygon([place + beside * aside + (end + deep) * inward for beside, deep in spots])


def groove_levels(panel: Panel, index: int, groove: Groove) -> list[tuple[Chain, float]]:
    """The prism that a groove or a rabbet takes of a board, longer than its edge."""
    start, along, inward = edge_axes(panel, index)
    long = 2 * panel.thickness + groove.deep + BEYOND
    first, last = -long, edge_length(panel, index) + long
    levels = []
    for down in (groove.top, min(groove.bottom, panel.thickness + BEYOND)):
        end = end_line(panel.edges[index], down)
        ring = [(first, end - BEYOND), (last, end - BEYOND), (last, end + groove.deep),
                (first, end + groove.deep)]  # fmt: skip
        spots = [start + at * along + deep * inward for at, deep in ring]
        (x, y), *rest = [(float(x), float(y)) for x, y in (*spots, spots[0])]
        levels.append((Chain((x, y), tuple(Segment(spot) for spot in rest)), down))
    return levels


def groove_rings(panel: Panel) -> Iterator[tuple[Chain, Chain, float, float]]:
    """By band of depths that grooves of a board with curved sides have: a box round the board,
    what they leave of it, and the band's top and bottom. Raises NoCornerError.
    """
    grooves = [edge.groove for edge in panel.edges if edge.groove is not None]
    for top, bottom in sorted({(groove.top, groove.bottom) for groove in grooves}):
        insets = []
        for first, _, _ in grouped(panel):
            edge, groove = panel.edges[first], panel.edges[first].groove
            if groove is not None and (groove.top, groove.bottom) == (top, bottom):
                insets.append(edge.section.points[-1][0] + groove.deep)
            else:
                insets.append(min(across for across, _ in edge.section.points) - BEYOND)
        sides = moved_sides(sharp_sides(panel), insets)
        ring = Chain(
            sides[0].start, tuple(Segment(side.to, side.centre, side.bulging) for side in sides)
        )
        spots = np.array([*panel.outline, *ring.points])
        (left, low), (right, high) = spots.min(axis=0) - BEYOND, spots.max(axis=0) + BEYOND
        corners = [(right, low), (right, high), (left, high), (left, low)]
        around = [(float(x), float(y)) for x, y in corners]
        outer = Chain(around[-1], tuple(Segment(spot) for spot in around))
        yield outer, ring, top, min(bottom, panel.thickness + BEYOND)


def groove_depths(panel: Panel) -> list[float]:
    """Where grooves start and end, from the outside to the inside face, mm."""
    grooves = [edge.groove for edge in panel.edges if edge.groove is not None]
    sides = {side for groove in grooves for side in (groove.top, groove.bottom)}
    return [0.0, *sorted(side for side in sides if side < panel.thickness), panel.thickness]


def curved_end(panel: Panel, run: Run) -> tuple[Polygon | MultiPolygon, float]:
    """The end of a board along an arc, laid flat: (along it, -down), mm, and its area.

    Without the mouth of a groove along it, and with notches where those of other edges run out.
    """
    number = [first for first, _, _ in grouped(panel)].index(run.first)
    sharp, groove = sharp_sides(panel)[number], panel.edges[run.first].groove
    parts, total = [], 0.0
    for top, low in itertools.pairwise(groove_depths(panel)):
        if groove is not None and groove.holds((top + low) / 2):
            continue
        side = sides_at(panel, top, below=top > 0)[number]
        reach = abs(side.radius)
        ahead = Curved(sharp.start, side.start, sharp.centre, sharp.bulging).turn() * reach
        size = reach * abs(sweep_of(side))
        parts.append(box(ahead, -low, ahead + size, -top))
        total += size * (low - top)
    return polygons(shapely.union_all(parts)), total
