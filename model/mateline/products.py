"""Products of small matrices and vectors, the same to the last bit on every machine.

Stands before everything that turns or measures points. `@`, `np.dot`, `np.einsum`, `np.linalg.norm`
without an axis, `inv` and `det` leave the order of a sum, and whether it is rounded between
product and sum, to the kernel that fits the processor: the last bits differ, and with them which
of two equal places is taken. Here every product is rounded, and sums run in the order of their
terms. For inner dimensions of a few; nothing is spread over cores.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Numbers = NDArray[Any] | Sequence[Any]


LENGTH_DECIMALS = 9  # of a mm: a thousand times what rounding leaves in lengths of a cabinet


def product(left: Numbers, right: Numbers) -> Array:
    """What `left @ right` gives, for vectors and matrices of floats; two vectors give a number."""
    one, other = np.asarray(left, dtype=np.float64), np.asarray(right, dtype=np.float64)
    if other.shape[0] != one.shape[-1]:
        raise ValueError(f"no product of shapes {one.shape} and {other.shape}")
    # Terms by the inner index: of a row of `one` times a column (or all) of `other`.
    column = one[..., None] if other.ndim > 1 and one.ndim > 1 else one
    total: Array = _term(column, other, 0)
    for at in range(1, other.shape[0]):
        total = total + _term(column, other, at)
    return total


def mapped(points: Array, matrix: Array) -> Array:
    """Where an affine `matrix` (2, 3) takes `points` (n, 2)."""
    there: Array = product(points, matrix[:, :2].T) + matrix[:, 2]
    return there


def dots(left: Array, right: Array) -> Array:
    """The dot product of each row of `left` (n, k) with the row of `right` beside it: (n,)."""
    terms = left * right
    total: Array = terms[..., 0]
    for at in range(1, terms.shape[-1]):
        total = total + terms[..., at]
    return total


def cross(left: Array, right: Array) -> Array:
    """The cross product of each vector of `left` (n, 2) with that of `right` beside it: (n,)."""
    found: Array = left[:, 0] * right[:, 1] - left[:, 1] * right[:, 0]
    return found


def ring_area(points: Array) -> float:
    """Signed area inside a ring of `points` (n, 2), positive when it runs counter-clockwise.

    The last point may be the first one again.
    """
    return float(cross(points, np.roll(points, -1, axis=0)).sum()) / 2


def comparable(lengths: Array) -> Array:
    """Lengths, mm, to choose by: those that differ by rounding alone are equal.

    For the first of the nearest, the longest and so on, where lengths come from sines or from a
    library: what is the same on paper must not be decided by the last bits of a processor.
    """
    rounded: Array = np.round(lengths, LENGTH_DECIMALS)
    return rounded


def norm(vector: Numbers) -> float:
    """The length of a vector of a few numbers."""
    return math.sqrt(product(vector, vector))


def determinant(matrix: Array) -> float:
    """Of a (2, 2) matrix."""
    (a, c), (b, d) = matrix.tolist()
    return float(a * d - c * b)


def inverted(matrix: Array) -> Array:
    """The inverse of a small square matrix, by Gauss and Jordan, the largest pivot first.

    Raises numpy.linalg.LinAlgError for a matrix that has flattened its space.
    """
    size = len(matrix)
    work = np.column_stack([matrix, np.eye(size)])
    for at in range(size):
        best = at + int(np.argmax(np.abs(work[at:, at])))
        if work[best, at] == 0:
            raise np.linalg.LinAlgError("a matrix that has flattened its space has no inverse")
        work[[at, best]] = work[[best, at]]
        work[at] = work[at] / work[at, at]
        share = work[:, at].copy()
        share[at] = 0.0
        work = work - share[:, None] * work[at]
    return work[:, size:]


def _term(column: Array, other: Array, at: int) -> Array:
    term: Array = (column[:, at] if column.ndim > 1 else column[at]) * other[at]
    return term
