r"""Strips of faces along the sides of an outline: what a moulding covers.

Stands after sound, before covered. A strip is as wide all along; on a curve it ends
inside in an arc about the same centre. How it ends at a corner:

    tangent   square to both sides, where they run on into each other; a strip as wide on the next
              side goes on from there without a gap
    outside   beyond the next side, and the bevel or round there
    inside    where the next side's line goes on into the face
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from shapely import Polygon

from mateline.cabinet.edges.sound import STRAIGHT
from mateline.cabinet.panel import curved_run, grouped, sharp_sides
from mateline.planar.offsets import NoCornerError, corner, spread

if TYPE_CHECKING:
    from mateline.cabinet.panel import Panel
    from mateline.curves import Point
    from mateline.planar.offsets import Curved

WIDER = 1.0  # mm: how much farther than the face a strip is taken to reach
FACETS = 16  # of the next side's arc, where a strip ends beyond it
LEAST = 0.5  # mm: the least radius that is left of a round


def strip_along(panel: Panel, index: int, width: float) -> Polygon:
    """All of the net within `width` of the side that starts with an edge, and a bit beyond it, mm.

    Raises NoCornerError.
    """
    firsts = [first for first, _, _ in grouped(panel)]
    sides, number = sharp_sides(panel), firsts.index(index)
    side, count = sides[number], len(sides)
    if side.centre is not None and side.bulging and width > side.radius - LEAST:
        raise NoCornerError("a round is not as wide")
    before, after = (number - 1) % count, (number + 1) % count
    beyond = [panel.edges[firsts[at]].strip_width + WIDER for at in (before, after)]
    start = _end((sides[before], side), beyond[0], width, later=True)
    end = _end((side, sides[after]), beyond[1], width, later=False)
    run = curved_run(panel, index)
    facets = 1 if run is None else run.count
    outer, inner = (
        [*spread(replace(side, start=one, to=two), facets), two]
        for one, two in ((start[0], end[0]), (start[-1], end[-1]))
    )
    strip = Polygon([*outer[:-1], *end, *inner[-2::-1], *start[-2:0:-1]])
    if not strip.is_valid or not strip.exterior.is_ccw:
        raise NoCornerError("a strip that crosses itself")
    return strip


def _end(pair: tuple[Curved, Curved], beyond: float, width: float, *, later: bool) -> list[Point]:
    """From the outer to the inner border of a strip, where two sides meet, and it is along the
    `later` one of them or the other.
    """
    own, other = pair[::-1] if later else pair
    here = pair[1].start
    (ax, ay), (bx, by) = pair[0].way(here), pair[1].way(here)
    turn = ax * by - ay * bx
    if abs(turn) < math.sin(STRAIGHT):
        return [(here[0] - deep * by, here[1] + deep * bx) for deep in (-WIDER, width)]
    out, aside = (-WIDER, 0.0) if turn < 0 else (-WIDER, -beyond)
    insets = [(aside, deep) if later else (deep, aside) for deep in (out, width)]
    outer, inner = (corner(*pair, inset) for inset in insets)
    if turn < 0:
        x, y = own.way(here)
        outer = (here[0] + WIDER * y, here[1] - WIDER * x)
    if other.centre is None or turn < 0:
        return [outer, inner]
    first, last = (inner, outer) if later else (outer, inner)
    between = spread(replace(other, start=first, to=last), FACETS)[1:]
    return [outer, *(reversed(between) if later else between), inner]
