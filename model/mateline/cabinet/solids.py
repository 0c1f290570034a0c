r"""Solids of panels: each shell is written face by face, with shared edges and no boolean.

Stands after volume and brep. With brep the only cabinet modules that know the CAD kernel.

    slab   the board between two depths at which the section of some edge changes
    seam   where the sections of two neighbouring edges meet, from the outside face down: a line
           or an ellipse in each slab; where two unlike rounds meet, a curve through its points

A hole that runs over an edge or into another hole leaves no such simple shell: then the body is
written as above, and all holes together are taken from it by one boolean.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from OCP.Geom import Geom_Circle, Geom_ConicalSurface, Geom_CylindricalSurface, Geom_Plane
from OCP.gp import gp_Ax2

from mateline.cabinet.bent.prism import drills, straight_through
from mateline.cabinet.brep import (
    Shell,
    axes,
    conic,
    curve_through,
    direction,
    flat_line,
    point,
    taken,
)
from mateline.cabinet.edges.rounds import arc_between
from mateline.cabinet.edges.tools import groove_levels
from mateline.cabinet.hole import opening, shank, sink_depth
from mateline.cabinet.panel import STRAIGHT, frame_at, inset
from mateline.cabinet.volume import SAME_DEPTH, holes_clear, radius_at, section_depths
from mateline.curves import Chain, Segment, circle, radius, sweep
from mateline.products import norm, product

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from numpy.typing import NDArray

    from mateline.cabinet.brep import Use
    from mateline.cabinet.edges.rounds import Arc
    from mateline.cabinet.hole import Hole
    from mateline.cabinet.panel import Edge, Panel
    from mateline.curves import Point

    Array = NDArray[np.float64]

BEYOND = 1.0  # mm: how far a cutting tool stands out of the board on both sides


def shape(panel: Panel) -> Any:
    """The kernel's solid of the board with its holes, cabinet frame, mm.

    Raises ValueError where a hole takes all of the board or cuts it in two.
    """
    if panel.bend is not None or panel.runs:
        body, cutters = straight_through(panel)
        tools = [*cutters, *_drills(panel)]
        return taken(panel.name, body, tools) if tools else body
    plain = replace(panel, edges=tuple(replace(edge, groove=None) for edge in panel.edges))
    grooves = [
        _Writing(plain).tool(groove_levels(plain, index, edge.groove))
        for index, edge in enumerate(panel.edges)
        if edge.groove is not None
    ]
    if not holes_clear(panel):
        levels = itertools.chain.from_iterable(_tool_levels(hole, panel) for hole in panel.holes)
        grooves += [_Writing(plain).tool(pair) for pair in levels]
        plain = replace(plain, holes=())
    grooves += drills(panel)
    body = _Writing(plain).solid()
    return taken(panel.name, body, grooves) if grooves else body


@dataclass(frozen=True, slots=True)
class _Seam:
    """The seam at one corner between two depths. `turn` gives w of an arc at a parameter."""

    top: int
    bottom: int
    edge: Any
    span: tuple[float, float]
    at: Callable[[float], Array]
    turn: Callable[[float, Arc], float]


@dataclass(frozen=True, slots=True)
class _Rim:
    """A hole at one depth: edge i runs from the vertex ends[i], which lies at spots[i]."""

    chain: Chain
    down: float
    spots: list[Array]
    ends: list[Any]
    edges: list[Any]


class _Writing:
    """One panel's shell in the making; points are in the cabinet frame."""

    def __init__(self, panel: Panel) -> None:
        self.panel, self.shell = panel, Shell()
        frame = panel.frame
        self.outward = np.array(frame.outward)
        self.flat = np.array([frame.along_x, frame.along_y])
        self.corner = np.array(frame.corner)
        sharp = np.array(panel.outline)
        along = np.roll(sharp, -1, axis=0) - sharp
        along /= np.linalg.norm(along, axis=1)[:, None]
        before = np.roll(along, 1, axis=0)
        turn = before[:, 0] * along[:, 1] - before[:, 1] * along[:, 0]
        self.along: Array = product(along, self.flat)
        self.inward = np.cross(self.outward, self.along)
        # How a corner moves when the edge before it, or the one after it, moves in by 1 mm.
        straight = np.abs(turn) < STRAIGHT
        turn[straight] = 1.0
        self.by_before = self.along / turn[:, None]
        self.by_after = -np.roll(self.along, 1, axis=0) / turn[:, None]
        # In one line both edges move alike, and each does half.
        self.by_before[straight] = self.by_after[straight] = self.inward[straight] / 2
        self.sharp: Array = self.corner + product(sharp, self.flat)
        # In the order of the walk along a section, which may rise before the face first.
        front, *deeper = section_depths(panel)
        rises = sorted({edge.rise for edge in panel.edges} - {0.0})
        self.depths = [front, *(-rise for rise in rises), *deeper]
        self.folds = [self._folds(edge) for edge in panel.edges]

    def solid(self) -> Any:
        """The kernel's solid."""
        seams, rims = self._seams_and_rims()
        for at, edge in enumerate(self.panel.edges):
            after = seams[(at + 1) % len(seams)]
            for segment in range(len(edge.section.segments)):
                self._strip(at, segment, (seams[at], after), rims)
        last, count = len(self.depths) - 1, len(self.along)
        top: list[list[Use]] = [[(rims[at, 0], True) for at in range(count)]]
        bottom: list[list[Use]] = [[(rims[at, last], False) for at in reversed(range(count))]]
        for hole in self.panel.holes:
            upper, lower = self._hole(_levels(hole, self.panel.thickness))
            top.append([(edge, False) for edge in reversed(upper)])
            bottom.append([(edge, True) for edge in lower])
        self._end(0.0, self.outward, top)
        self._end(self.panel.thickness, -self.outward, bottom)
        return self.shell.solid()

    def tool(self, levels: list[tuple[Chain, float]]) -> Any:
        """The kernel's solid of what a hole takes away; `levels` reach beyond the board."""
        upper, lower = self._hole(levels)
        # A hole's walls look into it: with two ends that do so too it is a solid inside out.
        self._end(levels[0][1], -self.outward, [[(edge, False) for edge in reversed(upper)]])
        self._end(levels[-1][1], self.outward, [[(edge, True) for edge in lower]])
        return self.shell.solid(inside_out=True)

    def _end(self, down: float, normal: Array, loops: list[list[Use]]) -> None:
        """A flat face along the board."""
        place = axes(self.corner - down * self.outward, normal, self.flat[0])
        self.shell.face(Geom_Plane(place), loops)

    def _folds(self, edge: Edge) -> list[int]:
        """Where the section's points lie among the panel's depths."""
        depths = np.array(self.depths)
        return [int(np.argmin(np.abs(depths - at[1]))) for at in edge.section.points]

    def _rim(self, corner: int, down: float) -> Array:
        edges = self.panel.edges
        spot: Array = (
            self.sharp[corner]
            + _inset(edges[corner - 1], down) * self.by_before[corner]
            + _inset(edges[corner], down) * self.by_after[corner]
            - down * self.outward
        )
        return spot

    def _seams_and_rims(self) -> tuple[list[list[_Seam]], dict[tuple[int, int], Any]]:
        """Seams by corner, and the edges along each fold by edge of the board and depth."""
        spots: list[dict[int, Array]] = []
        for corner in range(len(self.along)):
            here = sorted({*self.folds[corner - 1], *self.folds[corner]})
            spots.append({at: self._rim(corner, self.depths[at]) for at in here})
        ends = [{at: self.shell.vertex(p) for at, p in column.items()} for column in spots]
        seams = [
            [
                self._seam(corner, (top, bottom), spots[corner], (column[top], column[bottom]))
                for top, bottom in itertools.pairwise(column)
            ]
            for corner, column in enumerate(ends)
        ]
        rims = {}
        for at, folds in enumerate(self.folds):
            then = (at + 1) % len(self.folds)
            for fold in folds:
                pair = ends[at][fold], ends[then][fold]
                rims[at, fold] = self.shell.line(spots[at][fold], spots[then][fold], pair)
        return seams, rims

    def _seam(
        self, corner: int, slab: tuple[int, int], spots: dict[int, Array], ends: tuple[Any, Any]
    ) -> _Seam:
        top, bottom = self.depths[slab[0]], self.depths[slab[1]]
        edges = self.panel.edges[corner - 1], self.panel.edges[corner]
        arcs = [arc_between(edge, top, bottom) for edge in edges]
        found = [arc for arc in arcs if arc is not None]
        if not found:
            start, end = spots[slab[0]], spots[slab[1]]
            edge = self.shell.line(start, end, ends)
            length = norm(end - start)
            way = (end - start) / length
            return _Seam(*slab, edge, (0.0, length), lambda t: start + t * way, _no_turn)
        if not found[0].like(found[-1]):
            return self._free_seam(corner, slab, found, ends)
        return self._ellipse(corner, slab, arcs, ends)

    def _ellipse(
        self, corner: int, slab: tuple[int, int], arcs: list[Arc | None], ends: tuple[Any, Any]
    ) -> _Seam:
        """Insets and depth are linear in cos w and sin w, and so is the corner."""
        top, bottom = self.depths[slab[0]], self.depths[slab[1]]
        arc = next(arc for arc in arcs if arc is not None)
        r, deep = arc.radius, arc.centre[1]
        centre = self.sharp[corner] - deep * self.outward
        cos, sin = arc.way * r * self.outward, np.zeros(3)
        moves = self.by_before[corner], self.by_after[corner]
        edges = self.panel.edges[corner - 1], self.panel.edges[corner]
        for own, edge, move in zip(arcs, edges, moves, strict=True):
            if own is not None:
                centre = centre + own.centre[0] * move
                sin = sin - own.side * r * move
            else:
                upper, lower = _inset(edge, top), _inset(edge, bottom)
                slope = (lower - upper) / (bottom - top)
                centre = centre + (upper + slope * (deep - top)) * move
                cos = cos - arc.way * slope * r * move
        curve, shift = conic(centre, cos, sin)
        if arc.turn(top) < shift:
            shift -= math.tau  # the kernel likes parameters from 0 up
        span = arc.turn(top) - shift, arc.turn(bottom) - shift
        return _Seam(
            *slab,
            self.shell.edge(curve, span, ends),
            span,
            lambda t: centre + cos * math.cos(t + shift) + sin * math.sin(t + shift),
            lambda t, _: t + shift,
        )

    def _free_seam(
        self, corner: int, slab: tuple[int, int], arcs: list[Arc], ends: tuple[Any, Any]
    ) -> _Seam:
        top, bottom = self.depths[slab[0]], self.depths[slab[1]]
        # Tangent to the face a round runs in like the root of the depth: smooth in t when squared.
        power = 2 if any(arc.turn(top) == 0 for arc in arcs) else 1

        def down(t: float) -> float:
            return top + (bottom - top) * t**power

        def at(t: float) -> Array:
            return self._rim(corner, down(t))

        edge = self.shell.edge(curve_through(at, (0.0, 1.0)), (0.0, 1.0), ends)
        return _Seam(*slab, edge, (0.0, 1.0), at, lambda t, arc: arc.turn(down(t)))

    def _strip(
        self,
        at: int,
        segment: int,
        seams: tuple[list[_Seam], list[_Seam]],
        rims: dict[tuple[int, int], Any],
    ) -> None:
        """The face of one segment of an edge's section."""
        edge = self.panel.edges[at]
        top, bottom = self.folds[at][segment], self.folds[at][segment + 1]
        sides = [[s for s in column if top <= s.top and s.bottom <= bottom] for column in seams]
        loop: list[Use] = [
            *((seam.edge, True) for seam in sides[0]),
            (rims[at, bottom], True),
            *((seam.edge, False) for seam in reversed(sides[1])),
            (rims[at, top], False),
        ]
        arc = arc_between(edge, self.depths[top], self.depths[bottom])
        start, end = edge.section.points[segment : segment + 2]
        if arc is None:
            down = (end[0] - start[0]) * self.inward[at] - (end[1] - start[1]) * self.outward
            normal = np.cross(down, self.along[at])
            spot = self._rim(at, self.depths[top])
            self.shell.face(Geom_Plane(axes(spot, normal, self.along[at])), [loop])
            return
        # X outward, or inward, makes the surface's angle w; the axis turns over on a hollow.
        turned = arc.side * arc.way
        (c_in, c_down), axis = arc.centre, turned * self.along[at]
        origin = self.sharp[at] + c_in * self.inward[at] - c_down * self.outward
        surface = Geom_CylindricalSurface(axes(origin, axis, arc.way * self.outward), arc.radius)
        for side in sides:
            for seam in side:
                self._trace(seam, arc, surface, (origin, axis))
        for fold in (top, bottom):
            height = float(product(self._rim(at, self.depths[fold]) - origin, axis))
            trace = flat_line(arc.turn(self.depths[fold]), height, 0.0, turned)
            self.shell.on_surface(rims[at, fold], trace, surface)
        self.shell.face(surface, [loop], inward=turned < 0)

    def _trace(self, seam: _Seam, arc: Arc, surface: Any, axis: tuple[Array, Array]) -> None:
        origin, way = axis

        def flat(t: float) -> Array:
            return np.array([seam.turn(t, arc), float(product(seam.at(t) - origin, way))])

        self.shell.on_surface(seam.edge, curve_through(flat, seam.span), surface)

    def _hole(self, levels: list[tuple[Chain, float]]) -> tuple[list[Any], list[Any]]:
        """Write the walls of a hole; its edges on the outside and on the inside face."""
        rims = [self._rim_of(chain, down) for chain, down in levels]
        for upper, lower in itertools.pairwise(rims):
            self._walls(upper, lower)
        return rims[0].edges, rims[-1].edges

    def _at(self, spot: Point, down: float) -> Array:
        """A point of the face frame at a depth."""
        place: Array = self.corner + product(np.array(spot), self.flat) - down * self.outward
        return place

    def _rim_of(self, chain: Chain, down: float) -> _Rim:
        spots = [self._at(spot, down) for spot in chain.points[:-1]]
        ends = [self.shell.vertex(spot) for spot in spots]
        edges = []
        for index, segment in enumerate(chain.segments):
            then = (index + 1) % len(spots)
            pair = ends[index], ends[then]
            if segment.centre is None:
                edges.append(self.shell.line(spots[index], spots[then], pair))
            else:
                place = gp_Ax2(
                    point(self._at(segment.centre, down)),
                    direction(self.outward),
                    direction(self.flat[0]),
                )
                span = _angles(chain.points[index], segment)
                edges.append(self.shell.edge(Geom_Circle(place, radius(segment)), span, pair))
        return _Rim(chain, down, spots, ends, edges)

    def _walls(self, upper: _Rim, lower: _Rim) -> None:
        count = len(upper.spots)
        drops = [
            self.shell.line(upper.spots[at], lower.spots[at], (upper.ends[at], lower.ends[at]))
            for at in range(count)
        ]
        for at, segment in enumerate(upper.chain.segments):
            then = (at + 1) % count
            loop = [
                (upper.edges[at], True),
                (drops[then], True),
                (lower.edges[at], False),
                (drops[at], False),
            ]
            if segment.centre is None:
                start = upper.spots[at]
                way = upper.spots[then] - start
                rise = self.outward if upper.chain == lower.chain else start - lower.spots[at]
                normal = np.cross(rise, way)
                self.shell.face(Geom_Plane(axes(start, normal, way)), [loop])
                continue
            wide, narrow = radius(segment), radius(lower.chain.segments[at])
            place = axes(self._at(segment.centre, lower.down), self.outward, self.flat[0])
            lean = math.atan2(wide - narrow, lower.down - upper.down)
            height = math.hypot(wide - narrow, lower.down - upper.down)
            surface = (
                Geom_ConicalSurface(place, lean, narrow)
                if wide > narrow
                else Geom_CylindricalSurface(place, narrow)
            )
            self.shell.on_surface(upper.edges[at], flat_line(0.0, height, 1.0, 0.0), surface)
            self.shell.on_surface(lower.edges[at], flat_line(0.0, 0.0, 1.0, 0.0), surface)
            turns = _angles(upper.chain.points[at], segment)
            for drop, angle in zip((drops[at], drops[then]), turns, strict=True):
                self.shell.on_surface(drop, flat_line(angle, height, 0.0, -1.0), surface)
            self.shell.face(surface, [loop], inward=True)


