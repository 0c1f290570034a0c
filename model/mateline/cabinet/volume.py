"""Volume of a panel in closed form, to hold the kernel's solids against. Knows no kernel.

Stands after panel, beside solids. Seen at one depth a board is its outline with each edge moved
in; the area of that polygon is a quadratic form of the insets (each corner moves straight with
them). The volume is its integral over the depth, less the holes.

Between two depths where sections change, straight sections make the area quadratic in depth, and
two Gauss-Legendre nodes are exact. A round makes it run like a square root near the face; with
depth = top + height * (3 u^2 - 2 u^3) it is smooth in u, and 40 nodes leave less than 1e-12.

A hollow strip stands before the face: there a board is what lies between its end cut and the strip.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon

from mateline.cabinet.hole import opening, shank, sink_depth
from mateline.cabinet.panel import CURVED, curved_run, level, side_of, sides_at
from mateline.curves import Chain, Segment, area, circle, flattened
from mateline.products import ring_area

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from mateline.cabinet.hole import Hole
    from mateline.cabinet.panel import Bend, Bore, Panel
    from mateline.curves import Point

    Areas = NDArray[np.object_]

SAME_DEPTH = 1e-7  # mm: depths nearer than this are one depth, as the kernel sees them
EIGHTHS = 8
CLEARANCE = 0.01  # mm: a hole nearer to an edge than this counts as running into it

_STRAIGHT = np.polynomial.legendre.leggauss(2)
_ROUND = np.polynomial.legendre.leggauss(40)


def volume(panel: Panel) -> float:
    """Volume of the board with its holes, mm³.

    Raises ValueError where a hole runs over an edge or into another hole: there is no closed form.
    """
    if not holes_clear(panel):
        raise ValueError(f"{panel.name}: a hole runs over an edge or into another hole")
    if panel.bend is not None:
        if panel.holes:
            raise ValueError(f"{panel.name}: a hole through a bent board has no closed form")
        return _bent_volume(panel)
    body = sum(
        _slab(panel, top, bottom) for top, bottom in itertools.pairwise(section_depths(panel))
    )
    body += sum(_before(panel, at) for at, edge in enumerate(panel.edges) if edge.rise > 0)
    bored = sum(
        bore_volume(panel, index, bore)
        for index, edge in enumerate(panel.edges)
        for bore in edge.bores
    )
    return float(body) - bored - sum(hole_volume(hole, panel.thickness) for hole in panel.holes)


def _bent_volume(panel: Panel) -> float:
    """Volume of a bent board: its profile all along, less what is cut into its curved edges."""
    low, high = extent_along(panel)
    whole = area(profile(panel)) * (high - low)
    for index in CURVED:
        edge = panel.edges[index]
        if edge.groove is not None:
            whole -= area(band(panel, edge.groove.top, edge.groove.bottom)) * edge.groove.deep
        whole -= sum(bore_volume(panel, index, bore) for bore in edge.bores)
    return whole


def hole_volume(hole: Hole, thickness: float) -> float:
    """What `hole` takes out of a board, mm³: a prism, or a cone frustum and the shank below it.

    Frustum of radii R, r and height h: pi h (R^2 + R r + r^2) / 3 (elementary).
    """
    sink = min(sink_depth(hole), thickness)
    upper, lower = hole.head / 2, radius_at(hole, sink)
    cone = math.pi * sink * (upper**2 + upper * lower + lower**2) / 3
    return cone + area(shank(hole)) * (thickness - sink)


def bore_volume(panel: Panel, index: int, bore: Bore) -> float:
    """What a hole into an end takes, mm³: it is so deep at its middle.

    Along a curve of radius R the end lies R - sqrt(R² - u²) lower at u beside the middle. With
    u = r sin t the integral of that over the mouth runs over a whole turn of a smooth function,
    where equal steps are as good as exact.
    """
    half = bore.diameter / 2
    plain = math.pi * half**2 * bore.deep
    if curved_run(panel, index) is None:
        return plain
    reach, steps = end_radius(panel, index), 64
    lower = 0.0
    for step in range(steps):
        t = math.pi * (step + 0.5) / steps - math.pi / 2
        lens = half * math.sin(t)
        fall = lens**2 / (abs(reach) + math.sqrt(reach**2 - lens**2))
        lower += fall * 2 * (half * math.cos(t)) ** 2 * math.pi / steps
    return plain - math.copysign(lower, reach)


def end_radius(panel: Panel, index: int) -> float:
    """Radius of the end of a board along a curve, mm, negative along a hollow."""
    return side_of(panel, index).radius - panel.edges[index].section.points[-1][0]


def radius_at(hole: Hole, down: float) -> float:
    """Radius of a countersunk hole at depth `down`, mm; of others half their width."""
    if down >= sink_depth(hole):
        return hole.width / 2
    return hole.head / 2 - down * math.tan(hole.head_angle / 2)


def section_depths(panel: Panel) -> list[float]:
    """Depths where the section of any edge changes, from 0 to the thickness, mm."""
    found = [0.0]
    sides = {
        side
        for edge in panel.edges
        if edge.groove
        for side in (edge.groove.top, edge.groove.bottom)
    }
    for down in sorted(sides | {at[1] for edge in panel.edges for at in edge.section.points}):
        if found[-1] + SAME_DEPTH < down < panel.thickness - SAME_DEPTH:
            found.append(down)
    return [*found, panel.thickness]


def holes_clear(panel: Panel) -> bool:
    """Whether each hole stays inside the board's edges all the way and meets no other hole."""
    return not holes_meet(panel) and all(d == panel.thickness for d in clear_depths(panel))


