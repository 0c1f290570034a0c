"""Edges as rows, the same whichever way they are walked.

Stands before whatever looks for edges that are there twice.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]


def undirected(edges: Floats) -> tuple[Floats, Bools]:
    """Edges (n, 4 or more) with their lower end first, by x and then by y, and which of them were
    turned round for that.

    A row begins with x and y of both ends; what comes after is left as it is.
    """
    turned: Bools = (edges[:, 0] > edges[:, 2]) | (
        (edges[:, 0] == edges[:, 2]) & (edges[:, 1] > edges[:, 3])
    )
    found = edges.copy()
    found[turned, :4] = edges[turned][:, [2, 3, 0, 1]]
    return found, turned
