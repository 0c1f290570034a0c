"""The given outline as places along it: where borders that reach it end.

Stands in fitting after adjustment. `along` counts mm from the outline's start, counter-clockwise.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline import curves
from mateline.curves import Chain, Segment

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.capture.fitting.frame import Frame

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

HELD = 1e-5  # mm: how near a vertex is held to the outline
SNAP = 1e-5  # mm: a place so near a corner of the outline is the corner


@dataclass(frozen=True, slots=True, eq=False)
class Rim:
    """A closed chain, counter-clockwise, and how far along it each segment starts, mm (n + 1,)."""

    chain: Chain
    starts: tuple[float, ...]

    @property
    def length(self) -> float:
        """All the way round, mm."""
        return self.starts[-1]

    def foot(self, place: tuple[float, float]) -> tuple[float, int, float]:
        """How far along the nearest place is; the segment, and how far along that, a share."""
        best = (math.inf, 0, 0.0)
        at = self.chain.start
        for number, segment in enumerate(self.chain.segments):
            share, away = _nearest(at, segment, place)
            if round(away, 9) < best[0]:
                best = (round(away, 9), number, share)
            at = segment.to
        _, number, share = best
        size = self.starts[number + 1] - self.starts[number]
        share = round(share, 10)
        if share * size < SNAP:
            share = 0.0
        if (1 - share) * size < SNAP:
            number, share = (number + 1) % len(self.chain.segments), 0.0
            size = self.starts[number + 1] - self.starts[number]
        return self.starts[number] + share * size, number, share

    def place(self, number: int, share: float) -> tuple[float, float]:
        """The place on segment `number`."""
        points = self.chain.points
        return _at(points[number], self.chain.segments[number], share)

    def between(self, one: tuple[int, float], other: tuple[int, float]) -> Chain:
        """The outline counter-clockwise from one foot to the other; all of it if they are one."""
        points, segments = self.chain.points, self.chain.segments
        number, share = one
        start = self.place(*one)
        last = self.place(*other)
        made: list[Segment] = []
        ahead = other[0] - number
        if ahead < 0 or (ahead == 0 and other[1] <= share):
            ahead += len(segments)
        for step in range(ahead):
            segment = segments[(number + step) % len(segments)]
            if step == 0 and share == 0.0:
                start = points[number]
            made.append(segment)
        if other[1] > 0 or not made:
            segment = segments[other[0]]
            made.append(Segment(last, segment.centre, segment.counterclockwise))
        return Chain(start, tuple(made))


def rim_of(outline: Chain) -> Rim:
    """The outline as a rim.

    Raises ValueError for a chain that is not closed.
    """
    chain = outline if curves.area(outline) > 0 else curves.backwards(outline)
    starts = [0.0]
    at = chain.start
    for segment in chain.segments:
        starts.append(starts[-1] + curves.length(Chain(at, (segment,))))
        at = segment.to
    return Rim(chain, tuple(starts))


@dataclass(frozen=True, slots=True, eq=False)
class OnRim:
    """A tie: these vertices lie on the outline."""

    rim: Rim
    vertices: Ints

    def rows(self, frame: Frame) -> tuple[Floats, Ints, Ints, Floats]:
        """The vertices' distances from the nearest segment's whole line or circle."""
        points, segments = self.rim.chain.points, self.rim.chain.segments
        away, normals = [], []
        for vertex in self.vertices.tolist():
            place = frame.at[vertex].tolist()
            _, number, _ = self.rim.foot((place[0], place[1]))
            (x, y), segment = points[number], segments[number]
            if segment.centre is None:
                size = math.dist((x, y), segment.to)
                normal = (-(segment.to[1] - y) / size, (segment.to[0] - x) / size)
                away.append(normal[0] * (place[0] - x) + normal[1] * (place[1] - y))
            else:
                (cx, cy) = segment.centre
                reach = math.dist(place, segment.centre)
                normal = ((place[0] - cx) / reach, (place[1] - cy) / reach)
                away.append(reach - curves.radius(segment))
            normals.append(normal)
        count = len(self.vertices)
        rows = np.repeat(np.arange(count), 2)
        columns = np.column_stack([2 * self.vertices, 2 * self.vertices + 1]).ravel()
        values = np.array(normals, dtype=np.float64).reshape(-1) / HELD
        return np.array(away, dtype=np.float64) / HELD, rows, columns, values


def _nearest(
    at: tuple[float, float], segment: Segment, place: tuple[float, float]
) -> tuple[float, float]:
    """The share along the segment of its place nearest to `place`, and how far that is."""
    (ax, ay), (bx, by), (x, y) = at, segment.to, place
    if segment.centre is None:
        wx, wy = bx - ax, by - ay
        share = ((x - ax) * wx + (y - ay) * wy) / (wx * wx + wy * wy)
    else:
        turn = curves.sweep(at, segment)
        (cx, cy) = segment.centre
        angle = math.atan2(y - cy, x - cx) - math.atan2(ay - cy, ax - cx)
        share = (angle % math.tau if turn > 0 else -(-angle % math.tau)) / turn
        beyond = (math.tau / abs(turn) + 1) / 2
        share = share if share < beyond else 0.0
    share = min(1.0, max(0.0, share))
    return share, math.dist(_at(at, segment, share), place)


def _at(at: tuple[float, float], segment: Segment, share: float) -> tuple[float, float]:
    (ax, ay), (bx, by) = at, segment.to
    if share == 0.0:
        return at
    if share == 1.0:
        return segment.to
    if segment.centre is None:
        return ax + share * (bx - ax), ay + share * (by - ay)
    (cx, cy) = segment.centre
    angle = math.atan2(ay - cy, ax - cx) + share * curves.sweep(at, segment)
    reach = curves.radius(segment)
    return cx + reach * math.cos(angle), cy + reach * math.sin(angle)
