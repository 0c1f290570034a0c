"""Lines and circle arcs, and chains of them.

Stands before the road: hardware outlines, board sections and stencil borders are all chains.
A chain is never faceted on its way to a file; `flattened` makes the facets that booleans need.

    start o----line----o
                        )  arc: `centre` is given, and which way round it runs
              to o-----'
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

Point = tuple[float, float]

FACET = 0.005  # mm: how far a facet may leave its arc before booleans


@dataclass(frozen=True, slots=True)
class Segment:
    """A line (`centre` is None) or a circular arc from the point before it to `to`. mm."""

    to: Point
    centre: Point | None = None
    counterclockwise: bool = True


@dataclass(frozen=True, slots=True)
class Chain:
    """Segments end to end, from `start`; closed when the last one ends at `start`. mm."""

    start: Point
    segments: tuple[Segment, ...]

    @property
    def closed(self) -> bool:
        """Whether the chain comes back to its start exactly."""
        return bool(self.segments) and self.segments[-1].to == self.start

    @property
    def points(self) -> tuple[Point, ...]:
        """The start and the end of every segment."""
        return (self.start, *(segment.to for segment in self.segments))


def sweep(start: Point, segment: Segment) -> float:
    """Signed angle that an arc turns through, radians, counter-clockwise positive; 0 for a line."""
    if segment.centre is None:
        return 0.0
    (cx, cy), (ax, ay), (bx, by) = segment.centre, start, segment.to
    turn = math.atan2(by - cy, bx - cx) - math.atan2(ay - cy, ax - cx)
    if segment.counterclockwise:
        return turn if turn > 0 else turn + math.tau
    return turn if turn < 0 else turn - math.tau


def radius(segment: Segment) -> float:
    """Radius of an arc, mm, read at its end point.

    Raises ValueError for a line.
    """
    if segment.centre is None:
        raise ValueError("a line has no radius")
    return math.dist(segment.to, segment.centre)


def length(chain: Chain) -> float:
    """Length along the chain, mm."""
    total = 0.0
    at = chain.start
    for segment in chain.segments:
        if segment.centre is None:
            total += math.dist(at, segment.to)
        else:
            total += radius(segment) * abs(sweep(at, segment))
        at = segment.to
    return total


def area(chain: Chain) -> float:
    """Area inside a closed chain, mm², positive when it runs counter-clockwise.

    The polygon of its points plus a circular segment r²(t - sin t)/2 for each arc (elementary).
    Raises ValueError for an open chain.
    """
    if not chain.closed:
        raise ValueError("an open chain has no area")
    total = 0.0
    (ax, ay) = chain.start
    for segment in chain.segments:
        bx, by = segment.to
        total += (ax * by - bx * ay) / 2
        if segment.centre is not None:
            turn = sweep((ax, ay), segment)
            total += radius(segment) ** 2 * (turn - math.sin(turn)) / 2
        ax, ay = bx, by
    return total


def flattened(chain: Chain, deviation: float = FACET) -> NDArray[np.float64]:
    """Points (n, 2) along the chain, mm, none farther than `deviation` from it.

    Ends of segments are kept to the bit, so a closed chain ends on its first point.
    """
    points: list[Point] = [chain.start]
    for segment in chain.segments:
        if segment.centre is not None:
            points.extend(_facets(points[-1], segment, deviation))
        points.append(segment.to)
    return np.array(points, dtype=np.float64)


def facet_count(reach: float, turn: float, deviation: float = FACET) -> int:
    """How many chords an arc of radius `reach` through `turn` radians needs.

    A chord over angle a leaves its arc by r(1 - cos(a/2)).
    """
    if reach <= deviation:
        return max(1, math.ceil(abs(turn) / (math.pi / 2)))
    step = 2 * math.acos(1 - deviation / reach)
    return max(1, math.ceil(abs(turn) / step))


def moved(chain: Chain, matrix: NDArray[np.float64]) -> Chain:
    """The chain carried by a similarity, `matrix` (2, 3) on column points; a mirror flips arcs.

    Does not notice a matrix that is no similarity: arcs would stop being circular.
    """
    (a, c, e), (b, d, f) = matrix.tolist()

    def carried(point: Point) -> Point:
        x, y = point
        return a * x + c * y + e, b * x + d * y + f

    mirrored = a * d - b * c < 0
    start = carried(chain.start)
    segments = tuple(
        Segment(
            start if chain.closed and index == len(chain.segments) - 1 else carried(segment.to),
            None if segment.centre is None else carried(segment.centre),
            segment.counterclockwise != mirrored,
        )
        for index, segment in enumerate(chain.segments)
    )
    return Chain(start, segments)


def backwards(chain: Chain) -> Chain:
    """The same chain walked from its end to its start."""
    points = chain.points
    segments = tuple(
        Segment(points[index], segment.centre, not segment.counterclockwise)
        for index, segment in reversed(tuple(enumerate(chain.segments)))
    )
    return Chain(points[-1], segments)


def ring(chains: tuple[Chain, ...], loop: tuple[int, ...]) -> Chain:
    """The closed chain of a region's loop of signed borders: i, or ~i walked backwards.

    Raises ValueError when the borders don't follow each other, which is a flaw of the pattern.
    """
    parts = [chains[index] if index >= 0 else backwards(chains[~index]) for index in loop]
    for before, after in zip(parts, (*parts[1:], parts[0]), strict=True):
        if before.points[-1] != after.start:
            raise ValueError(f"borders of loop {loop} part at {before.points[-1]}, {after.start}")
    return Chain(parts[0].start, tuple(segment for part in parts for segment in part.segments))


def circle(centre: Point, reach: float) -> Chain:
    """A full circle, counter-clockwise, as two half arcs: one arc cannot start where it ends."""
    (x, y) = centre
    east, west = (x + reach, y), (x - reach, y)
    return Chain(east, (Segment(west, centre), Segment(east, centre)))


def _facets(start: Point, segment: Segment, deviation: float) -> list[Point]:
    if segment.centre is None:
        return []
    reach = radius(segment)
    turn = sweep(start, segment)
    count = facet_count(reach, turn, deviation)
    (cx, cy) = segment.centre
    first = math.atan2(start[1] - cy, start[0] - cx)
    angles = (first + turn * np.arange(1, count) / count).tolist()
    return [(cx + reach * math.cos(angle), cy + reach * math.sin(angle)) for angle in angles]