def _no_turn(_: float, __: Arc) -> float:
    raise ValueError("a straight seam lies on no round")


def _inset(edge: Edge, down: float) -> float:
    """Inset at a depth, to the bit where the section bends."""
    for across, at in edge.section.points:
        if abs(at - down) < SAME_DEPTH:
            return across
    return inset(edge, down)


def _angles(start: Point, segment: Segment) -> tuple[float, float]:
    """From where to where an arc runs, radians from the face's x, the first from 0 to a turn."""
    if segment.centre is None:
        raise ValueError("a line has no angles")
    (cx, cy) = segment.centre
    first = math.atan2(start[1] - cy, start[0] - cx) % math.tau
    return first, first + sweep(start, segment)


def _levels(hole: Hole, thickness: float) -> list[tuple[Chain, float]]:
    """Closed chains and their depths between which the walls of a hole are ruled."""
    sink = sink_depth(hole)
    if sink < SAME_DEPTH:
        return [(shank(hole), 0.0), (shank(hole), thickness)]
    if sink > thickness - SAME_DEPTH:  # the head goes all the way through
        return [(opening(hole), 0.0), (circle(hole.centre, radius_at(hole, thickness)), thickness)]
    return [(opening(hole), 0.0), (shank(hole), sink), (shank(hole), thickness)]


