"""Circles and lines through places with errors, and how sure they are.

Stands in regularity after outlines.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.products import inverted, product

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.curves import Point

    Floats = NDArray[np.float64]

LIKELY = 3.5  # sigma: what errors explain
ROUNDS = 12


@dataclass(frozen=True, slots=True)
class Circle:
    """`error` is that of its radius, one sigma, mm; `segments` are the arcs on it."""

    segments: tuple[int, ...]
    centre: Point
    reach: float
    error: float


@dataclass(frozen=True, slots=True)
class Line:
    """Through `place`, its places' middle, along `way`, radians. `spread` is the rms distance of
    its places from there, mm; `error` that of `place` across, `turned` that of `way`.
    """

    segments: tuple[int, ...]
    place: Point
    way: float
    spread: float
    error: float
    turned: float

    def beside(self, spots: Floats) -> Floats:
        """How far spots (n, 2) are to the left of it."""
        off = spots - np.array(self.place)
        found: Floats = off[:, 1] * np.cos(self.way) - off[:, 0] * np.sin(self.way)
        return found

    def error_at(self, spots: Floats) -> Floats:
        """The expected error of the line beside spots."""
        off = spots - np.array(self.place)
        along = off[:, 0] * np.cos(self.way) + off[:, 1] * np.sin(self.way)
        found: Floats = np.hypot(self.error, along * self.turned)
        return found


def circle_through(places: Floats, errors: Floats, segments: tuple[int, ...]) -> Circle:
    """The circle with the least sum of squared distances over errors (Gauss and Newton from the
    algebraic one of least q - 2 a x - 2 b y - c, q = x x + y y).
    """
    middle = places.mean(axis=0)
    own = places - middle
    table = np.column_stack([2 * own, np.ones(len(own))]) / errors[:, None]
    right = (own * own).sum(axis=1) / errors
    a, b, c = _solved(table, right)[0].tolist()
    x, y, reach = a, b, float(np.sqrt(max(c + a * a + b * b, 1e-12)))
    square = np.eye(3)
    for _ in range(ROUNDS):
        off = own - (x, y)
        away = np.maximum(np.hypot(off[:, 0], off[:, 1]), 1e-9)
        slope = np.column_stack([-off / away[:, None], -np.ones(len(own))]) / errors[:, None]
        step, square = _solved(slope, -(away - reach) / errors)
        x, y, reach = x + step[0], y + step[1], reach + step[2]
        if np.abs(step).max() < 1e-10:
            break
    centre = (float(middle[0] + x), float(middle[1] + y))
    return Circle(segments, centre, float(reach), float(np.sqrt(max(square[2, 2], 0.0))))


def line_through(places: Floats, errors: Floats, segments: tuple[int, ...]) -> Line:
    """The line with the least sum of squared distances over errors."""
    weight = 1 / errors**2
    total = weight.sum()
    middle = (weight[:, None] * places).sum(axis=0) / total
    x, y = (places - middle).T
    xx, xy, yy = ((weight * each).sum() for each in (x * x, x * y, y * y))
    way = float(np.arctan2(2 * xy, xx - yy) / 2)
    square = (xx + yy) / 2 + float(np.hypot((xx - yy) / 2, xy))
    return Line(
        segments, (float(middle[0]), float(middle[1])), way, float(np.sqrt(square / total)),
        float(np.sqrt(1 / total)), float(np.sqrt(1 / square)),
    )  # fmt: skip


def _solved(table: Floats, right: Floats) -> tuple[Floats, Floats]:
    """The least squares of a small table, and the inverse of its normal matrix."""
    size = table.shape[1]
    normal = np.array([[(table[:, i] * table[:, j]).sum() for j in range(size)]
                       for i in range(size)])  # fmt: skip
    inverse = inverted(normal)
    return product(inverse, (table * right[:, None]).sum(axis=0)), inverse
