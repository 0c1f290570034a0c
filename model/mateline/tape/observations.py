"""What ties points of a plane network together: distances, heights and square corners.

Stands after the tapes. Each kind knows its value between points and the derivative of that value;
solving is the network's business.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
XY = tuple[float, float]

NOWHERE = math.ulp(1.0)  # stands for the length between two points in one place


class Observation(Protocol):
    """What a network can be observed by. Points are given by their place in `names`."""

    @property
    def observed(self) -> float:
        """What was read: mm or radians."""

    @property
    def deviation(self) -> float:
        """A-priori standard deviation, in the same unit."""

    @property
    def label(self) -> str:
        """What a person calls it."""

    @property
    def names(self) -> tuple[str, ...]:
        """The points that it ties together."""

    def value(self, at: Array) -> tuple[float, Array]:
        """The value between points `at` (k, 2), and its derivative by them (k, 2)."""


@dataclass(frozen=True, slots=True)
class Distance:
    """The distance from `a` to `b`."""

    a: str
    b: str
    length: float
    deviation: float
    label: str

    @property
    def observed(self) -> float:
        """The length as read, mm."""
        return self.length

    @property
    def names(self) -> tuple[str, ...]:
        """Its two ends."""
        return (self.a, self.b)

    def value(self, at: Array) -> tuple[float, Array]:
        """Distance between the two points of `at` (2, 2), and its derivative."""
        (ax, ay), (bx, by) = at.tolist()
        x, y = bx - ax, by - ay
        length = math.hypot(x, y) or NOWHERE
        x, y = x / length, y / length
        return length, np.array([[-x, -y], [x, y]])


@dataclass(frozen=True, slots=True)
class Height:
    """The distance of `corner` from the line through `a` and `b`, positive left of a→b."""

    corner: str
    a: str
    b: str
    length: float
    deviation: float
    label: str

    @property
    def observed(self) -> float:
        """The length as read, mm."""
        return self.length

    @property
    def names(self) -> tuple[str, ...]:
        """The corner, then the two ends of the edge below it."""
        return (self.corner, self.a, self.b)

    def value(self, at: Array) -> tuple[float, Array]:
        """Height between the three points of `at` (3, 2), and its derivative."""
        (px, py), (ax, ay), (bx, by) = at.tolist()
        x, y = bx - ax, by - ay
        length = math.hypot(x, y) or NOWHERE
        x, y = x / length, y / length
        height = x * (py - ay) - y * (px - ax)
        share = (x * (px - ax) + y * (py - ay)) / length  # of the foot: 0 at a, 1 at b
        left = np.array([-y, x])
        return height, np.array([left, (share - 1) * left, -share * left])


@dataclass(frozen=True, slots=True)
class Square:
    """The angle at `corner` between `before` and `after`, taken as a right angle. Radians."""

    corner: str
    before: str
    after: str
    deviation: float
    label: str

    @property
    def observed(self) -> float:
        """A right angle."""
        return math.pi / 2

    @property
    def names(self) -> tuple[str, ...]:
        """The corner, then its two neighbours."""
        return (self.corner, self.before, self.after)

    def value(self, at: Array) -> tuple[float, Array]:
        """Angle between the three points of `at` (3, 2), and its derivative."""
        (cx, cy), (bx, by), (ax, ay) = at.tolist()
        px, py, qx, qy = ax - cx, ay - cy, bx - cx, by - cy
        cross, dot = px * qy - py * qx, px * qx + py * qy
        turn = math.copysign(1.0, cross)
        after = turn / ((px * px + py * py) or NOWHERE)
        before = turn / ((qx * qx + qy * qy) or NOWHERE)
        by_after = np.array([py * after, -px * after])
        by_before = np.array([-qy * before, qx * before])
        return math.atan2(abs(cross), dot), np.array([-by_after - by_before, by_before, by_after])
