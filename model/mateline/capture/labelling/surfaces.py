"""Smooth fields over a picture: polynomials of low degree that one least-squares fit gives.

Stands before everything in labelling.

    basis    the products T_i(u) T_j(v) with i + j <= degree, u and v from -1 to 1 over the picture
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

DIGITS = 7  # what sums of products may leave to chance on another machine is rounded away


def powers(degree: int) -> list[tuple[int, int]]:
    """(i, j) of every member of the basis, the constant first."""
    every = [(i, j) for i in range(degree + 1) for j in range(degree + 1) if i + j <= degree]
    return sorted(every, key=lambda each: (sum(each), each))


def basis(u: Floats, v: Floats, degree: int) -> Floats:
    """(n, members) values at places (n,) and (n,), each from -1 to 1."""
    across, down = _chebyshev(u, degree), _chebyshev(v, degree)
    return np.column_stack([across[i] * down[j] for i, j in powers(degree)])


def spread(shares: Floats, degree: int, u: Floats, v: Floats) -> NDArray[np.float32]:
    """The field with these coefficients on the grid of rows `v` and columns `u`: (v, u)."""
    across, down = _chebyshev(u, degree), _chebyshev(v, degree)
    field = np.zeros((len(v), len(u)), dtype=np.float32)
    for i in range(degree + 1):
        row = np.zeros(len(v))
        for (at, j), share in zip(powers(degree), shares, strict=True):
            if at == i:
                row += share * down[j]
        field += row[:, None].astype(np.float32) * across[i][None].astype(np.float32)
    return field


def least(
    design: Floats, values: Floats, weights: Floats, prior: Floats, towards: Floats
) -> Floats:
    """Coefficients that minimise weights (design x - values)² + prior (x - towards)²."""
    weighted = design * weights[:, None]
    matrix = weighted.T @ design + np.diag(prior)
    solved: Floats = np.asarray(
        np.linalg.solve(matrix, weighted.T @ values + prior * towards), dtype=np.float64
    )
    rounded: Floats = np.round(solved, DIGITS)
    return rounded


def _chebyshev(u: Floats, degree: int) -> list[Floats]:
    """T_0 to T_degree at `u`: T_n = 2 u T_(n-1) - T_(n-2)."""
    values = [np.ones_like(u), u]
    for _ in range(degree - 1):
        values.append(2 * u * values[-1] - values[-2])
    return values[: degree + 1]