def holes_meet(panel: Panel) -> bool:
    """Whether the openings of two holes run into each other."""
    if not panel.holes:
        return False
    openings = _rims([opening(hole) for hole in panel.holes])
    pairs = shapely.STRtree(openings).query(openings, predicate="intersects").T
    return any(one != two for one, two in pairs.tolist())


def clear_depths(panel: Panel) -> list[float]:
    """How deep each hole stays inside the board's edges, mm: the thickness, or else the last
    eighth of it before the hole runs out through an end; 0 where it is over an edge of the face.
    """
    if not panel.holes:
        return []
    sinks = {sink_depth(hole) for hole in panel.holes if sink_depth(hole) < panel.thickness}
    cuts = [edge.groove for edge in panel.edges if edge.groove]
    within = {(cut.top + min(cut.bottom, panel.thickness)) / 2 for cut in cuts}
    wanted = sorted({*section_depths(panel), *sinks, *within})
    rims = _rims([shank(hole) for hole in panel.holes])
    clear = np.array([_clear_at(panel, down, rims) for down in wanted])
    depths = [panel.thickness] * len(panel.holes)
    for at in np.flatnonzero(~clear.all(axis=0)).tolist():
        lost = wanted[int(np.argmin(clear[:, at]))]
        eighths = (panel.thickness * step / EIGHTHS for step in range(EIGHTHS - 1, 0, -1))
        above = (down for down in eighths if down < lost and _clear_at(panel, down, rims)[at])
        depths[at] = next(above, 0.0)
    return depths


def _clear_at(panel: Panel, down: float, shanks: Areas) -> NDArray[np.bool_]:
    """Which holes lie inside the board at a depth; `shanks` are their rims far down, grown."""
    board = Polygon(level(panel, down))
    shapely.prepare(board)
    rims = shanks.copy()
    for at, hole in enumerate(panel.holes):
        if hole.kind == "countersunk":  # the only one that is wider further up
            rims[at] = _rims([circle(hole.centre, radius_at(hole, down))])[0]
    return np.asarray(shapely.contains(board, rims))


def _rims(chains: list[Chain]) -> Areas:
    """The areas in closed chains, grown by `CLEARANCE`."""
    areas = np.array([Polygon(flattened(chain)) for chain in chains], dtype=object)
    grown: Areas = shapely.buffer(areas, CLEARANCE, quad_segs=16)
    return grown


def _slab(panel: Panel, top: float, bottom: float) -> float:
    curved = bool(panel.runs) or _any_round(panel, top, bottom)
    return _integral(lambda down: _polygon_area(panel, down), (top, bottom), curved=curved)


def _before(panel: Panel, index: int) -> float:
    """Volume of what stands before the face at an edge with a hollow strip, mm³."""
    edge, ends = panel.edges[index], [index, (index + 1) % len(panel.edges)]

    def across(down: float) -> float:
        strip, cut = (level(panel, down, below=below)[ends] for below in (False, True))
        return ring_area(np.vstack([cut, strip[::-1]]))

    heights = [-at[1] for at in edge.section.points[:-1]]
    return sum(
        _integral(lambda up: across(-up), stretch, curved=segment.centre is not None)
        for stretch, segment in zip(
            itertools.pairwise(heights), edge.section.segments[:-1], strict=True
        )
    )


def _integral(
    area_at: Callable[[float], float], stretch: tuple[float, float], *, curved: bool
) -> float:
    low, high = stretch
    nodes, weights = _ROUND if curved else _STRAIGHT
    u, wide = (nodes + 1) / 2, high - low
    if nodes is _STRAIGHT[0]:
        depths, steps = low + wide * u, np.full(len(u), wide)
    else:
        depths, steps = low + wide * (3 - 2 * u) * u**2, wide * 6 * u * (1 - u)
    areas = np.array([area_at(float(down)) for down in depths])
    return float((weights / 2 * steps * areas).sum())


def outline_at(panel: Panel, down: float) -> Chain:
    """The outline of the board at a depth, its arcs as they are."""
    sides = sides_at(panel, down)
    return Chain(
        sides[0].start, tuple(Segment(side.to, side.centre, side.bulging) for side in sides)
    )


