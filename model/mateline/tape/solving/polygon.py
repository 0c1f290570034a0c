"""What makes a closed chain of corners an outline: counter-clockwise, simple, turning as stated.

Stands beside the network; knows points only.

    turn    at a corner: left (inside angle under 180°), right (reflex), or straight on
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from mateline.tape.solving.observations import XY, Array

NOWHERE = 1e-12  # mm²: a side that is shorter has no direction
STRAIGHT = math.radians(0.5)  # a corner that turns less may be on either side of 180°


def turns(points: Array) -> Array:
    """The turn at each corner of `points` (n, 2), radians, left positive, -pi to pi."""
    before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    turn: Array = np.arctan2(cross, np.sum(before * after, axis=1))
    return turn


def turn_slopes(points: Array) -> Array:
    """Derivatives (n, 2n) of the `turns` of `points` (n, 2) by all coordinates, radians a mm."""
    number = len(points)
    along = np.roll(points, -1, axis=0) - points
    # moving the far end of a side to its left by a mm turns it by 1 / length
    squares = np.maximum((along**2).sum(axis=1), NOWHERE)
    by_end = np.column_stack([-along[:, 1], along[:, 0]]) / squares[:, None]
    sides = np.zeros((number, number, 2))
    every = np.arange(number)
    sides[every, every], sides[every, (every + 1) % number] = -by_end, by_end
    slopes: Array = (sides - np.roll(sides, 1, axis=0)).reshape(number, 2 * number)
    return slopes


def crossing_sides(points: Array) -> tuple[int, int] | None:
    """The first two sides of `points` (n, 2) that cross or touch, by their first corners."""
    at = [(float(x), float(y)) for x, y in points]
    number = len(at)
    for i in range(number):
        for j in range(i + 2, number):
            if (j + 1) % number != i and meet(at[i], at[i + 1], at[j], at[(j + 1) % number]):
                return i, j
    return None


def meet(a: XY, b: XY, c: XY, d: XY) -> bool:
    """Whether the stretches a-b and c-d cross, or one of them has an end on the other."""
    one, two = left(a, b, c), left(a, b, d)
    three, four = left(c, d, a), left(c, d, b)
    if one == two == 0:  # all on one line: do they overlap along it?
        axis = 0 if abs(b[0] - a[0]) >= abs(b[1] - a[1]) else 1
        ab, cd = sorted((a[axis], b[axis])), sorted((c[axis], d[axis]))
        return ab[0] <= cd[1] and cd[0] <= ab[1]
    return one * two <= 0 and three * four <= 0


def left(a: XY, b: XY, c: XY) -> float:
    """Twice the area of the triangle a, b, c: positive when c is left of a→b."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def framed(points: Array) -> Array:
    """`points` (n, 2) moved and turned so that the first is (0, 0) and the second is on +x."""
    moved = points - points[0]
    x, y = moved[1] / np.linalg.norm(moved[1])
    framed: Array = moved @ np.array([[x, -y], [y, x]])
    framed[1, 1] = 0.0
    return framed