def _drills(panel: Panel) -> list[Any]:
    """What the holes take away."""
    return [
        _Writing(replace(at, holes=())).tool(pair)
        for hole, at in _touching(panel)
        for pair in _tool_levels(hole, at)
    ]


def _touching(panel: Panel) -> Iterator[tuple[Hole, Panel]]:
    """Each hole with the flat board that it is drilled in: of a bent one, what touches it there."""
    for hole in panel.holes:
        if panel.bend is None:
            yield hole, replace(panel, runs=())
        else:
            frame = frame_at(panel, hole.centre)
            at = replace(hole, centre=(0.0, 0.0))
            yield at, replace(panel, frame=frame)


def _tool_levels(hole: Hole, panel: Panel) -> Iterator[list[tuple[Chain, float]]]:
    """The prism of a hole and the cone of its countersink, both longer than the board is thick."""
    beyond = BEYOND
    if panel.bend is not None:  # so far it leaves the plane that touches it
        beyond += max(hole.length, hole.head) ** 2 / (
            4 * (abs(panel.bend.radius) - panel.thickness)
        )
    low = panel.thickness + beyond
    yield [(shank(hole), -beyond), (shank(hole), low)]
    if sink_depth(hole) > SAME_DEPTH:
        above = hole.head / 2 + beyond * math.tan(hole.head_angle / 2)
        sink = min(sink_depth(hole), low)
        yield [
            (circle(hole.centre, above), -beyond),
            (circle(hole.centre, radius_at(hole, sink)), sink),
        ]
