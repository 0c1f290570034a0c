"""Values known on coarse squares, read at each pixel between them.

Stands beside pictures; paper's own light and the likeness of two sides' light are known so.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float32]


def enlarged(cells: Floats, block: int, shape: tuple[int, ...], middle: float = 0.5) -> Floats:
    """Values (rows, columns) of squares of `block` pixels, linearly between them at each pixel of
    `shape`. A value stands for the place that is `middle` of the square from its first pixel's
    edge; beyond the outermost they stay the same.
    """
    for axis in (0, 1):
        at = np.clip((np.arange(shape[axis]) + 0.5) / block - middle, 0, cells.shape[axis] - 1)
        low = np.minimum(at.astype(np.int64), max(0, cells.shape[axis] - 2))
        high = np.minimum(low + 1, cells.shape[axis] - 1)
        share = (at - low).astype(np.float32)
        share = share[:, None] if axis == 0 else share[None]
        cells = cells.take(low, axis) * (1 - share) + cells.take(high, axis) * share
    return cells
