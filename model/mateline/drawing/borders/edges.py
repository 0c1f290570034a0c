"""Straight lines and circle arcs by their ends, and where two of them meet.

Stands after the data. An arc runs from angle `first` through `turn`, both in the frame of its
points; `share` is how far along a place is, 0 at the start and 1 at the end.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.curves import facet_count
from mateline.drawing.flattening import LATTICE, centre_of
from mateline.drawing.path import Arc

if TYPE_CHECKING:
    from collections.abc import Iterator

    from mateline.drawing.borders.borders import Border, Circle, Point, Step

TOUCHING = 1e-6  # mm: circles that lie over each other by less touch in one point
EXACT = 1e-9  # mm: what rounding may move a crossing past an end
PARALLEL = 1e-12  # sine of the angle between two lines that never cross


@dataclass(frozen=True, slots=True)
class Edge:
    """A line (`centre` is None) or an arc from `start` to `end`, mm."""

    start: Point
    end: Point
    centre: Point | None = None
    radius: float = 0.0
    first: float = 0.0  # rad: angle of the start
    turn: float = 0.0  # rad, signed

    @property
    def length(self) -> float:
        """Along the edge, mm."""
        if self.centre is None:
            return math.dist(self.start, self.end)
        return self.radius * abs(self.turn)


def edges_of(border: Border) -> Iterator[Edge]:
    """The edges of a border, in its order; steps that go nowhere are left out."""
    at = border.start
    for step in border.steps:
        to = (step.x, step.y)
        if to != at:
            yield _edge(at, to, step)
        at = to


def halves(circle: Circle) -> tuple[Edge, Edge]:
    """A circle as two edges, from its right end to its left one and back."""
    (x, y), reach = circle.centre, circle.radius
    east, west = (x + reach, y), (x - reach, y)
    return (
        Edge(east, west, circle.centre, reach, 0.0, math.pi),
        Edge(west, east, circle.centre, reach, math.pi, math.pi),
    )


def _edge(start: Point, end: Point, step: Step) -> Edge:
    if not isinstance(step, Arc):
        return Edge(start, end)
    (x, y), reach, _ = centre_of(start, step)
    first = math.atan2(start[1] - y, start[0] - x)
    turn = (math.atan2(end[1] - y, end[0] - x) - first) % math.tau
    if turn == 0:
        turn = math.tau
    return Edge(start, end, (x, y), reach, first, turn if step.sweep else turn - math.tau)


def place(edge: Edge, share: float) -> Point:
    """Where a share of the edge is."""
    if edge.centre is None:
        (ax, ay), (bx, by) = edge.start, edge.end
        return ax + share * (bx - ax), ay + share * (by - ay)
    angle = edge.first + share * edge.turn
    x, y = edge.centre
    return x + edge.radius * math.cos(angle), y + edge.radius * math.sin(angle)


def nearest(edge: Edge, point: Point) -> tuple[float, float]:
    """The share of the edge that is nearest to a point, and how far off that is, mm."""
    if edge.centre is None:
        (ax, ay), (bx, by) = edge.start, edge.end
        dx, dy = bx - ax, by - ay
        along = ((point[0] - ax) * dx + (point[1] - ay) * dy) / (dx * dx + dy * dy)
        share = min(1.0, max(0.0, along))
    else:
        x, y = point[0] - edge.centre[0], point[1] - edge.centre[1]
        way = math.copysign(1.0, edge.turn)
        angle, whole = (way * (math.atan2(y, x) - edge.first)) % math.tau, abs(edge.turn)
        share = angle / whole
        if angle > whole:  # beyond an end: which one is nearer, the way round
            share = 1.0 if angle - whole < math.tau - angle else 0.0
    return share, math.dist(place(edge, share), point)


def box_of(edge: Edge) -> tuple[float, float, float, float]:
    """Low x, low y, high x, high y."""
    points = [edge.start, edge.end]
    if edge.centre is not None:
        x, y = edge.centre
        low, high = sorted((edge.first, edge.first + edge.turn))
        for quarter in range(math.ceil(low / (math.pi / 2)), math.floor(high / (math.pi / 2)) + 1):
            across, up = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarter % 4]
            points.append((x + across * edge.radius, y + up * edge.radius))
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def facets(edge: Edge, low: float, high: float, deviation: float) -> list[Point]:
    """Places strictly between two shares of an edge that follow it within `deviation`, mm.

    They stand on even angles of the whole circle: what shares an arc shares its facets.
    """
    if edge.centre is None:
        return []
    count = facet_count(edge.radius, math.tau, min(deviation, edge.radius / 2))
    count = LATTICE * math.ceil(count / LATTICE)
    one, two = (edge.first + share * edge.turn for share in (low, high))
    slack = 0.01  # of a facet: nearer than this to an end there is none
    begin = math.floor(min(one, two) / math.tau * count + slack) + 1
    stop = math.ceil(max(one, two) / math.tau * count - slack)
    angles = (np.arange(begin, stop) % count * (math.tau / count)).tolist()
    (x, y), reach = edge.centre, edge.radius
    points = [(x + reach * math.cos(a), y + reach * math.sin(a)) for a in angles]
    return points if edge.turn > 0 else points[::-1]


def meetings(one: Edge, two: Edge, tolerance: float) -> list[Point]:
    """Where two edges cross, or touch: arcs and lines that miss each other by `tolerance` (mm) or
    less touch. Edges on one line or circle have no such place: their ends do.
    """
    if one.centre is None and two.centre is None:
        return [at for at in _lines(one, two) if _on(one, at, EXACT) and _on(two, at, EXACT)]
    if one.centre is None:
        found = _line_and_arc(one, two, tolerance)
    elif two.centre is None:
        found = _line_and_arc(two, one, tolerance)
    else:
        found = _arcs(one, two, tolerance)
    reach = tolerance if len(found) == 1 else TOUCHING
    return [at for at in found if _on(one, at, reach) and _on(two, at, reach)]


def _on(edge: Edge, at: Point, reach: float) -> bool:
    return nearest(edge, at)[1] <= reach


def _lines(one: Edge, two: Edge) -> list[Point]:
    (ax, ay), (bx, by) = one.start, one.end
    (cx, cy), (dx, dy) = two.start, two.end
    ux, uy, vx, vy = bx - ax, by - ay, dx - cx, dy - cy
    cross = ux * vy - uy * vx
    if abs(cross) <= PARALLEL * math.hypot(ux, uy) * math.hypot(vx, vy):
        return []
    share = ((cx - ax) * vy - (cy - ay) * vx) / cross
    return [(ax + share * ux, ay + share * uy)]


def _line_and_arc(line: Edge, arc: Edge, tolerance: float) -> list[Point]:
    (ax, ay), (bx, by) = line.start, line.end
    x, y = arc.centre or (0.0, 0.0)
    long = math.dist(line.start, line.end)
    ux, uy = (bx - ax) / long, (by - ay) / long
    along = (x - ax) * ux + (y - ay) * uy
    foot = (ax + along * ux, ay + along * uy)
    far = math.dist(foot, (x, y))
    if far > arc.radius + tolerance:
        return []
    if far > arc.radius - TOUCHING:
        return [foot]
    half = math.sqrt(arc.radius**2 - far**2)
    return [(foot[0] + way * half * ux, foot[1] + way * half * uy) for way in (-1.0, 1.0)]


def _arcs(one: Edge, two: Edge, tolerance: float) -> list[Point]:
    (ax, ay), (bx, by) = one.centre or (0.0, 0.0), two.centre or (0.0, 0.0)
    apart, r, s = math.dist((ax, ay), (bx, by)), one.radius, two.radius
    if apart <= tolerance and abs(r - s) <= tolerance:
        return []  # one circle, as good as
    if apart > r + s + tolerance or apart < abs(r - s) - tolerance or apart == 0:
        return []
    ux, uy = (bx - ax) / apart, (by - ay) / apart
    if apart > r + s - TOUCHING:
        return [(ax + r * ux, ay + r * uy)]
    if apart < abs(r - s) + TOUCHING:
        way = 1.0 if r > s else -1.0
        return [(ax + way * r * ux, ay + way * r * uy)]
    along = (apart * apart + r * r - s * s) / (2 * apart)
    half = math.sqrt(max(0.0, r * r - along * along))
    x, y = ax + along * ux, ay + along * uy
    return [(x - way * half * uy, y + way * half * ux) for way in (-1.0, 1.0)]
