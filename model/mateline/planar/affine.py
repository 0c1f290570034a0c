"""Affine maps as six numbers, in SVG's order, and how much they stretch.

Stands before the readers. x' = a x + c y + e, y' = b x + d y + f.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray


IDENTITY: Affine = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
SIMILAR = 1e-9  # no unit: how far the two columns may be from one length and a right angle


def after(outer: Affine, inner: Affine) -> Affine:
    """The map that does `inner` first and then `outer`."""
    a, b, c, d, e, f = outer
    p, q, r, s, t, u = inner
    return (
        a * p + c * q,
        b * p + d * q,
        a * r + c * s,
        b * r + d * s,
        a * t + c * u + e,
        b * t + d * u + f,
    )


def carried(matrix: Affine, x: float, y: float) -> tuple[float, float]:
    """Where the point (x, y) goes."""
    a, b, c, d, e, f = matrix
    return a * x + c * y + e, b * x + d * y + f


def carried_all(matrix: Affine, points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Where points (n, 2) go."""
    a, b, c, d, e, f = matrix
    x, y = points[:, 0], points[:, 1]
    return np.column_stack([a * x + c * y + e, b * x + d * y + f])


def determinant(matrix: Affine) -> float:
    """By how much areas grow; negative when the map mirrors."""
    a, b, c, d, _, _ = matrix
    return a * d - b * c


def stretch(matrix: Affine) -> float:
    """By how much the map makes lengths grow at most: its larger singular value."""
    a, b, c, d, _, _ = matrix
    half = (a * a + b * b + c * c + d * d) / 2
    return math.sqrt(half + math.sqrt(max(0.0, half * half - determinant(matrix) ** 2)))


def is_similarity(matrix: Affine) -> bool:
    """Whether circles stay circles."""
    a, b, c, d, _, _ = matrix
    one, other = a * a + b * b, c * c + d * d
    size = max(one, other)
    return abs(one - other) <= SIMILAR * size and abs(a * c + b * d) <= SIMILAR * size


Affine = tuple[float, float, float, float, float, float]  # x' = a x + c y + e, y' = b x + d y + f
