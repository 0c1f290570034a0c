"""Affine maps of the plane, (2, 3) on (x, y, 1), and the similarity that fits points best.

Stands after art, before whatever places a drawing.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from mateline.curves import Point

    Array = NDArray[np.float64]

SIZELESS = 1e-6  # no unit: correlation of two figures that have next to nothing in common


def composed(second: Array, first: Array) -> Array:
    """The map that does `first` and then `second`."""
    # Written out: how a library multiplies, and with it the last bit, depends on the processor.
    (a, c, e), (b, d, f) = second.tolist()
    (p, r, t), (q, s, u) = first.tolist()
    return np.array(
        [
            [a * p + c * q, a * r + c * s, a * t + c * u + e],
            [b * p + d * q, b * r + d * s, b * t + d * u + f],
        ]
    )


def inverse(matrix: Array) -> Array:
    """The map that undoes `matrix`.

    Raises ZeroDivisionError for one that has flattened the plane.
    """
    (a, c, e), (b, d, f) = matrix.tolist()
    size = a * d - b * c
    return np.array(
        [
            [d / size, -c / size, (c * f - d * e) / size],
            [-b / size, a / size, (b * e - a * f) / size],
        ]
    )


@dataclass(frozen=True, slots=True)
class Similarity:
    """A turn, a scale and a shift: w = factor z + shift, in complex numbers."""

    factor: complex
    shift: complex

    @property
    def scale(self) -> float:
        """How many times lengths grow."""
        return abs(self.factor)

    @property
    def turn(self) -> float:
        """Counter-clockwise, radians, -pi to pi."""
        return cmath.phase(self.factor)

    @property
    def matrix(self) -> Array:
        """The same as an affine map."""
        (a, b), (e, f) = ((each.real, each.imag) for each in (self.factor, self.shift))
        return np.array([[a, -b, e], [b, a, f]])

    def carried(self, point: Point) -> Point:
        """Where a point goes."""
        there = self.factor * complex(*point) + self.shift
        return there.real, there.imag


def best_similarity(sources: Sequence[Point], targets: Sequence[Point]) -> Similarity:
    """The turn, scale and shift that bring `sources` nearest to `targets`.

    Least squares in the plane, without mirroring. Source: the closed form of Umeyama (1991),
    "Least-squares estimation of transformation parameters between two point patterns", in complex
    numbers. Raises ValueError where all sources are in one place, or the targets leave no size.
    """
    middle, middle_there = _middle(sources), _middle(targets)
    arms = [complex(*each) - middle for each in sources]
    arms_there = [complex(*each) - middle_there for each in targets]
    spread = math.fsum(abs(arm) ** 2 for arm in arms)
    spread_there = math.fsum(abs(arm) ** 2 for arm in arms_there)
    products = [a.conjugate() * b for a, b in zip(arms, arms_there, strict=True)]
    shared = complex(
        math.fsum(each.real for each in products), math.fsum(each.imag for each in products)
    )
    if spread == 0 or abs(shared) <= SIZELESS * math.sqrt(spread * spread_there):
        raise ValueError("these points leave no size")
    factor = shared / spread
    return Similarity(factor, middle_there - factor * middle)


def _middle(points: Sequence[Point]) -> complex:
    count = len(points)
    return complex(math.fsum(x for x, _ in points) / count, math.fsum(y for _, y in points) / count)
