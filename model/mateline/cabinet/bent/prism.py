"""Walls of a prism for the CAD kernel: a ring of lines and arcs, carried straight through.

Stands before solids. Bent boards, and boards with a curved outline, are such prisms: their arcs
become true cylinders.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
from OCP.Geom import Geom_Circle, Geom_CylindricalSurface, Geom_Plane
from OCP.gp import gp_Ax2

from mateline.cabinet.brep import Shell, axes, direction, flat_line, point, taken
from mateline.cabinet.edges.tools import bore_axes, groove_rings, sagitta
from mateline.cabinet.panel import (
    CURVED,
    edge_axes,
    edge_length,
    end_line,
    raised,
    squarely_cut,
)
from mateline.cabinet.volume import bent_at, extent_along, outline_at, profile
from mateline.curves import Chain, Segment, backwards, moved, radius, sweep
from mateline.products import product

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from mateline.cabinet.brep import Use
    from mateline.cabinet.panel import Bore, Panel
    from mateline.curves import Point

    Array = NDArray[np.float64]

BEYOND = 1.0  # mm: how far what is cut off stands out of the board
REACH = 3.0  # no unit: and beyond the ends of its edge, in widths of the section
DOWN_TO_OUT = np.array([[1.0, 0.0, 0.0], [0.0, -1.0, 0.0]])


@dataclass(frozen=True, slots=True)
class Plane:
    """Where a ring lies: its (0, 0), and unit vectors along x, along y and out of it, mm."""

    corner: Array
    along: Array  # (2, 3)
    outward: Array

    def at(self, spot: Point, down: float) -> Array:
        """A spot of the plane at a depth, in the cabinet frame."""
        place: Array = self.corner + product(np.array(spot), self.along) - down * self.outward
        return place


def walls(shell: Shell, ring: Chain, plane: Plane, bottom: float) -> tuple[list[Use], list[Use]]:
    """Write the walls below a ring that runs counter-clockwise, seen from outside.

    Its edges on the plane, and at the depth `bottom`, as they run.
    """
    levels = [0.0, bottom]
    spots = [[plane.at(spot, down) for spot in ring.points[:-1]] for down in levels]
    ends = [[shell.vertex(spot) for spot in row] for row in spots]
    count = len(ring.segments)
    drops = [
        shell.line(spots[0][at], spots[1][at], (ends[0][at], ends[1][at])) for at in range(count)
    ]
    rims: tuple[list[Use], list[Use]] = ([], [])
    for at, segment in enumerate(ring.segments):
        then = (at + 1) % count
        for row, rim in enumerate(rims):
            if segment.centre is None:
                pair = ends[row][at], ends[row][then]
                rim.append((shell.line(spots[row][at], spots[row][then], pair), True))
                continue
            one, two = (at, then) if segment.counterclockwise else (then, at)
            centre = point(plane.at(segment.centre, levels[row]))
            place = gp_Ax2(centre, direction(plane.outward), direction(plane.along[0]))
            circle, span = Geom_Circle(place, radius(segment)), _span(ring.points[at], segment)
            made = shell.edge(circle, span, (ends[row][one], ends[row][two]))
            rim.append((made, segment.counterclockwise))
        upper, lower = rims[0][at], rims[1][at]
        loop = [lower, (drops[then], False), (upper[0], not upper[1]), (drops[at], True)]
        if segment.centre is None:
            way = spots[0][then] - spots[0][at]
            flat = axes(spots[0][at], np.cross(way, plane.outward), way)
            shell.face(Geom_Plane(flat), [loop])
            continue
        axis = axes(plane.at(segment.centre, bottom), plane.outward, plane.along[0])
        surface = Geom_CylindricalSurface(axis, radius(segment))
        shell.on_surface(upper[0], flat_line(0.0, bottom, 1.0, 0.0), surface)
        shell.on_surface(lower[0], flat_line(0.0, 0.0, 1.0, 0.0), surface)
        first, last = _span(ring.points[at], segment)
        turns = (first, last) if segment.counterclockwise else (last, first)
        for drop, angle in zip((drops[at], drops[then]), turns, strict=True):
            shell.on_surface(drop, flat_line(angle, bottom, 0.0, -1.0), surface)
        shell.face(surface, [loop], inward=not segment.counterclockwise)
    return rims


def prism(shell: Shell, ring: Chain, plane: Plane, bottom: float, *holes: Chain) -> Any:
    """The solid below a ring, between its plane and the depth `bottom`; `holes` run clockwise."""
    rims = [walls(shell, each, plane, bottom) for each in (ring, *holes)]
    top = axes(plane.corner, plane.outward, plane.along[0])
    shell.face(Geom_Plane(top), [upper for upper, _ in rims])
    below = axes(plane.at((0.0, 0.0), bottom), -plane.outward, plane.along[0])
    shell.face(Geom_Plane(below), [_back(lower) for _, lower in rims])
    return shell.solid()


def straight_through(panel: Panel) -> tuple[Any, list[Any]]:
    """A bent board, or one with a curved outline, without its holes: a prism, and what is to be
    cut off it where its straight edges have bevels, rounds or slanting ends.
    """
    frame, outward = panel.frame, np.array(panel.frame.outward)
    if panel.bend is None:
        along = np.array([frame.along_x, frame.along_y])
        plane = Plane(np.array(frame.corner), along, outward)
        body = prism(Shell(), outline_at(widest(panel), 0.0), plane, panel.thickness)
        ends = [
            _cutter(panel, plane, at)
            for at, edge in enumerate(panel.edges)
            if not squarely_cut(edge)
        ]
        for tool in _grooves(panel, plane):
            body = taken(panel.name, body, [tool])
        return body, [*ends, *drills(panel)]
    low, high = extent_along(panel)
    around, axis = (
        (frame.along_y, frame.along_x) if panel.bend.upright else (frame.along_x, frame.along_y)
    )
    along = np.array([around, outward])
    towards = np.cross(along[0], along[1])
    start = high if float(product(towards, axis)) > 0 else low
    corner = np.array(frame.corner) + start * np.array(axis)
    body = prism(Shell(), profile(panel), Plane(corner, along, towards), high - low)
    cuts = [_band(panel, at, along, towards) for at in CURVED if panel.edges[at].groove]
    return body, [*cuts, *drills(panel)]


def _band(panel: Panel, index: int, along: Array, towards: Array) -> Any:
    """What a groove or a rabbet takes along a curved edge of a bent board, beyond both its ends."""
    edge, bend, frame = panel.edges[index], panel.bend, panel.frame
    if edge.groove is None or bend is None:
        raise ValueError(f"edge {index} of {panel.name} has no groove, or is no curved one")
    groove, around = edge.groove, 1 if bend.upright else 0
    places = [spot[around] for spot in panel.outline]
    long = 2 * panel.thickness + BEYOND
    ends = min(places) - long, max(places) + long
    depths = groove.top, min(groove.bottom, panel.thickness + BEYOND)
    (low, high), (lower, higher) = ([bent_at(bend, end, down) for end in ends] for down in depths)
    centre, bulging = (0.0, -bend.radius), bend.radius > 0
    sides = (
        Segment(lower),
        Segment(higher, centre, counterclockwise=not bulging),
        Segment(high),
        Segment(low, centre, counterclockwise=bulging),
    )
    axis = np.array(frame.along_x if bend.upright else frame.along_y)
    start, _, inward = edge_axes(panel, index)
    way = float(inward[1 - around])
    outside = float(start[1 - around]) + way * (end_line(edge, groove.top) - BEYOND)
    inside = outside + way * (BEYOND + groove.deep)
    near = max(outside, inside) if float(product(towards, axis)) > 0 else min(outside, inside)
    plane = Plane(np.array(frame.corner) + near * axis, along, towards)
    return prism(Shell(), Chain(low, sides), plane, abs(outside - inside))


def _cutter(panel: Panel, plane: Plane, at: int) -> Any:
    """What lies outside of an edge's section, from its outermost place on, as a prism along it.

    It is longer than the edge, for at a blunt corner the board is longer farther in.
    """
    points = panel.edges[at].section.points
    start, way, inward = edge_axes(panel, at)
    low = min(across for across, _ in points) - BEYOND
    deep = panel.thickness + BEYOND
    above = (points[0][0], -BEYOND)
    ends = (Segment((points[-1][0], deep)), Segment((low, deep)), Segment((low, -BEYOND)))
    section = Chain(
        above, (Segment(points[0]), *panel.edges[at].section.segments, *ends, Segment(above))
    )
    # With down turned into out it runs clockwise, seen from the edge's end.
    ring = backwards(moved(section, DOWN_TO_OUT))
    long = REACH * (max(across for across, _ in points) - low)
    way3, inward3 = product(np.array([way, inward]), plane.along)
    far = plane.at((float(start[0]), float(start[1])), 0.0)
    far = far + (edge_length(panel, at) + long) * way3
    across = Plane(far, np.array([inward3, plane.outward]), way3)
    return prism(Shell(), ring, across, edge_length(panel, at) + 2 * long)


def _grooves(panel: Panel, plane: Plane) -> Iterator[Any]:
    """What grooves and rabbets take of a board with a curved outline, by their bands of depth.

    They overlap outside of the board. Cut with all of them at once, the kernel would keep that.
    """
    for around, ring, top, bottom in groove_rings(panel):
        below = replace(plane, corner=plane.at((0.0, 0.0), top))
        yield prism(Shell(), around, below, bottom - top, backwards(ring))


def drills(panel: Panel) -> list[Any]:
    """The cylinders that holes into ends take, from outside the board on."""
    return [
        _drill(panel, index, bore) for index, edge in enumerate(panel.edges) for bore in edge.bores
    ]


def _drill(panel: Panel, index: int, bore: Bore) -> Any:
    start, inward = bore_axes(panel, index, bore)
    frame, before = panel.frame, BEYOND - min(sagitta(panel, index, bore), 0.0)
    flat = np.array([frame.along_x, frame.along_y])
    spot = start + (end_line(panel.edges[index], bore.down) - before) * inward
    (place,) = raised(panel, spot[None], bore.down)
    axis = gp_Ax2(point(place), direction(product(inward, flat)))
    return BRepPrimAPI_MakeCylinder(axis, bore.diameter / 2, bore.deep + before).Solid()


def widest(panel: Panel) -> Panel:
    """The board with all its ends square, where they reach farthest out."""
    edges = []
    for edge in panel.edges:
        out = min(across for across, _ in edge.section.points)
        square = Chain((out, 0.0), (Segment((out, panel.thickness)),))
        edges.append(replace(edge, section=square, groove=None))
    return replace(panel, edges=tuple(edges))


def _back(loop: list[Use]) -> list[Use]:
    """A loop walked the other way."""
    return [(edge, not forward) for edge, forward in reversed(loop)]


def _span(start: Point, segment: Segment) -> tuple[float, float]:
    """The angles of an arc's ends, the lower first, the first from 0 to a turn."""
    if segment.centre is None:
        raise ValueError("a line has no angles")
    (cx, cy), turn = segment.centre, sweep(start, segment)
    low = start if turn > 0 else segment.to
    first = math.atan2(low[1] - cy, low[0] - cx) % math.tau
    return first, first + abs(turn)
