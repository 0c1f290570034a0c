r"""Closed walks of lines and arcs with each side moved in: how a board's outline lies deeper down.

Stands alone. A walk runs counter-clockwise; a corner is where the two moved sides meet, and the
one that is nearest to where it was.

    tangent   sides that run on into each other: their corner moves square to both
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.curves import Point

TANGENT = 1e-5  # no unit: sine of the angle between two sides below which they are tangent
UNMOVED = 1e-9  # mm: radii that differ by less are one
STEPS = 60  # of Newton's method, which needs about five
CLOSE = 1e-12  # no unit: share of the sides' size that a last step moves


@dataclass(frozen=True, slots=True)
class Curved:
    """A side: the line from `start` to `to`, or an arc about `centre`. mm.

    `bulging` arcs run counter-clockwise, so that the inside is where their centre is.
    """

    start: Point
    to: Point
    centre: Point | None = None
    bulging: bool = True

    @property
    def radius(self) -> float:
        """Radius of an arc, negative where it is hollow; 0 of a line."""
        if self.centre is None:
            return 0.0
        reach = (math.dist(self.start, self.centre) + math.dist(self.to, self.centre)) / 2
        return reach if self.bulging else -reach

    def way(self, at: Point) -> Point:
        """The unit vector along the side at one of its places."""
        if self.centre is None:
            x, y = self.to[0] - self.start[0], self.to[1] - self.start[1]
        else:
            x, y = self.centre[1] - at[1], at[0] - self.centre[0]
            if not self.bulging:
                x, y = -x, -y
        size = math.hypot(x, y)
        return x / size, y / size

    def turn(self) -> float:
        """From its start to its end round the centre, radians, forward positive: -pi to pi."""
        if self.centre is None:
            return 0.0
        (cx, cy), (ax, ay), (bx, by) = self.centre, self.start, self.to
        turn = math.remainder(math.atan2(by - cy, bx - cx) - math.atan2(ay - cy, ax - cx), math.tau)
        return turn if self.bulging else -turn

    def off(self, at: Point, inset: float) -> tuple[float, Point]:
        """How far `at` is inside of the side moved in by `inset`, mm, and its derivative."""
        if self.centre is None:
            x, y = self.way(at)
            inside = (at[1] - self.start[1]) * x - (at[0] - self.start[0]) * y
            return inside - inset, (-y, x)
        x, y = at[0] - self.centre[0], at[1] - self.centre[1]
        reach, size = self.radius, math.hypot(x, y)
        sign = 1.0 if reach > 0 else -1.0
        return sign * (abs(reach) - size) - inset, (-sign * x / size, -sign * y / size)


class NoCornerError(ValueError):
    """Two moved sides that do not meet."""


def corner(before: Curved, after: Curved, insets: tuple[float, float]) -> Point:
    """Where two sides meet once they are moved in, mm.

    Raises NoCornerError.
    """
    here = after.start
    (ax, ay), (bx, by) = before.way(here), after.way(here)
    cross, (first, second) = ax * by - ay * bx, insets
    if abs(cross) < TANGENT:
        return here[0] - second * by, here[1] + second * bx
    # Of the tangents at the corner; the corner itself where both sides are lines.
    x = here[0] + (bx * first - ax * second) / cross
    y = here[1] + (by * first - ay * second) / cross
    if before.centre is None and after.centre is None:
        return x, y
    size = abs(before.radius) + abs(after.radius)
    for _ in range(STEPS):
        one, (px, py) = before.off((x, y), first)
        two, (qx, qy) = after.off((x, y), second)
        turn = px * qy - py * qx
        if abs(turn) < TANGENT / 100:
            break
        step_x, step_y = (one * qy - two * py) / turn, (two * px - one * qx) / turn
        x, y = x - step_x, y - step_y
        if max(abs(step_x), abs(step_y)) < CLOSE * size:
            return x, y
    raise NoCornerError(f"two sides no longer meet near {here}")


def moved_sides(sides: Sequence[Curved], insets: Sequence[float]) -> tuple[Curved, ...]:
    """The sides moved in, each from corner to corner. Raises NoCornerError."""
    corners = [
        corner(sides[at - 1], sides[at], (insets[at - 1], insets[at])) for at in range(len(sides))
    ]
    return tuple(
        Curved(corners[at], corners[(at + 1) % len(sides)], side.centre, side.bulging)
        for at, side in enumerate(sides)
    )


def spread(side: Curved, count: int) -> list[Point]:
    """`count` places from the side's start on, evenly along it; its end is not among them."""
    if side.centre is None:
        (ax, ay), (bx, by) = side.start, side.to
        return [
            (ax + (bx - ax) * step / count, ay + (by - ay) * step / count) for step in range(count)
        ]
    (cx, cy), reach = side.centre, abs(side.radius)
    first = math.atan2(side.start[1] - cy, side.start[0] - cx)
    turn = sweep_of(side)
    angles = [first + turn * step / count for step in range(1, count)]
    return [
        side.start,
        *((cx + reach * math.cos(angle), cy + reach * math.sin(angle)) for angle in angles),
    ]


def spread_as(before: Curved, side: Curved, count: int) -> list[Point]:
    """The same of a `side` that is another one moved or cut: where that one's places are on it
    they stay, and only beside its ends what is left is shared out anew.
    """
    if before.centre is None:
        (ax, ay), way = before.start, before.way(before.start)
        whole = math.dist(before.start, before.to)
        low, high = ((x - ax) * way[0] + (y - ay) * way[1] for x, y in (side.start, side.to))

        def spot(at: float) -> Point:
            return side.start[0] + way[0] * (at - low), side.start[1] + way[1] * (at - low)
    else:
        (cx, cy), whole = before.centre, sweep_of(before)
        first = math.atan2(before.start[1] - cy, before.start[0] - cx)
        moved = abs(side.radius - before.radius) > UNMOVED
        reach = abs(side.radius if moved else before.radius)
        sign = 1.0 if before.bulging else -1.0
        low = sign * Curved(before.start, side.start, before.centre, before.bulging).turn()
        high = whole + sign * Curved(before.to, side.to, before.centre, before.bulging).turn()

        def spot(at: float) -> Point:
            return cx + reach * math.cos(first + at), cy + reach * math.sin(first + at)

    places = [whole * step / count for step in range(count + 1)]
    return [side.start, *(spot(at) for at in _shared_out(places, low, high)[1:-1])]


def _shared_out(places: list[float], low: float, high: float) -> list[float]:
    """Places from `low` to `high`: those between the two, and as many as are lost evenly beside.

    None come nearer to each other than half of what they are apart all in all.
    """
    last, way = len(places) - 1, math.copysign(1.0, high - low)
    step = abs(high - low) / last / 2
    kept = [
        at
        for at in range(1, last)
        if way * (places[at] - low) > at * step and way * (high - places[at]) > (last - at) * step
    ]
    marks = [(0, low), *((at, places[at]) for at in kept), (last, high)]
    found: list[float] = []
    for (one, start), (two, end) in itertools.pairwise(marks):
        found += [start + (end - start) * at / (two - one) for at in range(two - one)]
    return [*found, high]


def sweep_of(side: Curved) -> float:
    """The signed angle of an arc, radians; 0 of a line."""
    if side.centre is None:
        return 0.0
    (cx, cy), (ax, ay), (bx, by) = side.centre, side.start, side.to
    turn = math.atan2(by - cy, bx - cx) - math.atan2(ay - cy, ax - cx)
    turn %= math.tau
    return turn if side.bulging else turn - math.tau
