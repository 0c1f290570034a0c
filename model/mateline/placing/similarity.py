"""Affine maps of the plane, (2, 3) on (x, y, 1), and the similarity that fits points best.

Stands after art, before whatever places a drawing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]


def composed(second: Array, first: Array) -> Array:
    """The map that does `first` and then `second`."""
    linear = second[:, :2] @ first[:, :2]
    return np.column_stack([linear, second[:, :2] @ first[:, 2] + second[:, 2]])


def inverse(matrix: Array) -> Array:
    """The map that undoes `matrix`.

    Raises numpy.linalg.LinAlgError for one that has flattened the plane.
    """
    linear = np.linalg.inv(matrix[:, :2])
    return np.column_stack([linear, -linear @ matrix[:, 2]])


def fitted_similarity(sources: Array, targets: Array) -> tuple[Array, float]:
    """The turn, scale and shift that bring `sources` (n, 2) nearest to `targets` (n, 2).

    Least squares in the plane, without mirroring; the second value is the largest residual.
    Source: the closed form of Umeyama (1991), "Least-squares estimation of transformation
    parameters between two point patterns", in complex numbers. Does not notice fewer than two
    different sources.
    """
    z = sources[:, 0] + 1j * sources[:, 1]
    w = targets[:, 0] + 1j * targets[:, 1]
    centre_z, centre_w = z.mean(), w.mean()
    factor = np.vdot(z - centre_z, w - centre_w) / np.vdot(z - centre_z, z - centre_z)
    shift = centre_w - factor * centre_z
    residual = float(np.abs(factor * z + shift - w).max())
    return np.array(
        [[factor.real, -factor.imag, shift.real], [factor.imag, factor.real, shift.imag]]
    ), residual
