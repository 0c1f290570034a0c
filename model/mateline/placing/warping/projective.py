"""The projective map that comes nearest to taking given points to given points.

Stands beside thin_plate, before warp. It keeps every straight line straight, which a thin-plate
spline does not: so as much of a bend as it can do, it does, and the spline the rest. Four corners
that are moved it meets alone. Source: R. Hartley and A. Zisserman, "Multiple View Geometry in
Computer Vision" (2004), 4.1, with the last number of the matrix 1.

    x' = (a x + b y + c) / (1 + g x + h y)      y' = (d x + e y + f) / (1 + g x + h y)
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.products import inverted, product

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

# Share: what is minimised has so much of g² and h², so that points in a line ask for neither.
RIDGE = 1e-6


@dataclass(frozen=True, slots=True)
class Projective:
    """A map of the plane, (n, 2) to (n, 2), mm: `numbers` are a to h, for places in units of `unit`
    mm about `middle`.
    """

    numbers: tuple[float, ...]
    middle: Array
    unit: float

    def places(self, points: Array) -> Array:
        """Where points (n, 2) go."""
        found: Array = self._there(points)[0] * self.unit + self.middle
        return found

    def slopes(self, points: Array) -> Array:
        """How it changes about points (n, 2): (n, 2, 2), the change of x' and y' along x in the
        first row, along y in the second.
        """
        a, b, _, d, e, _, g, h = self.numbers
        there, below = self._there(points)
        x, y = there.T
        along_x = np.column_stack([a - g * x, d - g * y]) / below[:, None]
        along_y = np.column_stack([b - h * x, e - h * y]) / below[:, None]
        return np.stack([along_x, along_y], axis=1)

    def _there(self, points: Array) -> tuple[Array, Array]:
        a, b, c, d, e, f, g, h = self.numbers
        x, y = ((points - self.middle) / self.unit).T
        below = 1 + g * x + h * y
        return np.column_stack([a * x + b * y + c, d * x + e * y + f]) / below[:, None], below


def projective(places: Array, goals: Array) -> Projective:
    """The map that brings `places` (k, 2) nearest to `goals` (k, 2), mm.

    Raises ValueError where the places lie in a line.
    """
    middle = places.sum(axis=0) / len(places)
    away = places - middle
    unit = float(np.sqrt((away * away).sum() / len(places))) or 1.0
    x, y = (away / unit).T
    u, v = ((goals - middle) / unit).T
    one, none = np.ones(len(places)), np.zeros(len(places))
    rows = np.concatenate(
        [
            np.column_stack([x, y, one, none, none, none, -u * x, -u * y]),
            np.column_stack([none, none, none, x, y, one, -v * x, -v * y]),
        ]
    )
    normal = product(rows.T, rows)
    if (x * x).sum() * (y * y).sum() - (x * y).sum() ** 2 < RIDGE * len(places) ** 2:
        raise ValueError("the places lie in a line")
    normal = normal + np.diag([0.0] * 6 + [RIDGE * len(places)] * 2)
    found = product(inverted(normal), product(rows.T, np.concatenate([u, v])))
    return Projective(tuple(found.tolist()), middle, unit)