def profile(panel: Panel) -> Chain:
    """The cut through a bent board, square to its axis, as a ring.

    Seen with its outside up and its length to the right, in the frame that touches it where its
    length is 0: along and out of the face. Grooves in its straight ends are in it.
    """
    bend, (left, right) = _bend_of(panel), bent_ends(panel)
    centre, bulging = (0.0, -bend.radius), bend.radius > 0
    arc = Segment(right[-1], centre, counterclockwise=not bulging)
    lines = [Segment(spot) for spot in left[1:]], [Segment(spot) for spot in right[-2::-1]]
    back = Segment(left[0], centre, counterclockwise=bulging)
    return Chain(left[0], (*lines[0], arc, *lines[1], back))


def bent_ends(panel: Panel) -> tuple[list[Point], list[Point]]:
    """The ends of a bent board in its profile, from the outside to the inside, left and right.

    They are flat. A groove in one is as flat, along what touches the outside there.
    """
    bend = _bend_of(panel)
    axis = 1 if bend.upright else 0
    plain = replace(panel, edges=tuple(replace(edge, groove=None) for edge in panel.edges))
    outer, inner = (level(plain, down)[:, axis] for down in (0.0, panel.thickness))
    straight = [at for at in range(len(panel.edges)) if at not in CURVED]
    straight.sort(key=lambda at: panel.outline[at][axis] + panel.outline[at - 3][axis])
    found = []
    for edge, fold, inward in zip(straight, (np.min, np.max), (1.0, -1.0), strict=True):
        turn = float(fold(outer)) / bend.radius
        start = bent_at(bend, float(fold(outer)), 0.0)
        end = bent_at(bend, float(fold(inner)), panel.thickness)
        groove, spots = panel.edges[edge].groove, []
        if groove is not None:
            along = (inward * math.cos(turn), -inward * math.sin(turn))
            down = (-math.sin(turn), -math.cos(turn))
            slant = (end[0] - start[0], end[1] - start[1])
            deep = slant[0] * down[0] + slant[1] * down[1]
            for depth, ins in ((groove.top, 0.0), (groove.top, groove.deep),
                               (groove.bottom, groove.deep), (groove.bottom, 0.0)):  # fmt: skip
                x, y = (start[k] + depth / deep * slant[k] + ins * along[k] for k in (0, 1))
                spots.append((x, y))
        found.append([start, *spots, end])
    return found[0], found[1]


def bent_at(bend: Bend, along: float, down: float) -> Point:
    """A place of a bent board in its profile."""
    angle, reach = along / bend.radius, bend.radius - down
    return reach * math.sin(angle), reach * math.cos(angle) - bend.radius


def band(panel: Panel, top: float, bottom: float) -> Chain:
    """What lies between two depths of a bent board in its profile, from end to end."""
    bend, ends = _bend_of(panel), bent_ends(panel)
    centre, bulging = (0.0, -bend.radius), bend.radius > 0
    depths = (top, min(bottom, panel.thickness))
    (low, lower), (high, higher) = (
        [_crossing(end[0], end[-1], centre, abs(bend.radius - down)) for down in depths]
        for end in ends
    )
    sides = (
        Segment(lower),
        Segment(higher, centre, counterclockwise=not bulging),
        Segment(high),
        Segment(low, centre, counterclockwise=bulging),
    )
    return Chain(low, sides)


def _crossing(start: Point, end: Point, centre: Point, reach: float) -> Point:
    """Where the line between two places is so far from a centre: it goes on one way all along."""
    x, y, ways = start[0] - centre[0], start[1] - centre[1], (end[0] - start[0], end[1] - start[1])
    square = ways[0] ** 2 + ways[1] ** 2
    middle = (x * ways[0] + y * ways[1]) / square
    root = math.sqrt(max(middle**2 - (x**2 + y**2 - reach**2) / square, 0.0))
    share = min((-middle - root, -middle + root), key=lambda at: abs(at - 0.5))
    return start[0] + share * ways[0], start[1] + share * ways[1]


def _bend_of(panel: Panel) -> Bend:
    if panel.bend is None:
        raise ValueError(f"{panel.name} is not bent")
    return panel.bend


def extent_along(panel: Panel) -> tuple[float, float]:
    """From where to where a bent board reaches along its axis, mm, in the face frame."""
    axis = 0 if panel.bend is not None and panel.bend.upright else 1
    across = level(panel, 0.0)[:, axis]
    return float(across.min()), float(across.max())


def _any_round(panel: Panel, top: float, bottom: float) -> bool:
    middle = (top + bottom) / 2
    return any(
        segment.centre is not None and before[1] < middle < segment.to[1]
        for edge in panel.edges
        for before, segment in zip(edge.section.points, edge.section.segments, strict=False)
    )


def _polygon_area(panel: Panel, down: float) -> float:
    if panel.runs:
        return area(outline_at(panel, down))
    return ring_area(level(panel, down) - panel.outline[0])
