"""What ties points of a plane network together: lengths and angles between them.

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
        along, height, length, ahead = _foot(at)
        share = along / length  # 0 at a, 1 at b
        left = np.array([-ahead[1], ahead[0]])
        return height, np.array([left, (share - 1) * left, -share * left])


@dataclass(frozen=True, slots=True)
class Along:
    """How far along the line from `a` to `b` one comes square to `corner`: measured from `a` on,
    or from `b` on where it is `past` it. A plumb line on a level edge reads this.
    """

    corner: str
    a: str
    b: str
    length: float
    deviation: float
    label: str
    past: bool = False

    @property
    def observed(self) -> float:
        """The length as read, mm."""
        return self.length

    @property
    def names(self) -> tuple[str, ...]:
        """The corner, then the two ends of the line."""
        return (self.corner, self.a, self.b)

    def value(self, at: Array) -> tuple[float, Array]:
        """Length along the line between the three points of `at` (3, 2), and its derivative."""
        along, height, length, ahead = _foot(at)
        lean = height / length  # what turning the line by 1 / length adds
        left = np.array([-ahead[1], ahead[0]])
        by_corners = np.array([ahead, -ahead - lean * left, lean * left])
        if self.past:
            along, by_corners = along - length, by_corners + np.array([0 * ahead, ahead, -ahead])
        return along, by_corners


@dataclass(frozen=True, slots=True)
class Angle:
    """The angle at `corner` between `before` and `after`, as a bevel gauge has it. Radians."""

    corner: str
    before: str
    after: str
    angle: float
    deviation: float
    label: str

    @property
    def observed(self) -> float:
        """The angle as read, between 0 and pi."""
        return self.angle

    @property
    def names(self) -> tuple[str, ...]:
        """The corner, then its two neighbours."""
        return (self.corner, self.before, self.after)

    def value(self, at: Array) -> tuple[float, Array]:
        """Angle between the three points of `at` (3, 2), and its derivative."""
        return _opening(at)


@dataclass(frozen=True, slots=True)
class Lean:
    """The angle from the line c-d to the line a-b, as a level has it that was set to 0 on one of
    them; positive to the left. Radians.
    """

    lines: tuple[str, str, str, str]
    angle: float
    deviation: float
    label: str

    @property
    def observed(self) -> float:
        """The angle as read, between 0 and pi / 2."""
        return self.angle

    @property
    def names(self) -> tuple[str, ...]:
        """The ends of both lines."""
        return self.lines

    def value(self, at: Array) -> tuple[float, Array]:
        """Angle between the lines of `at` (4, 2), from -pi / 2 to pi / 2, and its derivative."""
        ways = at[[1, 3]] - at[[0, 2]]
        squares = np.maximum((ways**2).sum(axis=1), NOWHERE)
        by_end = np.column_stack([-ways[:, 1], ways[:, 0]]) / squares[:, None]
        (cx, cy), (ax, ay) = ways.tolist()
        angle = math.atan2(cx * ay - cy * ax, cx * ax + cy * ay)
        angle -= math.pi * round(angle / math.pi)
        return angle, np.array([by_end[0], -by_end[0], -by_end[1], by_end[1]])


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
        return _opening(at)


def _foot(at: Array) -> tuple[float, float, float, Array]:
    """Of the first of three points, by the line through the others: how far along it and to its
    left, the line's length, mm, and its direction.
    """
    (px, py), (ax, ay), (bx, by) = at.tolist()
    x, y = bx - ax, by - ay
    length = math.hypot(x, y) or NOWHERE
    x, y = x / length, y / length
    along, height = x * (px - ax) + y * (py - ay), x * (py - ay) - y * (px - ax)
    return along, height, length, np.array([x, y])


def _opening(at: Array) -> tuple[float, Array]:
    """Angle at the first of three points between the others, and its derivative."""
    (cx, cy), (bx, by), (ax, ay) = at.tolist()
    px, py, qx, qy = ax - cx, ay - cy, bx - cx, by - cy
    cross, dot = px * qy - py * qx, px * qx + py * qy
    turn = math.copysign(1.0, cross)
    after = turn / ((px * px + py * py) or NOWHERE)
    before = turn / ((qx * qx + qy * qy) or NOWHERE)
    by_after = np.array([py * after, -px * after])
    by_before = np.array([-qy * before, qx * before])
    return math.atan2(abs(cross), dot), np.array([-by_after - by_before, by_before, by_after])
